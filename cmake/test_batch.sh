#!/bin/sh
# SPDX-License-Identifier: MIT
# sh cmake/test_batch.sh OUTPUT SOURCE...: writes one source that holds several test files, each in a namespace of its
# own; whatever they include is included before, so that nothing is left to include within the namespaces.
set -eu
output=$1
shift
{
  echo '// Written by cmake/test_batch.sh.'
  cat "$@" | grep '^#include ' | LC_ALL=C sort -u
  number=0
  for source in "$@"; do
    number=$((number + 1))
    printf '\nnamespace test_file_%d {\n#include "%s"\n}\n' $number "$source"
  done
} >"$output"
