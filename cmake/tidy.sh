#!/bin/sh
# SPDX-License-Identifier: MIT
# sh cmake/tidy.sh [source file...]: clang-tidy over the examples and the headers they use, or over the files named.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/cmake/packages.sh"
need_packages clang-tidy clang g++ cmake ninja-build libeigen3-dev libcli11-dev libfmt-dev doctest-dev

cmake -S "$root" -B "$root/build/clang" -G Ninja -D CMAKE_CXX_COMPILER=clang++
if [ $# -eq 0 ]; then set -- "$root"/examples/*.cpp; fi
exec clang-tidy -p "$root/build/clang" --quiet "$@"
