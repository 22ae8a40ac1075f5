#!/bin/sh
# SPDX-License-Identifier: MIT
# sh bench/include_cost.sh [compiler...]: what the main headers cost to include (-O0), and a complete small program to
# compile (-O2): the least processor time of three, in seconds. Compilers: g++ unless named.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
eigen=$(pkg-config --cflags eigen3 2>/dev/null || echo -I/usr/include/eigen3)
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
if [ $# -eq 0 ]; then set -- g++; fi

# user_time COMMAND...: its processor time, in seconds
user_time() {
  # The shell's own `times`: its second line is what its children took, as 0m1.230000s 0m0.040000s.
  times=$(sh -c '"$@" >&2; status=$?; times; exit $status' sh "$@") || return 1
  echo "$times" | awk 'NR == 2 { split($1, part, /[ms]/); printf "%.2f\n", 60 * part[1] + part[2] }'
}

# least COMPILER OPTION FILE: the least of three
least() {
  best=
  for _ in 1 2 3; do
    # shellcheck disable=SC2086  # a list of options
    taken=$(user_time "$1" -std=c++20 "$2" -I"$root/include" $eigen -c "$3" -o "$folder/out.o") || return 1
    best=$(printf '%s\n%s\n' "${best:-$taken}" "$taken" | sort -n | head -n 1)
  done
  echo "$best"
}

headers='support/math tube/family/thyratron tube/hosted_tube catalogue/xenon catalogue/argon catalogue/mercury catalogue/hydrogen
  catalogue/glow catalogue/trigger catalogue/catalogue stepping/stepper circuit/run'
if [ -f "$root/include/gastube/gastube.hpp" ]; then headers="$headers gastube"; fi
for header in $headers; do
  printf '#include <gastube/%s.hpp>\n' "$header" >"$folder/$(echo "$header" | tr / _).cpp"
done
cat >"$folder/program.cpp" <<'END'
#include <gastube/catalogue/xenon.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include <cstdio>

int main() {
  using namespace gastube;
  enum { ground, line, plate, drive, grid, node_count };
  const auto circuit = wire<node_count>(
      DcSource{line, ground, 48.0}, Resistor{line, plate, 1e3}, Capacitor{plate, ground, 1e-9},
      PulseSource<double>{drive, ground, {.low = -10, .high = 5, .delay = 1e-3, .width = 1e-4}}, Resistor{drive, grid, 1e5},
      wired(catalogue::type_5727(), {.plate = plate, .grid = grid, .cathode = ground, .heater = ground}));
  auto run = start(circuit);
  const Status status = run.run_until(2e-3);
  std::printf("%s: plate at %.3f V\n", name(status), voltage(run, plate));
  return succeeded(status) ? 0 : 1;
}
END

for compiler in "$@"; do
  printf '%s\n' "$($compiler --version | head -n 1)"
  printf '  %-28s %6s\n' 'included alone, -O0' 's'
  for header in $headers; do
    cost=$(least "$compiler" -O0 "$folder/$(echo "$header" | tr / _).cpp")
    printf '  %-28s %6s\n' "$header" "$cost"
  done
  cost=$(least "$compiler" -O2 "$folder/program.cpp")
  printf '  %-28s %6s\n' 'a small program, -O2' "$cost"
  $compiler -std=c++20 -O2 -I"$root/include" "$folder/program.cpp" -o "$folder/program"
  printf '  it says: %s\n' "$("$folder/program")"
done
