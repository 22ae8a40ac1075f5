// SPDX-License-Identifier: MIT
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

TEST_CASE("a voltmeter loads its circuit with its resistance") {
  enum { ground, supply, tap, node_count };
  auto run = shared_start(wire<node_count>(DcSource{supply, ground, 100.0}, Resistor{supply, tap, 1e6},
                                           Resistor{tap, ground, 1e6}, Voltmeter{tap, ground, 2e6}));
  CHECK(relative_gap(voltage(run, tap), 40.0) < 1e-14);  // 1 Mohm above 2/3 Mohm
  CHECK(relative_gap(current(run, "voltmeter"), 20e-6) < 1e-14);
}

TEST_CASE_TEMPLATE("over whole periods of a sine a voltmeter averages the offset, and its square half the amplitude's",
                   S, float, double, long double) {
  enum { ground, out, node_count };
  const SineSource<S> source(out, ground, {.amplitude = S(10), .frequency = S(50), .phase = S(0.7), .offset = S(3)});
  auto run = shared_start(wire<node_count>(source, Voltmeter{out, ground, S(1e6)}), tight<S>());
  REQUIRE(run.run_until(S(0.2L)) == Status::done);
  const std::size_t meter = run.system().find("voltmeter");
  // closed form: mean 3 V, mean square 3^2 + 10^2 / 2
  CHECK(relative_gap(follower(run, meter, 0), S(3 * 0.2L)) < 5 * tight_reach<S>);
  CHECK(relative_gap(follower(run, meter, 1), S(59 * 0.2L)) < 5 * tight_reach<S>);
}

TEST_CASE("a voltmeter wired the other way round counts down") {
  enum { ground, out, node_count };
  auto run = shared_start(wire<node_count>(DcSource{out, ground, 12.0}, Voltmeter{ground, out, 1e4}));
  REQUIRE(run.run_until(0.5) == Status::done);
  CHECK(relative_gap(follower(run, 1, 0), -6.0) < 1e-9);
  CHECK(relative_gap(follower(run, 1, 1), 72.0) < 1e-9);
}

TEST_CASE("a voltmeter's sums begin with the run and stop nothing") {
  enum { ground, out, node_count };
  const PulseSource<double> source(out, ground, {.low = 0, .high = 8, .delay = 1e-3, .width = 3e-3});
  auto run = shared_start(wire<node_count>(source, Voltmeter{out, ground, 1e6}));
  CHECK(follower(run, 1, 0) == 0.0);
  REQUIRE(run.run_until(1e-3) == Status::done);
  CHECK(absolute_gap(follower(run, 1, 0), 0.0) < 1e-15);
  REQUIRE(run.run_until(10e-3) == Status::done);
  CHECK(relative_gap(follower(run, 1, 0), 8 * 3e-3) < 1e-9);  // no step straddles the edges
}
