// SPDX-License-Identifier: MIT
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/transformer.hpp>
#include <gastube/circuit/voltmeter.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, mains, top, bottom, node_count };
constexpr double turn = 2 * std::numbers::pi;
}  // namespace

TEST_CASE_TEMPLATE("an unloaded transformer without leakage gives its ratio and draws its magnetising current", S,
                   float, double, long double) {
  auto run = shared_start(wire<3>(DcSource{mains, ground, S(24)},
                                  transformer(mains, ground, Secondary<S>{top, ground, S(0.25L)},
                                              TransformerData<S>{.magnetising_inductance = S(6)}),
                                  Resistor{top, ground, S(1e6)}),
                          tight<S>());
  REQUIRE(run.run_until(S(0.01L)) == Status::done);
  CHECK(relative_gap(voltage(run, top), 6) < 32 * double(round_off<S>));
  CHECK(relative_gap(current(run, "transformer"), 24 * 0.01 / 6 + 6 / 1e6 / 4) < tight_reach<S>);
}

TEST_CASE("with the secondary shorted the primary shows the stated leakage to the last digits") {
  const TransformerData<double> data{.magnetising_inductance = 2.0, .leakage_inductance = 0.3};
  auto run = shared_start(wire<3>(DcSource{mains, ground, 24.0},
                                  transformer(mains, ground, Secondary<double>{top, ground, 3.0}, data),
                                  Contact{top, ground, true, 0.0}),
                          tight<double>());
  REQUIRE(run.run_until(1e-3) == Status::done);
  CHECK(relative_gap(current(run, "transformer"), 24 * 1e-3 / 0.3) < 1e-9);
}

TEST_CASE("winding resistances of a loaded transformer drop what the turns say") {
  // steady state of a 50 Hz sine, magnetising inductance so great that its current counts for less than 1e-6:
  // amplitude 12 V * R / (R + r2 + n^2 r1), closed form
  const TransformerData<double> data{
      .magnetising_inductance = 1e5, .primary_resistance = 40.0, .secondary_resistance = 0.8};
  const double n = 0.1, load = 10;
  auto run = shared_start(wire<3>(SineSource<double>{mains, ground, {.amplitude = 120, .frequency = 50}},
                                  transformer(mains, ground, Secondary<double>{top, ground, n}, data),
                                  Resistor{top, ground, load}),
                          tight<double>());
  REQUIRE(run.run_until(0.025) == Status::done);  // a crest
  CHECK(relative_gap(voltage(run, top), 12 * load / (load + 0.8 + n * n * 40)) < 1e-5);
}

TEST_CASE("a centre tap gives two equal voltages in opposite phase against it") {
  auto run = shared_start(wire<node_count>(SineSource<double>{mains, ground, {.amplitude = 100, .frequency = 60}},
                                           transformer(mains, ground, TappedSecondary<double>{top, ground, bottom, 0.5},
                                                       TransformerData<double>{.magnetising_inductance = 5.0}),
                                           Resistor{top, ground, 200.0}, Resistor{bottom, ground, 700.0}),
                          tight<double>());
  for (const double t : {0.002, 0.011}) {
    REQUIRE(run.run_until(t) == Status::done);
    CHECK(relative_gap(voltage(run, top), 25 * std::sin(turn * 60 * t)) < 1e-12);
    CHECK(relative_gap(voltage(run, bottom), -voltage(run, top)) < 1e-12);
  }
}

TEST_CASE("full-wave rectifier with centre tap: the load's mean is 2/pi of the crest less the drop's share") {
  // closed form with ideal diodes of drop d: mean = (2/pi) (V cos a - d (pi/2 - a)),  a = asin(d/V)
  enum { gnd, line, up, down, out, count };
  const double crest = 50, drop = 0.7, period = 1.0 / 50;
  auto run = shared_start(wire<count>(SineSource<double>{line, gnd, {.amplitude = 100, .frequency = 50}},
                                      transformer(line, gnd, TappedSecondary<double>{up, gnd, down, 1.0},
                                                  TransformerData<double>{.magnetising_inductance = 10.0}),
                                      Diode<double>{up, out, {.drop = drop}}, Diode<double>{down, out, {.drop = drop}},
                                      Voltmeter{out, gnd, 470.0}),
                          tight<double>());
  REQUIRE(run.run_until(2 * period) == Status::done);
  const double angle = std::asin(drop / crest);
  const double mean = 2 / std::numbers::pi * (crest * std::cos(angle) - drop * (std::numbers::pi / 2 - angle));
  CHECK(relative_gap(follower(run, 4, 0) / (2 * period), mean) < 1e-6);
}

TEST_CASE("two secondaries of their own ratios are each as stated") {
  enum { gnd, line, low, high, count };
  auto run = shared_start(wire<count>(DcSource{line, gnd, 10.0},
                                      transformer(line, gnd, Secondary<double>{low, gnd, 0.1},
                                                  Secondary<double>{gnd, high, 7.0},  // turned round
                                                  TransformerData<double>{.magnetising_inductance = 1.0}),
                                      Resistor{low, gnd, 1.0}, Resistor{high, gnd, 1e3}),
                          tight<double>());
  CHECK(relative_gap(voltage(run, low), 1.0) < 1e-12);
  CHECK(relative_gap(voltage(run, high), -70.0) < 1e-12);
}

TEST_CASE("what cannot be is refused by field and limit") {
  const TransformerData<double> data{.magnetising_inductance = 1.0};
  const TransformerData<double> wrong{.magnetising_inductance = 1.0, .leakage_inductance = -1.0};
  const auto refused = [](auto secondary, const auto& given) {
    static_cast<void>(transformer(1, 0, secondary, given));
  };
  CHECK_THROWS_WITH_AS(refused(Secondary<double>{2, 0, 0.0}, data), "transformer: ratio = 0, allowed: above 0",
                       InvalidParameter);
  CHECK_THROWS_WITH_AS(refused(TappedSecondary<double>{2, 0, 3, 1.0, 1.0}, data),
                       "transformer: share = 1, allowed: below 1", InvalidParameter);
  CHECK_THROWS_WITH_AS(refused(Secondary<double>{2, 0, 1.0}, wrong),
                       "transformer: leakage_inductance = -1 H, allowed: at least 0 H", InvalidParameter);
}
