// SPDX-License-Identifier: MIT
#pragma once
/// A triangular matrix whose eigenvalues can be moved along the diagonal and whose parts can be uncoupled from each
/// other. Sources: C. A. Bavely, G. W. Stewart, An algorithm for computing reducing subspaces by block diagonalization,
/// SIAM J. Numer. Anal. 16 (1979) 359 (the plan: uncouple, and where that costs too many digits, enlarge); from memory.

#include "gastube/stepping/exact/complex_number.hpp"

#include <cstddef>
#include <utility>

namespace gastube::exact {

/// M right = right T and left right = 1 all along, T upper triangular, complex.
template <class P>
class Separation {
 public:
  using C = Complex<P>;

  /// `t`, `right` (column k contiguous), `left` (row k contiguous) and `work` hold n * n numbers each, `row` and
  /// `scale` n; all are written.
  Separation(std::size_t n, C* t, C* right, C* left, C* work, C* row, P* scale)
      : n_(n), t_(t), right_(right), left_(left), x_(work), row_(row), scale_(scale) {}

  /// From a real Schur form M = Z H Z^T (row-major) of a matrix with diagonal blocks that begin at `block` for each
  /// place.
  void start(const P* h, const P* z, const std::size_t* block) {
    for (std::size_t i = 0; i < n_; ++i) {
      scale_[i] = P(0);
      for (std::size_t j = 0; j < n_; ++j) {
        at(i, j) = {h[i * n_ + j]};
        right_[j * n_ + i] = left_[j * n_ + i] = {z[i * n_ + j]};
        P& scale = scale_[block[i]];
        if (block[i] == block[j]) scale = math::max(scale, math::abs(h[i * n_ + j]));
      }
    }
    for (std::size_t k = 0; k < n_; ++k) scale_[k] = scale_[block[k]];
    for (std::size_t k = 0; k + 1 < n_; ++k)
      if (h[(k + 1) * n_ + k] != P(0)) split_pair(k);
  }

  [[nodiscard]] std::size_t size() const { return n_; }
  [[nodiscard]] const C& rate(std::size_t k) const { return t_[k * n_ + k]; }
  [[nodiscard]] const C& entry(std::size_t i, std::size_t j) const { return t_[i * n_ + j]; }
  [[nodiscard]] const C* column(std::size_t k) const { return right_ + k * n_; }
  [[nodiscard]] const C* row(std::size_t k) const { return left_ + k * n_; }
  /// Greatest entry of the block that rate k comes from: its error is a few round-offs of that.
  [[nodiscard]] P scale(std::size_t k) const { return scale_[k]; }

  /// Brings eigenvalue `from` forward to place `to` <= from, past those between.
  void move(std::size_t from, std::size_t to) {
    for (std::size_t k = from; k-- > to;) {
      const C first = rate(k), second = rate(k + 1), link = at(k, k + 1);
      std::swap(scale_[k], scale_[k + 1]);
      if (size_of(link) > P(0) || size_of(second - first) > P(0)) {
        turn(k, link, second - first);
        at(k, k) = second;
        at(k + 1, k + 1) = first;
        at(k + 1, k) = {};
      }
    }
  }
  /// Uncouples places [first, first + size) from [first + size, end).
  /// @return false, and nothing done, if a condition number (length of a left vector times that of its right one) or a
  /// coefficient of the change of basis came above `bound`
  [[nodiscard]] bool uncouple(std::size_t first, std::size_t size, std::size_t end, P bound) {
    const std::size_t rest = first + size;
    if (!solve(first, rest, end, bound)) return false;
    for (std::size_t i = first; i < rest; ++i)
      if (!(length(turned_row(i, rest, end)) * length(column(i)) <= bound)) return false;
    for (std::size_t i = first; i < rest; ++i) {
      const C* const changed = turned_row(i, rest, end);
      for (std::size_t k = 0; k < n_; ++k) left_[i * n_ + k] = changed[k];
      for (std::size_t j = rest; j < end; ++j) {
        at(i, j) = {};
        add(right_ + j * n_, x(i, j), right_ + i * n_);
      }
    }
    return true;
  }

