// SPDX-License-Identifier: MIT
// The monotone curve: through its points, never beyond them, smooth, straight outside.
#include <gastube/adapt/dual.hpp>
#include <gastube/support/interpolation.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

template <class S, std::size_t N>
using Points = std::array<Point<S>, N>;

/// N monotone points with gaps and rises over many powers of ten, some of the rises zero.
template <class S, std::size_t N>
Points<S, N> random_points(std::mt19937_64& random, S direction) {
  std::uniform_real_distribution<double> start(-10, 10), power(-3, 3), chance(0, 1);
  Points<S, N> points;
  points[0] = {S(start(random)), S(start(random))};
  for (std::size_t k = 1; k < N; ++k) {
    const S rise = chance(random) < 0.2 ? S(0) : S(std::pow(10.0, power(random)));
    points[k] = {S(points[k - 1].x + S(std::pow(10.0, power(random)))), S(points[k - 1].y + direction * rise)};
  }
  return points;
}

/// The abscissa a share of the way from point k to the next.
template <class S, std::size_t N>
S between(const Points<S, N>& points, std::size_t k, S share) {
  return S(points[k].x + share * (points[k + 1].x - points[k].x));
}

template <std::size_t N>
std::string refusal(const Points<double, N>& points) {
  try {
    static_cast<void>(MonotoneCurve<double, N>(points, "grid curve"));
  } catch (const InvalidParameter& error) { return error.what(); }
  return "";
}

}  // namespace

TEST_CASE_TEMPLATE("a curve passes exactly through its points", S, float, double, long double) {
  std::mt19937_64 random(1);
  for (int round = 0; round < 50; ++round) {
    const auto points = random_points<S, 7>(random, S(round % 2 == 0 ? 1 : -1));
    const MonotoneCurve<S, 7> curve(points);
    for (const auto& point : points) CHECK(curve(point.x) == point.y);
    CHECK(curve.points()[3].x == points[3].x);
  }
}

TEST_CASE_TEMPLATE("between neighbours a curve neither overshoots nor turns", S, float, double, long double) {
  const std::uint64_t seed = 7;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  for (int round = 0; round < 200; ++round) {
    CAPTURE(round);
    const S direction = S(round % 2 == 0 ? 1 : -1);
    const auto points = random_points<S, 6>(random, direction);
    const MonotoneCurve<S, 6> curve(points);
    bool holds = true;
    for (std::size_t k = 0; k + 1 < 6; ++k) {
      const S low = math::min(points[k].y, points[k + 1].y), high = math::max(points[k].y, points[k + 1].y);
      const S room = S(8) * round_off<S> * math::max(math::abs(low), math::abs(high));
      S before = points[k].y;
      for (int i = 1; i < 64; ++i) {
        const S x = between(points, k, S(i) / S(64)), y = curve(x);
        holds = holds && y >= low - room && y <= high + room;  // no overshoot
        holds = holds && direction * (y - before) >= -room;    // no turn
        holds = holds
                && direction * curve.slope(x) >= -S(16) * round_off<S> * (high - low) / (points[k + 1].x - points[k].x);
        before = y;
      }
    }
    CHECK(holds);
  }
}

TEST_CASE("a level stretch stays level to the last digit") {
  const MonotoneCurve<double, 4> curve({{{0, 1}, {1, 2.3}, {4, 2.3}, {5, 9}}});
  for (const double x : {1.0, 1.7, 2.0, 3.99}) {
    CHECK(curve(x) == 2.3);
    CHECK(curve.slope(x) == 0.0);
  }
}

TEST_CASE("the slope given is the derivative of the curve") {
  const std::uint64_t seed = 3;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.01, 0.99);
  using D = Dual<double, 1>;
  for (int round = 0; round < 100; ++round) {
    CAPTURE(round);
    const auto points = random_points<double, 5>(random, 1.0);
    Points<D, 5> same;
    for (std::size_t k = 0; k < 5; ++k) same[k] = {D(points[k].x), D(points[k].y)};
    const MonotoneCurve<double, 5> curve(points);
    const MonotoneCurve<D, 5> differentiated(same);
    for (std::size_t k = 0; k + 1 < 5; ++k) {
      const double x = between(points, k, share(random)), width = points[k + 1].x - points[k].x;
      const double steepest = (points[k + 1].y - points[k].y) / width;
      CHECK(std::abs(differentiated(D::variable(x, 0)).partial(0) - curve.slope(x)) <= 1e-13 * steepest);
      const double step = 1e-4 * std::min(x - points[k].x, points[k + 1].x - x);
      const double central = (curve(x + step) - curve(x - step)) / (2 * step);
      // a cubic's central difference is off by step^2 / 6 times its third derivative, at most 24 chords over width^2
      const double noise = 4e-16 * std::abs(curve(x)) / step + 4e-16 * std::abs(x) / step * steepest;
      CHECK(std::abs(central - curve.slope(x)) <= 4 * step * step / (width * width) * steepest + 4 * noise);
    }
  }
}

