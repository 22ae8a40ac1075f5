// SPDX-License-Identifier: MIT
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/ignition/strike_voltage.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/glow_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
[[nodiscard]] StrikeVoltage<S> lamp() {
  return {.forward = S(70),
          .inverse = S(80),
          .dark_increase = S(20),
          .darkness = S(0),
          .temperature_drift = S(-0.125),
          .warming = S(0)};
}

}  // namespace

TEST_CASE_TEMPLATE("in the light and at its temperature a gap strikes at its published voltages", S, float, double,
                   long double) {
  CHECK(lamp<S>().voltage(false) == S(70));
  CHECK(lamp<S>().voltage(true) == S(80));
  CHECK(symmetrical_strike(S(65)).voltage(false) == S(65));
  CHECK(symmetrical_strike(S(65)).voltage(true) == S(65));
}

TEST_CASE_TEMPLATE("darkness raises the strike voltage of both directions in proportion, warmth shifts it", S, float,
                   double, long double) {
  StrikeVoltage<S> law = lamp<S>();
  law.darkness = S(0.5);
  CHECK(law.voltage(false) == S(80));
  CHECK(law.voltage(true) == S(90));
  law.darkness = S(1);
  law.warming = S(40);  // -0.125 V/K: 5 V less, by hand
  CHECK(law.voltage(false) == S(85));
  CHECK(law.voltage(true) == S(95));
  law.warming = S(-40);
  CHECK(law.voltage(false) == S(95));
}

TEST_CASE_TEMPLATE("a direction that never strikes stays so in any light and at any temperature", S, float, double,
                   long double) {
  StrikeVoltage<S> law = lamp<S>();
  law.inverse = unlimited<S>();
  law.darkness = S(0.3L);
  law.warming = S(100);
  CHECK_FALSE(is_limited(law.voltage(true)));
  CHECK(is_limited(law.voltage(false)));
  CHECK(refusal::of([&] { law.check(); }) == "accepted");
}

TEST_CASE("the strike voltage has the derivatives of its fields") {
  using D = Dual<double, 2>;
  const StrikeVoltage<D> law{D(70), D(70), D(20), D::variable(0.25, 0), D(-0.125), D::variable(10, 1)};
  CHECK(law.voltage(true).value() == 70 + 5 - 1.25);
  CHECK(law.voltage(true).partial(0) == 20);
  CHECK(law.voltage(true).partial(1) == -0.125);
}

TEST_CASE_TEMPLATE("a plane gap strikes by Paschen's curve", S, float, double, long double) {
  // Neon, yield 0.01, 10 Torr cm: 463.1 V, calculated from the formula
  const auto curve = paschen_curve(townsend::neon, S(0.01L));
  const auto strike = strike_of_gap(curve, S(20 * constants::torr), S(5e-3L));
  CHECK(relative_gap(strike.voltage(false), 463.1L) < 1e-4);
  CHECK(strike.voltage(true) == strike.voltage(false));
  CHECK(refusal::of([&] { static_cast<void>(strike_of_gap(curve, S(1), S(1e-3L))); }) == "gap: pressure times length");
  CHECK(refusal::of([&] { static_cast<void>(strike_of_gap(curve, S(0), S(1e-3L))); }) == "gap: pressure");
  CHECK(refusal::of([&] { static_cast<void>(strike_of_gap(curve, S(1), S(0))); }) == "gap: length");
}

TEST_CASE("right of the minimum a longer gap and more gas strike later, and a Penning trace sooner") {
  const unsigned seed = 82;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> torr(20, 100), length(2e-3, 10e-3), more(1.01, 2), yield(0.02, 0.3);
  for (int k = 0; k < 500; ++k) {
    const double y = yield(random), p = torr(random) * constants::torr, d = length(random), factor = more(random);
    const auto pure = paschen_curve(townsend::neon, y), penning = paschen_curve(townsend::of(gas::neon_argon), y);
    const double here = strike_of_gap(pure, p, d).forward;
    CHECK(strike_of_gap(pure, p * factor, d).forward > here);
    CHECK(strike_of_gap(pure, p, d * factor).forward > here);
    CHECK(strike_of_gap(penning, p, d).forward < here);
  }
}

TEST_CASE("strike and maintaining voltages from the gas alone, beside the published") {
  check_rows(published::glow_tubes::from_the_gas);
}

TEST_CASE_TEMPLATE("a strike voltage refuses fields out of range", S, float, double, long double) {
  using Law = StrikeVoltage<S>;
  refusal::check_field(lamp<S>(), &Law::forward, "strike voltage: forward", S(1), S(0));
  refusal::check_field(lamp<S>(), &Law::inverse, "strike voltage: inverse", S(1), S(0));
  refusal::check_field(lamp<S>(), &Law::dark_increase, "strike voltage: dark_increase", S(0), S(-1));
  refusal::check_field(lamp<S>(), &Law::darkness, "strike voltage: darkness", S(1), S(1.01L));
  refusal::check_finite_field(lamp<S>(), &Law::temperature_drift, "strike voltage: temperature_drift");
  Law hot = lamp<S>();
  hot.warming = S(559);
  CHECK(refusal::of([&] { hot.check(); }) == "accepted");
  hot.warming = S(560);  // 70 V less
  CHECK(refusal::of([&] { hot.check(); }) == "strike voltage: temperature_drift");
  hot.warming = std::numeric_limits<S>::quiet_NaN();
  CHECK(refusal::of([&] { hot.check(); }) == "strike voltage: warming");
}
