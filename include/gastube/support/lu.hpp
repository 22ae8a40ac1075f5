// SPDX-License-Identifier: MIT
#pragma once
/// Dense LU factors of a handful of equations, kept for reuse. Rows and columns mix volts, amperes and others, so both
/// are scaled before pivots are chosen.

#include "gastube/support/math.hpp"
#include "gastube/support/storage.hpp"

#include <cstdint>
#include <utility>

namespace gastube {

/// LU factorisation with scaled partial pivoting of an N x N matrix (N may be dynamic_extent).
/// Never allocates after construction.
template <Real S, std::size_t N>
class Lu {
 public:
  explicit Lu(std::size_t size)
      : size_(size)
      , entries_(zeros<S, extent_product(N, N)>(size * size))
      , row_scale_(zeros<S, N>(size))
      , column_scale_(row_scale_)
      , work_(row_scale_)
      , order_(zeros<std::size_t, N>(size))
      , lower_(order_)
      , upper_(order_)
      , used_(zeros<Index, extent_product(N, N)>(size * size)) {}

  /// Row-major entries, to be written before factor().
  [[nodiscard]] S* entries() noexcept { return entries_.data(); }
  /// True: what was written to the entries is there. The counterpart of SparseLu::take().
  [[nodiscard]] static constexpr bool take() { return true; }
  /// Nothing is kept from one factorisation to the next.
  static constexpr void forget_pattern() {}
  /// False: a handful of equations is factored as soon as it is written.
  [[nodiscard]] static constexpr bool is_costly() { return false; }
  [[nodiscard]] std::size_t size() const noexcept { return size_; }

  /// flags[k] = 1 where row k holds nothing but zeros, else 0.
  void mark_empty_rows(char* flags) const {
    for (std::size_t k = 0; k < size_; ++k) {
      flags[k] = 1;
      for (std::size_t j = 0; j < size_; ++j)
        if (value_of(entries_[k * size_ + j]) != Plain<S>(0)) flags[k] = 0;
    }
  }
  /// Replaces a row by that of the unit matrix.
  void make_unit_row(std::size_t k) {
    for (std::size_t j = 0; j < size_; ++j) entries_[k * size_ + j] = S(j == k ? 1 : 0);
  }

  /// Factors the entries in place.
  /// @return false if the matrix is singular to working precision or holds a NaN
  [[nodiscard]] bool factor() {
    if (!scale()) return false;
    for (std::size_t k = 0; k < size_; ++k) order_[k] = k;
    for (std::size_t k = 0; k < size_; ++k) {
      const std::size_t p = pivot_row(k);
      if (!(math::abs(value_of(row(p)[k])) > Plain<S>(8) * round_off<S>)) return false;
      std::swap(order_[p], order_[k]);
      eliminate_below(k);
    }
    note_lower();
    return true;
  }

  /// Replaces b by the solution of A x = b.
  void solve(S* b) {
    for (std::size_t i = 0; i < size_; ++i) work_[i] = S(b[order_[i]] * row_scale_[order_[i]]);
    for (std::size_t i = 1; i < size_; ++i) {
      const S* entries = row(i);
      const Index* used = used_.data() + i * size_;
      S sum = work_[i];
      for (std::size_t e = 0; e < lower_[i]; ++e) sum -= entries[used[e]] * work_[used[e]];
      work_[i] = sum;
    }
    for (std::size_t i = size_; i-- > 0;) {
      const S* entries = row(i);
      const Index* used = used_.data() + i * size_;
      S sum = work_[i];
      for (std::size_t e = size_ - upper_[i]; e < size_; ++e) sum -= entries[used[e]] * work_[used[e]];
      work_[i] = S(sum * entries[i]);  // the diagonal holds reciprocals
    }
    for (std::size_t j = 0; j < size_; ++j) b[j] = S(work_[j] * column_scale_[j]);
  }

 private:
  using Index = std::uint16_t;

  /// Row i after the exchanges.
  [[nodiscard]] S* row(std::size_t i) { return entries_.data() + order_[i] * size_; }
  [[nodiscard]] static bool counts(const S& v) { return !is_plain<S> || value_of(v) != Plain<S>(0); }

  [[nodiscard]] bool scale() {
    for (auto& c : column_scale_) c = S(0);
    for (std::size_t i = 0; i < size_; ++i) {
      S* const entries = entries_.data() + i * size_;
      Plain<S> greatest(0);
      Plain<S> sum(0);  // finds a NaN, which no comparison does
      for (std::size_t j = 0; j < size_; ++j) {
        const Plain<S> size = math::abs(value_of(entries[j]));
        greatest = math::max(greatest, size);
        sum += size;
      }
      if (!(greatest > Plain<S>(0)) || !math::is_finite(sum)) return false;
      row_scale_[i] = S(Plain<S>(1) / greatest);
      for (std::size_t j = 0; j < size_; ++j) {
        entries[j] *= row_scale_[i];
        column_scale_[j] = S(math::max(value_of(column_scale_[j]), math::abs(value_of(entries[j]))));
      }
    }
    for (auto& c : column_scale_) {
      if (!(value_of(c) > Plain<S>(0))) return false;
      c = S(Plain<S>(1) / value_of(c));
    }
    for (std::size_t i = 0; i < size_; ++i)
      for (std::size_t j = 0; j < size_; ++j) entries_[i * size_ + j] *= column_scale_[j];
    return true;
  }
  [[nodiscard]] std::size_t pivot_row(std::size_t k) {
    std::size_t best = k;
    Plain<S> greatest = math::abs(value_of(row(k)[k]));
    for (std::size_t i = k + 1; i < size_; ++i)
      if (const Plain<S> here = math::abs(value_of(row(i)[k])); here > greatest) best = i, greatest = here;
    return best;
  }
  /// Only entries that are not zero take part: in a circuit few are. Their columns are noted for solve().
  void eliminate_below(std::size_t k) {
    S* const pivot = row(k);
    Index* const used = used_.data() + k * size_;
    std::size_t first = size_;
    for (std::size_t j = size_; j-- > k + 1;)
      if (counts(pivot[j])) used[--first] = Index(j);
    upper_[k] = size_ - first;
    pivot[k] = S(S(1) / pivot[k]);
    for (std::size_t i = k + 1; i < size_; ++i) {
      S* const here = row(i);
      if (!counts(here[k])) continue;
      const S factor = S(here[k] * pivot[k]);
      here[k] = factor;
      for (std::size_t e = first; e < size_; ++e) here[used[e]] -= factor * pivot[used[e]];
    }
  }
  void note_lower() {
    for (std::size_t i = 0; i < size_; ++i) {
      const S* const entries = row(i);
      lower_[i] = 0;
      for (std::size_t j = 0; j < i; ++j)
        if (counts(entries[j])) used_[i * size_ + lower_[i]++] = Index(j);
    }
  }

  std::size_t size_;
  Storage<S, extent_product(N, N)> entries_;
  Storage<S, N> row_scale_, column_scale_, work_;
  Storage<std::size_t, N> order_, lower_, upper_;
  Storage<Index, extent_product(N, N)> used_;
};

}  // namespace gastube
