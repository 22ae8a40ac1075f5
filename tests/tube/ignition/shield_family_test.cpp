// SPDX-License-Identifier: MIT
// The shield grid by a measured family. The points are made up: the published family could not be read.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/ignition/shield_family.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
template <class S>
constexpr std::array<Point<S>, 5> points{{{S(-4), S(16)}, {S(-2), S(6)}, {S(0), S(-2)}, {S(2), S(-5)}, {S(4), S(-6)}}};
template <class S>
ShieldCurve<S, 5> curve() {
  return ShieldCurve<S, 5>(points<S>);
}
}  // namespace

TEST_CASE_TEMPLATE("the shift goes through the points, counted from a shield grid at zero", S, float, double,
                   long double) {
  const auto shift = curve<S>();
  const double close = 16 * double(round_off<S>);
  CHECK(shift(S(0)) == S(0));
  CHECK(relative_gap(shift(S(-4)), 18.0L) < close);  // by hand, 16 - (-2)
  CHECK(relative_gap(shift(S(-2)), 8.0L) < close);
  CHECK(relative_gap(shift(S(2)), -3.0L) < close);
  CHECK(relative_gap(shift(S(4)), -4.0L) < close);
}

TEST_CASE_TEMPLATE("beyond the points the end slopes go on", S, float, double, long double) {
  const auto shift = curve<S>();
  const double close = 16 * double(round_off<S>);
  CHECK(relative_gap(shift(S(-6)), 28.0L) < close);  // 5 V per V
  CHECK(relative_gap(shift(S(10)), -7.0L) < close);  // 0.5 V per V
  CHECK(relative_gap(shift.leverage(S(-100)), 5.0L) < close);
  CHECK(relative_gap(shift.leverage(S(100)), 0.5L) < close);
  CHECK(relative_gap(shift.curve().points()[0].y, 16.0L) < close);
}

TEST_CASE_TEMPLATE("points that lie off zero are counted from where the curve crosses it", S, float, double,
                   long double) {
  const ShieldCurve<S, 2> shift({{{S(-3), S(7)}, {S(1), S(-1)}}});  // a line of slope -2, 1 V at zero
  CHECK(absolute_gap(shift(S(0)), 0.0L) == 0.0);
  CHECK(absolute_gap(shift(S(1)), -2.0L) < 16 * double(round_off<S>));
  CHECK(absolute_gap(shift(S(-3)), 6.0L) < 16 * double(round_off<S>));
  // The same as the proportional shift of that leverage.
  for (const S shield : {S(-50), S(-1), S(0.5), S(80)})
    CHECK(relative_gap(shift(shield), ShieldShift<S>{S(2)}(shield)) < 32 * double(round_off<S>));
}

TEST_CASE("a more positive shield grid makes ignition easier, whatever the points") {
  const unsigned seed = 823;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> step(0.01, 3.0), volts(-20.0, 20.0);
  for (int k = 0; k < 500; ++k) {
    std::array<Point<double>, 6> made{};
    double x = -8.0, y = 10.0;
    for (auto& point : made) point = {x += step(random), y -= step(random) - 0.01};
    const ShieldCurve<double, 6> shift(made);
    shift.check();
    const double shield = volts(random), more = shield + step(random);
    CAPTURE(shield);
    CAPTURE(more);
    CHECK(shift(more) <= shift(shield) + 1e-12);
    CHECK(shift.leverage(shield) >= -1e-12);
  }
}

TEST_CASE("values and derivatives stay finite for wild input") {
  using D = Dual<double, 1>;
  const ShieldCurve<D, 5> shift({{{D(-4), D(16)}, {D(-2), D(6)}, {D(0), D(-2)}, {D(2), D(-5)}, {D(4), D(-6)}}});
  for (const double shield : {1e6, -1e6, 0.0, -0.0, 1e-300, 1.0}) {
    CAPTURE(shield);
    const D moved = shift(D::variable(shield, 0));
    CHECK(std::isfinite(moved.value()));
    CHECK(relative_gap(moved.partial(0), -shift.leverage(D(shield)).value()) < 1e-12);
  }
}

TEST_CASE_TEMPLATE("points out of order are refused", S, float, double, long double) {
  const auto made = [](S x, S y) {
    auto changed = points<S>;
    changed[4] = {x, y};
    return refusal::of([&] { return ShieldCurve<S, 5>(changed); });
  };
  CHECK(made(S(4), S(-6)) == "accepted");
  CHECK(made(S(2), S(-6)) == "shield curve: point abscissa");
  CHECK(made(S(4), S(-4)) == "shield curve: point ordinate");
  CHECK(made(S(4), std::numeric_limits<S>::quiet_NaN()) == "shield curve: point ordinate");
  CHECK(refusal::of([] {
          return ShieldCurve<S, 2>({{{S(0), S(0)}, {S(1), S(1)}}});
        })
        == "shield curve: last critical grid voltage");
}
