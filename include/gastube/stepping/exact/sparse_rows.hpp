// SPDX-License-Identifier: MIT
#pragma once
/// A square matrix kept as the entries that are not zero, and products of it and of rows of vectors. Products know how
/// large their round-off can be, and what lies within it is zero.

#include "gastube/stepping/exact/elimination.hpp"

#include <cstdint>

namespace gastube::exact {

/// The entries of an n x n matrix that are not zero.
template <Real S, std::size_t Extent>
class SparseRows {
 public:
  using P = Plain<S>;

  /// @param dense row-major
  /// @return the first row that holds a NaN or an infinity, or n
  [[nodiscard]] std::size_t assign(std::size_t n, const S* dense) {
    n_ = n;
    make_room(first_, n);
    make_room(count_, n);
    std::size_t total = 0;
    for (std::size_t e = 0; e < n * n; ++e) total += is_nothing(dense[e]) ? 0 : 1;
    make_room(values_, total);
    make_room(columns_, total);
    total = 0;
    symmetric_ = true;
    for (std::size_t i = 0; i < n; ++i) {
      first_[i] = total;
      for (std::size_t j = 0; j < n; ++j) {
        const S& value = dense[i * n + j];
        if (is_nothing(value)) continue;
        if (!math::is_finite(value)) return i;
        symmetric_ = symmetric_ && is_nothing(S(value - dense[j * n + i]));
        columns_[total] = static_cast<Index>(j);
        values_[total++] = value;
      }
      count_[i] = total - first_[i];
    }
    return n;
  }
  /// True if the other has the same entries.
  [[nodiscard]] bool equals(const SparseRows& other) const {
    if (n_ != other.n_) return false;
    for (std::size_t i = 0; i < n_; ++i) {
      if (count_[i] != other.count_[i]) return false;
      for (std::size_t k = 0; k < count_[i]; ++k) {
        const std::size_t e = first_[i] + k, o = other.first_[i] + k;
        if (columns_[e] != other.columns_[o] || !is_nothing(S(values_[e] - other.values_[o]))) return false;
      }
    }
    return true;
  }
  /// Equal to its transpose, bit for bit and in all derivatives.
  [[nodiscard]] bool is_symmetric() const { return symmetric_; }

  /// out = A v; errors, if wanted, get the size of each result's round-off.
  void times(const S* v, S* out, P* errors = nullptr) const {
    for (std::size_t i = 0; i < n_; ++i) {
      S sum(0);
      P size(0);
      each(i, [&](std::size_t j, const S& a) {
        sum += a * v[j];
        size += math::abs(value_of(a) * value_of(v[j]));
      });
      settle(sum, size, out + i, errors ? errors + i : nullptr);
    }
  }
  /// out = v A.
  void times_left(const S* v, S* out, P* errors) const {
    for (std::size_t j = 0; j < n_; ++j) out[j] = S(0), errors[j] = P(0);
    for (std::size_t i = 0; i < n_; ++i)
      if (!is_nothing(v[i]))
        each(i, [&](std::size_t j, const S& a) {
          out[j] += v[i] * a;
          errors[j] += math::abs(value_of(a) * value_of(v[i]));
        });
    for (std::size_t j = 0; j < n_; ++j) settle(out[j], errors[j], out + j, errors + j);
  }
  /// visit(column, entry) for the entries of row i.
  template <class Visit>
  void each(std::size_t i, Visit&& visit) const {
    for (std::size_t e = first_[i]; e < first_[i] + count_[i]; ++e) visit(columns_[e], values_[e]);
  }

 private:
  using Index = std::uint16_t;

  void settle(const S& sum, const P& size, S* out, P* error) const {
    if (size == P(0) && is_nothing(sum)) {
      *out = sum;
      if (error) *error = size;
      return;
    }
    const P bound = round_off<S> * size;
    *out = beyond_error(sum, bound, n_);
    if (error) *error = bound;
  }

  std::size_t n_ = 0;
  bool symmetric_ = true;
  Storage<S, extent_product(Extent, Extent)> values_{};
  Storage<Index, extent_product(Extent, Extent)> columns_{};
  Storage<std::size_t, Extent> first_{}, count_{};
};

/// Scalar products of one vector with the rows of a set.
/// @param a n numbers, looked through for zeros
/// @param errors of a's entries, which enter the bounds; or null
/// @param b count rows of length n
/// @param out count products, @param bounds size of the round-off in each
template <Real S>
void products(std::size_t n, const S* a, const Plain<S>* errors, const S* b, std::size_t count, std::size_t* used,
              S* out, Plain<S>* bounds) {
  using P = Plain<S>;
  std::size_t terms = 0;
  for (std::size_t j = 0; j < n; ++j)
    if (!is_nothing(a[j]) || (errors && errors[j] > P(0))) used[terms++] = j;
  for (std::size_t r = 0; r < count; ++r, b += n) {
    S sum(0);
    P bound(0);
    for (std::size_t e = 0; e < terms; ++e) {
      const std::size_t j = used[e];
      sum += a[j] * b[j];
      bound += (round_off<S> * math::abs(value_of(a[j])) + (errors ? errors[j] : P(0))) * math::abs(value_of(b[j]));
    }
    out[r] = sum;
    bounds[r] = bound;
  }
}

}  // namespace gastube::exact
