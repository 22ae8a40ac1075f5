#!/bin/sh
# SPDX-License-Identifier: MIT
# sh cmake/test_batch.sh OUTPUT SOURCE...: writes one source that holds several test files, each in a namespace of its
# own, after every header they include: within the namespaces no header is left to include.
set -eu
output=$1
shift
{
  echo '// Written by cmake/test_batch.sh.'
  cat "$@" | grep '^#include ' | sort -u
  number=0
  for source in "$@"; do
    number=$((number + 1))
    printf '\nnamespace test_file_%d {\n#include "%s"\n}\n' $number "$source"
  done
} >"$output"
