// SPDX-License-Identifier: MIT
#include <gastube/catalogue/xenon.hpp>
#include <gastube/circuit/heater_watch.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::absolute_gap;

namespace {
enum { ground, bias, supply, plate, cathode, node_count };

/// A 5727 as a cathode follower: lit, its cathode rides up on the load. A bias stands ready for its heater, behind a
/// bleeder.
[[nodiscard]] auto stage_with(double heater_bias, Node heater) {
  return wire<node_count>(
      PulseSource<double>{supply, ground, {.low = 0, .high = 110, .delay = 1e-3, .width = 1}},
      DcSource{bias, ground, heater_bias}, Resistor{bias, ground, 1e6}, Resistor{supply, plate, 100.0},
      Resistor{cathode, ground, 2e3},
      wired(catalogue::type_5727(), {.plate = plate, .grid = plate, .cathode = cathode, .heater = heater}));
}
[[nodiscard]] auto follower_stage(double heater_bias, Node heater) {
  return shared_start(stage_with(heater_bias, heater));
}
constexpr HeaterConnection<double> mains{.heater = 6.3};
}  // namespace

TEST_CASE("a cathode that rides up on its load stands above the heater, and the watch keeps the worst of it") {
  auto run = follower_stage(0, ground);
  HeaterWatch watch(run.system().find("5727"), mains);
  REQUIRE(run.run_until(0.01, watch) == Status::done);
  REQUIRE(tube_state(run, "5727") == TubeState::conducting);
  const double risen = voltage(run, cathode);
  CHECK(risen > 90);
  // at the supply's edge the tube's capacitance takes the cathode along with the plate, higher than it stays
  CHECK(watch.lowest() < -risen);
  CHECK(watch.lowest() > -110);
  CHECK(absolute_gap(watch.highest(), 0) < 1e-6);
  // rated 100 V with the heater negative (5727, from memory): the crest of half the heater's own voltage counts too
  CHECK(absolute_gap(watch.margin(run).negative, 100 + watch.lowest() - 0.5 * 6.3 * 1.41421356) < 1e-6);
  CHECK_FALSE(watch.margin(run).kept());
}

TEST_CASE("a bias on the heater shifts both sides") {
  auto run = follower_stage(60, bias);
  HeaterWatch watch(run.system().find("5727"), mains);
  REQUIRE(run.run_until(0.01, watch) == Status::done);
  CHECK(absolute_gap(watch.highest(), 60) < 1e-6);
  CHECK_FALSE(watch.margin(run).kept());  // 25 V is all it stands with the heater positive, while the tube is not lit
  CHECK(watch.margin(run).positive < 25 - 60);
  CHECK(watch.margin(run).negative > 40);
}

TEST_CASE("a heater tied to its cathode sees its own voltage only") {
  auto run = follower_stage(0, cathode);
  HeaterWatch watch(run.system().find("5727"), mains);
  REQUIRE(run.run_until(0.01, watch) == Status::done);
  CHECK(watch.highest() == 0.0);
  CHECK(watch.lowest() == 0.0);
  CHECK(watch.margin(run).kept());
}

TEST_CASE("a watch on a tube whose heater nobody wired says so, as does one on another part") {
  auto run = start_unchecked(stage_with(0, TubeTerminals::not_wired));
  HeaterWatch watch(run.system().find("5727"), mains), wrong(run.system().find("resistor"), mains);
  CHECK_THROWS_WITH_AS(
      static_cast<void>(run.run_until(0.01, watch)),
      "heater watch: part 5 is no tube with a wired heater and ratings: give it .heater = the node that its "
      "heater's supply is tied to",
      InvalidRequest);
  CHECK_THROWS_AS(static_cast<void>(run.run_until(0.02, wrong)), InvalidRequest);
}
