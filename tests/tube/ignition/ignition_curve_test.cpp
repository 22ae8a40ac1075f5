// SPDX-License-Identifier: MIT
// Ignition by a curve through points.
#include <gastube/tube/ignition/ignition_curve.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>

using namespace gastube;
using closeness::absolute_gap;

namespace {

// Points made up for this test.
template <class S>
using Points = std::array<Point<S>, 4>;
template <class S>
constexpr Points<S> points{{{S(50), S(-0.5)}, {S(100), S(-1.5)}, {S(300), S(-2.5)}, {S(600), S(-4)}}};
template <class S>
constexpr LowVoltageKnee<S> knee{S(12), S(0.8L), S(50)};

template <class S>
IgnitionCurve<S, 4> curve() {
  return IgnitionCurve<S, 4>(points<S>, knee<S>);
}

}  // namespace

TEST_CASE_TEMPLATE("an ignition curve goes through its points", S, float, double, long double) {
  const auto law = curve<S>();
  for (const Point<S>& point : points<S>)
    CHECK(absolute_gap(law.critical_grid(point.x), point.y) < 8 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("above the last point an ignition curve goes on straight", S, float, double, long double) {
  const auto law = curve<S>();
  // The last chord falls 1.5 V in 300 V; its prolongation over 200 V is another volt, by hand.
  CHECK(absolute_gap(law.critical_grid(S(800)), -5.0L) < 32 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("below the first point the knee takes over without a step", S, float, double, long double) {
  const auto law = curve<S>();
  const S below = math::min(S(50 - 1e-8L), std::nextafter(S(50), S(0)));
  CHECK(absolute_gap(law.critical_grid(below), law.critical_grid(S(50))) < 1e-6);
  // An eighth of the way up from ionisation the knee lifts four times its rise: -0.5 + (4 - 1) 0.8, by hand.
  CHECK(absolute_gap(law.critical_grid(S(12 + 4.75)), 1.9L) < 64 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("an ignition curve fires at no grid voltage at or below the ionisation potential", S, float, double,
                   long double) {
  const auto law = curve<S>();
  for (const S plate : {S(12), S(12 - 1e-8L), S(5), S(0), S(-500)})
    CHECK(law.critical_grid(plate) == S(never_fires<S>));
}

TEST_CASE_TEMPLATE("along an ignition curve a higher plate voltage never needs a higher grid voltage", S, float, double,
                   long double) {
  const unsigned seed = 42;
  CAPTURE(seed);
  const auto law = curve<S>();
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> decade(-8.0, 4.0);
  const auto plate = [&] { return S(12) + S(std::pow(10.0, decade(random))); };
  for (int k = 0; k < 2000; ++k) {
    const S one = plate(), other = plate(), low = math::min(one, other), high = math::max(one, other);
    CAPTURE(low);
    CAPTURE(high);
    CHECK(law.critical_grid(high) <= law.critical_grid(low) + S(8) * round_off<S>);
  }
}

TEST_CASE("an ignition curve refuses points that no tube can have") {
  const auto with = [](Points<double> p, LowVoltageKnee<double> k) {
    return refusal::of([&] { IgnitionCurve<double, 4>(p, k); });
  };
  CHECK(with(points<double>, knee<double>) == "accepted");

  Points<double> p = points<double>;
  for (auto& point : p) point.y = -point.y;
  CHECK(with(p, knee<double>) == "ignition curve: last critical grid voltage");  // rising
  p = points<double>;
  p[1].y = -3.0;
  CHECK(with(p, knee<double>) == "ignition curve: point ordinate");  // down and up again
  p[1].y = std::numeric_limits<double>::quiet_NaN();
  CHECK(with(p, knee<double>) == "ignition curve: point ordinate");
  p = points<double>;
  p[2].x = 100.0;
  CHECK(with(p, knee<double>) == "ignition curve: point abscissa");  // one plate voltage twice
  p[2].x = std::numeric_limits<double>::infinity();
  CHECK(with(p, knee<double>) == "ignition curve: point abscissa");
}

TEST_CASE("an ignition curve begins above the ionisation potential of its knee") {
  const auto with = [](LowVoltageKnee<double> k) {
    return refusal::of([&] { IgnitionCurve<double, 4>(points<double>, k); });
  };
  CHECK(with({50.0 - 1e-8, 0.8, 60.0}) == "accepted");
  CHECK(with({50.0, 0.8, 60.0}) == "ignition curve: first plate voltage");
  CHECK(with({12.0, -1.0, 50.0}) == "low-voltage knee: rise");
}
