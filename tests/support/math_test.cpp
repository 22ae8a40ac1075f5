// SPDX-License-Identifier: MIT
// The functions laws are written with: values as std's, ties and kinks as documented, derivatives never NaN.
#include <gastube/adapt/dual.hpp>
#include <gastube/support/math.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace gastube;
using closeness::relative_gap;

namespace {

using D = Dual<double, 2>;

static_assert(std::same_as<decltype(math::sqrt(1.0F)), float>);  // no silent promotion
static_assert(std::same_as<decltype(math::pow(1.0F, 2.0F)), float>);
static_assert(std::same_as<decltype(math::exp(1.0L)), long double>);
static_assert(std::same_as<decltype(math::sin(D(1.0))), D>);

static_assert(math::min(1.0, 2.0) == 1.0 && math::max(1.0, 2.0) == 2.0);
static_assert(math::clamp(5.0, 1.0, 2.0) == 2.0 && math::clamp(-5.0, 1.0, 2.0) == 1.0
              && math::clamp(1.5, 1.0, 2.0) == 1.5);
static_assert(math::abs(-3.0) == 3.0 && math::abs(3.0) == 3.0 && math::positive_part(-1.0) == 0.0);

}  // namespace

TEST_CASE_TEMPLATE("functions of plain scalars keep the scalar's own precision", S, float, double, long double) {
  const double allowed = 4 * double(round_off<S>);
  for (const S x : {S(1e-6), S(0.3), S(1), S(2.7), S(41)}) {
    CAPTURE(x);
    CHECK(relative_gap(math::exp(x), std::exp(static_cast<long double>(x))) < 42 * allowed);  // conditioned by x
    CHECK(relative_gap(math::sqrt(x), std::sqrt(static_cast<long double>(x))) < allowed);
    CHECK(relative_gap(math::sin(x), std::sin(static_cast<long double>(x))) < allowed);
    CHECK(relative_gap(math::cos(x), std::cos(static_cast<long double>(x))) < allowed);
    CHECK(relative_gap(math::pow(x, S(0.75)), std::pow(static_cast<long double>(x), 0.75L)) < allowed);
    CHECK(relative_gap(math::three_halves_power(x), std::pow(static_cast<long double>(x), 1.5L)) < allowed);
  }
  CHECK(relative_gap(math::log(S(0.3)), std::log(static_cast<long double>(S(0.3)))) < allowed);
}

TEST_CASE("at a tie min and max return their first argument, with its derivatives") {
  const D a = D::variable(2.0, 0), b = D::variable(2.0, 1);
  CHECK(math::min(a, b).partial(0) == 1.0);
  CHECK(math::min(b, a).partial(1) == 1.0);
  CHECK(math::max(a, b).partial(0) == 1.0);
  CHECK(math::max(b, a).partial(1) == 1.0);
  CHECK(math::max(a, b).partial(1) == 0.0);
}

TEST_CASE("derivatives follow the branch that is taken") {
  const D x = D::variable(-3.0, 0);
  CHECK(math::abs(x).value() == 3.0);
  CHECK(math::abs(x).partial(0) == -1.0);
  CHECK(math::abs(D::variable(3.0, 0)).partial(0) == 1.0);
  CHECK(math::clamp(x, D(-1.0), D(1.0)).partial(0) == 0.0);
  CHECK(math::clamp(x, D(-4.0), D(1.0)).partial(0) == 1.0);
  CHECK(math::positive_part(x).partial(0) == 0.0);
  CHECK(math::positive_part(D::variable(1e-300, 0)).partial(0) == 1.0);
}

TEST_CASE("kinks at zero have the slopes that are documented") {
  CHECK(math::positive_part(D::variable(0.0, 0)).partial(0) == 0.0);
  const D at_zero = math::three_halves_power(D::variable(0.0, 0));
  CHECK(at_zero.value() == 0.0);
  CHECK(at_zero.partial(0) == 0.0);  // a NaN would fail this
  const D below = math::three_halves_power(D::variable(-2.0, 0));
  CHECK(below.value() == 0.0);
  CHECK(below.partial(0) == 0.0);
}

TEST_CASE("the space-charge power has slope 1.5 sqrt(x)") {
  for (const double x : {1e-12, 0.5, 4.0, 900.0}) {
    const D y = math::three_halves_power(D::variable(x, 0));
    CHECK(relative_gap(y.partial(0), 1.5 * std::sqrt(x)) < 1e-15);
  }
  CHECK(math::three_halves_power(4.0) == 8.0);
  CHECK(math::three_halves_power(std::numeric_limits<double>::quiet_NaN()) == 0.0);  // refused earlier, as a parameter
}

TEST_CASE_TEMPLATE("NaN and infinities are not finite", S, float, double, long double) {
  using Limits = std::numeric_limits<S>;
  CHECK_FALSE(math::is_finite(Limits::quiet_NaN()));
  CHECK_FALSE(math::is_finite(Limits::infinity()));
  CHECK_FALSE(math::is_finite(S(-Limits::infinity())));
  CHECK_FALSE(math::is_finite(Dual<S, 1>(Limits::quiet_NaN())));
  CHECK(math::is_finite(Limits::max()));
  CHECK(math::is_finite(Limits::denorm_min()));
  CHECK(math::is_finite(Dual<S, 1>(S(0))));
}
