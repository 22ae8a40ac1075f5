// SPDX-License-Identifier: MIT
#pragma once
/// Elimination that finds the rank of a matrix, its two null spaces and solutions. Each entry carries the error it has
/// inherited and counts as zero only within that error, so picofarads beside millifarads keep their say.

#include "gastube/support/math.hpp"
#include "gastube/support/storage.hpp"

#include <cmath>
#include <utility>

namespace gastube::exact {

/// True for a zero that carries no derivative either. Scalars that hide their derivatives never count as such.
template <Real S>
[[nodiscard]] bool is_nothing(const S& v) {
  if (value_of(v) != Plain<S>(0)) return false;
  if constexpr (requires { v.partials(); }) {
    for (const auto& partial : v.partials())
      if (partial != Plain<S>(0)) return false;
    return true;
  } else
    return is_plain<S>;
}

/// Makes a storage long enough; only one of run-time length can grow.
template <class T, std::size_t N>
void make_room(std::array<T, N>&, std::size_t) {}
template <class T>
void make_room(std::vector<T>& storage, std::size_t length) {
  if (storage.size() < length) storage.resize(length);
}

/// Errors that add up over n terms reach this many times the one that is kept of them.
template <Real S>
[[nodiscard]] Plain<S> error_allowance(std::size_t n) {
  return Plain<S>(4) + std::sqrt(Plain<S>(n));
}

/// The sum, or one of value 0 if its value is within the error; derivatives stay, as zeros by accident have them.
template <Real S>
[[nodiscard]] S beyond_error(const S& sum, const Plain<S>& error, std::size_t n) {
  return math::abs(value_of(sum)) > error_allowance<S>(n) * error ? sum : S(sum - S(value_of(sum)));
}

/// P A Q = L U with complete pivoting on scaled entries, for matrices of up to Extent x Extent of any rank.
/// Positions below rank() are those of the pivots, in their order; the others are the dependent ones.
template <Real S, std::size_t Extent>
class Elimination {
 public:
  using P = Plain<S>;

  /// Zeros of a rows x columns matrix, without errors.
  void begin(std::size_t rows, std::size_t columns) {
    rows_ = rows;
    columns_ = columns;
    const std::size_t longer = rows > columns ? rows : columns;
    make_room(entries_, rows * columns);
    make_room(errors_, rows * columns);
    for (std::size_t e = 0; e < rows * columns; ++e) entries_[e] = S(0), errors_[e] = P(0);
    for (auto* order : {&row_at_, &column_at_, &place_of_, &best_column_, &used_}) make_room(*order, longer);
    for (auto* sizes : {&row_weight_, &column_weight_, &best_}) make_room(*sizes, longer);
    make_room(work_, longer);
  }
  /// One entry and the size of its possible error, to be set before run().
  void set(std::size_t i, std::size_t j, const S& value, const P& error) {
    entries_[i * columns_ + j] = value;
    errors_[i * columns_ + j] = error;
  }
  /// Factors what has been set.
  /// @param weights ordinary size of each column's unknown, to choose pivots by; null to find scales from the entries
  void run(const P* weights = nullptr) {
    for (std::size_t i = 0; i < rows_; ++i) row_at_[i] = i;
    for (std::size_t j = 0; j < columns_; ++j) column_at_[j] = j;
    weigh(weights);
    rank_ = 0;
    for (std::size_t i = 0; i < rows_; ++i) look_over(i);
    while (rank_ < rows_ && rank_ < columns_ && bring_pivot()) eliminate_below();
    for (std::size_t j = 0; j < columns_; ++j) place_of_[column_at_[j]] = j;
  }
  [[nodiscard]] std::size_t rank() const { return rank_; }
  /// Least pivot beside scaled entries of 1 at most: what is small has lost digits. 1 without pivots.
  [[nodiscard]] P least_pivot() const {
    P least(1);
    for (std::size_t k = 0; k < rank_; ++k)
      least = math::min(least, P(math::abs(value_of(row(k)[k])) * row_weight_[k] * column_weight_[k]));
    return least;
  }
  /// Row and column of the matrix that stand at a position.
  [[nodiscard]] std::size_t row_at(std::size_t position) const { return row_at_[position]; }
  [[nodiscard]] std::size_t column_at(std::size_t position) const { return column_at_[position]; }
  /// True if the column is no pivot's; kernel() has identity on these.
  [[nodiscard]] bool is_free(std::size_t column) const { return place_of_[column] >= rank_; }