 private:
  [[nodiscard]] C& at(std::size_t i, std::size_t j) { return t_[i * n_ + j]; }
  [[nodiscard]] C& x(std::size_t i, std::size_t j) { return x_[i * n_ + j]; }
  /// The change of basis X between [first, rest) and [rest, end).
  [[nodiscard]] bool solve(std::size_t first, std::size_t rest, std::size_t end, P bound) {
    for (std::size_t j = rest; j < end; ++j)
      for (std::size_t i = rest; i-- > first;) {
        C sum = -at(i, j);
        for (std::size_t k = i + 1; k < rest; ++k) sum -= at(i, k) * x(k, j);
        for (std::size_t k = rest; k < j; ++k) sum += x(i, k) * at(k, j);
        const C gap = rate(i) - rate(j);
        if (size_of(sum) <= bound * size_of(gap))
          x(i, j) = size_of(sum) > P(0) ? sum / gap : C{};
        else if (size_of(sum)
                 <= P(16)
                        * round_off<P> * math::max(scale_[i], scale_[j]))  // both stand alone: equal rates, no coupling
          x(i, j) = {};
        else
          return false;
      }
    return true;
  }
  /// Left vector i as it is once uncoupled from [rest, end).
  [[nodiscard]] const C* turned_row(std::size_t i, std::size_t rest, std::size_t end) {
    for (std::size_t k = 0; k < n_; ++k) row_[k] = left_[i * n_ + k];
    for (std::size_t j = rest; j < end; ++j) add(row_, -x(i, j), left_ + j * n_);
    return row_;
  }
  [[nodiscard]] P length(const C* vector) const {
    P squares(0);
    for (std::size_t k = 0; k < n_; ++k) squares += vector[k].re * vector[k].re + vector[k].im * vector[k].im;
    return math::sqrt(squares);
  }
  void add(C* to, const C& factor, const C* from) {
    if (size_of(factor) > P(0))
      for (std::size_t k = 0; k < n_; ++k) to[k] += factor * from[k];
  }
  /// Coordinates k, k + 1 turned so that the first becomes the direction (a, b).
  void turn(std::size_t k, C a, C b) {
    const P length = std::hypot(size_of(a), size_of(b));
    a = P(P(1) / length) * a;
    b = P(P(1) / length) * b;
    turn_pairs(&at(0, k), &at(0, k + 1), n_, a, b);
    turn_pairs(&at(k, 0), &at(k + 1, 0), 1, conjugate(a), conjugate(b));
    turn_pairs(right_ + k * n_, right_ + (k + 1) * n_, 1, a, b);
    turn_pairs(left_ + k * n_, left_ + (k + 1) * n_, 1, conjugate(a), conjugate(b));
  }
  [[gnu::noinline]] void turn_pairs(C* p, C* q, std::size_t stride, const C& a, const C& b) const {
    for (std::size_t i = 0; i < n_ * stride; i += stride) {
      const C first = a * p[i] + b * q[i];
      q[i] = conjugate(a) * q[i] - conjugate(b) * p[i];
      p[i] = first;
    }
  }
  /// Makes a real 2 x 2 block with complex eigenvalues triangular: exactly conjugate ones, the one that turns forward
  /// first.
  [[gnu::cold]] void split_pair(std::size_t k) {
    const P b = at(k, k + 1).re, c = at(k + 1, k).re, half = (at(k, k).re - at(k + 1, k + 1).re) / P(2);
    const P scale = math::max(math::abs(half), math::sqrt(math::abs(b)) * math::sqrt(math::abs(c)));
    const P turning = scale * math::sqrt(P(-(half / scale) * (half / scale) - (b / scale) * (c / scale)));
    const P growth = at(k + 1, k + 1).re + half;
    turn(k, {half, turning}, {c});
    at(k, k) = {growth, turning};
    at(k + 1, k + 1) = {growth, P(-turning)};
    at(k + 1, k) = {};
  }

  std::size_t n_;
  C* t_;
  C* right_;
  C* left_;
  C* x_;
  C* row_;
  P* scale_;
};

}  // namespace gastube::exact
