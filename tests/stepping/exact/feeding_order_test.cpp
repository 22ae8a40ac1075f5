// SPDX-License-Identifier: MIT
// The order in which coordinates feed each other.
#include <gastube/stepping/exact/feeding_order.hpp>

#include <doctest/doctest.h>

#include <random>
#include <vector>

using namespace gastube::exact;

TEST_CASE("a cascade given in any order becomes triangular") {
  // 2 feeds 0, 0 feeds 3, 3 feeds 1
  const double a[] = {1, 0, 1, 0, 0, 1, 0, 1, 0, 0, 1, 0, 1, 0, 0, 1};
  std::size_t order[4], block[4];
  double reach[16];
  find_feeding_order(4, a, order, block, reach);
  const std::size_t expected[] = {1, 3, 0, 2};
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(order[i] == expected[i]);
    CHECK(block[i] == i);
  }
}
TEST_CASE("random patterns: zeros below the blocks, and each block a round") {
  const std::uint64_t seed = 13;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  for (std::size_t n = 1; n < 12; ++n)
    for (int round = 0; round < 10; ++round) {
      std::vector<double> a(n * n), reach(n * n);
      for (auto& entry : a) entry = random() % n == 0 ? 1.0 : 0.0;
      std::vector<std::size_t> order(n, n), block(n, n), seen(n, 0);
      find_feeding_order(n, a.data(), order.data(), block.data(), reach.data());
      for (std::size_t i = 0; i < n; ++i) {
        REQUIRE(order[i] < n);
        CHECK(++seen[order[i]] == 1);
        for (std::size_t j = 0; j < n; ++j) {
          if (block[j] < block[i]) CHECK(a[order[i] * n + order[j]] == 0);
          const bool mutual = reach[order[i] * n + order[j]] != 0 && reach[order[j] * n + order[i]] != 0;
          CHECK((block[i] == block[j]) == mutual);
        }
      }
    }
}
