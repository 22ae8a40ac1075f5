// SPDX-License-Identifier: MIT
// A steady swing with exponentials: against closed forms, very many samples, and a crest that misses by little.
#include <gastube/stepping/exact/swinging_fall.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

using namespace gastube::exact;

namespace {

using Sum = SwingingSum<double>;
constexpr double for_ever = 1e30, pi = std::numbers::pi;

double value_at_start(const Sum& sum) { return sum.at(0).value; }
double fall(Sum sum, double until = for_ever) { return simple_fall(sum, value_at_start(sum), until, 1e-13); }

}  // namespace

TEST_CASE("value and derivatives are those of the sum") {
  Sum sum{0.5, -2, 3, {}};
  sum.rest.add(1, 0);
  sum.rest.add(-1.5, -2);
  const auto value = [&](double t) { return 0.5 * std::cos(3 * t) + 2 * std::sin(3 * t) + 1 - 1.5 * std::exp(-2 * t); };
  const double t = 0.7, h = 1e-4;
  CHECK(sum.at(t).value == doctest::Approx(value(t)).epsilon(1e-14));
  CHECK(sum.at(t).slope == doctest::Approx((value(t + h) - value(t - h)) / (2 * h)).epsilon(1e-6));
  CHECK(sum.at(t).curvature == doctest::Approx((value(t + h) - 2 * value(t) + value(t - h)) / (h * h)).epsilon(1e-5));
}

TEST_CASE("a cosine above a level") {
  for (const double level : {0.9, 0.5, 0.0, -0.5, -0.999}) {
    Sum sum{1, 0, 100 * pi, {}};
    sum.rest.add(-level, 0);
    const double right = std::acos(level) / (100 * pi);
    CHECK(std::fabs(fall(sum) - right) <= 4e-16 * right + 2e-16 / std::sqrt(1 - level * level) / (100 * pi));
    CHECK(fall(sum, 0.9 * right) == 0.9 * right);
  }
}

TEST_CASE("a swing that never reaches down, and one that does after exponentials have died away") {
  Sum sum{1, 1, 2, {}};
  sum.rest.add(1.5, 0);
  CHECK(fall(sum) == for_ever);  // sqrt(2) < 1.5
  sum.rest.add(1, -0.01);
  CHECK(fall(sum) == for_ever);
  Sum late{0, 1, 2, {}};  // 0.9 + 5 exp(-t / 10) - sin 2t
  late.rest.add(0.9, 0);
  late.rest.add(5, -0.1);
  const double t = fall(late);
  CHECK(std::fabs(late.at(t).value) < 1e-14);
  for (int k = 0; k < 200000; ++k) REQUIRE(late.at(t * k / 200000.0).value > 0);
}

TEST_CASE("a crest that misses by a nanovolt is passed, one that reaches by as little is met") {
  for (const double miss : {1e-9, -1e-9}) {
    Sum sum{1, 0, 1, {}};
    sum.rest.add(1 + miss, 0);
    sum.rest.add(1e-3, -1e-3);  // too slow to be gone at the first
    sum.rest.add(-1e-3 * std::exp(-1e-3 * pi), 0);
    const double t = fall(sum, 4);
    if (miss > 0)
      CHECK(t == 4);
    else
      CHECK(std::fabs(t - (pi - std::sqrt(2e-9))) < 1e-3);
  }
}

TEST_CASE("not clearly above zero at the start, or not finite: not decided") {
  Sum sum{1, 0, 1, {}};
  sum.rest.add(-1, 0);
  CHECK(fall(sum) == not_decided<double>);
  sum.rest.add(std::nan(""), -1);
  CHECK(fall(sum) == not_decided<double>);
}

TEST_CASE("random sums against many samples") {
  const unsigned seed = 20262;
  CAPTURE(seed);
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> amplitude(-1, 1), logarithm(-3, 3);
  constexpr double until = 12;
  constexpr int samples = 4000;
  int found = 0, none = 0;
  for (int trial = 0; trial < 1000; ++trial) {
    Sum sum{amplitude(random), amplitude(random), std::exp(0.5 * logarithm(random)), {}};
    sum.rest.add(1 + amplitude(random), 0);
    for (int k = 0; k < trial % 4; ++k) sum.rest.add(amplitude(random), -std::exp(logarithm(random)));
    if (!(value_at_start(sum) > 1e-6)) continue;
    const double t = fall(sum, until);
    REQUIRE(t > 0);
    for (int k = 0; k < samples; ++k)
      if (const double before = until * k / samples; before < t * (1 - 1e-12)) REQUIRE(sum.at(before).value > -1e-14);
    ++(t < until ? found : none);
    if (!(t < until)) continue;
    const Bend<double> at = sum.at(t);
    CHECK(std::fabs(at.value) < 1e-13);
    CHECK(at.slope < 1e-6);
  }
  CHECK(found > 200);
  CHECK(none > 100);
}
