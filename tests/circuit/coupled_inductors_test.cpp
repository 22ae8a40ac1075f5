// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/coupled_inductors.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, first, second, third, node_count };

template <class S>
[[nodiscard]] CoupledInductors<S, 2> pair(S coupling, S resistance = S(0), S initial = S(0)) {
  return {{{{first, ground, S(2), resistance, initial}, {second, ground, S(0.5L), resistance, S(0)}}}, {coupling}};
}
}  // namespace

TEST_CASE_TEMPLATE("a steady voltage on one winding raises its current by V t / L and shows V M / L at an open one", S,
                   float, double, long double) {
  // closed form; 1 gigohm stands for open
  auto run =
      start(wire<3>(DcSource{first, ground, S(10)}, pair<S>(S(0.6L)), Resistor{second, ground, S(1e9)}), tight<S>());
  REQUIRE(run.run_until(S(0.2L)) == Status::done);
  CHECK(relative_gap(winding_current(run, 1, 0), 10 * 0.2 / 2) < tight_reach<S>);
  CHECK(relative_gap(voltage(run, second), 0.6 * std::sqrt(0.5 / 2) * 10) < tight_reach<S>);
}

TEST_CASE("a shorted winding leaves the other its leakage L (1 - k^2) alone") {
  // closed form for windings without resistance: no flux of the shorted winding changes
  auto run =
      start(wire<3>(DcSource{first, ground, 10.0}, pair(0.8), Contact{second, ground, true, 0.0}), tight<double>());
  REQUIRE(run.run_until(0.01) == Status::done);
  CHECK(relative_gap(winding_current(run, 1, 0), 10 * 0.01 / (2 * (1 - 0.64))) < 1e-9);
  CHECK(relative_gap(winding_current(run, 1, 1), -0.8 * std::sqrt(2 / 0.5) * winding_current(run, 1, 0)) < 1e-9);
}

TEST_CASE_TEMPLATE("with a coupling of 1 voltages are as the turns to the last digits, and a load is seen through", S,
                   float, double, long double) {
  // turns 2 to 1, as the inductances are 4 to 1; 100 ohm on the second is 400 ohm on the first
  auto run = start(wire<3>(SineSource<S>{first, ground, {.amplitude = S(100), .frequency = S(50)}}, pair<S>(S(1)),
                           Resistor{second, ground, S(100)}),
                   tight<S>());
  for (const double t : {0.003, 0.0071, 0.0192}) {
    REQUIRE(run.run_until(S(t)) == Status::done);
    CHECK(relative_gap(voltage(run, second), S(0.5) * voltage(run, first)) < 32 * double(round_off<S>));
    // magnetising current of a sine from 0: V (1 - cos wt) / (w L)
    const double w = 2 * 3.14159265358979323846;
    const double magnetising = 100 / (w * 50 * 2) * (1 - std::cos(w * 50 * double(S(t))));
    const double expected = magnetising + 100 * std::sin(w * 50 * double(S(t))) / 400;
    CHECK(relative_gap(winding_current(run, 1, 0), expected) < 20 * tight_reach<S>);
  }
}

TEST_CASE("when the first winding is cut off its ampere-turns go on in the second") {
  // closed form: at coupling 1, 2 to 1 turns, 0.5 A becomes 1 A, which dies away with L2 / R
  enum { gnd, supply, primary, secondary, count };
  const CoupledInductors<double, 2> coils{{{{primary, gnd, 2.0}, {secondary, gnd, 0.5}}}, {1.0}};
  auto run = start(wire<count>(DcSource{supply, gnd, 10.0}, Contact{supply, primary, true, 0.0}, coils,
                               Resistor{secondary, gnd, 1e5}),
                   tight<double>());
  REQUIRE(run.run_until(0.1) == Status::done);
  const double before = winding_current(run, 2, 0) + 0.5 * winding_current(run, 2, 1);
  REQUIRE(run.alter([](auto&, auto& mode) { std::get<1>(mode)[0].closed = false; }) == Status::event);
  CHECK(absolute_gap(winding_current(run, 2, 0), 0) < 1e-9);
  CHECK(relative_gap(winding_current(run, 2, 1), 2 * before) < 1e-9);
  const double start_current = winding_current(run, 2, 1);
  REQUIRE(run.run_until(0.1 + 5e-6) == Status::done);
  CHECK(relative_gap(winding_current(run, 2, 1), start_current * std::exp(-1.0)) < 1e-6);
}

TEST_CASE("energy of two coupled windings dies in their resistances alone") {
  // both windings shorted upon themselves; the energy lost is the heat, summed by trapezium over the steps
  const auto coils = pair(0.7, 5.0, 0.3);
  auto run = start<TrBdf2>(wire<3>(coils, Contact{first, ground, true, 0.0}, Contact{second, ground, true, 0.0}),
                           tight<double>());
  const auto energy = [&] {
    const double i = winding_current(run, 0, 0), j = winding_current(run, 0, 1);
    return 0.5 * 2 * i * i + 0.5 * 0.5 * j * j + coils.inductance(0, 1) * i * j;
  };
  const auto heating = [&] {
    const double i = winding_current(run, 0, 0), j = winding_current(run, 0, 1);
    return 5 * (i * i + j * j);
  };
  const double at_start = energy();
  double heat = 0, last = heating(), time = 0;
  while (run.time() < 0.1) {
    REQUIRE(succeeded(run.step(0.1)));
    heat += 0.5 * (last + heating()) * (run.time() - time);
    last = heating(), time = run.time();
  }
  CHECK(relative_gap(at_start - energy(), heat) < 1e-6);
  CHECK(energy() < 0.8 * at_start);
}

