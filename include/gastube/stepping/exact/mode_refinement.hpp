// SPDX-License-Identifier: MIT
#pragma once
/// Newton steps on all modes of E v' + K v = 0 at once. They work on E and K themselves, so round-off is that of the
/// terms of each equation, not of the greatest one; and in scalars with derivatives they bring in the derivatives.

#include "gastube/stepping/exact/modal_basis.hpp"

#include <cstddef>
#include <utility>

namespace gastube::exact {

/// Improves a modal basis whose values are already near; `basis` holds scalars S.
template <Real S, std::size_t Extent>
class ModeRefinement {
  using P = Plain<S>;
  using C = Complex<S>;
  using Basis = ModalBasis<S, Extent>;
  using Matrix = Storage<C, extent_product(Extent, Extent)>;

 public:
  ModeRefinement(std::size_t m, const S* e, const S* k, Basis& basis)
      : m_(m)
      , e_(e)
      , k_(k)
      , basis_(basis)
      , f_(filled<C, extent_product(Extent, Extent)>(m * m, {}))
      , f_turned_(f_)
      , g_(f_)
      , g_turned_(f_)
      , x_(f_)
      , x_turned_(f_)
      , next_(f_) {}

  /// One step. With indices of columns i, j and their conjugates: F = left E right, G = left K right, R = G + F block;
  /// X block - block X = -R between groups, right += right X, left -= (F - 1 + X) left, block -= R within a group.
  /// @return the greatest change |X|
  P step() {
    multiply(e_, x_.data());
    project(x_.data(), f_, f_turned_);
    multiply(k_, x_.data());
    project(x_.data(), g_, g_turned_);
    form_residual();
    const P change = solve();
    update_left();
    update_right();
    return change;
  }

  /// |F - 1| before the last step, for each pair of columns the geometric mean of both entries: that does not depend on
  /// how long the columns are. Infinite for a NaN, or where the columns and their conjugates are not as many as the
  /// unknowns.
  [[nodiscard]] P defect() const {
    std::size_t states = basis_.columns;
    P greatest(0);
    const auto both = [&](const Matrix& f, std::size_t i, std::size_t j, P unit) {
      const P square = size_of(f[i * m_ + j] - C{S(unit)}) * size_of(f[j * m_ + i] - C{S(unit)});
      if (!(square <= greatest)) greatest = square;
    };
    for (const auto* group = begin(); group < end(); ++group) {
      if (group->turning) states += group->size;
      for (std::size_t j = group->first; j < group->first + group->size; ++j)
        for (std::size_t i = 0; i <= j; ++i) {
          both(f_, i, j, P(i == j ? 1 : 0));
          if (group->turning) both(f_turned_, i, j, P(0));
        }
    }
    return states == m_ && math::is_finite(greatest) ? P(math::sqrt(greatest)) : unlimited<P>();
  }

