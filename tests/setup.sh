# SPDX-License-Identifier: Apache-2.0
# What samples/run.sh and tests/run.sh share: the Debian packages and the build.
# Sourced from the project's root; POSIX sh.

# Tools, libraries, the font of guides and pages, and what the tests look at PDFs with.
packages="build-essential cmake ninja-build pkg-config
libopencv-dev libceres-dev libeigen3-dev libgeos-dev libyaml-cpp-dev libcli11-dev libfmt-dev
libcairo2-dev libpango1.0-dev libqpdf-dev libheif-dev liblcms2-dev zlib1g-dev libxml2-dev libboost-math-dev fonts-dejavu-core
libgtest-dev libgmock-dev poppler-utils"

build_dir=build

# Prints the packages that are missing and installs them; does nothing when none is.
install_packages() {
  if ! command -v dpkg-query >/dev/null 2>&1; then
    echo "This is no Debian system; what the build needs goes by these names on Debian 12:"
    echo "$packages"
    return 0
  fi
  missing=""
  for package in $packages; do
    dpkg-query -W -f='${db:Status-Abbrev}' "$package" 2>/dev/null | grep -q '^ii' || missing="$missing $package"
  done
  [ -n "$missing" ] || return 0
  echo "Debian packages to be installed:$missing"
  as_root=""
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null 2>&1; then
      echo "They can only be installed by root or with sudo. As root, run: apt-get install --no-install-recommends$missing" >&2
      return 1
    fi
    as_root=sudo
  fi
  $as_root apt-get update -q
  # shellcheck disable=SC2086  # One word to a package.
  $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $missing
}

# Builds the given targets (all of them when none is given), optimised, in build/.
build() {
  [ -f "$build_dir/build.ninja" ] || cmake -S . -B "$build_dir" -G Ninja -DCMAKE_BUILD_TYPE=Release
  cmake --build "$build_dir" -j "$(nproc)" ${1:+--target "$@"}
}
