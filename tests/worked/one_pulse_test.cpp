// SPDX-License-Identifier: MIT
// Self-stopping circuit: each grid pulse empties a capacitor through the tube into a cathode resistor. 50 kohm and 10
// kohm are printed in J. B. Hoag, Basic Radio, "A self-stopping circuit"; 250 V, 1 uF, drop 15 V, sustaining current 5
// mA and the closed forms were worked for this library.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, plate, cathode, grid, node_count };

[[nodiscard]] worked::Circuit one_pulse(double sustaining) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = sustaining}.build();
  return {.nodes = node_count,
          .sources = {{supply, ground, 250.0}},
          .pulses = {{grid, ground, {.low = -20, .high = 0, .delay = 10e-3, .width = 10e-6, .period = 0.5}}},
          .resistors = {{supply, plate, 50e3}, {cathode, ground, 10e3}},
          .capacitors = {{plate, ground, 1e-6, 250.0}},
          .tubes = {named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = cathode}))},
          .watches = {{plate, ground, 247.5, "recharged"}}};
}

}  // namespace

TEST_CASE("the tube is lit for tau ln((E - v_inf) / (Ve - v_inf)) and the cathode rises to E - Vd") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    // steps short enough for the last hundredth of the way to the supply, where the plate hardly rises
    const auto run = worked::start(one_pulse(5e-3), way, 2e-3);
    const double fired = run->until("tube", "conducting", 1.0);
    CHECK(relative_gap(run->voltage(cathode), 235.0) < way.digits);
    CHECK(relative_gap(run->current("tube"), 0.0235) < way.digits);
    const double out = run->until("tube", "recovering", 1.0);
    CHECK(relative_gap(out - fired, 0.024121968) < way.digits);
    // recovery to 99 % of the supply; it stood there at the start
    const double back = run->until("recharged", "above", 0.5);
    CHECK(relative_gap(back - out, 0.05 * std::log((250 - 65) / 2.5)) < way.digits);
    CHECK(relative_gap(back - out, 0.215203) < way.six);
    worked::check_books(*run, way);
  }
}

TEST_CASE("every grid pulse gives one discharge") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(one_pulse(5e-3), way);
    REQUIRE(run->run_until(2.2) == Status::done);
    CHECK(run->count("tube", "conducting") == 5);
    CHECK(run->count("tube", "blocked") == 5);
    CHECK(run->state("tube") == TubeState::blocked);
    worked::check_books(*run, way);
  }
}

TEST_CASE("it stops with a sustaining current of 4.0 mA and never with 3.8 mA, for 3.917 mA flow in the steady state") {
  for (const worked::Way& way : worked::ways)
    for (const double sustaining : {4.0e-3, 3.8e-3}) {
      CAPTURE(way);
      const auto run = worked::start(one_pulse(sustaining), way);
      REQUIRE(run->run_until(1.9) == Status::done);
      const bool stops = sustaining == 4.0e-3;
      CHECK(run->count("tube", "conducting") == (stops ? 4 : 1));
      CHECK(run->state("tube") == (stops ? TubeState::blocked : TubeState::conducting));
      if (!stops) CHECK(relative_gap(run->current("tube"), 235.0 / 60e3) < way.digits);
    }
}
