// SPDX-License-Identifier: MIT
// What the machines of all families share.
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/machine.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("tubes of every family are machines") {
  static_assert(
      TubeMachine<
          catalogue::
              RareGasTube<>> && TubeMachine<catalogue::MercuryTube<float>> && TubeMachine<catalogue::HydrogenTube<>> && TubeMachine<catalogue::StandardGlowTube<long double>> && TubeMachine<catalogue::StandardTriggerTube<>>);
  static_assert(!catalogue::RareGasTube<>::cold_cathode && catalogue::StandardGlowTube<>::cold_cathode);
  static_assert(!TubeMachine<ControlLine<double>>);
  CHECK(&catalogue::RareGasTube<>::transitions == &hot_cathode_transitions);
}

TEST_CASE("a discharge wants its least current at once: the plate short of that is the shortage") {
  // 12 V at 10 mA through 500 ohm: the plate must stand at 12 + 500 (0.01 - 0.002) = 16 V; worked here
  const Feed<double> feed{.resistance = 500};
  CHECK(relative_gap(feeding_shortage(0.01, 12.0, true, 10.0, 0.002, feed), 6.0) < 1e-14);
  CHECK(relative_gap(feeding_shortage(0.01, 12.0, true, 20.0, 0.002, feed), -4.0) < 1e-14);
}

TEST_CASE("what cannot be fed steadily wants a volt more, and does not form at all before recovery") {
  const Feed<double> starved{.resistance = 0, .steady_voltage = 100, .steady_resistance = 1e6};  // 100 V feed 0.1 mA
  CHECK(feeding_shortage(0.01, 12.0, true, 12.5, 0.0, starved) > 0.0);
  CHECK(feeding_shortage(0.01, 12.0, true, 13.5, 0.0, starved) < 0.0);
  CHECK(feeding_shortage(0.01, 12.0, false, 90.0, 0.0, starved) > 0.0);
  const Feed<double> fed{.resistance = 0, .steady_voltage = 100, .steady_resistance = 1e3};
  CHECK(feeding_shortage(0.01, 12.0, false, 12.5, 0.0, fed) < 0.0);
}

TEST_CASE("a current counts as a share of the least, or in amperes where there is none") {
  CHECK(relative_gap(current_margin(0.03, 0.01), 2.0) < 1e-14);
  CHECK(current_margin(0.01, 0.01) == 0.0);
  CHECK(current_margin(0.03, 0.0) == 0.03);
}

TEST_CASE("a plate has fallen within a millivolt, and formation starts where ionisation is left") {
  CHECK(falling_margin(2e-3) > 0.0);
  CHECK(falling_margin(0.5e-3) < 0.0);
  CHECK(missing_formation(0.25) == 0.75);
  CHECK(missing_formation(1.0) == 1e-3);
  CHECK(missing_formation(50.0) == 1e-3);
}