  /// Writes columns - rank() vectors v with A v = 0, each a row of length columns. Call once after run().
  void kernel(S* out) {
    for (std::size_t k = rank_; k-- > 0;) {
      S* const here = row(k);
      for (std::size_t l = k + 1; l < rank_; ++l)
        if (!is_nothing(here[l])) subtract(here + rank_, here[l], row(l) + rank_, columns_ - rank_);
      for (std::size_t j = rank_; j < columns_; ++j) here[j] = S(here[j] / here[k]);
    }
    for (std::size_t free = 0; free < columns_; ++free) {
      if (!is_free(free)) continue;
      for (std::size_t k = 0; k < columns_; ++k)
        out[column_at_[k]] = k < rank_ ? S(-row(k)[place_of_[free]]) : S(column_at_[k] == free ? 1 : 0);
      out += columns_;
    }
  }
  /// Writes rows - rank() vectors u with u A = 0, each of length rows. Call once after run().
  void left_kernel(S* out) {
    for (std::size_t i = rank_; i < rows_; ++i, out += rows_) {
      S* const here = row(i);
      for (std::size_t k = rank_; k-- > 0;)
        if (!is_nothing(here[k])) subtract(here, here[k], row(k), k);
      for (std::size_t k = 0; k < rows_; ++k) out[row_at_[k]] = k < rank_ ? S(-here[k]) : S(k == i ? 1 : 0);
    }
  }
  /// Solves A x = b for `width` right sides at once (b is rows x width); dependent unknowns are 0.
  /// @param x rank() x width; its row k belongs to unknown column_at(k)
  void solve(const S* b, std::size_t width, S* x) const {
    for (std::size_t k = 0; k < rank_; ++k) {
      const S* const here = row(k);
      for (std::size_t j = 0; j < width; ++j) x[k * width + j] = b[row_at_[k] * width + j];
      for (std::size_t l = 0; l < k; ++l)
        if (!is_nothing(here[l])) subtract(x + k * width, here[l], x + l * width, width);
    }
    for (std::size_t k = rank_; k-- > 0;) {
      const S* const here = row(k);
      for (std::size_t l = k + 1; l < rank_; ++l)
        if (!is_nothing(here[l])) subtract(x + k * width, here[l], x + l * width, width);
      for (std::size_t j = 0; j < width; ++j) x[k * width + j] = S(x[k * width + j] / here[k]);
    }
  }
  /// Solves u A = b; u is 0 on dependent rows.
  void solve_left(const S* b, S* u) {
    for (std::size_t k = 0; k < rank_; ++k) work_[k] = b[column_at_[k]];
    for (std::size_t k = 0; k < rank_; ++k) {
      work_[k] = S(work_[k] / row(k)[k]);
      if (!is_nothing(work_[k])) subtract(work_.data() + k + 1, work_[k], row(k) + k + 1, rank_ - k - 1);
    }
    for (std::size_t k = rank_; k-- > 0;)
      if (!is_nothing(work_[k])) subtract(work_.data(), work_[k], row(k), k);
    for (std::size_t k = 0; k < rows_; ++k) u[row_at_[k]] = k < rank_ ? work_[k] : S(0);
  }

 private:
  [[nodiscard]] S* row(std::size_t i) { return entries_.data() + i * columns_; }
  [[nodiscard]] const S* row(std::size_t i) const { return entries_.data() + i * columns_; }
  static void subtract(S* from, const S factor, const S* what, std::size_t length) {
    for (std::size_t j = 0; j < length; ++j) from[j] -= factor * what[j];
  }

