// SPDX-License-Identifier: MIT
#pragma once
/// Linear equations with many right-hand sides, solved once.

#include "gastube/stepping/exact/vector_sums.hpp"
#include "gastube/support/math.hpp"

#include <cstddef>
#include <utility>

namespace gastube::exact {

/// Right-hand sides, one a column: n rows of `width` numbers, row-major. The solutions take their place.
template <class P>
struct RightSides {
  P* data = nullptr;
  std::size_t width = 0;

  void swap_rows(std::size_t i, std::size_t k) const {
    for (std::size_t j = 0; j < width; ++j) std::swap(data[i * width + j], data[k * width + j]);
  }
  void add_row(std::size_t to, P factor, std::size_t from) const {
    add_scaled(width, data + to * width, factor, data + from * width);
  }
};

/// Solves A X = B for one or two blocks of right-hand sides by elimination; A (n x n, row-major) is overwritten.
/// Pivots are judged beside the greatest entries of their row and column, so units do not matter.
/// `row_scale` and `column_scale` are room for n numbers each.
/// @return false if A is singular to working precision, or at a NaN
template <class P>
[[nodiscard]] bool solve_sides(std::size_t n, P* a, const RightSides<P>& b, const RightSides<P>& c, P* row_scale,
                               P* column_scale) {
  const RightSides<P> rows{a, n};
  for (std::size_t j = 0; j < n; ++j) column_scale[j] = P(0);
  for (std::size_t i = 0; i < n; ++i) {
    row_scale[i] = P(0);
    for (std::size_t j = 0; j < n; ++j) row_scale[i] = math::max(row_scale[i], math::abs(a[i * n + j]));
    for (std::size_t j = 0; j < n; ++j)
      column_scale[j] = math::max(column_scale[j], P(math::abs(a[i * n + j]) / row_scale[i]));
  }
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t best = k;
    for (std::size_t i = k + 1; i < n; ++i)
      if (math::abs(a[i * n + k]) * row_scale[best] > math::abs(a[best * n + k]) * row_scale[i]) best = i;
    if (!(math::abs(a[best * n + k]) > P(8) * round_off<P> * row_scale[best] * column_scale[k])) return false;
    if (best != k) {
      std::swap(row_scale[best], row_scale[k]);
      for (const auto& block : {rows, b, c}) block.swap_rows(best, k);
    }
    for (std::size_t i = k + 1; i < n; ++i)
      if (a[i * n + k] != P(0)) {
        const P factor = -a[i * n + k] / a[k * n + k];
        for (const auto& block : {rows, b, c}) block.add_row(i, factor, k);
      }
  }
  for (const auto& block : {b, c})
    for (std::size_t i = n; i-- > 0;) {
      for (std::size_t k = i + 1; k < n; ++k) block.add_row(i, -a[i * n + k], k);
      for (std::size_t j = 0; j < block.width; ++j) block.data[i * block.width + j] /= a[i * n + i];
    }
  return true;
}

}  // namespace gastube::exact
