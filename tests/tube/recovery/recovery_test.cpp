// SPDX-License-Identifier: MIT
// Residual ionisation and how the grid wins back control.
#include <gastube/tube/recovery/recovery.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

// time constant 10 us; 60 us after 0.2 A at 8 V of bias
template <class S>
constexpr SheathAfterglow<S> law{S(10e-6L), S(60e-6L), S(0.2L), S(8), S(1)};

}  // namespace

TEST_CASE_TEMPLATE("the ideal tube has its control back in the instant of extinction", S, float, double, long double) {
  const InstantRecovery<S> instant;
  instant.check();
  CHECK(instant.control(S(5), S(0)) == S(1));
  CHECK(instant.left(S(5)) < S(0));
  CHECK(instant.at_extinction(S(5)) == S(0));
  CHECK(instant.source_lit(S(5)) == S(0));
  CHECK(instant.source_out() == S(0));
  CHECK(instant.decay() == S(0));
}

TEST_CASE_TEMPLATE("fixed deionisation runs down to nothing in exactly its time, without control until then", S, float,
                   double, long double) {
  const FixedDeionisation<S> fixed{S(200e-6L)};
  CHECK(fixed.at_extinction(S(0.3)) == S(1));
  CHECK(relative_gap(fixed.source_out(), -5000.0L) < 4 * double(round_off<S>));
  CHECK(fixed.source_lit(S(1)) == S(0));
  CHECK(fixed.decay() == S(0));
  CHECK(fixed.control(S(1), S(-100)) == S(0));
  CHECK(fixed.control(S(1e-8L), S(-100)) == S(0));
  CHECK(fixed.control(S(0), S(0)) == S(1));
  CHECK(fixed.control(S(-1e-8L), S(0)) == S(1));
  CHECK(fixed.left(S(0.25)) == S(0.25));
  CHECK(fixed.left(S(0)) == S(0));
}

TEST_CASE_TEMPLATE("in the afterglow the grid holds after the stated time at the stated bias and current", S, float,
                   double, long double) {
  const double close = 100 * double(round_off<S>);
  CHECK(relative_gap(law<S>.deionisation_time(S(0.2L), S(-8)), 60e-6L) < close);
  // Closed form by hand: e times the current takes one time constant more; e^(2/3) times the bias one less.
  CHECK(relative_gap(law<S>.deionisation_time(S(0.2L * std::exp(1.0L)), S(-8)), 70e-6L) < close);
  CHECK(relative_gap(law<S>.deionisation_time(S(0.2L), S(-8 * std::exp(2.0L / 3.0L))), 50e-6L) < close);
}

TEST_CASE_TEMPLATE("at the deionisation time the residual ionisation is at the holding level", S, float, double,
                   long double) {
  for (const S current : {S(0.05), S(0.2L), S(1)})
    for (const S grid : {S(-1), S(-8), S(-30), S(-100)}) {
      const S time = law<S>.deionisation_time(current, grid);
      const S residual = current / S(0.2L) * std::exp(-time / S(10e-6L));
      CAPTURE(current);
      CAPTURE(grid);
      CHECK(relative_gap(residual, law<S>.holding_level(grid)) < 200 * double(round_off<S>));
      CHECK(math::abs(law<S>.control(residual, grid)) < S(200) * round_off<S>);
      CHECK(relative_gap(law<S>.control(S(residual / S(4)), grid), 0.75L) < 200 * double(round_off<S>));
    }
}

TEST_CASE_TEMPLATE("the control stays between none and all", S, float, double, long double) {
  const S level = law<S>.holding_level(S(-8));
  CHECK(law<S>.control(S(0), S(-8)) == S(1));
  CHECK(law<S>.control(level, S(-8)) == S(0));
  CHECK(law<S>.control(S(level * S(1.001)), S(-8)) == S(0));
  CHECK(law<S>.control(S(1e6), S(-8)) == S(0));
  CHECK(law<S>.control(S(level * S(0.999)), S(-8)) > S(0));
  CHECK(law<S>.control(S(level * S(1e-6L)), S(-8)) < S(1));
}