  /// Weights make the greatest entry of each row, and without given weights of each column, 1.
  void weigh(const P* weights) {
    for (std::size_t j = 0; j < columns_; ++j) column_weight_[j] = weights ? weights[j] : P(1);
    weigh_rows();
    if (weights) return;
    for (std::size_t j = 0; j < columns_; ++j) {
      P greatest(0);
      for (std::size_t i = 0; i < rows_; ++i)
        greatest = math::max(greatest, P(row_weight_[i] * math::abs(value_of(row(i)[j]))));
      column_weight_[j] = greatest > P(0) ? P(1) / greatest : P(1);
    }
    weigh_rows();
  }
  void weigh_rows() {
    for (std::size_t i = 0; i < rows_; ++i) {
      P greatest(0);
      for (std::size_t j = 0; j < columns_; ++j)
        greatest = math::max(greatest, P(column_weight_[j] * math::abs(value_of(row(i)[j]))));
      row_weight_[i] = greatest > P(0) ? P(1) / greatest : P(0);
    }
  }
  /// Notes the best pivot of row i; what lies within its error becomes zero.
  void look_over(std::size_t i) {
    const P allowance = error_allowance<S>(rows_);
    S* const here = row(i);
    const P* const errors = errors_.data() + i * columns_;
    best_[i] = P(0);
    for (std::size_t j = rank_; j < columns_; ++j) {
      const P size = math::abs(value_of(here[j]));
      if (size == P(0)) continue;
      if (!(size > allowance * errors[j]))
        here[j] -= S(value_of(here[j]));
      else if (size * column_weight_[j] > best_[i])
        best_[i] = size * column_weight_[j], best_column_[i] = j;
    }
    best_[i] *= row_weight_[i];
  }
  /// Exchanges rows and columns so that the best pivot of all stands at position rank_.
  [[nodiscard]] bool bring_pivot() {
    std::size_t r = rank_;
    for (std::size_t i = rank_ + 1; i < rows_; ++i)
      if (best_[i] > best_[r]) r = i;
    if (!(best_[r] > P(0))) return false;
    const std::size_t c = best_column_[r], k = rank_;
    if (r != k) exchange_rows(r, k);
    if (c != k) exchange_columns(c, k);
    return true;
  }
  void exchange_rows(std::size_t a, std::size_t b) {
    std::swap(row_at_[a], row_at_[b]);
    std::swap(row_weight_[a], row_weight_[b]);
    std::swap(best_[a], best_[b]);
    std::swap(best_column_[a], best_column_[b]);
    for (std::size_t j = 0; j < columns_; ++j) {
      std::swap(entries_[a * columns_ + j], entries_[b * columns_ + j]);
      std::swap(errors_[a * columns_ + j], errors_[b * columns_ + j]);
    }
  }
  void exchange_columns(std::size_t c, std::size_t k) {
    std::swap(column_at_[c], column_at_[k]);
    std::swap(column_weight_[c], column_weight_[k]);
    for (std::size_t i = 0; i < rows_; ++i) {
      std::swap(entries_[i * columns_ + c], entries_[i * columns_ + k]);
      std::swap(errors_[i * columns_ + c], errors_[i * columns_ + k]);
      if (best_column_[i] == k) best_column_[i] = c;  // rows with their best in the pivot's column are looked over anew
    }
  }
  void eliminate_below() {
    const std::size_t k = rank_++;
    const S* const pivot = row(k);
    std::size_t count = 0;
    for (std::size_t j = k + 1; j < columns_; ++j)
      if (!is_nothing(pivot[j])) used_[count++] = j;
    for (std::size_t i = k + 1; i < rows_; ++i)
      if (!is_nothing(row(i)[k])) {
        subtract_pivot(i, k, count);
        look_over(i);
      }
  }
  void subtract_pivot(std::size_t i, std::size_t k, std::size_t count) {
    S* const here = row(i);
    const S* const pivot = row(k);
    P* const errors = errors_.data() + i * columns_;
    const P* const pivot_errors = errors_.data() + k * columns_;
    const S factor = S(here[k] / pivot[k]);
    here[k] = factor;
    const P size = math::abs(value_of(factor));
    const P factor_error = math::max(errors[k], P(size * pivot_errors[k])) / math::abs(value_of(pivot[k]));
    for (std::size_t e = 0; e < count; ++e) {
      const std::size_t j = used_[e];
      const P by = math::abs(value_of(pivot[j]));
      here[j] -= factor * pivot[j];
      const P inherited = math::max(P(size * pivot_errors[j]), P(factor_error * by));
      errors[j] = math::max(errors[j], inherited) + round_off<S> * size * by;
    }
  }

  std::size_t rows_ = 0, columns_ = 0, rank_ = 0;
  Storage<S, extent_product(Extent, Extent)> entries_{};
  Storage<P, extent_product(Extent, Extent)> errors_{};
  Storage<std::size_t, Extent> row_at_{}, column_at_{}, place_of_{}, best_column_{}, used_{};
  Storage<P, Extent> row_weight_{}, column_weight_{}, best_{};
  Storage<S, Extent> work_{};
};

}  // namespace gastube::exact
