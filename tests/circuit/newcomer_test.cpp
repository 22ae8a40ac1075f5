// SPDX-License-Identifier: MIT
// A whole circuit as a newcomer writes it: a lamp latched by a pulse on the grid, and let go by a button. From the
// first line to the last it stays below 25 lines.
#include <gastube/gastube.hpp>

#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE("a lamp is latched by a trigger pulse and let go by a button, in a handful of lines") {
  enum { ground, supply, plate, grid, node_count };
  auto circuit = wire<node_count>(
      DcSource{supply, ground, 48.0},
      named("lamp", FilamentLamp<double>{supply, plate, {.voltage = 36, .current = 0.06}}),
      wired(catalogue::type_5727(), {.plate = plate, .grid = grid, .cathode = ground, .heater = ground}),
      PulseSource<double>{grid, ground, {.low = -6, .high = 4, .delay = 0.1, .width = 1e-3}},
      PushButton<double, 1>{plate, ground, {{{1.0, 0.2}}}});
  check_wiring(circuit, {.names = named_nodes("ground", "supply", "plate", "grid"), .heaters = true});
  auto run = shared_start(circuit);
  CHECK(run.run_until(0.9) == Status::done);
  CHECK(current(run, "lamp") > 0.05);  // latched
  CHECK(run.run_until(1.5) == Status::done);
  CHECK(current(run, "lamp") < 1e-3);  // let go
}
