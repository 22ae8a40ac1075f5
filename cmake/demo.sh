#!/bin/sh
# SPDX-License-Identifier: MIT
# sh cmake/demo.sh [options of the example]: installs what is missing, builds the main example, runs it.
# The example runs in build/examples, and leaves its pictures there.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/cmake/packages.sh"
need_packages g++ cmake ninja-build libeigen3-dev libcli11-dev libfmt-dev gnuplot-nox

cmake -S "$root" -B "$root/build" -G Ninja
cmake --build "$root/build" --target lamp_latch
cd "$root/build/examples"
exec ./lamp_latch "$@"
