// SPDX-License-Identifier: MIT
#pragma once
/// Linear equations with many right-hand sides, solved once.

#include "gastube/support/math.hpp"

#include <cstddef>
#include <utility>

namespace gastube::exact {

/// Right-hand sides, one a column: n rows of `width` numbers, row-major. The solutions take their place.
template <class P>
struct RightSides {
  P* data;
  std::size_t width;
};

/// Solves A X = B for each block of right-hand sides by elimination; A (n x n, row-major) is overwritten.
/// Pivots are judged beside the greatest entries of their row and column, so units do not matter.
/// `row_scale` and `column_scale` are room for n numbers each.
/// @return false if A is singular to working precision, or at a NaN
template <class P, std::size_t Blocks>
[[nodiscard]] bool solve_sides(std::size_t n, P* a, const RightSides<P> (&sides)[Blocks], P* row_scale,
                               P* column_scale) {
  const auto add = [](P* to, P factor, const P* from, std::size_t length) {
    for (std::size_t j = 0; j < length; ++j) to[j] += factor * from[j];
  };
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
    std::swap(row_scale[best], row_scale[k]);
    for (std::size_t j = 0; best != k && j < n; ++j) std::swap(a[best * n + j], a[k * n + j]);
    for (const auto& b : sides)
      for (std::size_t j = 0; best != k && j < b.width; ++j)
        std::swap(b.data[best * b.width + j], b.data[k * b.width + j]);
    for (std::size_t i = k + 1; i < n; ++i) {
      const P factor = -a[i * n + k] / a[k * n + k];
      if (factor == P(0)) continue;
      add(a + i * n + k + 1, factor, a + k * n + k + 1, n - k - 1);
      for (const auto& b : sides) add(b.data + i * b.width, factor, b.data + k * b.width, b.width);
    }
  }
  for (const auto& b : sides)
    for (std::size_t i = n; i-- > 0;) {
      P* const row = b.data + i * b.width;
      for (std::size_t k = i + 1; k < n; ++k)
        if (a[i * n + k] != P(0)) add(row, -a[i * n + k], b.data + k * b.width, b.width);
      for (std::size_t j = 0; j < b.width; ++j) row[j] /= a[i * n + i];
    }
  return true;
}

}  // namespace gastube::exact
