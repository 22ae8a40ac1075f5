// SPDX-License-Identifier: MIT
#pragma once
/// Chooses the pivots of a sparse matrix: those that leave few new entries among those that are large enough in their
/// column. H. M. Markowitz, "The elimination form of the inverse and its application to linear programming", Management
/// Science 3, 255 (1957); threshold and search of few rows and columns: I. S. Duff, A. M. Erisman, J. K. Reid, "Direct
/// Methods for Sparse Matrices" (1986), chapters 7 and 9, from memory.

#include "gastube/support/math.hpp"
#include "gastube/support/place_table.hpp"

#include <algorithm>
#include <array>

namespace gastube {

/// Rows or columns in chains by their number of entries, so that the shortest are found at once.
class CountChains {
 public:
  static constexpr SparseIndex none = PlaceTable::none;

  void start(std::size_t size) {
    count_.assign(size, 0);
    next_.assign(size, none);
    last_.assign(size, none);
    head_.assign(size + 1, none);
  }
  /// Before link(): counts one entry.
  void count_entry(SparseIndex k) { ++count_[k]; }
  void link() {
    for (std::size_t k = count_.size(); k-- > 0;) insert(SparseIndex(k));
  }
  void change(SparseIndex k, SparseIndex count) {
    remove(k);
    count_[k] = count;
    insert(k);
  }
  void remove(SparseIndex k) {
    (last_[k] == none ? head_[count_[k]] : next_[last_[k]]) = next_[k];
    if (next_[k] != none) last_[next_[k]] = last_[k];
  }
  [[nodiscard]] SparseIndex count(SparseIndex k) const { return count_[k]; }
  [[nodiscard]] SparseIndex first(std::size_t count) const { return head_[count]; }
  [[nodiscard]] SparseIndex next(SparseIndex k) const { return next_[k]; }

 private:
  void insert(SparseIndex k) {
    next_[k] = head_[count_[k]];
    last_[k] = none;
    if (next_[k] != none) last_[next_[k]] = k;
    head_[count_[k]] = k;
  }
  std::vector<SparseIndex> count_, next_, last_, head_;
};

/// Eliminates a matrix once, choosing pivots; what is left is their order and the pattern of the factors.
/// Its memory stays from one search to the next.
template <std::floating_point P>
class PivotSearch {
 public:
  using Index = SparseIndex;
  static constexpr Index none = PlaceTable::none;

  /// A new matrix of `size` rows. Memory is taken for twice `room` entries, those that elimination adds among them, and
  /// grows where that is not enough.
  void start(std::size_t size, std::size_t room) {
    entries_.clear();
    entries_.reserve(2 * room);
    met_.assign(size, none);
    row_head_.assign(size, none);
    column_head_.assign(size, none);
    greatest_.assign(size, P(-1));
    rows_.start(size);
    columns_.start(size);
    lower_.clear();
    lower_.reserve(2 * room);
    upper_.clear();
    upper_.reserve(2 * room);
    upper_start_.assign(1, 0);
    upper_start_.reserve(size + 1);
    pivots_.clear();
    pivots_.reserve(size);
  }
  /// An entry, scaled so that 1 is large. One that is to be avoided is a pivot only where there is no other.
  void put(Index row, Index column, P value, bool avoid) {
    append(row, column, value, avoid);
    rows_.count_entry(row);
    columns_.count_entry(column);
  }

  /// @return false if the matrix is singular to working precision
  [[nodiscard]] bool run() {
    rows_.link();
    columns_.link();
    for (std::size_t k = 0; k < row_head_.size(); ++k) {
      const Index pivot = choose();
      if (pivot == none) return false;
      eliminate(pivot, Index(k));
    }
    return true;
  }

  struct Pivot {
    Index row, column;
  };
  /// Row `row` is reduced by pivot number `pivot`.
  struct Lower {
    Index pivot, row;
  };
  [[nodiscard]] const std::vector<Pivot>& pivots() const noexcept { return pivots_; }
  /// Entries below the pivots, by rising pivot number.
  [[nodiscard]] const std::vector<Lower>& lower() const noexcept { return lower_; }
  /// Columns beside pivot number k: upper()[upper_start()[k]] and on to the start of the next.
  [[nodiscard]] const std::vector<Index>& upper() const noexcept { return upper_; }
  [[nodiscard]] const std::vector<Index>& upper_start() const noexcept { return upper_start_; }

 private:
  struct Entry {
    P value = P(0), size = P(0);  // the greatest it has been, or has been taken off it
    Index row = 0, column = 0;
    Index next_in_row = none, last_in_row = none, next_in_column = none, last_in_column = none;
    bool avoid = false;
  };
  struct Choice {
    Index entry = none;
    std::uint64_t cost = ~std::uint64_t(0);
    P size = P(0);
  };

  // A pivot must reach this share of the greatest entry in its column; less will do where its row has no other entry.
  static constexpr P share = P(0.5), share_alone = P(0.1);
  static constexpr P least = P(8) * round_off<P>;
  static constexpr int enough = 3;  // rows, and columns, of one length to look at

