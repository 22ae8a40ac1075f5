#!/bin/sh
# SPDX-License-Identifier: MIT
# sh cmake/clang.sh [options of ctest]: builds and tests everything with clang++ too, in build/clang.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/cmake/packages.sh"
need_packages clang g++ cmake ninja-build libeigen3-dev libcli11-dev libfmt-dev gnuplot-nox \
  doctest-dev libbenchmark-dev libfccp-dev libsundials-dev libboost-dev pkgconf

cmake -S "$root" -B "$root/build/clang" -G Ninja -D CMAKE_CXX_COMPILER=clang++
cmake --build "$root/build/clang"
exec ctest --test-dir "$root/build/clang" --output-on-failure --no-tests=error --no-label-summary -j2 "$@"
