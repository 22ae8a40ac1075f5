// SPDX-License-Identifier: MIT
// Eigenvectors of D + rho z z^T, and modes after the change of one conductance.
#include <gastube/stepping/exact/modes.hpp>
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
  std::vector<double> found(m * m);
  REQUIRE(RankOneUpdate<double, dynamic_extent>(m).find(m, rates.data(), shares.data(), rho, found.data()));
  const std::vector<long double> d(rates.begin(), rates.end()), z(shares.begin(), shares.end()),
      q(found.begin(), found.end());
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
    const std::size_t m = 1 + std::size_t(round) % 9;
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
TEST_CASE("a change is told apart from others") {
  const double before[] = {2, -1, -1, 3}, one[] = {2.5, -1.5, -1.5, 3.5}, two[] = {2.5, -1, -1, 3.5};
  double u[2], rho = 0;
  REQUIRE(split_change(2, before, one, u, rho));
  CHECK(rho == 0.5);
  CHECK(u[0] * u[1] == -1);
  CHECK_FALSE(split_change(2, before, two, u, rho));
  REQUIRE(split_change(2, before, before, u, rho));
  CHECK(rho == 0);
}
TEST_CASE("a tube lights, and goes out: modes as if found anew") {
  for (const std::size_t m : {1u, 2u, 6u, 40u}) {
    CAPTURE(m);
    std::vector<double> e(m * m, 0.0), k(m * m, 0.0);
    for (std::size_t i = 0; i < m; ++i) {
      e[i * m + i] = 1e-6 * double(1 + i % 3);
      k[i * m + i] += 1e-4;
      if (i == 0) continue;
      k[i * m + i] += 1e-3;
      k[(i - 1) * m + i - 1] += 1e-3;
      k[i * m + i - 1] = k[(i - 1) * m + i] = -1e-3;
    }
    auto lit = k;
    const std::size_t a = m / 3, c = m - 1;
    lit[a * m + a] += 0.5;
    if (a != c) {
      lit[c * m + c] += 0.5;
      lit[a * m + c] -= 0.5;
      lit[c * m + a] -= 0.5;
    }
    Modes<double, dynamic_extent> dark, updated, anew;
    REQUIRE(dark.find(m, e.data(), k.data()) == ModesStatus::found);
    for (const bool lights : {true, false}) {
      const auto& now = lights ? lit : k;
      REQUIRE(anew.find(m, e.data(), now.data()) == ModesStatus::found);
      if (lights)
        REQUIRE(updated.find_from(dark, k.data(), m, e.data(), lit.data()) == ModesStatus::found);
      else
        REQUIRE(updated.find_from(Modes(updated), lit.data(), m, e.data(), k.data()) == ModesStatus::found);
      REQUIRE(updated.groups() == m);
      for (std::size_t i = 0; i < m; ++i) {
        CHECK(updated.group(i).growth == doctest::Approx(anew.group(i).growth).epsilon(3e-12).scale(0));
        for (std::size_t j = 0; j < m; ++j) {
          double unit = i == j ? -1 : 0;
          for (std::size_t r = 0; r < m; ++r) unit += updated.row(i, r).re * updated.column(j, r).re;
          CHECK(std::fabs(unit) < 5e-15);
        }
        double residual = 0, size = 0;
        for (std::size_t r = 0; r < m; ++r) {
          double sum = 0;
          for (std::size_t s = 0; s < m; ++s)
            sum += (updated.group(i).growth * e[r * m + s] + now[r * m + s]) * updated.column(i, s).re;
          residual = std::fmax(residual, std::fabs(sum));
          size = std::fmax(size, std::fabs(now[r * m + r] * updated.column(i, r).re));
        }
        CHECK(residual < 1e-11 * size);
      }
    }
  }
}
TEST_CASE("a conductance that ruled a mode is not taken away by an update that would lose digits") {
  const double e[] = {1, 0, 0, 1}, lit[] = {1e12 + 1, -1e12, -1e12, 1e12 + 1}, dark[] = {1, 0, 0, 1};
  Modes<double, 2> before, after;
  REQUIRE(before.find(2, e, lit) == ModesStatus::found);
  REQUIRE(after.find_from(before, lit, 2, e, dark) == ModesStatus::found);
  CHECK(after.group(0).growth == -1);
  CHECK(after.group(1).growth == -1);
}
