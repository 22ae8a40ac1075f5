#!/bin/sh
# SPDX-License-Identifier: MIT
# sh cmake/test.sh [options of ctest]: installs what is missing, builds everything, runs every test.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/cmake/packages.sh"
need_packages g++ cmake ninja-build libeigen3-dev libcli11-dev libfmt-dev gnuplot-nox \
  doctest-dev libbenchmark-dev libfccp-dev libsundials-dev libboost-dev pkgconf

cmake -S "$root" -B "$root/build" -G Ninja
cmake --build "$root/build"
exec ctest --test-dir "$root/build" --output-on-failure --no-tests=error --no-label-summary -j2 "$@"
