// SPDX-License-Identifier: MIT
#pragma once
/// Notes what is added to a sparse matrix, entry by entry, in constant time and without a call.

#include "gastube/support/place_table.hpp"
#include "gastube/support/real.hpp"

namespace gastube {

/// Entries in the order in which they are written. A log that is too short says so afterwards, and is to be enlarged
/// and written anew.
template <Real S>
class EntryLog {
 public:
  struct Entry {
    SparseIndex row = 0, column = 0;
    S value = S(0);
  };

  /// Room for `room` entries, at least one.
  explicit EntryLog(std::size_t room) : entries_(room + 1) { begin(); }

  /// Begins anew.
  void begin() {
    next_ = entries_.data();
    last_ = next_ + (entries_.size() - 1);
  }
  void put(std::size_t row, std::size_t column, const S& value) {
    *next_ = {SparseIndex(row), SparseIndex(column), value};
    next_ += next_ != last_ ? 1 : 0;
  }
  /// True if entries may have been lost.
  [[nodiscard]] bool is_full() const { return next_ == last_; }
  void enlarge() {
    entries_.resize(2 * entries_.size());
    begin();
  }

  [[nodiscard]] std::size_t size() const { return std::size_t(next_ - entries_.data()); }
  [[nodiscard]] const Entry& operator[](std::size_t k) const { return entries_[k]; }

 private:
  std::vector<Entry> entries_;
  Entry* next_ = nullptr;
  Entry* last_ = nullptr;
};

}  // namespace gastube
