// SPDX-License-Identifier: MIT
// The bracketing root finder on smooth, random and nasty functions.
#include <gastube/support/root.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>

using namespace gastube;
using closeness::absolute_gap;

namespace {

/// Wraps a function: counts its evaluations and remembers the outermost arguments it was asked for.
template <class S, class Function>
struct Watched {
  Function f;
  int evaluations = 0;
  S least = std::numeric_limits<S>::max(), greatest = std::numeric_limits<S>::lowest();

  S operator()(S x) {
    ++evaluations;
    least = math::min(least, x);
    greatest = math::max(greatest, x);
    return f(x);
  }
};

/// Shrinks a bracket around a known root, checks all that is promised, and returns the number of evaluations.
template <class S, class Function>
int check_bracket(Function f, S low, S high, S root, S tolerance) {
  Watched<S, Function> watched{f};
  const Bracket<S> start{low, high, f(low), f(high)};
  const Bracket<S> found = shrink_bracket(watched, start, tolerance);
  CAPTURE(low);
  CAPTURE(high);
  CAPTURE(found.low);
  CAPTURE(found.high);
  CHECK((found.value_low > S(0)) == (start.value_low > S(0)));
  CHECK((found.value_high > S(0)) == (start.value_high > S(0)));
  CHECK(found.value_low == f(found.low));
  CHECK(found.value_high == f(found.high));
  const S left = math::min(found.low, found.high), right = math::max(found.low, found.high);
  CHECK(left <= root);
  CHECK(root <= right);
  const S floor = S(4) * round_off<S> * math::max(math::abs(left), math::abs(right));
  CHECK(right - left <= math::max(tolerance, floor));
  if (watched.evaluations > 0) {
    CHECK(watched.least >= math::min(low, high));
    CHECK(watched.greatest <= math::max(low, high));
  }
  CHECK(watched.evaluations <= 200);
  return watched.evaluations;
}

/// How many halvings of a bracket bisection needs.
template <class S>
int halvings(S low, S high, S tolerance) {
  return static_cast<int>(std::ceil(std::log2(math::abs(S(high - low)) / tolerance)));
}

}  // namespace

TEST_CASE_TEMPLATE("random monotone functions are bracketed to the tolerance", S, float, double, long double) {
  const std::uint64_t seed = 811;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> place(-5, 5), exponent(-6, 6), sign(-1, 1);
  const S tolerance = S(1000) * round_off<S>;
  int most = 0;
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    const S root = S(place(random)), steep = S(std::pow(10.0, exponent(random))),
            bend = S(std::pow(10.0, exponent(random)));
    const S direction = sign(random) < 0 ? S(-1) : S(1);
    const auto f = [=](S x) {
      return S(direction * ((x - root) * steep + bend * (x - root) * (x - root) * (x - root)));
    };
    const S low = S(root - S(0.01) - S(std::abs(place(random)))), high = S(root + S(0.01) + S(std::abs(place(random))));
    most = std::max(most, check_bracket(f, low, high, root, tolerance));
    most = std::max(most, check_bracket(f, high, low, root, tolerance));  // the abscissae may come in either order
  }
  CAPTURE(most);
  CHECK(most <= 2 * halvings(S(-5), S(5), tolerance));
}

