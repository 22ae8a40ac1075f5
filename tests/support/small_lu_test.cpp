// SPDX-License-Identifier: MIT
// The factors for few equations: the same answers as those for any number, and the same refusals.
#include <gastube/adapt/dual.hpp>
#include <gastube/support/small_lu.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>
#include <type_traits>

using namespace gastube;
using closeness::absolute_gap;

static_assert(std::is_same_v<SmallLu<double, 3>, DenseLu<double, 3>>);
static_assert(std::is_same_v<SmallLu<double, 9>, Lu<double, 9>>);
static_assert(std::is_same_v<SmallLu<double, dynamic_extent>, Lu<double, dynamic_extent>>);

namespace {

template <std::size_t N>
void check_against_lu(std::mt19937& random) {
  std::uniform_real_distribution<double> entry(-1, 1), chance(0, 1);
  std::uniform_int_distribution<int> power(-40, 20);
  for (int k = 0; k < 100; ++k) {
    DenseLu<double, N> small(N);
    Lu<double, N> any(N);
    std::array<double, N> b{}, c{}, wanted{};
    for (auto& w : wanted) w = entry(random);
    for (std::size_t i = 0; i < N; ++i) {
      const double scale = std::ldexp(1.0, power(random));
      for (std::size_t j = 0; j < N; ++j) {
        const double a = chance(random) < 0.4 ? 0.0 : entry(random) * scale;
        small.entries()[i * N + j] = any.entries()[i * N + j] = a;
        b[i] += a * wanted[j];
      }
    }
    c = b;
    const bool regular = any.factor();
    CHECK(small.factor() == regular);
    if (!regular) continue;
    small.solve(b.data());
    any.solve(c.data());
    double difference = 0, lost = 0;  // of both to each other, and of the other to the truth
    for (std::size_t i = 0; i < N; ++i) {
      difference = std::max(difference, std::abs(b[i] - c[i]));
      lost = std::max(lost, std::abs(c[i] - wanted[i]));
    }
    CHECK(difference <= 8 * lost + 1e-13);
  }
}

}  // namespace

TEST_CASE("answers and refusals are those of the factors for any number of equations") {
  const unsigned seed = 7;
  CAPTURE(seed);
  std::mt19937 random(seed);
  check_against_lu<1>(random);
  check_against_lu<2>(random);
  check_against_lu<3>(random);
  check_against_lu<5>(random);
  check_against_lu<8>(random);
}

TEST_CASE("singular matrices and those that hold no number are refused") {
  DenseLu<double, 2> lu(2);
  const auto factor = [&](double a, double b, double c, double d) {
    lu.entries()[0] = a, lu.entries()[1] = b, lu.entries()[2] = c, lu.entries()[3] = d;
    return lu.factor();
  };
  CHECK(factor(1, 2, 3, 4));
  CHECK(factor(0, 1, 1, 0));
  CHECK_FALSE(factor(1, 2, 2, 4));
  CHECK_FALSE(factor(0, 0, 1, 1));
  CHECK_FALSE(factor(0, 1, 0, 1));
  CHECK_FALSE(factor(std::numeric_limits<double>::quiet_NaN(), 1, 1, 2));
  CHECK_FALSE(factor(1, 1, std::numeric_limits<double>::infinity(), 2));
}

TEST_CASE("derivatives pass through") {
  using D = Dual<double, 1>;
  DenseLu<D, 2> lu(2);
  const D a = D::variable(3.0, 0);
  lu.entries()[0] = D(0), lu.entries()[1] = a, lu.entries()[2] = D(2), lu.entries()[3] = D(1);
  REQUIRE(lu.factor());
  D b[2] = {D(6), D(4)};  // a y = 6, 2 x + y = 4
  lu.solve(b);
  CHECK(absolute_gap(b[1].value(), 2) < 1e-15);
  CHECK(absolute_gap(b[1].partial(0), -6.0 / 9) < 1e-15);
  CHECK(absolute_gap(b[0].partial(0), 3.0 / 9) < 1e-15);
}
