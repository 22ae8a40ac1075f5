// SPDX-License-Identifier: MIT
// Trigger tubes against what handbooks say of them; from memory unless named otherwise.
#include <gastube/catalogue/trigger.hpp>
#include <gastube/tube/hosted_tube.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;
using catalogue::of;
using catalogue::trigger_tubes;
using closeness::relative_gap;

TEST_CASE("0A4G: trigger ignites between 70 and 90 V, main gap holds 225 V, 100 uA of trigger fire it at 140 V") {
  const auto tube = catalogue::build(of(trigger_tubes, "0A4G"));  // tube handbooks, from memory
  CHECK(tube.laws().grid.ignition >= 70.0);
  CHECK(tube.laws().grid.ignition <= 90.0);
  CHECK(tube.laws().ignition.breakdown(0.0) >= 225.0);
  CHECK(tube.laws().ignition.breakdown(100e-6) <= 140.001);
  CHECK(tube.laws().ratings.peak_current == 0.1);
  CHECK(tube.laws().ratings.average_current == 0.025);
}

TEST_CASE("every trigger tube holds its least breakdown voltage, and ignites within its published limits") {
  for (const auto& data : trigger_tubes) {
    CAPTURE(std::string(data.type));
    const auto tube = catalogue::build(data);
    CHECK(tube.laws().ignition.breakdown(0.0) >= data.breakdown_least.value);
    CHECK(tube.laws().grid.ignition >= data.trigger_ignition_least.value);
    CHECK(tube.laws().grid.ignition <= data.trigger_ignition_greatest.value);
  }
}

TEST_CASE("Z803U burns at 105 V and needs some 8 mA to go on") {
  const auto tube = catalogue::build(of(trigger_tubes, "6779"));  // the registered equivalent; from memory
  CHECK(tube.laws().arc.voltage(0.0) == 105.0);
  CHECK(tube.least_current() == 8e-3);
}

TEST_CASE("the trigger starts the main gap and cannot stop it") {
  // J. B. Dance, Cold Cathode Trigger Tubes (1965)
  for (const auto& data : trigger_tubes) {
    CAPTURE(std::string(data.type));
    const double supply = 0.9 * data.breakdown_least, strong = 1.5 * data.trigger_ignition_greatest;
    HostedTube tube(catalogue::build(data), 0.0, true, 1e3);
    tube.advance({supply, 0.0, 0.0}, 0.1);
    CHECK(tube.state() == TubeState::dark);
    tube.advance({supply, strong, 0.0}, 0.1);
    CHECK(tube.state() == TubeState::conducting);
    for (const double trigger : {0.0, -strong, strong}) {
      tube.advance({supply, trigger, 0.0}, 0.1);
      CHECK(tube.state() == TubeState::conducting);
    }
    tube.advance({0.5 * data.maintaining, 0.0, 0.0}, 1e-6);
    CHECK(tube.state() == TubeState::recovering);
  }
}
