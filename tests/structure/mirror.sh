#!/bin/sh
# SPDX-License-Identifier: MIT
# mirror.sh INCLUDE_FOLDER TESTS_FOLDER: lists each header <floor>/<name>.hpp without a test <floor>/<name>_test.cpp.
set -eu
headers=$(cd "$1/gastube" && find . -mindepth 2 -name '*.hpp' | sed 's|^\./||; s|\.hpp$||' | sort)
missing=0
for header in $headers; do
  test -f "$2/${header}_test.cpp" && continue
  echo "$header.hpp has no test: $(basename "$2")/${header}_test.cpp"
  missing=1
done
exit $missing
