#!/bin/sh
# SPDX-License-Identifier: MIT
# sh cmake/format.sh [fix]: checks that the source is formatted as .clang-format says, or formats it.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/cmake/packages.sh"
need_packages clang-format

# Versions differ in details; 14 decides where it is installed.
formatter=$(command -v clang-format-14 || command -v clang-format)
case ${1-check} in
check) set -- --dry-run -Werror ;;
fix) set -- -i ;;
*) echo "usage: format.sh [fix]" >&2 && exit 2 ;;
esac
cd "$root"
find include tests examples bench -name '*.?pp' -exec "$formatter" "$@" {} +
echo "$("$formatter" --version): done, with $*"
