// SPDX-License-Identifier: MIT
// After a discharge the formation of the next one hangs on how much of the residual ionisation is left: a follower
// whose source looks at another, which acts on the grid's current besides.
#include <gastube/catalogue/argon.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE("a relaxation oscillator's steps grow with the accuracy as those of a scheme of fifth order") {
  enum Nodes : Node { ground, supply, top, plate, bias, node_count };
  auto laws = catalogue::type_884().laws();
  laws.capacitances = {};
  const auto tube = decltype(catalogue::type_884())(laws, "884");
  const auto steps = [&](double error) {
    auto run = start<Rodas5P>(
        wire<node_count>(DcSource{supply, ground, 250.0}, Resistor{supply, top, 220e3}, Capacitor{top, ground, 0.1e-6},
                         Resistor{top, plate, 1e3}, DcSource{bias, ground, -8.0},
                         wired(tube, {.plate = plate, .grid = bias, .cathode = ground, .heater = ground})),
        Settings<double>{.relative = error, .absolute = 0.1 * error});
    REQUIRE(run.run_until(0.017) == Status::done);
    return double(run.steps());
  };
  const double coarse = steps(1e-7), fine = steps(1e-9);
  CHECK(fine > 50);
  CHECK(fine < 3.2 * coarse);  // order 4 or more: 100^(1/4)
}
