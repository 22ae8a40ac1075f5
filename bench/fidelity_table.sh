#!/bin/sh
# SPDX-License-Identifier: MIT
# fidelity_table.sh PROGRAM DOCUMENT [fix]: the table between the marks in DOCUMENT is what PROGRAM --markdown prints.
# With `fix` it is put there.
set -eu
program=$1 document=$2
begin='<!-- fidelity table: begin -->' end='<!-- fidelity table: end -->'
wanted=$(mktemp)
trap 'rm -f "$wanted" "$wanted.new"' EXIT
"$program" --markdown >"$wanted"
awk -v begin="$begin" -v end="$end" -v table="$wanted" '
  $0 == begin { print; while ((getline line < table) > 0) print line; inside = 1; next }
  $0 == end { inside = 0; found = 1 }
  !inside { print }
  END { if (!found) { print "no table is marked in it" > "/dev/stderr"; exit 1 } }' "$document" >"$wanted.new"
case ${3-check} in
fix) cp "$wanted.new" "$document" ;;
check) diff -u "$document" "$wanted.new" || { echo "put it right with: $0 $program $document fix" && exit 1; } ;;
esac
