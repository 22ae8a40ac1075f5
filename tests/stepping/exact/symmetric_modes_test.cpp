// SPDX-License-Identifier: MIT
// Modes of resistive networks of capacitors, also where slow rates stand beside very fast ones.
#include <gastube/stepping/exact/symmetric_modes.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative_gap;

TEST_CASE("symmetry is judged beside the size of what is compared") {
  const double e[] = {1e-12, 0, 0, 1e-3}, k[] = {1, -1e-9, -1e-9, 1e-12}, skew[] = {1, -1e-9, 1e-9, 1e-12};
  CHECK(look_symmetric(2, e, k));
  CHECK_FALSE(look_symmetric(2, e, skew));
  CHECK_FALSE(look_symmetric(2, skew, k));
  const double empty[] = {0, 0, 0, 1};
  CHECK_FALSE(look_symmetric(2, empty, k));
}
TEST_CASE("graded rates agree with long double to their last digits") {
  const std::uint64_t seed = 17;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(-1, 1);
  for (int round = 0; round < 30; ++round) {
    const std::size_t m = 2 + std::size_t(round) % 8;
    std::vector<double> e(m * m, 0.0), k(m * m, 0.0), size(m);
    for (auto& s : size) s = std::pow(10.0, 6 * unit(random));
    for (std::size_t i = 0; i < m; ++i)
      for (std::size_t j = 0; j <= i; ++j) {
        k[i * m + j] = k[j * m + i] = size[i] * size[j] * (i == j ? 1 : 0.3 / double(m) * unit(random));
        e[i * m + j] = e[j * m + i] = (i == j ? 1 : 0.3 / double(m) * unit(random));
      }
    const std::vector<long double> le(e.begin(), e.end()), lk(k.begin(), k.end());
    SymmetricModes<double, dynamic_extent> modes(m);
    SymmetricModes<long double, dynamic_extent> exact(m);
    REQUIRE(modes.find(e.data(), k.data()));
    REQUIRE(exact.find(le.data(), lk.data()));
    modes.sort();
    exact.sort();
    for (std::size_t i = 0; i < m; ++i) CHECK(relative_gap(modes.decay(i), exact.decay(i)) < 1e-14);
  }
}
TEST_CASE("many modes: the slowest keep their digits beside fast ones, and conserved charge stays") {
  const std::size_t m = 30;
  std::vector<double> e(m * m, 0.0), k(m * m, 0.0);
  for (std::size_t i = 0; i < m; ++i) {
    e[i * m + i] = std::pow(10.0, -double(i % 10));
    if (i == 0) continue;
    const double g = i % 3 == 0 ? 8.0 : 0.125;  // exact sums: no conductance to ground is feigned by round-off
    k[i * m + i] += g;
    k[(i - 1) * m + i - 1] += g;
    k[i * m + i - 1] = k[(i - 1) * m + i] = -g;
  }
  const std::vector<long double> le(e.begin(), e.end()), lk(k.begin(), k.end());
  SymmetricModes<double, dynamic_extent> modes(m);
  SymmetricModes<long double, dynamic_extent> exact(m);
  REQUIRE(modes.find(e.data(), k.data()));
  REQUIRE(exact.find(le.data(), lk.data()));
  modes.sort();
  exact.sort();
  CHECK(modes.decay(0) == 0);
  for (std::size_t i = 1; i < m; ++i) CHECK(relative_gap(modes.decay(i), exact.decay(i)) < 1e-13);
}
TEST_CASE("an E that is not positive definite is refused") {
  const double e[] = {1, 2, 2, 1}, k[] = {1, 0, 0, 1}, singular[] = {1, 1, 1, 1};
  SymmetricModes<double, 2> modes(2);
  CHECK_FALSE(modes.find(e, k));
  CHECK_FALSE(modes.find(singular, k));
  const double unit[] = {1, 0, 0, 1}, broken[] = {1, std::nan(""), std::nan(""), 1};
  CHECK_FALSE(modes.find(unit, broken));
}
