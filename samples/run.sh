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
run() {
  status=0
  "$@" || status=$?
  [ "$status" -eq 0 ] || [ "$status" -eq 3 ] || exit "$status"
}

mkdir -p "$out"
echo "1. Pulling an imagined sheet and taking its photo"
run "$truepull" simulate --plan "$plan" --seed 7 --like typical --out "$out/photo"
echo "2. Measuring where every gull landed"
run "$truepull" read --plan "$plan" "$out/photo/photo.jpg" --out "$out/reading" > "$out/reading.txt"
echo "3. Drawing the guide for the next pass"
run "$truepull" next "$out/reading/reading.yaml" --out "$out/next" > "$out/next.txt"
echo
cat "$out/reading.txt"
cat "$out/next.txt"
echo
echo "The photo is in $out/photo, the reading in $out/reading (open reading.html), the guide in $out/next."