  void append(Index row, Index column, P value, bool avoid) {
    const Index k = Index(entries_.size());
    entries_.push_back({value, math::abs(value), row, column, row_head_[row], none, column_head_[column], none, avoid});
    if (row_head_[row] != none) entries_[row_head_[row]].last_in_row = k;
    if (column_head_[column] != none) entries_[column_head_[column]].last_in_column = k;
    row_head_[row] = column_head_[column] = k;
  }
  void unlink_from_row(const Entry& e) {
    (e.last_in_row == none ? row_head_[e.row] : entries_[e.last_in_row].next_in_row) = e.next_in_row;
    if (e.next_in_row != none) entries_[e.next_in_row].last_in_row = e.last_in_row;
  }
  void unlink_from_column(const Entry& e) {
    (e.last_in_column == none ? column_head_[e.column] : entries_[e.last_in_column].next_in_column) = e.next_in_column;
    if (e.next_in_column != none) entries_[e.next_in_column].last_in_column = e.last_in_column;
  }
  /// The greatest size in a column; kept until the column changes.
  [[nodiscard]] P greatest(Index column) {
    if (greatest_[column] < P(0)) {
      greatest_[column] = P(0);
      for (Index k = column_head_[column]; k != none; k = entries_[k].next_in_column)
        greatest_[column] = math::max(greatest_[column], math::abs(entries_[k].value));
    }
    return greatest_[column];
  }

  [[nodiscard]] Index choose() {
    Index pivot = choose(false, enough);
    if (pivot == none) pivot = choose(true, enough);
    return pivot != none ? pivot : choose(true, std::numeric_limits<int>::max());
  }
  /// @param all also entries that are to be avoided
  [[nodiscard]] Index choose(bool all, int most) {
    Choice best;
    for (std::size_t count = 1; count <= row_head_.size(); ++count) {
      if (best.entry != none && best.cost <= std::uint64_t(count - 1) * (count - 1)) break;
      int looked = 0;
      for (Index c = columns_.first(count); c != none && looked < most; c = columns_.next(c), ++looked)
        for (Index k = column_head_[c]; k != none; k = entries_[k].next_in_column) consider(k, all, best);
      looked = 0;
      for (Index r = rows_.first(count); r != none && looked < most; r = rows_.next(r), ++looked)
        for (Index k = row_head_[r]; k != none; k = entries_[k].next_in_row) consider(k, all, best);
    }
    return best.entry;
  }
  void consider(Index k, bool all, Choice& best) {
    const Entry& e = entries_[k];
    if (e.avoid && !all) return;
    const std::uint64_t beside = rows_.count(e.row) - 1;
    const std::uint64_t cost = beside * (columns_.count(e.column) - 1);
    const P size = math::abs(e.value);
    if (cost > best.cost || (cost == best.cost && !(size > best.size))) return;
    if (!(size > least * math::max(P(1), e.size))) return;  // round-off
    if (size < (beside == 0 ? share_alone : share) * greatest(e.column)) return;
    best = {k, cost, size};
  }

  void eliminate(Index pivot, Index number) {
    const Entry p = entries_[pivot];
    rows_.remove(p.row);
    columns_.remove(p.column);
    std::size_t column_entries = 0;
    for (Index k = row_head_[p.row]; k != none; k = entries_[k].next_in_row) {
      const Index column = entries_[k].column;
      unlink_from_column(entries_[k]);
      greatest_[column] = P(-1);
      if (k == pivot) continue;
      upper_.push_back(column);
      columns_.change(column, columns_.count(column) - 1);
      column_entries += columns_.count(column);
    }
    for (Index k = column_head_[p.column]; k != none; k = entries_[k].next_in_column)
      reduce(entries_[k], p, number, column_entries);
    pivots_.push_back({p.row, p.column});
    upper_start_.push_back(Index(upper_.size()));
  }
  /// Takes the pivot's row off the row of an entry below it.
  /// @param column_entries how many entries there are in the columns of the pivot's row
  void reduce(Entry below, const Entry& p, Index number, std::size_t column_entries) {
    const Index row = below.row;
    const P factor = below.value / p.value;
    unlink_from_row(below);
    Index count = rows_.count(row) - 1;
    // Entries that are met are found by way of the row, or of the columns where the row is much longer.
    const bool by_row = count <= column_entries;
    if (by_row)
      for (Index k = row_head_[row]; k != none; k = entries_[k].next_in_row) met_[entries_[k].column] = k;
    for (Index k = row_head_[p.row]; k != none; k = entries_[k].next_in_row) {
      const Index column = entries_[k].column;
      if (column == p.column) continue;
      const P change = P(-factor * entries_[k].value);
      const Index met = by_row ? met_[column] : find_in_column(column, row);
      if (met != none)
        change_entry(entries_[met], change);
      else
        append(row, column, change, false), ++count, columns_.change(column, columns_.count(column) + 1);
    }
    if (by_row)
      for (Index k = row_head_[row]; k != none; k = entries_[k].next_in_row) met_[entries_[k].column] = none;
    rows_.change(row, count);
    lower_.push_back({number, row});
  }
  [[nodiscard]] Index find_in_column(Index column, Index row) const {
    Index k = column_head_[column];
    while (k != none && entries_[k].row != row) k = entries_[k].next_in_column;
    return k;
  }
  static void change_entry(Entry& e, P change) {
    e.value += change;
    e.size = math::max(e.size, math::abs(change));
  }

  std::vector<Entry> entries_;
  std::vector<Index> row_head_, column_head_, met_;
  std::vector<P> greatest_;
  CountChains rows_, columns_;
  std::vector<Pivot> pivots_;
  std::vector<Lower> lower_;
  std::vector<Index> upper_, upper_start_;
};

}  // namespace gastube
