// SPDX-License-Identifier: MIT
// A step of the plate voltage fires a tube through its own capacitance, or not, by where its shield grid is tied. That
// the shield grid is there to prevent it: common practice, no source. The capacitances within the tube are assumed.
#include <gastube/catalogue/xenon.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/grid/pick_up.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <utility>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum Nodes : Node { ground, source, plate, bias, grid, floating, node_count };

struct Highest {
  double rest = 0, grid_volts = -1e9;
  bool struck = false;
  template <class Run>
  void arrive(const Run& run) {
    grid_volts = std::max(grid_volts, voltage(run, grid));
  }
  void change(double, const Change& change) { struck = struck || change.to == std::string("striking"); }
};

/// 5727 with -6 V behind 1 Mohm; the plate goes from 0 to `height` in 100 ns. The floating node hangs on 1 Gohm.
[[nodiscard]] Highest step_of(double height, Node shield, double bias_volts = -6.0) {
  const auto circuit = wire<node_count>(
      PulseSource<double>{source, ground, {.low = 0, .high = height, .delay = 1e-5, .width = 1.0, .rise = 1e-7}},
      Resistor{source, plate, 1e3}, DcSource{bias, ground, bias_volts}, Resistor{bias, grid, 1e6},
      Resistor{floating, ground, 1e9},
      wired(catalogue::type_5727(),
            {.plate = plate, .grid = grid, .shield = shield, .cathode = ground, .heater = ground}));
  auto run = start_unchecked(circuit, {}, Beginning::settled);  // the floating node may be without a part
  Highest seen{.rest = voltage(run, grid)};
  REQUIRE(run.run_until(2e-5, seen) == Status::done);
  return seen;
}

}  // namespace

TEST_CASE(
    "a step of 250 V leaves a tube blocked with its shield grid at the cathode, and fires it with both grids tied") {
  CHECK_FALSE(step_of(250.0, ground).struck);
  CHECK(step_of(250.0, grid).struck);
}

TEST_CASE("a floating shield grid passes the step on, as to a triode") { CHECK(step_of(250.0, floating).struck); }

TEST_CASE("the step reaches the grid by the divider of the direct capacitances") {
  const TubeCapacitances<double> c = catalogue::type_5727().laws().capacitances;
  for (const auto& [shield, tie] : {std::pair{ground, ShieldTie::to_cathode}, std::pair{grid, ShieldTie::to_grid}}) {
    // Held at -200 V nothing fires. 100 ns are short beside 1 Mohm and the capacitances.
    const GridPickUp<double> pick_up{c.effective_grid_plate(tie), c.effective_grid(tie), 1e6};
    const Highest seen = step_of(100.0, shield, -200.0);
    const double lift = seen.grid_volts - seen.rest;
    CHECK(relative_gap(lift, pick_up.ramp_to(100.0 / 1e-7, 100.0)) < 0.02);
  }
}
