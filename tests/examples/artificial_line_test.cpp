// SPDX-License-Identifier: MIT
// Numbers worked for this library: five sections of 6.25 uH and 2.5 nF, charged to 8 kV from 4 kV through 2 H.
#include "support/artificial_line.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube::examples;
using closeness::relative_gap;

namespace {
const ArtificialLine line{.sections = 5, .impedance = 50, .length = 1.25e-6};
}

TEST_CASE("sections of a line of 50 ohm and 1.25 us are 6.25 uH and 2.5 nF") {
  CHECK(relative_gap(line.section_inductance(), 6.25e-6) < 1e-12);
  CHECK(relative_gap(line.section_capacitance(), 2.5e-9) < 1e-12);
  CHECK(relative_gap(line.capacitance(), 12.5e-9) < 1e-12);
}

TEST_CASE("from 8 kV it gives 80 A into 50 ohm, 88.9 A into 40 ohm, and then -889 V are left") {
  CHECK(relative_gap(line.current(8e3, 0, 50), 80.0) < 1e-12);
  CHECK(relative_gap(line.current(8e3, 0, 40), 88.888889) < 1e-8);
  CHECK(relative_gap(line.residue(8e3, 0, 40), -888.888889) < 1e-8);
  CHECK(relative_gap(line.residue(8e3, 80, 50), 80.0) < 1e-12);  // matched: the tube's drop
}

TEST_CASE("2 H from 4 kV charge it to 8 kV in 0.497 ms, and 200 V are passed after 50 us or, from -889 V, 108 us") {
  const ResonantCharging fresh{4e3, 2, 12.5e-9};
  CHECK(relative_gap(fresh.duration(), 0.000496729) < 2e-6);
  CHECK(relative_gap(fresh.greatest(), 8e3) < 1e-12);
  CHECK(relative_gap(fresh.peak_current(), 0.316228) < 2e-6);
  CHECK(relative_gap(fresh.time_to(200), 5.02107e-5) < 2e-6);
  const ResonantCharging after{4e3, 2, 12.5e-9, -888.888889};
  CHECK(relative_gap(after.time_to(200), 0.000107592853) < 1e-8);
  CHECK(relative_gap(after.greatest(), 8888.888889) < 1e-9);
  CHECK(after.time_to(-1000) == 0);
}
