// SPDX-License-Identifier: MIT
// Linear equations with many right-hand sides, in units that differ by many powers of ten.
#include <gastube/stepping/exact/right_sides.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace gastube::exact;
using closeness::relative_gap;

namespace {

std::vector<double> random_matrix(std::size_t n, std::mt19937_64& random) {
  std::uniform_real_distribution<double> unit(-1, 1);
  std::vector<double> a(n * n);
  for (auto& entry : a) entry = unit(random);
  return a;
}

}  // namespace

TEST_CASE("solutions of random equations, whatever the units of rows and columns") {
  const std::uint64_t seed = 11;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  std::uniform_int_distribution<int> power(-40, 40);
  for (std::size_t n = 1; n < 8; ++n) {
    auto a = random_matrix(n, random), x = random_matrix(n, random);
    for (std::size_t i = 0; i < n; ++i) a[i * n + (i + 1) % n] += double(n);  // pivots are off the diagonal
    std::vector<int> row(n), column(n);
    for (auto& p : row) p = power(random);
    for (auto& p : column) p = power(random);
    std::vector<double> b(n * n, 0.0), c(n), scale(2 * n);
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < n; ++j) {
        a[i * n + j] = std::ldexp(a[i * n + j], row[i] + column[j]);
        x[i * n + j] = std::ldexp(x[i * n + j], -column[i]);
      }
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t k = 0; k < n; ++k) {
        for (std::size_t j = 0; j < n; ++j) b[i * n + j] += a[i * n + k] * x[k * n + j];
        c[i] = b[i * n];
      }
    REQUIRE(solve_sides<double>(n, a.data(), {b.data(), n}, {c.data(), 1}, scale.data(), scale.data() + n));
    for (std::size_t i = 0; i < n; ++i) CHECK(c[i] == b[i * n]);
    for (std::size_t i = 0; i < n * n; ++i) CHECK(std::fabs(b[i] - x[i]) < std::ldexp(1e-13, -column[i / n]));
  }
}
TEST_CASE("a singular matrix and a NaN are refused, a tiny regular one is not") {
  double scale[4], b[] = {1, 2}, singular[] = {1e-20, 3e-20, 2, 6}, broken[] = {1, 0, std::nan(""), 1},
                   tiny[] = {1e-30, 0, 0, 1e30};
  CHECK_FALSE(solve_sides<double>(2, singular, {b, 1}, {}, scale, scale + 2));
  CHECK_FALSE(solve_sides<double>(2, broken, {b, 1}, {}, scale, scale + 2));
  double right[] = {1, 2};
  REQUIRE(solve_sides<double>(2, tiny, {right, 1}, {}, scale, scale + 2));
  CHECK(relative_gap(right[0], 1e30) < 1e-15);
  CHECK(relative_gap(right[1], 2e-30) < 1e-15);
}
