#!/bin/sh
# SPDX-License-Identifier: MIT
# preamble.sh PROJECT_FOLDER: refuses a source file that does not begin with its licence (a script's second line),
# and a header without `#pragma once`.
set -eu
cd "$1"
status=0
for file in $(find CMakeLists.txt .ci cmake include tests examples bench -type f \
  \( -name '*.?pp' -o -name '*.sh' -o -name '*.cmake' -o -name CMakeLists.txt -o -path .ci/run \) | sort); do
  if ! sed -n '1p; 2{/^#/p;}' "$file" | grep -q '^\(//\|#\) SPDX-License-Identifier: MIT$'; then
    echo "$file:1: no SPDX-License-Identifier: MIT"
    status=1
  fi
  case $file in
  *.hpp)
    if ! grep -q '^#pragma once$' "$file"; then
      echo "$file:1: no #pragma once"
      status=1
    fi
    ;;
  esac
done
exit $status
