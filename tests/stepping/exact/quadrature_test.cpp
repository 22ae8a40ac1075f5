// SPDX-License-Identifier: MIT
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/quadrature.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;
using exact::integral;
using exact::over_panel;

namespace {
template <class S>
[[nodiscard]] S power(const S& x, int n) {
  S product(1);
  for (int k = 0; k < n; ++k) product *= x;
  return product;
}
}  // namespace

TEST_CASE_TEMPLATE("Kronrod's rule is exact up to the power 22, Gauss's within it up to 13", S, float, double,
                   long double) {
  for (int n = 0; n <= 24; ++n) {
    CAPTURE(n);
    const auto panel = over_panel([n](const S& x) { return power(x, n); }, S(-1), S(2));
    const S expected = (power(S(2), n + 1) - power(S(-1), n + 1)) / S(n + 1);
    if (n <= 22) CHECK(relative_gap(panel.value, expected) < 16 * double(round_off<S>));
    if (n <= 13) CHECK(panel.doubt <= S(64) * round_off<S> * panel.size);
    if (n >= 16) CHECK(panel.doubt > S(64) * round_off<S> * panel.size * (sizeof(S) > 4 ? S(1) : S(0)));
  }
}

TEST_CASE("the size of a panel is the integral of the magnitude") {
  const auto panel = over_panel([](double x) { return x * x - 2; }, -1.0, 1.0);
  CHECK(relative_gap(panel.value, -10.0 / 3) < 1e-15);
  CHECK(relative_gap(panel.size, 10.0 / 3) < 1e-15);
}

TEST_CASE("integrals with a peak, a kink and a jump come out to the tolerance") {
  const auto peak = integral([](double x) { return 1 / (1e-8 + (x - 0.3) * (x - 0.3)); }, 0.0, 1.0, 1e-13);
  CHECK(relative_gap(peak, 1e4 * (std::atan(0.7e4) + std::atan(0.3e4))) < 1e-12);
  const auto kink = integral([](double x) { return std::fabs(x - 1 / std::numbers::pi); }, 0.0, 1.0, 1e-13);
  const double at = 1 / std::numbers::pi;
  CHECK(relative_gap(kink, (at * at + (1 - at) * (1 - at)) / 2) < 1e-12);
  const auto jump = integral([at](double x) { return x > at ? 1.0 : 0.0; }, 0.0, 1.0, 1e-13);
  CHECK(relative_gap(jump, 1 - at) < 1e-12);
}

TEST_CASE("an integral carries the derivatives of its integrand and of its ends") {
  using D = Dual<double, 2>;
  const D rate = D::variable(3.0, 0), end = D::variable(0.7, 1);
  const D value = integral([&](const D& x) { return math::exp(D(rate * x)); }, D(0), end, 1e-13);
  CHECK(relative_gap(value_of(value), (std::exp(2.1) - 1) / 3) < 1e-14);
  CHECK(relative_gap(value.partials()[0], 0.7 * std::exp(2.1) / 3 - (std::exp(2.1) - 1) / 9) < 1e-13);
  CHECK(relative_gap(value.partials()[1], std::exp(2.1)) < 1e-13);
}

TEST_CASE("nothing and backwards") {
  CHECK(integral([](double x) { return x; }, 1.0, 1.0, 1e-13) == 0.0);
  CHECK(relative_gap(integral([](double x) { return x; }, 2.0, 0.0, 1e-13), -2.0) < 1e-15);
}

TEST_CASE("an integrand rougher than the tolerance, or that is not a number, is not halved for ever") {
  long asked = 0;
  const auto rough = [&](double x) {  // what is left of a level a billion times as high
    ++asked;
    return (1e9 * (1 + x) - 1e9) + 1 - 1e9 * x;
  };
  CHECK(relative_gap(integral(rough, 0.0, 1.0, 1e-13), 1.0) < 1e-7);
  CHECK(asked < 20000);
  asked = 0;
  static_cast<void>(integral([&](double) { return ++asked, std::nan(""); }, 0.0, 1.0, 1e-13));
  CHECK(asked < 20000);
}
