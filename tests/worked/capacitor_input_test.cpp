// SPDX-License-Identifier: MIT
// Half-wave rectifier into a capacitor: 117 V, 60 Hz, 20 uF, 2 kohm, drop 15 V, strikes at 30 V. The tube's current is
// fixed by the source's rate of change alone. Closed forms and numbers worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, source, cathode, grid, node_count };

/// Events, swing of the output and greatest inverse voltage of the tube.
struct Extremes : EventLog<double> {
  double greatest = 0, least = 1e9, inverse = 0;
  template <class Run>
  void step(const Run& run) {
    greatest = std::max(greatest, voltage(run, cathode));
    least = std::min(least, voltage(run, cathode));
    inverse = std::max(inverse, voltage(run, cathode) - voltage(run, source));
  }
  template <class Run>
  void arrive(const Run& run) {
    step(run);
  }
};

}  // namespace

TEST_CASE("output, strike and extinction angles and inverse voltage of a gas tube with capacitor input") {
  const double cycle = 1.0 / 60;
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15}.build();
  auto run = start(wire<node_count>(SineSource<double>{source, ground, {117 * std::numbers::sqrt2, 60}},
                                    wired(tube, {.plate = source, .grid = grid, .cathode = cathode}),
                                    Resistor{cathode, ground, 2e3}, Capacitor{cathode, ground, 20e-6, 100.0},
                                    DcSource{grid, cathode, -1.5}, Voltmeter{cathode, ground, 1e15}),
                   Settings<double>{.relative = 1e-9, .absolute = 1e-9, .longest_step = 20e-6});
  REQUIRE(run.run_until(4 * cycle) == Status::done);
  const double area = follower(run, run.system().find("voltmeter"));
  Extremes seen;
  REQUIRE(run.run_until(5 * cycle, seen) == Status::done);
  REQUIRE(seen.count("ideal tube", "conducting") == 1);
  REQUIRE(seen.count("ideal tube", "recovering") == 1);
  const auto degrees = [&](double t) { return (t - 4 * cycle) * 360 * 60; };
  CHECK(relative_gap(degrees(seen.times("ideal tube", "conducting")[0]), 53.866) < 1e-5);
  CHECK(relative_gap(degrees(seen.times("ideal tube", "recovering")[0]), 93.4503) < 1e-5);
  CHECK(relative_gap(seen.greatest, 150.463) < 1e-5);
  CHECK(relative_gap(seen.least, 103.634504) < 1e-6);
  CHECK(relative_gap(seen.inverse, 288.074) < 1e-5);
  CHECK(relative_gap((follower(run, run.system().find("voltmeter")) - area) / cycle, 127.133) < 1e-5);
  check_energy(run, 5 * cycle);
}
