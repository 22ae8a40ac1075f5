#!/bin/sh
# SPDX-License-Identifier: MIT
# sh cmake/sanitize.sh [options of doctest]: runs the unit tests under the address and undefined-behaviour sanitizers,
# in build/sanitize. Short form: cases in the suite "long" are left out; --test-suite= takes them in again.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/cmake/packages.sh"
need_packages g++ cmake ninja-build libeigen3-dev libcli11-dev libfmt-dev libfccp-dev gnuplot-nox doctest-dev

cmake -S "$root" -B "$root/build/sanitize" -G Ninja -D CMAKE_BUILD_TYPE=Debug \
  -D CMAKE_CXX_FLAGS='-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer'
cmake --build "$root/build/sanitize" --target gastube_tests
if [ $# -eq 0 ]; then set -- --test-suite-exclude=long; fi
exec "$root/build/sanitize/tests/gastube_tests" --no-skipped-summary "$@"
