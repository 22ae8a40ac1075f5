// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>

#include "support_for_tests/bench_circuit.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

TEST_CASE_TEMPLATE("a capacitor charges through a resistor as one minus exp(-t / RC)", S, float, double, long double) {
  enum { ground, supply, plate, node_count };
  auto run = BenchCircuit<S>{.nodes = node_count,
                             .sources = {{supply, ground, S(48)}},
                             .resistors = {{supply, plate, S(1e4)}},
                             .capacitors = {{plate, ground, S(1e-6), S(6)}}}
                 .start();
  CHECK(relative_gap(voltage(run, plate), 6) < 4 * double(round_off<S>));
  for (int k = 1; k <= 4; ++k) {
    REQUIRE(run.run_until(S(k * 0.01)) == Status::done);
    const S expected = S(48) - S(42) * std::exp(S(-k));  // closed form
    CHECK(relative_gap(voltage(run, plate), expected) < tight_reach<S>);
  }
}

TEST_CASE("two capacitors in series start as given and share a charging current in inverse proportion") {
  enum { ground, supply, top, middle, node_count };
  auto run = BenchCircuit<double>{.nodes = node_count,
                                  .sources = {{supply, ground, 30.0}},
                                  .resistors = {{supply, top, 1e3}},
                                  .capacitors = {{top, middle, 1e-6, 4.0}, {middle, ground, 2e-6, 2.0}}}
                 .start();
  CHECK(relative_gap(voltage(run, middle), 2.0) < 1e-15);
  CHECK(relative_gap(voltage(run, top), 6.0) < 1e-15);
  REQUIRE(run.run_until(0.02) == Status::done);
  // closed form: 24 V remain to be shared, two thirds across the smaller capacitor
  CHECK(relative_gap(voltage(run, middle), 2.0 + 8.0) < 1e-9);
  CHECK(relative_gap(voltage(run, top), 30.0) < 1e-9);
}

TEST_CASE_TEMPLATE("a contact that closes between two capacitors shares their charge at once and loses none", S, float,
                   double, long double) {
  enum { ground, left, right, node_count };
  const S c_left = S(1e-6), c_right = S(3e-6);
  auto run = BenchCircuit<S>{.nodes = node_count,
                             .resistors = {{right, ground, S(1e9)}},
                             .capacitors = {{left, ground, c_left, S(100)}, {right, ground, c_right, S(20)}},
                             .contacts = {{left, right, false, S(0)}}}
                 .start();
  CHECK(relative_gap(voltage(run, left), 100) < 4 * double(round_off<S>));
  REQUIRE(set_contact(run, 0, true) == Status::event);
  const S expected = (c_left * S(100) + c_right * S(20)) / (c_left + c_right);  // conservation of charge: 40 V
  CHECK(relative_gap(voltage(run, left), expected) < 16 * double(round_off<S>));
  CHECK(relative_gap(voltage(run, right), expected) < 16 * double(round_off<S>));
  CHECK(run.time() == S(0));
}

TEST_CASE("a contact that closes among chained capacitors conserves the charge of each island of plates") {
  // from ground: 1 uF at 90 V; 2 uF at 60 V stands on 2 uF at 0 V and is closed onto it
  enum { ground, a, b, c, node_count };
  auto run = BenchCircuit<double>{.nodes = node_count,
                                  .resistors = {{a, ground, 1e12}, {c, ground, 1e12}},
                                  .capacitors = {{a, ground, 1e-6, 90.0}, {b, c, 2e-6, 60.0}, {c, ground, 2e-6, 0.0}},
                                  .contacts = {{a, b, false, 0.0}}}
                 .start();
  REQUIRE(set_contact(run, 0, true) == Status::event);
  // closed form: node c keeps -120 uC, the joined plates keep 90 + 120 uC. With v and u the voltages of a and c
  // v + 2 (v - u) = 210 and 2 u - 2 (v - u) = -120, hence v = 75 V, u = 7.5 V
  CHECK(relative_gap(voltage(run, a), 75.0) < 1e-12);
  CHECK(relative_gap(voltage(run, b), 75.0) < 1e-12);
  CHECK(relative_gap(voltage(run, c), 7.5) < 1e-12);
}

TEST_CASE("a capacitor straight across a source is at its voltage from the start") {
  enum { ground, supply, node_count };
  auto run = BenchCircuit<double>{.nodes = node_count,
                                  .sources = {{supply, ground, 48.0}},
                                  .capacitors = {{supply, ground, 1e-6, 5.0}}}
                 .start();
  CHECK(run.start_status() == Status::event);
  CHECK(relative_gap(voltage(run, supply), 48.0) < 1e-12);
  CHECK(absolute_gap(current(run, "dc source"), 0.0) < 1e-9);
}

TEST_CASE("initial voltages that add up around a loop are taken, others are refused by the name of the last part") {
  enum { ground, a, b, node_count };
  const auto loop = [](double last) {
    return BenchCircuit<double>{
        .nodes = node_count,
        .resistors = {{a, b, 1e3}},
        .capacitors = {{a, ground, 1e-6, 5.0}, {b, a, 1e-6, 3.0}, named("bridge", Capacitor{b, ground, 1e-6, last})}}
        .start();
  };
  CHECK(relative_gap(voltage(loop(8.0), b), 8.0) < 1e-12);
  CHECK_THROWS_WITH_AS(static_cast<void>(loop(7.9)), doctest::Contains("bridge: initial voltage contradicts"),
                       InvalidRequest);
}

TEST_CASE_TEMPLATE("a loop of capacitors whose voltages add up is not refused for its round-off", S, float, double,
                   long double) {
  enum { ground, a, b, node_count };
  const S high = S(1000.1L), rest = S(0.3L);
  auto run =
      BenchCircuit<S>{
          .nodes = node_count,
          .resistors = {{a, b, S(1e6)}},
          .capacitors = {{a, ground, S(1e-6), S(high + rest)}, {b, ground, S(1e-6), high}, {a, b, S(1e-6), rest}}}
          .start();
  CHECK(relative_gap(voltage(run, a), high + rest) < 16 * double(round_off<S>));
}
