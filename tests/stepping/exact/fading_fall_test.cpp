// SPDX-License-Identifier: MIT
// Sums of exponentials: what the signs say is true of very many samples, and the time of a fall is one of the curve.
#include <gastube/stepping/exact/fading_fall.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

using namespace gastube::exact;

namespace {

using Sum = FadingSum<double>;
constexpr double for_ever = 1e30, noise = 1e-13;

struct Term {
  double amplitude, rate;
};
Sum sum_of(const std::vector<Term>& terms) {
  Sum sum;
  for (const Term& t : terms) sum.add(t.amplitude, t.rate);
  return sum;
}
long double value(const std::vector<Term>& terms, double t) {
  long double v = 0;
  for (const Term& term : terms) v += term.amplitude * std::exp(static_cast<long double>(term.rate) * t);
  return v;
}

}  // namespace

TEST_CASE("terms stand by their rates, and their sum is what it is") {
  const std::vector<Term> terms{{1, -3}, {2, 0}, {-4, 0.5}, {8, -1}};
  const Sum sum = sum_of(terms);
  REQUIRE(sum.size() == 4);
  for (std::size_t k = 1; k < 4; ++k) CHECK(sum.rate(k) <= sum.rate(k - 1));
  CHECK(sum.amplitude(0) == -4);
  const Bend<double> at = sum.at(0.5);
  const double h = 1e-4;
  CHECK(at.value == doctest::Approx(double(value(terms, 0.5))).epsilon(1e-14));
  CHECK(at.slope == doctest::Approx(double(value(terms, 0.5 + h) - value(terms, 0.5 - h)) / (2 * h)).epsilon(1e-6));
  CHECK(at.curvature
        == doctest::Approx(double(value(terms, 0.5 + h) - 2 * value(terms, 0.5) + value(terms, 0.5 - h)) / (h * h))
               .epsilon(1e-5));
}

TEST_CASE("signs tell what stays, what falls once, and what they cannot tell") {
  using Verdict = Sum::Verdict;
  const auto verdict = [](const std::vector<Term>& terms) { return sum_of(terms).judge(noise); };
  CHECK(verdict({{1, 0}, {-0.5, -1}, {0.1, -2}}) == Verdict::stays);
  CHECK(verdict({{-150, 0}, {234, -1e3}, {-83, -3e4}}) == Verdict::falls_once);
  CHECK(verdict({{1, 0}, {-3, -1}, {4, -2}}) == Verdict::not_decided);  // a dip
  CHECK(verdict({{-1, 0}, {0.5, -1}}) == Verdict::not_decided);         // below zero at once
  CHECK(verdict({{1e-14, 0}, {1, -1}}) == Verdict::not_decided);        // no sign in the long run
  CHECK(verdict({{0, 0}, {1, -1}}) == Verdict::stays);
  CHECK(verdict({{1, 0}, {-0.1, 2}}) == Verdict::falls_once);  // what grows wins in the end
  CHECK(verdict({{std::nan(""), 0}, {1, -1}}) == Verdict::not_decided);
}

TEST_CASE("a logarithm, and the time asked for where it falls later") {
  Sum sum = sum_of({{-1, 0}, {4, -2}});
  REQUIRE(sum.judge(noise) == Sum::Verdict::falls_once);
  CHECK(std::fabs(sum.fall(for_ever) - std::log(2.0)) < 3e-16);
  CHECK(sum.fall(0.5) == 0.5);
}

TEST_CASE("random sums against many samples") {
  const unsigned seed = 20261;
  CAPTURE(seed);
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> amplitude(-1, 1), logarithm(-3, 3);
  int stay = 0, fall = 0;
  for (int trial = 0; trial < 4000; ++trial) {
    std::vector<Term> terms{{amplitude(random), 0}};
    const int size = 1 + trial % 5;
    for (int k = 0; k < size; ++k) terms.push_back({amplitude(random), -std::exp(logarithm(random))});
    Sum sum = sum_of(terms);
    const auto verdict = sum.judge(noise);
    if (verdict == Sum::Verdict::not_decided) continue;
    const bool falls = verdict == Sum::Verdict::falls_once;
    const double when = falls ? sum.fall(for_ever) : for_ever;
    long double before = 1, after = -1;
    for (int i = -400; i <= 200; ++i) {
      const double t = std::exp(0.05 * i);
      if (t < when * (1 - 1e-9)) before = std::min(before, value(terms, t));
      if (t > when * (1 + 1e-9)) after = std::max(after, value(terms, t));
    }
    CHECK(before > -1e-15L);
    CHECK((!falls || after < 1e-15L));
    ++(falls ? fall : stay);
    if (!falls) continue;
    const Bend<double> at = sum.at(when);
    CHECK(std::fabs(double(value(terms, when))) <= 4e-15 + 4e-16 * std::fabs(at.slope) * when);
  }
  CHECK(stay > 400);
  CHECK(fall > 400);
}
