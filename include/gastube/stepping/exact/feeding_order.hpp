// SPDX-License-Identifier: MIT
#pragma once
/// Coordinates in the order in which they feed each other: what only feeds others and is fed by none of them comes
/// last.

#include "gastube/support/math.hpp"

#include <cstddef>

namespace gastube::exact {

/// Orders the coordinates of v' = A v (A is n x n, row-major) so that A becomes block upper triangular with the
/// smallest possible blocks: coordinates that feed each other, directly or in a round, stand together. `block[a]`
/// receives the place where the block of place a begins; `reach` is room for n * n numbers.
template <class P>
[[gnu::cold]] void find_feeding_order(std::size_t n, const P* a, std::size_t* order, std::size_t* block, P* reach) {
  for (std::size_t i = 0; i < n * n; ++i) reach[i] = P(a[i] != P(0) || i % (n + 1) == 0 ? 1 : 0);
  for (std::size_t k = 0; k < n; ++k)
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; reach[i * n + k] != P(0) && j < n; ++j)
        if (reach[k * n + j] != P(0)) reach[i * n + j] = P(1);
  const auto together = [&](std::size_t i, std::size_t j) { return reach[i * n + j] * reach[j * n + i] != P(0); };
  const auto feeders = [&](std::size_t i) {
    std::size_t count = 0;
    for (std::size_t j = 0; j < n; ++j) count += reach[i * n + j] != P(0);
    return count;
  };
  std::size_t placed = 0;
  for (std::size_t wanted = n; placed < n && wanted > 0; --wanted)  // who is fed by many comes first
    for (std::size_t i = 0; i < n; ++i) {
      if (feeders(i) != wanted) continue;
      bool first = true;
      for (std::size_t j = 0; j < i; ++j) first = first && !together(i, j);
      if (!first) continue;
      const std::size_t begin = placed;
      for (std::size_t j = i; j < n; ++j)
        if (together(i, j)) {
          order[placed] = j;
          block[placed++] = begin;
        }
    }
}

}  // namespace gastube::exact
