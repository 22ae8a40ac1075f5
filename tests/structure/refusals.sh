#!/bin/sh
# SPDX-License-Identifier: MIT
# Proves that the three checks can fail: builds a small sound project here, then spoils it in one way at a time.
set -eu
checks=$(cd "$(dirname "$0")" && pwd)
house=$(mktemp -d)
trap 'rm -rf "$house"' EXIT
failed=0

sound_header() { printf '// SPDX-License-Identifier: MIT\n#pragma once\n%s\n' "$1"; }
check() {
  case $1 in
  layering) sh "$checks/layering.sh" "$house/include" ;;
  mirror) sh "$checks/mirror.sh" "$house/include" "$house/tests" ;;
  preamble) sh "$checks/preamble.sh" "$house" ;;
  esac
}

# accepted CHECK
accepted() {
  if report=$(check "$1" 2>&1); then echo "ok       $1 accepts a sound project"
  else echo "FAILED   $1 refuses a sound project: $report"; failed=1; fi
}

# refused CHECK FILE WORDS: the check fails, and one line names the file and the fault
refused() {
  if report=$(check "$1" 2>&1); then echo "FAILED   $1 accepts $2, which has the fault: $3"; failed=1
  elif echo "$report" | grep -F "$2" | grep -qF "$3"; then echo "ok       $1 refuses: $report"
  else echo "FAILED   $1 refuses $2 in other words: $report"; failed=1; fi
}

# refused_include HEADER LINE WORDS
refused_include() {
  mv "$house/include/gastube/$1" "$house/kept"
  sound_header "$2" > "$house/include/gastube/$1"
  refused layering "$1:3" "$3"
  mv "$house/kept" "$house/include/gastube/$1"
}

mkdir -p "$house/.ci" "$house/cmake" "$house/examples" "$house/bench"
for floor in support gas tube catalogue stepping circuit design adapt; do
  mkdir -p "$house/include/gastube/$floor" "$house/tests/$floor"
  sound_header '#include <gastube/support/a.hpp>' > "$house/include/gastube/$floor/a.hpp"
  echo '// SPDX-License-Identifier: MIT' > "$house/tests/$floor/a_test.cpp"
done
sound_header '#include <gastube/design/a.hpp>' > "$house/include/gastube/gastube.hpp"
sound_header '#include <gastube/gastube.hpp>' > "$house/include/gastube/adapt/a.hpp"
sound_header '#include <Eigen/Core>' > "$house/include/gastube/circuit/a.hpp"
echo '# SPDX-License-Identifier: MIT' > "$house/CMakeLists.txt"
accepted layering
accepted mirror
accepted preamble

refused_include support/a.hpp '#include <gastube/gas/a.hpp>' 'support may not include gas'
refused_include gas/a.hpp '#include "gastube/tube/a.hpp"' 'gas may not include tube'
refused_include tube/a.hpp '  #  include <gastube/circuit/a.hpp>' 'tube may not include circuit'
mkdir "$house/include/gastube/tube/arc"
sound_header '' > "$house/include/gastube/tube/arc/a.hpp"
refused_include tube/arc/a.hpp '#include <gastube/tube/family/a.hpp>' 'a characteristic may not include gastube/tube/family'
rm -r "$house/include/gastube/tube/arc"
refused_include stepping/a.hpp '#include <gastube/tube/a.hpp>' 'stepping may not include tube'
refused_include catalogue/a.hpp '#include <gastube/stepping/a.hpp>' 'catalogue may not include stepping'
refused_include circuit/a.hpp '#include <gastube/design/a.hpp>' 'circuit may not include design'
refused_include design/a.hpp '#include <gastube/adapt/a.hpp>' 'design may not include adapt'
refused_include design/a.hpp '#include <gastube/gastube.hpp>' 'design may not include gastube.hpp'
refused_include gastube.hpp '#include <gastube/adapt/a.hpp>' 'gastube.hpp may not include adapt'
refused_include design/a.hpp '#include <gastube/circuit/../adapt/a.hpp>' 'path with dots'
refused_include gas/a.hpp '#include "near.hpp"' 'relative include: near.hpp'
refused_include gas/a.hpp '#include GAS_HEADER' 'include by macro'
refused_include tube/a.hpp '#include <Eigen/Core>' 'no Eigen in tube'
refused_include support/a.hpp '#include <unsupported/Eigen/AutoDiff>' 'no Eigen in support'
for name in iostream functional ranges regex; do
  refused_include circuit/a.hpp "#include <$name>" "<$name> costs"
done

mkdir "$house/include/gastube/attic"
sound_header '' > "$house/include/gastube/attic/a.hpp"
refused layering attic/a.hpp:1 'no such floor: attic'
rm -r "$house/include/gastube/attic"

mv "$house/tests/tube/a_test.cpp" "$house/kept"
refused mirror tube/a.hpp 'no test: tests/tube/a_test.cpp'
mv "$house/kept" "$house/tests/tube/a_test.cpp"

echo '#pragma once' > "$house/include/gastube/gas/a.hpp"
refused preamble include/gastube/gas/a.hpp 'no SPDX'
echo '// SPDX-License-Identifier: MIT' > "$house/include/gastube/gas/a.hpp"
refused preamble include/gastube/gas/a.hpp 'no #pragma once'
sound_header '' > "$house/include/gastube/gas/a.hpp"

for one in layering mirror preamble; do accepted $one; done  # nothing above was left spoilt
exit $failed
