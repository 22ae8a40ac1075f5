// SPDX-License-Identifier: MIT
#include <gastube/circuit/battery.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, supply, node_count };
}

TEST_CASE_TEMPLATE("a loaded battery gives way by its resistance, and an ideal one does not", S, float, double,
                   long double) {
  auto run = start(wire<2>(Battery{supply, ground, S(12), S(0.5)}, Resistor{supply, ground, S(5.5)}));
  CHECK(relative_gap(voltage(run, supply), 11) < 8 * double(round_off<S>));
  CHECK(relative_gap(current(run, "battery"), 2) < 8 * double(round_off<S>));
  auto ideal = start(wire<2>(Battery{supply, ground, S(12), S(0)}, Resistor{supply, ground, S(6)}));
  CHECK(relative_gap(voltage(ideal, supply), 12) < 8 * double(round_off<S>));
}

TEST_CASE("it counts the charge put in, less what was drawn") {
  auto run = start(wire<2>(Battery{supply, ground, 12.0, 1.0},
                           PulseSource<double>{supply, ground, {.low = 14, .high = 11, .delay = 3, .width = 1}}),
                   tight<double>());
  REQUIRE(run.run_until(5) == Status::done);
  CHECK(relative_gap(follower(run, 0), 2 * 3 - 1 + 2) < 1e-12);  // 2 A for 3 s, 1 A out for 1 s, 2 A for 1 s
}

TEST_CASE("printed: 110 V charge 55.5 V through 10 ohm by half waves with 2.495 A; and 1.09 A of another case") {
  // "Introduction to Electric Drives", worked examples 2.3 and 2.2 (author and year not noted); the second: 100 V
  // crest, 50 V, 10 ohm
  const auto mean = [](double crest, double force, double ohms) {
    enum { gnd, line, cell, count };
    auto run = start(wire<count>(SineSource<double>{line, gnd, {.amplitude = crest, .frequency = 50}},
                                 Diode<double>{line, cell}, Battery{cell, gnd, force, ohms}),
                     tight<double>());
    REQUIRE(run.run_until(0.02) == Status::done);
    return follower(run, 2) / 0.02;
  };
  CHECK(absolute_gap(mean(110 * std::numbers::sqrt2, 55.5, 10), 2.495) < 5e-4);
  CHECK(absolute_gap(mean(100, 50, 10), 1.09) < 5e-3);
}

TEST_CASE_TEMPLATE("a charging battery takes a capacitor's exponential", S, float, double, long double) {
  // closed form: its rise is that of 1 / (V/C) farads
  auto run =
      start(wire<2>(DcSource{supply, ground, S(14)}, ChargingBattery{supply, ground, S(12), S(2), S(0.1)}), tight<S>());
  REQUIRE(run.run_until(S(10)) == Status::done);
  const double left = std::exp(-10.0 / 20.0);  // 2 ohm times 10 F
  CHECK(relative_gap(current(run, "charging battery"), -left) < tight_reach<S>);
  CHECK(relative_gap(own_unknown(run, 1, 1), 2 * (1 - left)) < tight_reach<S>);
  S charge(0);
  run.system().look(run.instant(), run.mode(), [&](const auto& part, const auto& view, const auto&) {
    if constexpr (requires { part.charge(view); }) charge = part.charge(view);
  });
  CHECK(relative_gap(charge, 20 * (1 - left)) < tight_reach<S>);
}

TEST_CASE("batteries run exactly: the charging battery's exponential in a single step") {
  auto run = start(wire<2>(DcSource{supply, ground, 14.0}, ChargingBattery{supply, ground, 12.0, 2.0, 0.1}));
  REQUIRE(run.run_until(10.0) == Status::done);
  CHECK(run.steps() <= 1);
  CHECK(relative_gap(current(run, "charging battery"), -std::exp(-0.5)) < 1e-13);
  auto plain = start(wire<2>(Battery{supply, ground, 12.0, 0.5}, Capacitor{supply, ground, 0.1, 4.0}));
  REQUIRE(plain.run_until(0.1) == Status::done);
  CHECK(plain.steps() <= 1);
  CHECK(relative_gap(voltage(plain, supply), 12 - 8 * std::exp(-2.0)) < 1e-13);
  CHECK(relative_gap(follower(plain, 0), -0.1 * 8 * (1 - std::exp(-2.0))) < 1e-13);
}

TEST_CASE("what cannot be is refused") {
  CHECK_THROWS_WITH_AS((Battery{supply, ground, 12.0, -1.0}), "battery: resistance = -1 ohm, allowed: at least 0 ohm",
                       InvalidParameter);
  CHECK_THROWS_WITH_AS((ChargingBattery{supply, ground, 12.0, 1.0, 0.0}),
                       "charging battery: rise = 0 V/C, allowed: above 0 V/C", InvalidParameter);
}
