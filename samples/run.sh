#!/bin/sh
# SPDX-License-Identifier: Apache-2.0
# The main job on a sample: a photo of a printed sheet of gulls is measured, and the guide
# for the next pass is drawn. On a bare Debian 12 machine it first installs the packages
# that are missing, and says which; then it builds the program.
set -eu
cd "$(dirname "$0")/.."
. tests/setup.sh
install_packages
build truepull_program

truepull="$build_dir/truepull"
plan=samples/harbour/plan.yaml
out=samples/harbour/out

# Exit status 3 means done, but something needs a look: what a hand-pulled sheet is like.
# Remarks about single sites go into a file; they are shown when something fails.
run() {
  status=0
  "$@" 2>> "$out/remarks.txt" || status=$?
  if [ "$status" -ne 0 ] && [ "$status" -ne 3 ]; then
    cat "$out/remarks.txt" >&2
    exit "$status"
  fi
}

mkdir -p "$out"
: > "$out/remarks.txt"
echo "1. Pulling an imagined sheet and taking its photo"
run "$truepull" simulate --plan "$plan" --seed 7 --like typical --out "$out/photo" > "$out/photo.txt"
echo "2. Measuring where every gull landed"
run "$truepull" read --plan "$plan" "$out/photo/photo.jpg" --out "$out/reading" > "$out/reading.txt"
echo "3. Drawing the guide for the next pass"
run "$truepull" next "$out/reading/reading.yaml" --out "$out/next" > "$out/next.txt"
echo
cat "$out/reading.txt"
cat "$out/next.txt"
echo
echo "The photo is in $out/photo, the reading in $out/reading (open reading.html),"
echo "the guide in $out/next: print guide.pdf at 100 %. Remarks about single sites: $out/remarks.txt."