TEST_CASE("windings run exactly: the two modes of a shorted pair, closed form, in a single step") {
  // Alike but for the turns, referred to one side: currents in the same sense die with L (1 + k) / R, opposed ones with
  // L (1 - k) / R; 2 H and 0.5 H are turns of 2 to 1.
  const double k = 0.7, tau_same = 2 * (1 + k) / 8, tau_opposed = 2 * (1 - k) / 8, t = 0.3;
  const CoupledInductors<double, 2> coils({{{first, ground, 2.0, 8.0, 0.3}, {second, ground, 0.5, 2.0, 0.2}}}, {k});
  auto run = start(wire<3>(coils, Contact{first, ground, true, 0.0}, Contact{second, ground, true, 0.0}));
  REQUIRE(run.run_until(t) == Status::done);
  CHECK(run.steps() <= 1);
  const double same = 0.5 * (0.3 + 0.1) * std::exp(-t / tau_same),
               opposed = 0.5 * (0.3 - 0.1) * std::exp(-t / tau_opposed);
  CHECK(relative_gap(winding_current(run, 0, 0), same + opposed) < 1e-12);
  CHECK(relative_gap(winding_current(run, 0, 1), 2 * (same - opposed)) < 1e-12);
}

TEST_CASE("three windings, all coupled by 1, share one flux") {
  // turns 1 : 2 : 3; loads on two of them reflect in parallel: 1 / (100 / 4) + 1 / (900 / 9) = 0.05 S
  const CoupledInductors<double, 3> coils{{{{first, ground, 1.0}, {second, ground, 4.0}, {third, ground, 9.0}}},
                                          {1.0, 1.0, 1.0}};
  auto run = start(wire<node_count>(DcSource{first, ground, 12.0}, coils, Resistor{second, ground, 100.0},
                                    Resistor{third, ground, 900.0}),
                   tight<double>());
  REQUIRE(run.run_until(0.5) == Status::done);
  CHECK(relative_gap(voltage(run, second), 24.0) < 1e-12);
  CHECK(relative_gap(voltage(run, third), 36.0) < 1e-12);
  CHECK(relative_gap(winding_current(run, 1, 0), 12 * 0.05 + 12 * 0.5 / 1.0) < 1e-9);
}

TEST_CASE("three windings of unequal coupling: v = L di/dt from rest") {
  const double k12 = 0.9, k13 = 0.5, k23 = 0.3;
  const CoupledInductors<double, 3> coils{
      {{{first, ground, 1.0, 3.0}, {second, ground, 0.5, 2.0}, {third, ground, 2.0, 1.0}}}, {k12, k13, k23}};
  auto run = start(wire<node_count>(DcSource{first, ground, 5.0}, DcSource{second, ground, -3.0},
                                    DcSource{third, ground, 2.0}, coils),
                   tight<double>());
  const double h = 1e-6;
  REQUIRE(run.run_until(h) == Status::done);
  const double v[3] = {5, -3, 2};
  for (std::size_t k = 0; k < 3; ++k) {
    double sum = 0;  // L di/dt, with i about 0: V within R i ~ 1e-5
    for (std::size_t j = 0; j < 3; ++j) sum += coils.inductance(k, j) * winding_current(run, 3, j) / h;
    CHECK(relative_gap(sum, v[k]) < 1e-4);
  }
  CHECK(relative_gap(coils.inductance(1, 2), 0.3 * std::sqrt(0.5 * 2.0)) < 1e-15);
}

TEST_CASE("couplings that no coils can have are refused") {
  CHECK_THROWS_WITH_AS(static_cast<void>(pair(1.01)), "coupled inductors: coupling = 1.01, allowed: -1 to 1",
                       InvalidParameter);
  const std::array<Winding<double>, 3> coils{{{1, 0, 1.0}, {2, 0, 1.0}, {3, 0, 1.0}}};
  // two that share all their flux are alike to the third
  CHECK_THROWS_WITH_AS((CoupledInductors<double, 3>{coils, {1.0, 1.0, 0.5}}),
                       "coupled inductors: share of flux left to a winding = 0, allowed: such that the windings "
                       "together store no energy below 0",
                       InvalidParameter);
  CHECK_THROWS_AS((CoupledInductors<double, 3>{coils, {0.9, 0.9, -0.9}}), InvalidParameter);
  CHECK_NOTHROW((CoupledInductors<double, 3>{coils, {1.0, 0.5, 0.5}}));
  CHECK_NOTHROW((CoupledInductors<double, 3>{coils, {0.5, 0.5, 1.0}}));
}
