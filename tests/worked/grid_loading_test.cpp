// SPDX-License-Identifier: MIT
// What the grid of a lit tube takes through its resistor: the plasma, here at 8 V, holds it. Worked for this library.
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/bench_tube.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// A tube lit at 100 V through 1 kohm by 50 V on its grid, through `ohms`; then the grid's supply is set to `volts`.
struct Grid {
  double current, voltage;
  TubeState state;
};
[[nodiscard]] Grid loaded(double ohms, double volts) {
  enum { ground, supply, plate, drive, grid, node_count };
  auto laws = bench_laws<double>();
  laws.grid = {.perveance = 0,
               .leakage = 0,
               .critical_current = 0,
               .ionisation = 12,
               .ion_share = 1e-2,
               .ions_per_residual = 0,
               .plasma = 8,
               .plasma_resistance = 1e-3};
  const catalogue::RareGasTube<double> tube(laws, "tube");
  auto run =
      shared_start<TrBdf2>(wire<node_count>(DcSource{supply, ground, 100.0}, Resistor{supply, plate, 1e3},
                                            DcSource{drive, ground, 50.0}, named("grid", Resistor{drive, grid, ohms}),
                                            wired(tube, {.plate = plate, .grid = grid, .cathode = ground})),
                           tight<double>());
  REQUIRE(run.run_until(1e-3) == Status::done);
  REQUIRE(tube_state(run, "tube") == TubeState::conducting);
  REQUIRE(succeeded(run.alter([&](auto& circuit, auto&) { circuit.template entry<2>().voltage = volts; })));
  REQUIRE(run.run_until(10e-3) == Status::done);
  return {current(run, "grid"), voltage(run, grid), tube_state(run, "tube")};
}

}  // namespace

TEST_CASE("with +50 V the grid is held near 8 V and draws what its resistor lets through: 0.8936 mA through 47 kohm") {
  for (const double ohms : {47e3, 42e3}) {
    const Grid got = loaded(ohms, 50);
    // ions of a hundredth of the plate's current flow to it as well, and do not move it
    CHECK(relative_gap(got.voltage, 8.0) < 1e-3);
    CHECK(relative_gap(got.current, ohms == 47e3 ? 0.000893617 : 1e-3) < 1e-5);
    CHECK(got.state == TubeState::conducting);
  }
}

TEST_CASE("with a negative supply it collects ions, through a resistor that limits them, and the arc burns on") {
  for (const double volts : {-20.0, -50.0}) {
    const Grid got = loaded(47e3, volts);
    CHECK(got.state == TubeState::conducting);
    CHECK(got.current < 0);
    CHECK(-got.current < (8 - volts) / 47e3 * (1 + 1e-5));
    const Grid small = loaded(1e3, volts);
    CHECK(small.state == TubeState::conducting);
    CHECK(relative_gap(small.current, -0.9e-3) < 0.05);  // a hundredth of some 90 mA
  }
}
