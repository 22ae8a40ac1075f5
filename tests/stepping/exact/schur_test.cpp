// SPDX-License-Identifier: MIT
// The real Schur form: similarity, orthogonality, known eigenvalues, balancing.
#include <gastube/stepping/exact/schur.hpp>

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

TEST_CASE("A = Z T Z^T with Z orthogonal and T triangular but for complex pairs") {
  const std::uint64_t seed = 12;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  for (std::size_t n = 1; n < 12; ++n) {
    const auto a = random_matrix(n, random);
    auto h = a;
    std::vector<double> z(n * n, 0.0), work(n);
    for (std::size_t i = 0; i < n; ++i) z[i * n + i] = 1;
    reduce_to_hessenberg(n, h.data(), z.data(), work.data());
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j + 1 < i; ++j) CHECK(h[i * n + j] == 0);
    REQUIRE(QrSteps<double>(n, h.data(), z.data()).run());
    double similarity = 0, orthogonality = 0;
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < n; ++j) {
        double product = 0, unit = i == j ? -1 : 0;
        for (std::size_t k = 0; k < n; ++k) {
          unit += z[k * n + i] * z[k * n + j];
          for (std::size_t l = 0; l < n; ++l) product += z[i * n + k] * h[k * n + l] * z[j * n + l];
        }
        similarity = std::fmax(similarity, std::fabs(product - a[i * n + j]));
        orthogonality = std::fmax(orthogonality, std::fabs(unit));
      }
    CHECK(similarity < 2e-14);
    CHECK(orthogonality < 1e-14);
    for (std::size_t k = 0; k + 1 < n; ++k) {
      const double low = h[(k + 1) * n + k], half = (h[k * n + k] - h[(k + 1) * n + k + 1]) / 2;
      if (low != 0) CHECK(half * half + low * h[k * n + k + 1] < 0);  // only complex pairs stay
      if (low != 0 && k + 2 < n) CHECK(h[(k + 2) * n + k + 1] == 0);
    }
  }
}
TEST_CASE("eigenvalues of a companion matrix") {
  // (x - 1)(x - 2)(x - 3)(x - 4) = x^4 - 10 x^3 + 35 x^2 - 50 x + 24
  double h[] = {10, -35, 50, -24, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}, z[16] = {};
  REQUIRE(QrSteps<double>(4, h, z).run());
  double sum = 0, product = 1;
  for (int i = 0; i < 4; ++i) {
    const double root = h[i * 5];
    CHECK(std::fabs(root - std::round(root)) < 1e-12);
    sum += std::round(root);
    product *= std::round(root);
  }
  CHECK(sum == 10);
  CHECK(product == 24);
}
TEST_CASE("balancing undoes a change of units, and leaves alone what only feeds or is only fed") {
  double a[] = {1, 1e12, 0, 2e-12, 1, 0, 5e20, 0, 3}, scale[3];
  balance(3, a, scale);
  CHECK(std::fabs(std::log2(a[1] / a[3])) < 5);
  CHECK(a[6] < 20);
  CHECK(a[6] * scale[2] / scale[0] == doctest::Approx(5e20).epsilon(1e-15).scale(0));
  double nan[] = {1, std::nan(""), 1, 1}, z[4] = {};
  CHECK_FALSE(QrSteps<double>(2, nan, z).run());
}
