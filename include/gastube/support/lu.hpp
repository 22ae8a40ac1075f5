// SPDX-License-Identifier: MIT
#pragma once
/// Dense LU factors of a handful of equations, kept for reuse. Rows and columns mix volts, amperes and others, so both
/// are scaled before pivots are chosen.

#include "gastube/support/math.hpp"
#include "gastube/support/storage.hpp"

namespace gastube {

/// LU factorisation with scaled partial pivoting of an N x N matrix (N may be dynamic_extent).
/// Never allocates after construction.
template <Real S, std::size_t N>
class Lu {
 public:
  explicit Lu(std::size_t size)
      : size_(size), entries_(zeros<S, extent_product(N, N)>(size * size)), row_scale_(zeros<S, N>(size)),
        column_scale_(zeros<S, N>(size)), pivots_(zeros<std::size_t, N>(size)) {}

  /// Row-major entries, to be written before factor().
  [[nodiscard]] S* entries() noexcept { return entries_.data(); }
  [[nodiscard]] std::size_t size() const noexcept { return size_; }

  /// Factors the entries in place.
  /// @return false if the matrix is singular to working precision or holds a NaN or an infinity
  [[nodiscard]] bool factor() {
    if (!scale_rows() || !scale_columns()) return false;
    for (std::size_t k = 0; k < size_; ++k) {
      const std::size_t p = pivot_row(k);
      if (!(math::abs(value_of(at(p, k))) > Plain<S>(8) * round_off<S>)) return false;
      pivots_[k] = p;
      if (p != k) swap_rows(p, k);
      eliminate_below(k);
    }
    return true;
  }

  /// Replaces b by the solution of A x = b.
  void solve(S* b) const {
    for (std::size_t i = 0; i < size_; ++i) b[i] *= row_scale_[i];
    for (std::size_t k = 0; k < size_; ++k) {
      const S pivot = b[pivots_[k]];
      b[pivots_[k]] = b[k];
      b[k] = pivot;
    }
    for (std::size_t i = 1; i < size_; ++i)
      for (std::size_t j = 0; j < i; ++j) b[i] -= at(i, j) * b[j];
    for (std::size_t i = size_; i-- > 0;) {
      for (std::size_t j = i + 1; j < size_; ++j) b[i] -= at(i, j) * b[j];
      b[i] *= at(i, i);  // the diagonal holds reciprocals
    }
    for (std::size_t j = 0; j < size_; ++j) b[j] *= column_scale_[j];
  }

 private:
  [[nodiscard]] S& at(std::size_t i, std::size_t j) { return entries_[i * size_ + j]; }
  [[nodiscard]] const S& at(std::size_t i, std::size_t j) const { return entries_[i * size_ + j]; }

  [[nodiscard]] bool scale_rows() {
    for (std::size_t i = 0; i < size_; ++i) {
      Plain<S> greatest(0);
      for (std::size_t j = 0; j < size_; ++j) {
        if (!math::is_finite(at(i, j))) return false;
        greatest = math::max(greatest, math::abs(value_of(at(i, j))));
      }
      if (!(greatest > Plain<S>(0))) return false;
      row_scale_[i] = S(Plain<S>(1) / greatest);
      for (std::size_t j = 0; j < size_; ++j) at(i, j) *= row_scale_[i];
    }
    return true;
  }
  [[nodiscard]] bool scale_columns() {
    for (std::size_t j = 0; j < size_; ++j) {
      Plain<S> greatest(0);
      for (std::size_t i = 0; i < size_; ++i) greatest = math::max(greatest, math::abs(value_of(at(i, j))));
      if (!(greatest > Plain<S>(0))) return false;
      column_scale_[j] = S(Plain<S>(1) / greatest);
      for (std::size_t i = 0; i < size_; ++i) at(i, j) *= column_scale_[j];
    }
    return true;
  }
  [[nodiscard]] std::size_t pivot_row(std::size_t k) const {
    std::size_t best = k;
    for (std::size_t i = k + 1; i < size_; ++i)
      if (math::abs(value_of(at(i, k))) > math::abs(value_of(at(best, k)))) best = i;
    return best;
  }
  void swap_rows(std::size_t p, std::size_t k) {
    for (std::size_t j = 0; j < size_; ++j) {
      const S held = at(p, j);
      at(p, j) = at(k, j);
      at(k, j) = held;
    }
  }
  void eliminate_below(std::size_t k) {
    at(k, k) = S(S(1) / at(k, k));
    for (std::size_t i = k + 1; i < size_; ++i) {
      if (value_of(at(i, k)) == Plain<S>(0) && is_plain<S>) continue;
      const S factor = S(at(i, k) * at(k, k));
      at(i, k) = factor;
      for (std::size_t j = k + 1; j < size_; ++j) at(i, j) -= factor * at(k, j);
    }
  }

  std::size_t size_;
  Storage<S, extent_product(N, N)> entries_;
  Storage<S, N> row_scale_, column_scale_;
  Storage<std::size_t, N> pivots_;
};

}  // namespace gastube
