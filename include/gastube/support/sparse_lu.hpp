// SPDX-License-Identifier: MIT
#pragma once
/// LU factors of a sparse matrix, kept for reuse. Pivots are chosen at the first factorisation, and again where the
/// pattern has grown or one of them has become too small; any other reuses order and pattern, and takes no memory.

#include "gastube/support/pivot_search.hpp"
#include "gastube/support/sparse_matrix.hpp"

namespace gastube {

/// The counterpart of Lu for many equations. Memory and time grow with the number of entries in the factors.
template <Real S>
class SparseLu {
 public:
  using Index = SparseIndex;

  explicit SparseLu(std::size_t size)
      : matrix_(size)
      , row_scale_(size)
      , column_scale_(size)
      , work_(size, S(0))
      , reciprocal_(size, S(0))
      , row_at_(size)
      , column_at_(size)
      , rank_of_row_(size)
      , rank_of_column_(size) {}

  /// To be written, and then taken over by take(), before factor().
  [[nodiscard]] EntryLog<S>* entries() noexcept { return &matrix_.log(); }
  /// @return false if the log was too short: it is longer now and has to be written again
  [[nodiscard]] bool take() { return matrix_.take(); }
  [[nodiscard]] std::size_t size() const noexcept { return matrix_.size(); }
  /// How often pivots were chosen, and the number of entries in the factors.
  [[nodiscard]] long searches() const noexcept { return searches_; }
  [[nodiscard]] std::size_t factor_entries() const noexcept { return columns_.size() + size(); }

  /// True if factor() takes as long as many a solve().
  [[nodiscard]] bool is_costly() const noexcept { return products_ > 3 * factor_entries(); }

  /// Forgets pattern and pivots, so that what follows does not depend on what was before.
  void forget_pattern() {
    matrix_.forget_pattern();
    avoid_.clear();
    planned_ = 0;
  }

  void mark_empty_rows(char* flags) const { matrix_.mark_empty_rows(flags); }
  void make_unit_row(std::size_t row) { matrix_.make_unit_row(row); }

  /// Factors the entries, which stay as they are.
  /// @return false if the matrix is singular to working precision or holds a NaN
  [[nodiscard]] bool factor() {
    if (!scale()) return false;
    if (matrix_.count() == planned_ && eliminate()) return true;
    return search() && eliminate();
  }

  /// Replaces b by the solution of A x = b. Meaningless, but harmless, if factor() failed.
  void solve(S* b) {
    const std::size_t n = planned_ != 0 ? size() : 0;
    for (std::size_t i = 0; i < n; ++i) {
      S sum = S(b[row_at_[i]] * row_scale_[row_at_[i]]);
      for (std::size_t e = start_[i]; e < diagonal_[i]; ++e) sum -= factors_[e] * work_[columns_[e]];
      work_[i] = sum;
    }
    for (std::size_t i = n; i-- > 0;) {
      S sum = work_[i];
      for (std::size_t e = diagonal_[i]; e < start_[i + 1]; ++e) sum -= factors_[e] * work_[columns_[e]];
      work_[i] = S(sum * reciprocal_[i]);
      b[column_at_[i]] = S(work_[i] * column_scale_[column_at_[i]]);
    }
  }

 private:
  using P = Plain<S>;
  // A pivot below which an entry is greater by this factor is given up; it was at most 10 when the pivot was chosen.
  static constexpr P greatest_factor = P(1e3);
  static constexpr P least = P(8) * round_off<S>, doubtful = P(1e4) * least;

  [[nodiscard]] bool scale() {
    for (P& r : row_scale_) r = P(0);
    for (P& c : column_scale_) c = P(0);
    P sum(0);  // finds a NaN, which no comparison does
    for (std::size_t k = 0; k < matrix_.count(); ++k) {
      const P size = math::abs(value_of(matrix_.value(k)));
      row_scale_[matrix_.row(k)] = math::max(row_scale_[matrix_.row(k)], size);
      sum += size;
    }
    if (!math::is_finite(sum) || !invert(row_scale_)) return false;
    for (std::size_t k = 0; k < matrix_.count(); ++k) {
      const P size = math::abs(value_of(matrix_.value(k))) * row_scale_[matrix_.row(k)];
      column_scale_[matrix_.column(k)] = math::max(column_scale_[matrix_.column(k)], size);
    }
    return invert(column_scale_);
  }
  [[nodiscard]] static bool invert(std::vector<P>& scales) {
    for (P& s : scales) {
      if (!(s > P(0))) return false;
      s = P(1) / s;
    }
    return true;
  }
  [[nodiscard]] S scaled(std::size_t place) const {
    return S(matrix_.value(place) * S(row_scale_[matrix_.row(place)] * column_scale_[matrix_.column(place)]));
  }

