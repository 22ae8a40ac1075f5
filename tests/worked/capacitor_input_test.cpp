// SPDX-License-Identifier: MIT
// Half-wave rectifier into a capacitor: 117 V, 60 Hz, 20 uF, 2 kohm, drop 15 V, strikes at 30 V. The tube's current is
// fixed by the source's rate of change alone. Closed forms and numbers worked for this library.
#include "support_for_tests/worked_circuit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, source, cathode, grid, node_count };

}  // namespace

TEST_CASE("output, strike and extinction angles and inverse voltage of a gas tube with capacitor input") {
  const double cycle = 1.0 / 60;
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15}.build();
  const worked::Circuit circuit{
      .nodes = node_count,
      .sources = {{grid, cathode, -1.5}},
      .sines = {{source, ground, {117 * std::numbers::sqrt2, 60}}},
      .resistors = {{cathode, ground, 2e3}},
      .capacitors = {{cathode, ground, 20e-6, 100.0}},
      .tubes = {named("tube", wired(tube, {.plate = source, .grid = grid, .cathode = cathode}))},
      .meters = {named("load", Voltmeter{cathode, ground, 1e15})}};
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(circuit, way, 50e-6);
    REQUIRE(run->run_until(4 * cycle) == Status::done);
    const double area = run->area("load");
    const auto degrees = [&](double t) { return (t - 4 * cycle) * 360 * 60; };
    REQUIRE(run->run_until(4 * cycle + 53 / 21600.0) == Status::done);
    // falls from there to the strike with the time constant of 40 ms
    const double before = run->voltage(cathode), at = run->time();
    const double lit = run->until("tube", "conducting", 1.0);
    CHECK(relative_gap(degrees(lit), 53.866) < way.six);
    CHECK(relative_gap(before * std::exp(-(lit - at) / 40e-3), 103.634504) < way.six);
    CHECK(relative_gap(run->voltage(cathode) - before * std::exp(-(lit - at) / 40e-3), 15.0) < 10 * way.six);  // jump
    REQUIRE(run->run_until(4.25 * cycle) == Status::done);
    CHECK(relative_gap(run->voltage(cathode), 150.463) < way.six);  // the greatest
    CHECK(relative_gap(degrees(run->until("tube", "recovering", 1.0)), 93.4503) < way.six);
    REQUIRE(run->run_until(4 * cycle + 267.179 / 21600) == Status::done);
    CHECK(relative_gap(run->voltage(cathode) - run->voltage(source), 288.074) < way.six);  // its greatest inverse
    REQUIRE(run->run_until(4.75 * cycle) == Status::done);
    CHECK(relative_gap(run->voltage(cathode) - run->voltage(source), 287.874) < way.six);
    REQUIRE(run->run_until(5 * cycle) == Status::done);
    CHECK(relative_gap((run->area("load") - area) / cycle, 127.133) < way.six);
    worked::check_books(*run, way);
  }
}