TEST_CASE("the slope is continuous across points and ends") {
  const MonotoneCurve<double, 5> curve({{{0, 0}, {1, 1}, {3, 2}, {3.5, 7}, {9, 7.5}}});
  for (const auto& point : curve.points()) {
    CAPTURE(point.x);
    CHECK(absolute_gap(curve.slope(point.x - 1e-9), curve.slope(point.x + 1e-9)) < 1e-6);
  }
}

TEST_CASE("slopes at inner points are the weighted harmonic means of Fritsch and Butland") {
  const MonotoneCurve<double, 3> curve({{{0, 0}, {1, 1}, {3, 2}}});
  // worked here from their formula: chords 1 and 1/2, weight (1 + 2 * 2) / (3 * 3) = 5/9, slope (1/2) / (5/18 + 4/9)
  CHECK(relative_gap(curve.slope(1.0), 9.0 / 13.0) < 1e-15);
  // cubic on [0, 1] with slopes 1 and 9/13 at its ends, worked here: u + (4/13) u^2 - (4/13) u^3
  CHECK(relative_gap(curve(0.5), 0.5 + 4.0 / 13 / 4 - 4.0 / 13 / 8) < 1e-15);
}

TEST_CASE_TEMPLATE("beyond both ends a curve goes straight on", S, float, double, long double) {
  const MonotoneCurve<S, 3> curve({{{S(1), S(5)}, {S(2), S(3)}, {S(4), S(2)}}});
  CHECK(curve.slope(S(-7)) == S(-2));
  CHECK(curve(S(-7)) == S(21));
  CHECK(curve.slope(S(4)) == S(-0.5));
  CHECK(curve.slope(S(100)) == S(-0.5));
  CHECK(curve(S(100)) == S(-46));
}

TEST_CASE("two points make a straight line") {
  const MonotoneCurve<double, 2> line({{{-1, 4}, {3, 2}}});
  for (const double x : {-5.0, -1.0, 0.0, 1.7, 3.0, 8.0}) {
    CHECK(absolute_gap(line(x), 3.5 - 0.5 * x) < 1e-15);
    CHECK(line.slope(x) == -0.5);
  }
}

TEST_CASE("points of a straight line give the line back") {
  const MonotoneCurve<double, 4> line({{{0, 1}, {0.5, 2.5}, {2, 7}, {8, 25}}});
  for (const double x : {-1.0, 0.3, 1.1, 5.0, 9.0}) CHECK(relative_gap(line(x), 1 + 3 * x) < 4e-16);
}

TEST_CASE("points that are out of order are refused by name and value") {
  CHECK(refusal<3>({{{0, 0}, {2, 1}, {2, 3}}})
        == "grid curve: point abscissa = 2, allowed: above the abscissa of the point before");
  CHECK(refusal<3>({{{0, 0}, {2, 1}, {1.5, 3}}})
        == "grid curve: point abscissa = 1.5, allowed: above the abscissa of the point before");
  CHECK(refusal<4>({{{0, 0}, {1, 2}, {2, 1.25}, {3, 3}}})
        == "grid curve: point ordinate = 1.25, allowed: monotone with the other points");
  CHECK(refusal<4>({{{0, 9}, {1, 2}, {2, 2.5}, {3, 1}}})
        == "grid curve: point ordinate = 2.5, allowed: monotone with the other points");
  CHECK(refusal<3>({{{0, 1}, {1, 2}, {2, 1}}}) != "");
  CHECK(refusal<4>({{{0, 9}, {1, 2}, {2, 2}, {3, 1}}}) == "");
  CHECK(refusal<3>({{{0, 2}, {1, 2}, {2, 2}}}) == "");
}

TEST_CASE("NaN and infinities among the points are refused") {
  const double nan = std::numeric_limits<double>::quiet_NaN(), infinity = std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < 3; ++k) {
    for (const double bad : {nan, infinity, -infinity}) {
      CAPTURE(k);
      CAPTURE(bad);
      Points<double, 3> wrong_x{{{0, 0}, {1, 1}, {2, 2}}}, wrong_y = wrong_x;
      wrong_x[k].x = bad;
      wrong_y[k].y = bad;
      CHECK(refusal(wrong_x).find("grid curve: point abscissa = ") == 0);
      CHECK(refusal(wrong_y).find("grid curve: point ordinate = ") == 0);
    }
  }
}

TEST_CASE("published points carry their derivatives through the curve") {
  using D = Dual<double, 1>;
  const auto curve = [](D y) { return MonotoneCurve<D, 3>({{{D(0), D(0)}, {D(1), y}, {D(3), D(2)}}})(D(0.4)); };
  const double step = 1e-6;
  const double central = (curve(D(1 + step)).value() - curve(D(1 - step)).value()) / (2 * step);
  CHECK(relative_gap(curve(D::variable(1.0, 0)).partial(0), central) < 1e-8);
}
