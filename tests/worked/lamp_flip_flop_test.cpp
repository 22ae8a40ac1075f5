// SPDX-License-Identifier: MIT
// Two filament lamps that put each other's tubes out: 40 V, drop 12 V, 700 ohm hot, a twelfth of it cold, 1 uF. Over
// the time of a commutation the lamps are resistors, the outgoing one hot, the incoming one cold. Closed forms and
// numbers worked for this library.
#include "support_for_tests/worked_circuit.hpp"

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("the hot lamp holds its tube off for Rh C ln 2, and the cold one takes 0.56 A") {
  enum { ground, supply, hot, cold, grid_1, grid_2, node_count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 12, .sustaining_current = 1e-3}.build();
  const auto pulse = [](Node grid, double at) {
    return PulseSource<double>{grid, ground, {.low = -10, .high = 0, .delay = at, .width = 1e-6}};
  };
  const worked::Circuit circuit{.nodes = node_count,
                                .sources = {{supply, ground, 40.0}},
                                .pulses = {pulse(grid_1, 1e-3), pulse(grid_2, 20e-3)},
                                .resistors = {{supply, hot, 700.0}, {supply, cold, 700.0 / 12}},
                                .capacitors = {{cold, hot, 1e-6}},
                                .tubes = {named("T1", wired(tube, {.plate = hot, .grid = grid_1, .cathode = ground})),
                                          named("T2", wired(tube, {.plate = cold, .grid = grid_2, .cathode = ground}))},
                                .watches = {{hot, ground, 12, "drop"}, {hot, ground, 0, "zero"}}};
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(circuit, way);
    const double fired = run->until("T2", "conducting", 1.0);
    CHECK(relative_gap(run->voltage(hot), -16.0) < way.digits);
    CHECK(relative_gap(run->current("T2"), 0.56) < way.digits);
    REQUIRE(run->run_until(fired + 1e-3) == Status::done);
    CHECK(relative_gap(run->times("zero", "above").back() - fired, 0.000235531) < way.six);
    CHECK(relative_gap(run->times("drop", "above").back() - fired, 0.000485203026) < way.digits);
    worked::check_books(*run, way);
  }
}
