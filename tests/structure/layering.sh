#!/bin/sh
# SPDX-License-Identifier: MIT
# layering.sh INCLUDE_FOLDER: refuses a header that includes from a floor above its own, by a relative path,
# or what costs its users compile time. One line for each fault, as a compiler prints it.
set -eu
cd "$1/gastube"
find . -name '*.hpp' | sed 's|^\./||' | sort | xargs awk '
  BEGIN {  # floor -> the floors it may include
    may["support"]   = "support"
    may["gas"]       = "gas support"
    may["tube"]      = "tube gas support"
    may["catalogue"] = "catalogue tube gas support"
    may["stepping"]  = "stepping support"
    may["circuit"]   = "circuit stepping catalogue tube gas support"
    may["design"]    = "design circuit stepping catalogue tube gas support"
    may["gastube.hpp"] = may["design"]
    may["adapt"]     = "adapt gastube.hpp " may["design"]  # opt-in: no other floor may include it
    split("support gas tube catalogue", floors); for (f in floors) no_eigen[floors[f]] = 1
    split("iostream functional ranges regex", names); for (n in names) costly[names[n]] = 1
  }
  function refuse(why) { printf "%s:%d: %s\n", FILENAME, FNR, why; faults++ }
  FNR == 1 {
    split(FILENAME, path, "/"); floor = path[1]
    characteristic = FILENAME ~ /^tube\/[a-z_]+\// && path[2] != "family"  # tube/ignition, tube/arc, ...
    if (!(floor in may)) refuse("no such floor: " floor)
  }
  /^[ \t]*#[ \t]*include/ {
    written = $0; sub(/^[ \t]*#[ \t]*include[ \t]*/, "", written)
    name = substr(written, 2); sub(/[">].*/, "", name)
    if (written !~ /^[<"]/) refuse("include by macro")
    else if (name ~ /^gastube\//) {
      split(name, to, "/")
      if (name ~ /\/\.\.?\//) refuse("path with dots: " name)
      else if (index(" " may[floor] " ", " " to[2] " ") == 0) refuse(floor " may not include " to[2])
      else if (characteristic && (name ~ /^gastube\/tube\/family\// || name ~ /^gastube\/tube\/(hosted_tube|machine)\.hpp$/))
        refuse("a characteristic may not include " name)
    }
    else if (written ~ /^"/) refuse("relative include: " name)
    else if (name ~ /^(unsupported\/)?Eigen\// && floor in no_eigen) refuse("no Eigen in " floor)
    else if (name in costly) refuse("<" name "> costs every user compile time")
  }
  END { exit faults > 0 }'