TEST_CASE_TEMPLATE("nasty functions are bracketed as well", S, float, double, long double) {
  const S tolerance = S(100) * round_off<S>, third = S(1) / S(3);
  const int limit = 3 * halvings(S(-1), S(2), tolerance);
  const auto power = [](S x, int n) {
    S y = x;
    for (int k = 1; k < n; ++k) y *= x;
    return y;
  };
  SUBCASE("flat at the root") {
    CHECK(check_bracket([&](S x) { return power(S(x - third), 5); }, S(-1), S(2), third, tolerance) <= limit);
  }
  SUBCASE("flat in every derivative at the root") {
    const auto f = [&](S x) {
      return S((x < third ? S(-1) : S(1)) * std::exp(S(-1) / math::max(S(std::fabs(x - third)), S(0.02))));
    };
    CHECK(check_bracket(f, S(-1), S(2), third, tolerance) <= limit);
  }
  SUBCASE("steep at the root and flat elsewhere") {
    CHECK(check_bracket([&](S x) { return S(std::atan(S(1e6) * (x - third))); }, S(-1), S(2), third, tolerance)
          <= limit);
  }
  SUBCASE("infinitely steep at the root") {
    CHECK(check_bracket([&](S x) { return S(std::cbrt(x - third)); }, S(-1), S(2), third, tolerance) <= limit);
  }
  SUBCASE("a jump, one side a million times higher") {
    CHECK(check_bracket([&](S x) { return x < third ? S(-1e6) : S(1); }, S(-1), S(2), third, tolerance) <= limit);
  }
  SUBCASE("a pole that changes sign") {
    CHECK(check_bracket([&](S x) { return S(S(1) / (x - third)); }, S(-1), S(2), third, tolerance) <= limit);
  }
  SUBCASE("infinite at an end") {
    const auto f = [](S x) { return S(S(1) / x - S(3)); };
    CHECK(check_bracket(f, S(0), S(2), third, S(4) * tolerance) <= limit);
  }
  SUBCASE("a root next to an end") {
    const S root = S(S(2) - S(8) * round_off<S>);
    CHECK(check_bracket([&](S x) { return S(x - root); }, S(-1), S(2), root, tolerance) <= limit);
  }
}

TEST_CASE("on smooth functions interpolation saves most of the halvings") {
  // bisection alone would take 50 evaluations for each
  CHECK(check_bracket([](double x) { return std::exp(-x) - 0.25; }, 0.0, 5.0, std::log(4.0), 5e-15) <= 12);
  CHECK(check_bracket([](double x) { return std::cos(x); }, 0.0, 3.0, std::acos(0.0), 5e-15) <= 10);
  CHECK(check_bracket([](double x) { return 48.0 - 60.0 * (1 - std::exp(-x / 0.1)); }, 0.0, 1.0, 0.1 * std::log(5.0),
                      1e-15)
        <= 14);
}

TEST_CASE("a bracket that is narrow enough is left alone") {
  CHECK(check_bracket([](double x) { return x - 0.5; }, 0.4, 0.6, 0.5, 0.21) == 0);
}

TEST_CASE("a function that is zero over a stretch ends on the stretch's edge") {
  // "low" must stay where the function is positive, "high" where it is not: the event's first instant
  const auto f = [](double x) { return x < 0.25 ? 0.25 - x : 0.0; };
  const Bracket<double> found = shrink_bracket(f, Bracket<double>{0.0, 1.0, f(0.0), f(1.0)}, 1e-12);
  CHECK(found.value_low > 0.0);
  CHECK(found.value_high == 0.0);
  CHECK(absolute_gap(found.high, 0.25) <= 1e-12);
}

TEST_CASE("a tolerance below round-off and a bracket too wide both end in time") {
  check_bracket([](double x) { return x * x - 2; }, 0.0, 2.0, std::sqrt(2.0), 1e-300);
  int evaluations = 0;
  const auto f = [&](double x) {
    ++evaluations;
    return x - 1e-250;
  };
  const Bracket<double> found = shrink_bracket(f, Bracket<double>{0.0, 1e300, -1e-250, 1e300}, 1e-300);
  CHECK(evaluations <= 200);
  CHECK(found.low <= 1e-250);
  CHECK(found.high >= 1e-250);
}

TEST_CASE_TEMPLATE("a root is found wherever it lies, at an end too", S, float, double, long double) {
  const auto f = [](S x) { return S(x * x * x - S(8)); };
  CHECK(absolute_gap(find_root(f, S(0), S(5), S(10) * round_off<S>), 2) <= 10 * double(round_off<S>));
  CHECK(absolute_gap(find_root(f, S(5), S(0), S(10) * round_off<S>), 2) <= 10 * double(round_off<S>));
  CHECK(find_root(f, S(2), S(5), S(1e-3)) == S(2));
  CHECK(find_root(f, S(-1), S(2), S(1e-3)) == S(2));
  // around 0 nothing but the tolerance ends the search
  CHECK(absolute_gap(find_root([](S x) { return S(x + S(1e-20)); }, S(-1), S(1), S(1e-25)), -1e-20) <= 1.1e-25);
}
