// SPDX-License-Identifier: MIT
// A pulse fires a tube with a coil in its plate lead: 100 V, 0.5 H, 500 ohm, drop 12 V, sustaining current 10 mA. The
// pulse must last until the current is there, -(L / R) ln(1 - Ih R / (E - Vd)), closed form worked for this library; a
// capacitance across the tube, which it empties as it lights, changes nothing in that.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, middle, plate, grid, node_count };
const double fired = 1e-3, needed = 5.84962e-05;

/// @param stray F across the tube, 0 for none
[[nodiscard]] worked::Circuit coil(double width, double stray) {
  const auto tube = IdealTube<double>{.control_ratio = 1e3, .arc_drop = 12, .sustaining_current = 10e-3};
  worked::Circuit circuit{
      .nodes = node_count,
      .sources = {{supply, ground, 100.0}},
      .pulses = {{grid, ground, {.low = -10, .high = 0, .delay = fired, .width = width}}},
      .resistors = {{supply, middle, 500.0}},
      .inductors = {{middle, plate, 0.5}},
      .tubes = {named("tube", wired(tube.build(), {.plate = plate, .grid = grid, .cathode = ground}))}};
  if (stray > 0) circuit.capacitors = {{plate, ground, stray, 100.0}};
  return circuit;
}
const double strays[] = {0, 100e-12, 10e-9};

}  // namespace

TEST_CASE("a pulse that ends before the current is there leaves the tube out, one that lasts lights it for good") {
  CHECK(relative_gap(-1e-3 * std::log(1 - 5.0 / 88), needed) < 1e-5);
  for (const worked::Way& way : worked::ways)
    for (const double stray : strays) {
      CAPTURE(way);
      CAPTURE(stray);
      for (const double share : {0.8, 1 - 2 * way.six, 1 + 2 * way.six, 1.2}) {
        CAPTURE(share);
        const auto run = worked::start(coil(share * needed, stray), way);
        REQUIRE(run->run_until(fired + 0.3e-3) == Status::done);
        CHECK(run->state("tube") == (share > 1 ? TubeState::conducting : TubeState::blocked));
        CHECK(run->log.events.size() <= 6);  // no flicker
        worked::check_books(*run, way);
      }
    }
}

TEST_CASE("while it starts its plate is at the drop, and the current comes as L / R lets it") {
  for (const worked::Way& way : worked::ways)
    for (const double stray : strays) {
      CAPTURE(way);
      CAPTURE(stray);
      const auto run = worked::start(coil(1.0, stray), way);
      CHECK(relative_gap(run->until("tube", "conducting", 1.0), fired) < 1e-9);
      CHECK(run->state("tube") == TubeState::starting);
      REQUIRE(run->run_until(fired + 30e-6) == Status::done);
      CHECK(relative_gap(run->voltage(plate), 12.0) < way.digits);
      CHECK(relative_gap(run->current("tube"), 0.176 * (1 - std::exp(-0.03))) < way.digits);
      const double reached = run->until("tube", "conducting", 1.0);
      CHECK(relative_gap(reached - fired, needed) < way.six);
      REQUIRE(run->run_until(20e-3) == Status::done);
      CHECK(relative_gap(run->current("tube"), 0.176) < way.digits);
      CHECK(run->log.events.size() == 4);
      worked::check_books(*run, way);
    }
}

TEST_CASE("what the circuit cannot feed does not start: 10 kohm before the coil") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    worked::Circuit circuit = coil(1e-4, 10e-9);
    circuit.resistors = {{supply, middle, 10e3}};
    const auto run = worked::start(circuit, way);
    REQUIRE(run->run_until(fired + 0.3e-3) == Status::done);
    CHECK(run->state("tube") == TubeState::blocked);
    CHECK(run->count("tube", "starting") == 0);
    CHECK(run->count("tube", "conducting") < 100);
    worked::check_books(*run, way);
  }
}