 private:
  [[nodiscard]] const BasisGroup<S>* begin() const { return basis_.groups.data(); }
  [[nodiscard]] const BasisGroup<S>* end() const { return basis_.groups.data() + basis_.count; }
  [[nodiscard]] C block(std::size_t k, std::size_t l, std::size_t first) const {
    return basis_.block[k * m_ + (l - first)];
  }
  /// matrix times each right vector.
  void multiply(const S* matrix, C* products) const {
    for (std::size_t k = 0; k < basis_.columns; ++k)
      for (std::size_t i = 0; i < m_; ++i) {
        C sum;
        for (std::size_t j = 0; j < m_; ++j) sum += matrix[i * m_ + j] * basis_.right[k * m_ + j];
        products[k * m_ + i] = sum;
      }
  }
  /// Products of the left vectors, and of their conjugates, with given vectors.
  void project(const C* vectors, Matrix& straight, Matrix& turned) const {
    for (std::size_t i = 0; i < basis_.columns; ++i)
      for (std::size_t j = 0; j < basis_.columns; ++j) {
        const C* const left = basis_.left.data() + i * m_;
        const C* const right = vectors + j * m_;
        S rr(0), ii(0), ri(0), ir(0);
        for (std::size_t r = 0; r < m_; ++r) {
          rr += left[r].re * right[r].re;
          ii += left[r].im * right[r].im;
          ri += left[r].re * right[r].im;
          ir += left[r].im * right[r].re;
        }
        straight[i * m_ + j] = {S(rr - ii), S(ri + ir)};
        turned[i * m_ + j] = {S(rr + ii), S(ri - ir)};
      }
  }
  void form_residual() {
    for (const auto* group = begin(); group < end(); ++group)
      for (std::size_t j = group->first; j < group->first + group->size; ++j)
        for (std::size_t l = group->first; l < group->first + group->size; ++l)
          for (std::size_t i = 0; i < basis_.columns; ++i) {
            g_[i * m_ + j] += f_[i * m_ + l] * block(l, j, group->first);
            g_turned_[i * m_ + j] += f_turned_[i * m_ + l] * block(l, j, group->first);
          }
  }
  [[nodiscard]] P solve() {
    P change(0);
    for (const auto* row = begin(); row < end(); ++row)
      for (const auto* column = begin(); column < end(); ++column) {
        if (row == column)
          settle_block(*row);
        else
          change = math::max(change, solve_pair(*row, *column, g_, x_, false));
        if (row->turning)
          change = math::max(change, solve_pair(*row, *column, g_turned_, x_turned_, true));
        else
          copy(*row, *column);
      }
    return change;
  }
  /// A real left vector is its own conjugate.
  [[gnu::cold]] void copy(const BasisGroup<S>& row, const BasisGroup<S>& column) {
    for (std::size_t i = row.first; i < row.first + row.size; ++i)
      for (std::size_t j = column.first; j < column.first + column.size; ++j) x_turned_[i * m_ + j] = x_[i * m_ + j];
  }
  /// A rate of exactly zero stays so: only its derivatives change.
  [[gnu::cold]] void settle_block(const BasisGroup<S>& group) {
    for (std::size_t k = group.first; k < group.first + group.size; ++k)
      for (std::size_t l = group.first; l < group.first + group.size; ++l) {
        C& change = g_[k * m_ + l];
        if (group.still && group.size == 1) change.re -= S(value_of(change.re));
        if (!group.turning) change.im = S(0);
        x_[k * m_ + l] = {};
      }
  }
  [[nodiscard]] C mean(const BasisGroup<S>& group) const {
    C sum;
    for (std::size_t k = group.first; k < group.first + group.size; ++k) sum += block(k, k, group.first);
    return S(S(1) / S(double(group.size))) * sum;
  }
  /// Solves X block_column - block_row X = -R: exactly between single modes; a group's own matrix is nilpotent but for
  /// its spread, so a few rounds settle the rest.
  [[gnu::cold]] P solve_pair(const BasisGroup<S>& row, const BasisGroup<S>& column, const Matrix& r, Matrix& x,
                             bool turned) {
    const C own = mean(column), other = turned ? conjugate(mean(row)) : mean(row), gap = own - other;
    const std::size_t row_end = row.first + row.size, column_end = column.first + column.size;
    for (std::size_t i = row.first; i < row_end; ++i)
      for (std::size_t j = column.first; j < column_end; ++j) x[i * m_ + j] = {};
    if (!(size_of(gap) > P(0))) return P(0);
    const bool single = row.size + column.size == 2;
    for (std::size_t round = 0; round < (single ? 1 : row.size + column.size + 8); ++round) {
      for (std::size_t i = row.first; i < row_end; ++i)
        for (std::size_t j = column.first; j < column_end; ++j) {
          C sum = r[i * m_ + j];
          for (std::size_t l = column.first; !single && l < column_end; ++l)
            sum += x[i * m_ + l] * (block(l, j, column.first) - (l == j ? own : C{}));
          for (std::size_t l = row.first; !single && l < row_end; ++l) {
            const C entry = block(i, l, row.first);
            sum -= ((turned ? conjugate(entry) : entry) - (l == i ? other : C{})) * x[l * m_ + j];
          }
          next_[i * m_ + j] = -sum / gap;
        }
      for (std::size_t i = row.first; i < row_end; ++i)
        for (std::size_t j = column.first; j < column_end; ++j) x[i * m_ + j] = next_[i * m_ + j];
    }
    P greatest(0);
    for (std::size_t i = row.first; i < row_end; ++i)
      for (std::size_t j = column.first; j < column_end; ++j) greatest = math::max(greatest, size_of(x[i * m_ + j]));
    if (greatest < P(0.01)) return greatest;
    for (std::size_t i = row.first; i < row_end; ++i)  // equal rates: any basis does; or too far off to be improved
      for (std::size_t j = column.first; j < column_end; ++j) x[i * m_ + j] = {};
    return P(0);
  }

  void update_left() {
    for (const auto* group = begin(); group < end(); ++group)
      for (std::size_t k = group->first; k < group->first + group->size; ++k)
        for (std::size_t l = group->first; l < group->first + group->size; ++l)
          basis_.block[k * m_ + (l - group->first)] -= g_[k * m_ + l];
    for (std::size_t i = 0; i < basis_.columns; ++i) {
      C* const changed = g_.data() + i * m_;
      for (std::size_t r = 0; r < m_; ++r) changed[r] = basis_.left[i * m_ + r];
      for (const auto* group = begin(); group < end(); ++group)
        for (std::size_t j = group->first; j < group->first + group->size; ++j) {
          C z = f_[i * m_ + j] + x_[i * m_ + j];
          if (i == j) z.re -= S(1);
          const C z_turned = conjugate(f_turned_[i * m_ + j] + x_turned_[i * m_ + j]);
          for (std::size_t r = 0; r < m_; ++r) {
            const C& left = basis_.left[j * m_ + r];
            changed[r] -= z * left;
            if (group->turning) changed[r] -= z_turned * conjugate(left);
          }
        }
    }
    std::swap(basis_.left, g_);
  }
  void update_right() {
    for (std::size_t j = 0; j < basis_.columns; ++j) {
      C* const changed = g_.data() + j * m_;
      for (std::size_t r = 0; r < m_; ++r) changed[r] = basis_.right[j * m_ + r];
      for (const auto* group = begin(); group < end(); ++group)
        for (std::size_t i = group->first; i < group->first + group->size; ++i)
          for (std::size_t r = 0; r < m_; ++r) {
            const C& right = basis_.right[i * m_ + r];
            changed[r] += x_[i * m_ + j] * right;
            if (group->turning) changed[r] += x_turned_[i * m_ + j] * conjugate(right);
          }
    }
    std::swap(basis_.right, g_);
  }

  std::size_t m_;
  const S* e_;
  const S* k_;
  Basis& basis_;
  Matrix f_, f_turned_, g_, g_turned_, x_, x_turned_, next_;
};

}  // namespace gastube::exact
