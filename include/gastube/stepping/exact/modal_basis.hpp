// SPDX-License-Identifier: MIT
#pragma once
/// Modes as the eigen-solvers leave them: groups of right and left vectors, and the small matrix each group moves by.

#include "gastube/stepping/exact/complex_number.hpp"
#include "gastube/support/storage.hpp"

#include <cstddef>

namespace gastube::exact {

/// Columns [first, first + size) that belong together.
template <class P>
struct BasisGroup {
  std::size_t first = 0, size = 1;
  bool turning = false;  // stands for its complex conjugate too
  bool still = false;    // the mean of its rates is exactly 0
  P spread = P(0);       // 1/s, greatest distance of an eigenvalue from their mean
};

/// left E right = 1 and left K right = -block within a group, 0 between groups. Column k of `right` and row k of `left`
/// are contiguous, m numbers each; entry (k, l) of a group's block stands at k * m + l, l counted within the group.
template <class P, std::size_t Extent>
struct ModalBasis {
  Storage<Complex<P>, extent_product(Extent, Extent)> right, left, block;
  Storage<BasisGroup<P>, Extent> groups;
  std::size_t columns = 0, count = 0;

  explicit ModalBasis(std::size_t m)
      : right(filled<Complex<P>, extent_product(Extent, Extent)>(m * m, {}))
      , left(right)
      , block(right)
      , groups(filled<BasisGroup<P>, Extent>(m, {})) {}
};

}  // namespace gastube::exact
