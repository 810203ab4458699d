#!/bin/sh
# SPDX-License-Identifier: Apache-2.0
# Builds truepull and runs all of its tests. On a bare Debian 12 machine it first installs
# the packages that are missing, and says which. Anything given is passed on to ctest:
#   sh tests/run.sh -L fast
set -eu
cd "$(dirname "$0")/.."
. tests/setup.sh
install_packages
build
ctest --test-dir "$build_dir" --output-on-failure -j2 "$@"
