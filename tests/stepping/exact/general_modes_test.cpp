// SPDX-License-Identifier: MIT
// Modes of circuits that ring or amplify, as the solver leaves them (without the last refinement).
#include <gastube/stepping/exact/general_modes.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace gastube;
using namespace gastube::exact;

TEST_CASE_TEMPLATE("left E right = 1 and left K right = -block", P, float, double, long double) {
  const std::uint64_t seed = 18;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(-1, 1);
  for (int round = 0; round < 20; ++round) {
    const std::size_t m = 1 + std::size_t(round) % 6;
    std::vector<P> e(m * m), k(m * m);
    for (std::size_t i = 0; i < m * m; ++i) {
      e[i] = P(unit(random)) + P(i % (m + 1) == 0 ? m : 0);
      k[i] = P(unit(random));
    }
    ModalBasis<P, 6> found(m);
    REQUIRE(GeneralModes<P, 6>(m, e.data(), k.data(), P(0)).find(found) == ModesStatus::found);
    std::size_t states = 0;
    for (std::size_t g = 0; g < found.count; ++g) {
      const auto& group = found.groups[g];
      states += group.size * (group.turning ? 2 : 1);
      REQUIRE(group.size == 1);
      Complex<P> mass, link;
      for (std::size_t i = 0; i < m; ++i)
        for (std::size_t j = 0; j < m; ++j) {
          const Complex<P> both = found.left[group.first * m + i] * found.right[group.first * m + j];
          mass += e[i * m + j] * both;
          link += k[i * m + j] * both;
        }
      CHECK(size_of(mass - Complex<P>{P(1)}) < P(200) * round_off<P>);
      CHECK(size_of(link + found.block[group.first * m]) < P(200) * round_off<P>);
    }
    CHECK(states == m);
  }
}
TEST_CASE("rates over twelve decades, in a mixture of coordinates") {
  // M = S diag(-1e9, -3e4, -2, -1e-3) S^-1 with S = 1 + u w^T, w u = 1: S^-1 = 1 - u w^T / 2
  const double rate[] = {-1e9, -3e4, -2, -1e-3}, u[] = {1, -1, 1, 1}, w[] = {0.25, 0.25, 0.5, 0.5};
  double e[16] = {}, k[16];
  for (int i = 0; i < 4; ++i)
    for (int j = 0; j < 4; ++j) {
      // E = S^-1, K = -diag(rate) S^-1, so that no digit of a slow rate drowns in K
      e[4 * i + j] = (i == j ? 1 : 0) - u[i] * w[j] / 2;
      k[4 * i + j] = -rate[i] * e[4 * i + j];
    }
  ModalBasis<double, 4> found(4);
  REQUIRE(GeneralModes<double, 4>(4, e, k, 0.0).find(found) == ModesStatus::found);
  REQUIRE(found.count == 4);
  for (std::size_t i = 0; i < 4; ++i)
    CHECK(found.block[i * 4].re == doctest::Approx(rate[i]).epsilon(1e-6).scale(0));  // refinement brings the rest
}
