// SPDX-License-Identifier: MIT
#pragma once
/// A square matrix with few entries whose pattern is learnt as it is written: an entry once written stays part of the
/// pattern, so that the pattern grows to what all modes of a system need.

#include "gastube/support/entry_log.hpp"

namespace gastube {

/// Entries are added by way of a log, which is written again and again in much the same order. The order of the last
/// time is kept, so that as a rule an entry's place is found without a search.
template <Real S>
class SparseMatrix {
 public:
  using Index = SparseIndex;

  explicit SparseMatrix(std::size_t size) : log_(16 * size + 64), row_head_(size, PlaceTable::none) {
    reserve(8 * size + 64);
  }

  [[nodiscard]] std::size_t size() const noexcept { return row_head_.size(); }
  /// Number of entries of the pattern.
  [[nodiscard]] std::size_t count() const noexcept { return values_.size(); }

  /// Number of entries to which the pattern can grow without more memory.
  [[nodiscard]] std::size_t room() const noexcept { return values_.capacity(); }

  /// To be written to before take().
  [[nodiscard]] EntryLog<S>& log() noexcept { return log_; }
  /// Makes the matrix the sum of the entries in the log.
  /// @return false if the log was too short: it is longer now and has to be written again
  [[nodiscard]] bool take() {
    if (log_.is_full()) {
      log_.enlarge();
      return false;
    }
    for (S& value : values_) value = S(0);
    for (std::size_t k = 0; k < log_.size(); ++k) {
      const auto& entry = log_[k];
      const bool as_before = k < order_.size() && order_[k].row == entry.row && order_[k].column == entry.column;
      values_[as_before ? order_[k].place : note(k, entry.row, entry.column)] += entry.value;
    }
    return true;
  }
  /// Forgets the pattern, and keeps the memory.
  void forget_pattern() {
    values_.clear();
    rows_.clear();
    columns_.clear();
    next_in_row_.clear();
    order_.clear();
    for (Index& head : row_head_) head = PlaceTable::none;
    table_.clear(0);
  }
  /// Replaces a row by that of the unit matrix.
  void make_unit_row(std::size_t row) {
    for (Index k = row_head_[row]; k != PlaceTable::none; k = next_in_row_[k]) values_[k] = S(0);
    values_[find_or_add(Index(row), Index(row))] = S(1);
  }
  /// flags[k] = 1 where row k holds nothing but zeros, else 0.
  void mark_empty_rows(char* flags) const {
    for (std::size_t k = 0; k < size(); ++k) flags[k] = 1;
    for (std::size_t k = 0; k < count(); ++k)
      if (value_of(values_[k]) != Plain<S>(0)) flags[rows_[k]] = 0;
  }

  [[nodiscard]] const S& value(std::size_t place) const { return values_[place]; }
  [[nodiscard]] Index row(std::size_t place) const { return rows_[place]; }
  [[nodiscard]] Index column(std::size_t place) const { return columns_[place]; }
  /// The place of an entry, or PlaceTable::none.
  [[nodiscard]] Index find(std::size_t row, std::size_t column) const { return table_.find(Index(row), Index(column)); }

 private:
  struct Written {
    Index row, column, place;
  };

  /// Keeps where entry k of the log goes.
  [[nodiscard]] Index note(std::size_t k, Index row, Index column) {
    const Written now{row, column, find_or_add(row, column)};
    if (k < order_.size())
      order_[k] = now;
    else
      order_.push_back(now);
    return now.place;
  }
  [[nodiscard]] Index find_or_add(Index row, Index column) {
    const Index known = table_.find(row, column);
    if (known != PlaceTable::none) return known;
    const Index added = Index(values_.size());
    values_.push_back(S(0));
    rows_.push_back(row);
    columns_.push_back(column);
    next_in_row_.push_back(row_head_[row]);
    row_head_[row] = added;
    table_.insert(row, column, added);
    return added;
  }
  void reserve(std::size_t room) {
    values_.reserve(room);
    rows_.reserve(room);
    columns_.reserve(room);
    next_in_row_.reserve(room);
    order_.reserve(2 * room);
    table_.clear(room);
  }

  EntryLog<S> log_;
  PlaceTable table_;
  std::vector<S> values_;
  std::vector<Index> rows_, columns_, next_in_row_, row_head_;
  std::vector<Written> order_;
};

}  // namespace gastube