TEST_CASE_TEMPLATE("a grid near cathode potential counts as one with the least sheath", S, float, double, long double) {
  CHECK(law<S>.holding_level(S(0)) == law<S>.holding_level(S(-1)));
  CHECK(law<S>.holding_level(S(5)) == law<S>.holding_level(S(-1)));
  CHECK(law<S>.holding_level(S(-1 + 1e-8L)) == law<S>.holding_level(S(-1)));
  CHECK(law<S>.holding_level(S(-1.001L)) > law<S>.holding_level(S(-1)));
}

TEST_CASE_TEMPLATE("after no current, and at a bias that holds the full ionisation, no time is needed", S, float,
                   double, long double) {
  CHECK(law<S>.deionisation_time(S(0), S(-8)) == S(0));
  CHECK(law<S>.deionisation_time(S(-1), S(-8)) == S(0));
  // (V/8)^1.5 e^-6 = 1 at V = 8 e^4 = 436.8 V, by hand
  CHECK(law<S>.deionisation_time(S(0.2L), S(-8 * std::exp(4.0L) * 1.01L)) == S(0));
  CHECK(law<S>.deionisation_time(S(0.2L), S(-8 * std::exp(4.0L) * 0.99L)) > S(0));
}

TEST_CASE("less current and a more negative grid recover faster") {
  const unsigned seed = 48;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> amperes(1e-3, 0.5), volts(1.0, 200.0), share(0.0, 1e-2);
  for (int k = 0; k < 1000; ++k) {
    const double low = amperes(random), high = low + amperes(random);
    const double weak = -volts(random), strong = weak - volts(random), residual = share(random);
    CHECK(law<double>.deionisation_time(low, weak) <= law<double>.deionisation_time(high, weak));
    CHECK(law<double>.deionisation_time(low, strong) <= law<double>.deionisation_time(low, weak));
    CHECK(law<double>.control(residual, strong) >= law<double>.control(residual, weak));
    CHECK(law<double>.control(residual, weak) >= law<double>.control(2.0 * residual, weak));
  }
}

TEST_CASE_TEMPLATE("a steady current settles at its share of the reference current", S, float, double, long double) {
  // Balance of source and decay, by hand: 0.05 A is a quarter of 0.2 A.
  CHECK(relative_gap(law<S>.source_lit(S(0.05L)) / law<S>.decay(), 0.25L) < 8 * double(round_off<S>));
  CHECK(law<S>.source_lit(S(0)) == S(0));
  CHECK(law<S>.source_lit(S(-0.05L)) == S(0));
  CHECK(law<S>.source_out() == S(0));
  CHECK(law<S>.at_extinction(S(0.3)) == S(0.3));
}

TEST_CASE_TEMPLATE("the afterglow counts as over when a grid at the cathode has 999 thousandths of its control", S,
                   float, double, long double) {
  const S level = law<S>.holding_level(S(0)) * S(1e-3);  // the law's own thousandth, a double
  CHECK(absolute_gap(law<S>.left(level), 0.0L) < 8 * double(round_off<S>));
  CHECK(law<S>.left(S(level * S(1.01L))) > S(0));
  CHECK(law<S>.left(S(level * S(0.99L))) < S(0));
  CHECK(absolute_gap(law<S>.control(level, S(0)), 1 - 1e-3) < 8 * double(round_off<S>) + 1e-16);
}

TEST_CASE_TEMPLATE("recovery laws refuse fields out of range", S, float, double, long double) {
  using Fixed = FixedDeionisation<S>;
  refusal::check_field(Fixed{S(1e-3L)}, &Fixed::time, "fixed deionisation: time", S(1e-9), S(0));
  using Law = SheathAfterglow<S>;
  refusal::check_field(law<S>, &Law::time_constant, "sheath afterglow: time_constant", S(1e-9), S(0));
  refusal::check_field(law<S>, &Law::time, "sheath afterglow: time", S(1e-9), S(0));
  refusal::check_field(law<S>, &Law::reference_current, "sheath afterglow: reference_current", S(1e-9), S(0));
  refusal::check_field(law<S>, &Law::reference_bias, "sheath afterglow: reference_bias", S(1e-9), S(0));
  refusal::check_field(law<S>, &Law::least_sheath, "sheath afterglow: least_sheath", S(1e-9), S(0));
}