  // ---- choice of pivots
  [[nodiscard]] bool search() {
    ++searches_;
    planned_ = 0;
    const std::size_t count = matrix_.count();
    fit(avoid_, count);
    search_.start(size(), matrix_.room());
    for (std::size_t k = 0; k < count; ++k)
      search_.put(matrix_.row(k), matrix_.column(k), value_of(scaled(k)), avoid_[k] != 0);
    if (!search_.run()) return false;
    note_order();
    note_factors();
    count_products();
    note_entries();
    planned_ = count;
    return true;
  }
  void note_order() {
    for (std::size_t k = 0; k < size(); ++k) {
      const auto& pivot = search_.pivots()[k];
      row_at_[k] = pivot.row;
      column_at_[k] = pivot.column;
      rank_of_row_[pivot.row] = rank_of_column_[pivot.column] = Index(k);
    }
  }
  /// Pattern of the factors by rows: what is left of the pivot, by rising column, then what is right of it.
  void note_factors() {
    const auto& lower = search_.lower();
    const auto &upper = search_.upper(), &upper_start = search_.upper_start();
    fit(start_, size() + 1);
    fit(diagonal_, size());
    fit(columns_, lower.size() + upper.size());
    fit(factors_, columns_.size());
    for (Index& s : start_) s = 0;
    for (const auto& entry : lower) ++start_[rank_of_row_[entry.row] + 1];
    for (std::size_t k = 0; k < size(); ++k) {
      diagonal_[k] = start_[k];
      start_[k + 1] += start_[k] + (upper_start[k + 1] - upper_start[k]);
    }
    for (const auto& entry : lower) columns_[diagonal_[rank_of_row_[entry.row]]++] = entry.pivot;
    for (std::size_t k = 0; k < size(); ++k) {
      Index* const right = columns_.data() + diagonal_[k];
      for (Index e = upper_start[k]; e < upper_start[k + 1]; ++e) right[e - upper_start[k]] = rank_of_column_[upper[e]];
      std::sort(right, right + (upper_start[k + 1] - upper_start[k]));
    }
  }
  void count_products() {
    products_ = 0;
    for (std::size_t i = 0; i < size(); ++i)
      for (std::size_t e = start_[i]; e < diagonal_[i]; ++e)
        products_ += start_[columns_[e] + 1] - diagonal_[columns_[e]];
  }
  /// The matrix by rows in the order of the pivots.
  void note_entries() {
    fit(entry_start_, size() + 1);
    fit(places_, matrix_.count());
    fit(ranks_, matrix_.count());
    for (Index& s : entry_start_) s = 0;
    for (std::size_t k = 0; k < matrix_.count(); ++k) ++entry_start_[rank_of_row_[matrix_.row(k)]];
    Index end = 0;
    for (Index& s : entry_start_) s = end += s;  // filled from their ends
    for (std::size_t k = matrix_.count(); k-- > 0;) {
      const Index at = --entry_start_[rank_of_row_[matrix_.row(k)]];
      places_[at] = Index(k);
      ranks_[at] = rank_of_column_[matrix_.column(k)];
    }
  }
  template <class T>
  static void fit(std::vector<T>& items, std::size_t count) {
    if (count > items.capacity()) items.reserve(2 * count + 64);
    items.resize(count);
  }

  // ---- numbers
  /// @return false if a pivot is too small
  [[nodiscard]] bool eliminate() {
    for (std::size_t i = 0; i < size(); ++i) {
      scatter(i);
      const std::size_t weak = reduce(i);
      if (weak < i) return give_up(weak);
      for (std::size_t e = diagonal_[i]; e < start_[i + 1]; ++e) factors_[e] = work_[columns_[e]];
      const P pivot = math::abs(value_of(work_[i]));
      if (!(pivot > doubtful) && !(pivot > least * size_of_pivot(i))) return give_up(i);
      reciprocal_[i] = S(S(1) / work_[i]);
    }
    return true;
  }
  /// What the pivot of row i was made of: the greatest term, at least 1.
  [[nodiscard]] P size_of_pivot(std::size_t i) const {
    P size(1);
    for (std::size_t e = entry_start_[i]; e < entry_start_[i + 1]; ++e)
      if (ranks_[e] == i) size = math::max(size, math::abs(value_of(scaled(places_[e]))));
    for (std::size_t e = start_[i]; e < diagonal_[i]; ++e) {
      const auto first = columns_.begin() + diagonal_[columns_[e]], last = columns_.begin() + start_[columns_[e] + 1];
      const auto found = std::lower_bound(first, last, Index(i));
      if (found == last || *found != i) continue;
      const S& above = factors_[std::size_t(found - columns_.begin())];
      size = math::max(size, math::abs(value_of(factors_[e])) * math::abs(value_of(above)));
    }
    return size;
  }
  void scatter(std::size_t i) {
    for (std::size_t e = start_[i]; e < start_[i + 1]; ++e) work_[columns_[e]] = S(0);
    work_[i] = S(0);
    for (std::size_t e = entry_start_[i]; e < entry_start_[i + 1]; ++e) work_[ranks_[e]] = scaled(places_[e]);
  }
  /// Takes the rows above off row i.
  /// @return the first of them whose pivot is too small for it, or i
  [[nodiscard]] std::size_t reduce(std::size_t i) {
    std::size_t weak = i;
    for (std::size_t e = start_[i]; e < diagonal_[i]; ++e) {
      const std::size_t k = columns_[e];
      const S factor = S(work_[k] * reciprocal_[k]);
      factors_[e] = factor;
      if (math::abs(value_of(factor)) > greatest_factor) weak = std::min(weak, k);
      for (std::size_t u = diagonal_[k]; u < start_[k + 1]; ++u) work_[columns_[u]] -= factor * factors_[u];
    }
    return weak;
  }
  /// A pivot that failed in one mode will fail in it again: the next search takes another if it can.
  [[nodiscard]] bool give_up(std::size_t i) {
    const Index place = matrix_.find(row_at_[i], column_at_[i]);
    if (place != PlaceTable::none) avoid_[place] = 1;
    return false;
  }

  SparseMatrix<S> matrix_;
  PivotSearch<P> search_;
  std::vector<P> row_scale_, column_scale_;
  std::vector<S> factors_, work_, reciprocal_;
  std::vector<Index> row_at_, column_at_, rank_of_row_, rank_of_column_;
  std::vector<Index> columns_, start_, diagonal_;    // of the factors
  std::vector<Index> places_, ranks_, entry_start_;  // of the matrix
  std::vector<char> avoid_;
  std::size_t planned_ = 0, products_ = 0;
  long searches_ = 0;
};

}  // namespace gastube
