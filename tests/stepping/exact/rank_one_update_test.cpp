// SPDX-License-Identifier: MIT
// Eigenvectors of D + rho z z^T.
#include <gastube/stepping/exact/rank_one_update.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace gastube;
using namespace gastube::exact;

namespace {

/// Greatest entry of Q^T (D + rho z z^T) Q off its diagonal, beside the roots of the two diagonal entries; and of
/// Q^T Q - 1.
double update_gap(const std::vector<double>& rates, const std::vector<double>& shares, double rho) {
  const std::size_t m = rates.size();
  std::vector<double> vectors(m * m), room(m * m);
  for (std::size_t i = 0; i < m; ++i) vectors[i * m + i] = 1;
  RankOneUpdate<double, dynamic_extent> update(m);
  REQUIRE(update.find(m, rates.data(), shares.data(), rho));
  update.turn(m, vectors.data(), room.data());
  const std::vector<long double> d(rates.begin(), rates.end()), z(shares.begin(), shares.end());
  std::vector<long double> q(m * m);  // column i is vector i
  for (std::size_t i = 0; i < m; ++i)
    for (std::size_t j = 0; j < m; ++j) q[j * m + i] = static_cast<long double>(vectors[i * m + j]);
  std::vector<long double> g(m * m, 0.0L), unit(m * m, 0.0L);
  for (std::size_t i = 0; i < m; ++i)
    for (std::size_t j = 0; j < m; ++j) {
      long double zi = 0, zj = 0;
      for (std::size_t k = 0; k < m; ++k) {
        g[i * m + j] += q[k * m + i] * d[k] * q[k * m + j];
        unit[i * m + j] += q[k * m + i] * q[k * m + j];
        zi += z[k] * q[k * m + i];
        zj += z[k] * q[k * m + j];
      }
      g[i * m + j] += static_cast<long double>(rho) * zi * zj;
      if (i == j) unit[i * m + j] -= 1;
    }
  double worst = 0;
  long double scale = 0;
  for (std::size_t i = 0; i < m; ++i) scale = std::fmax(scale, std::fabs(g[i * m + i]));
  for (std::size_t i = 0; i < m; ++i)
    for (std::size_t j = 0; j < m; ++j) {
      worst = std::fmax(worst, double(std::fabs(unit[i * m + j])));
      if (i != j) worst = std::fmax(worst, double(std::fabs(g[i * m + j]) / scale));
    }
  return worst;
}

}  // namespace

TEST_CASE("random updates up and down, with equal rates and idle ones") {
  const std::uint64_t seed = 16;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(0, 1);
  for (int round = 0; round < 60; ++round) {
    CAPTURE(round);
    const std::size_t m = 1 + std::size_t(round) % 13;
    std::vector<double> d(m), z(m);
    for (std::size_t i = 0; i < m; ++i) {
      d[i] = (i > 0 ? d[i - 1] : 0) + (random() % 4 == 0 ? 0.0 : std::pow(10.0, 8 * unit(random) - 6));
      z[i] = random() % 5 == 0 ? 0.0 : std::pow(10.0, -6 * unit(random)) * (random() % 2 == 0 ? 1 : -1);
    }
    CHECK(update_gap(d, z, 3.0) < 4e-15);
    CHECK(update_gap(d, z, 1e6) < 4e-15);
    CHECK(update_gap(d, z, -0.5) < 4e-15);
  }
}
