// SPDX-License-Identifier: MIT
// Exponential afterglow under a grid that closes with its ion sheath.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/recovery/sheath_afterglow.hpp>

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
constexpr SheathAfterglow<S> law{S(Plain<S>(10e-6L)), S(Plain<S>(60e-6L)), S(Plain<S>(0.2L)), S(8), S(1)};

}  // namespace

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
  CHECK(law<S>.source_out(S(-50)) == S(0));
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

TEST_CASE_TEMPLATE("a level beyond the scalar's range still gives finite answers", S, float, double, long double) {
  const SheathAfterglow<S> endless{S(1e-9L), S(1), S(0.2L), S(300), S(1e-6L)};  // exp(-1e9)
  CHECK(endless.holding_level(S(-10)) == S(1e-30));
  CHECK(endless.control(S(0), S(-10)) == S(1));
  CHECK(endless.control(S(1e-20L), S(-10)) == S(0));
  CHECK(endless.left(S(0)) == S(-1));
  CHECK(relative_gap(endless.deionisation_time(S(0.2L), S(-10)), 1e-9L * 30 * std::log(10.0L)) < 1e-6);
}

TEST_CASE("slopes of the afterglow are finite whatever the voltage and the ionisation") {
  using D = Dual<double, 1>;
  for (const double wild : {1e6, -1e6, 0.0, -0.0, 1e-300, -1e-300}) {
    CAPTURE(wild);
    const D x = D::variable(wild, 0), one = D(1.0);
    for (const D& result : {law<D>.source_lit(x), law<D>.source_out(x), law<D>.holding_level(x), law<D>.control(x, one),
                            law<D>.control(one, x), law<D>.left(x), law<D>.deionisation_time(x, one)}) {
      CHECK(std::isfinite(result.value()));
      CHECK(std::isfinite(result.partial(0)));
    }
  }
}

TEST_CASE_TEMPLATE("the afterglow refuses fields out of range", S, float, double, long double) {
  using Law = SheathAfterglow<S>;
  refusal::check_field(law<S>, &Law::time_constant, "sheath afterglow: time_constant", S(1e-9), S(0));
  refusal::check_field(law<S>, &Law::time, "sheath afterglow: time", S(1e-9), S(0));
  refusal::check_field(law<S>, &Law::reference_current, "sheath afterglow: reference_current", S(1e-9), S(0));
  refusal::check_field(law<S>, &Law::reference_bias, "sheath afterglow: reference_bias", S(1e-9), S(0));
  refusal::check_field(law<S>, &Law::least_sheath, "sheath afterglow: least_sheath", S(1e-9), S(0));
}
