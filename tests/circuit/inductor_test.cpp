// SPDX-License-Identifier: MIT
#include <gastube/circuit/inductor.hpp>

#include "support_for_tests/bench_circuit.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

TEST_CASE_TEMPLATE("an inductor with winding resistance takes its current with the time constant L / R", S, float,
                   double, long double) {
  enum { ground, supply, coil, node_count };
  auto run = BenchCircuit<S>{.nodes = node_count,
                             .sources = {{supply, ground, S(24)}},
                             .resistors = {{supply, coil, S(30)}},
                             .inductors = {{coil, ground, S(0.5), S(20), S(0.1)}}}
                 .start();
  CHECK(relative_gap(current(run, "inductor"), S(0.1)) < 4 * double(round_off<S>));
  REQUIRE(run.run_until(S(0.02)) == Status::done);
  const S expected = S(0.48) - S(0.38) * std::exp(S(-2));  // closed form, L/R = 10 ms
  CHECK(relative_gap(current(run, "inductor"), expected) < tight_reach<S>);
  // the coil's terminals show L di/dt + R i = 24 V - 30 ohm i
  CHECK(relative_gap(voltage(run, coil), S(24) - S(30) * expected) < 2 * tight_reach<S>);
}

TEST_CASE_TEMPLATE("a damped ring of L, C and R follows its closed form", S, float, double, long double) {
  // Discharge of 10 uF at 50 V through 10 mH and 20 ohm, one and a half periods.
  // Closed form: i = V / (w L) exp(-a t) sin(w t), a = R / 2L = 1000/s, w^2 = 1/LC - a^2 = (3000/s)^2
  enum { ground, top, coil, node_count };
  auto run = BenchCircuit<S>{.nodes = node_count,
                             .resistors = {{coil, ground, S(20)}},
                             .capacitors = {{top, ground, S(10e-6), S(50)}},
                             .inductors = {{top, coil, S(10e-3)}}}
                 .start();
  for (const S t : {S(0.5e-3), S(1.6e-3), S(3e-3)}) {
    REQUIRE(run.run_until(t) == Status::done);
    const S envelope = std::exp(S(-1000) * t), turn = S(3000) * t;
    CHECK(absolute_gap(current(run, "inductor"), S(50) / S(30) * envelope * std::sin(turn)) < 2 * tight_reach<S>);
    const S volts = S(50) * envelope * (std::cos(turn) + std::sin(turn) / S(3));
    CHECK(absolute_gap(voltage(run, top), volts) < 50 * tight_reach<S>);  // of 50 V
  }
}

TEST_CASE("an undamped ring stepped by the trapezoidal scheme keeps its energy over a hundred periods") {
  enum { ground, top, node_count };
  auto circuit = wire<node_count>(Capacitor{top, ground, 1e-6, 10.0}, Inductor{top, ground, 1e-3});
  auto run = shared_start<Trapezoidal>(circuit, Settings<double>{.fixed_step = 2e-6});
  const double period = 2 * std::numbers::pi * std::sqrt(1e-9);
  REQUIRE(run.run_until(100 * period) == Status::done);
  const double v = voltage(run, top), i = current(run, "inductor");
  CHECK(relative_gap(0.5e-6 * v * v + 0.5e-3 * i * i, 0.5e-6 * 100) < 1e-9);
}

TEST_CASE_TEMPLATE("the current of an inductor does not jump when its path is switched", S, float, double,
                   long double) {
  // 24 V through a contact into 0.1 H; 100 ohm across the coil. As the contact opens the resistor takes the current.
  enum { ground, supply, coil, node_count };
  auto run = BenchCircuit<S>{.nodes = node_count,
                             .sources = {{supply, ground, S(24)}},
                             .resistors = {{coil, ground, S(100)}},
                             .inductors = {{coil, ground, S(0.1)}},
                             .contacts = {{supply, coil, true, S(0)}}}
                 .start();
  REQUIRE(run.run_until(S(5e-3)) == Status::done);
  const S before = current(run, "inductor");
  CHECK(relative_gap(before, S(24 * 5e-3 / 0.1)) < tight_reach<S>);  // closed form: E t / L = 1.2 A
  REQUIRE(set_contact(run, 0, false) == Status::event);
  CHECK(relative_gap(current(run, "inductor"), before) < 100 * double(round_off<S>));
  CHECK(relative_gap(voltage(run, coil), S(-100) * before) < 1000 * double(round_off<S>));
  CHECK(absolute_gap(current(run, "contact"), S(0)) < 1e-6);
  REQUIRE(run.run_until(S(6e-3)) == Status::done);
  CHECK(relative_gap(current(run, "inductor"), before * std::exp(S(-1))) < tight_reach<S>);
}

TEST_CASE("two coils forced into one path share a common current that keeps their flux") {
  // 0.1 H at 3 A returns through a contact past 0.2 H at no current; as it opens the two are in series.
  enum { ground, a, b, node_count };
  auto run = BenchCircuit<double>{.nodes = node_count,
                                  .resistors = {{b, ground, 50.0}},
                                  .inductors = {{ground, a, 0.1, 0.0, 3.0}, {a, b, 0.2}},
                                  .contacts = {{a, ground, true, 0.0}}}
                 .start();
  REQUIRE(set_contact(run, 0, false) == Status::event);
  // conservation of flux around the loop: (0.1 * 3 + 0.2 * 0) / 0.3 = 1 A
  CHECK(relative_gap(own_unknown(run, 1), 1.0) < 1e-9);
  CHECK(relative_gap(own_unknown(run, 2), 1.0) < 1e-9);
}
