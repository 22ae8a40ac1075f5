// SPDX-License-Identifier: MIT
#pragma once
/// Finds the place at which an entry of a sparse matrix is kept, from its row and column.

#include <cstddef>
#include <cstdint>
#include <vector>

namespace gastube {

/// Index of a row, a column or a place of a sparse matrix: half the memory of std::size_t.
using SparseIndex = std::uint32_t;

/// Map (row, column) -> place by open addressing. Memory stays when it is cleared; it grows by doubling.
class PlaceTable {
 public:
  static constexpr SparseIndex none = ~SparseIndex(0);

  /// Makes room for this many entries. Forgets all that were there.
  void clear(std::size_t room) {
    std::size_t size = 16;
    while (size < 2 * room) size *= 2;
    if (size > cells_.size()) cells_.resize(size);
    for (Cell& cell : cells_) cell.place = none;
    count_ = 0;
    set_shift();
  }

  /// The place of an entry, or none.
  [[nodiscard]] SparseIndex find(SparseIndex row, SparseIndex column) const {
    const std::uint64_t key = key_of(row, column);
    for (std::size_t k = first(key);; k = (k + 1) & (cells_.size() - 1))
      if (cells_[k].place == none || cells_[k].key == key) return cells_[k].place;
  }
  /// Notes an entry that is not there yet.
  void insert(SparseIndex row, SparseIndex column, SparseIndex place) {
    if (2 * (count_ + 1) > cells_.size()) grow();
    put({key_of(row, column), place});
    ++count_;
  }

 private:
  struct Cell {
    std::uint64_t key = 0;
    SparseIndex place = none;
  };

  [[nodiscard]] static std::uint64_t key_of(SparseIndex row, SparseIndex column) {
    return (std::uint64_t(row) << 32U) | column;
  }
  /// Multiplicative hashing: D. E. Knuth, "The Art of Computer Programming", volume 3, 6.4.
  [[nodiscard]] std::size_t first(std::uint64_t key) const {
    return std::size_t(((key ^ (key >> 29U)) * 0x9E3779B97F4A7C15U) >> shift_);
  }
  void put(const Cell& cell) {
    std::size_t k = first(cell.key);
    while (cells_[k].place != none) k = (k + 1) & (cells_.size() - 1);
    cells_[k] = cell;
  }
  void grow() {
    const std::vector<Cell> before = cells_;
    cells_.assign(2 * before.size(), Cell{});
    set_shift();
    for (const Cell& cell : before)
      if (cell.place != none) put(cell);
  }
  void set_shift() {
    shift_ = 64;
    for (std::size_t size = cells_.size(); size > 1; size /= 2) --shift_;
  }

  std::vector<Cell> cells_ = std::vector<Cell>(16);
  std::size_t count_ = 0;
  unsigned shift_ = 60;
};

}  // namespace gastube
