// SPDX-License-Identifier: MIT
// Eigenvectors of symmetric matrices by way of tridiagonal form.
#include <gastube/stepping/exact/tridiagonal.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace gastube::exact;

namespace {

std::vector<double> random_matrix(std::size_t n, std::mt19937_64& random) {
  std::uniform_real_distribution<double> unit(-1, 1);
  std::vector<double> a(n * n);
  for (auto& entry : a) entry = unit(random);
  return a;
}

}  // namespace

TEST_CASE("A Q = Q D with Q orthogonal") {
  const std::uint64_t seed = 15;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  for (const std::size_t n : {1u, 2u, 3u, 7u, 30u}) {
    auto a = random_matrix(n, random);
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < i; ++j) a[i * n + j] = a[j * n + i] = (i + j) % 3 == 0 ? 0.0 : a[i * n + j];
    auto q = a;
    std::vector<double> diagonal(n), beside(n);
    reduce_to_tridiagonal(n, q.data(), diagonal.data(), beside.data());
    REQUIRE(settle_tridiagonal(n, diagonal.data(), beside.data(), q.data()));
    double gap = 0;
    for (std::size_t k = 0; k < n; ++k)
      for (std::size_t i = 0; i < n; ++i) {
        gap = std::fmax(gap, std::fabs(dot(n, &a[i * n], &q[k * n]) - diagonal[k] * q[k * n + i]));
        gap = std::fmax(gap, std::fabs(dot(n, &q[i * n], &q[k * n]) - (i == k ? 1 : 0)));
      }
    CHECK(gap < 2e-14);
  }
}
TEST_CASE("a NaN does not settle") {
  double diagonal[] = {1, std::nan(""), 2}, beside[] = {0, 1, 1}, q[9] = {};
  CHECK_FALSE(settle_tridiagonal(3, diagonal, beside, q));
}
