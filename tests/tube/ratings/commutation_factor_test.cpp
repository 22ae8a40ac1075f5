// SPDX-License-Identifier: MIT
// The commutation factor.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/ratings/commutation_factor.hpp>

#include "fidelity/arc_rows.hpp"
#include "fidelity/check_rows.hpp"
#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("the factor is the product in the unit it is published in") {
  check_rows(published::arcs::commutation_factor);
}

TEST_CASE_TEMPLATE("in SI units it is 1e12 times as much", S, float, double, long double) {
  const CurrentEnd<S> end{S(3e6L), S(50e6L)};  // 3 A/us, 50 V/us
  CHECK(relative_gap(end.commutation_factor(), 150e12L) < 4 * double(round_off<S>));
  CHECK(relative_gap(end.published_factor(), 150.0L) < 8 * rounded<S>);
  CHECK(relative_gap(end.published_factor() * S(per_square_microsecond), end.commutation_factor()) < 8 * rounded<S>);
  CHECK(CurrentEnd<S>{S(0), S(50e6L)}.commutation_factor() == S(0));
}

TEST_CASE_TEMPLATE("use and greatest voltage rise follow from the rating", S, float, double, long double) {
  const CommutationRating<S> rating{S(100e12L)};
  CHECK(relative_gap(rating.use({S(4e6L), S(50e6L)}), 2.0L) < 8 * double(round_off<S>));  // by hand
  CHECK(relative_gap(rating.greatest_voltage_rise(S(4e6L)), 25e6L) < 8 * double(round_off<S>));
  CHECK(rating.greatest_voltage_rise(S(0)) == unlimited<S>());
  CHECK(rating.greatest_voltage_rise(S(1e-30L)) == unlimited<S>());
  const CommutationRating<S> none;
  none.check();
  CHECK(none.use({S(4e6L), S(50e6L)}) == S(0));
  CHECK(none.greatest_voltage_rise(S(4e6L)) == unlimited<S>());
}

TEST_CASE("a snubber that keeps the greatest rise keeps the rating") {
  const unsigned seed = 911;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> decade(-3, 3);
  for (int k = 0; k < 500; ++k) {
    const CommutationRating<double> rating{1e12 * std::pow(10.0, decade(random))};
    const double fall = 1e6 * std::pow(10.0, decade(random)), rise = rating.greatest_voltage_rise(fall);
    CHECK(relative_gap(rating.use({fall, rise}), 1.0) < 1e-14);
    CHECK(rating.use({fall * 1.1, rise}) > 1.0);
    CHECK(rating.use({fall, rise * 1.1}) > 1.0);
  }
}

TEST_CASE("derivatives are those of a product, and finite") {
  using D = Dual<double, 2>;
  for (const double fall : {0.0, -0.0, 1e-300, 1e6}) {
    const CurrentEnd<D> end{D::variable(fall, 0), D::variable(5e6, 1)};
    CHECK(end.commutation_factor().partial(0) == 5e6);
    CHECK(end.commutation_factor().partial(1) == fall);
    CHECK(std::isfinite(CommutationRating<D>{D(1e12)}.greatest_voltage_rise(end.current_fall).partial(0)));
  }
}

TEST_CASE_TEMPLATE("end of current and commutation rating refuse fields out of range", S, float, double, long double) {
  const CurrentEnd<S> end{S(1), S(1)};
  refusal::check_field(end, &CurrentEnd<S>::current_fall, "end of current: current_fall", S(0), S(-1));
  refusal::check_field(end, &CurrentEnd<S>::voltage_rise, "end of current: voltage_rise", S(0), S(-1));
  refusal::check_field(CommutationRating<S>{}, &CommutationRating<S>::factor, "commutation rating: factor", S(1), S(0));
}
