// SPDX-License-Identifier: MIT
#pragma once
/// Real Schur form of a general real matrix, A = Z T Z^T: balancing, Hessenberg form, and QR steps with two shifts at
/// once. Sources: G. H. Golub, C. F. Van Loan, Matrix Computations, 4th ed. 2013, sections 7.4 and 7.5 (from memory).
/// All matrices are n x n, row-major.

#include "gastube/support/math.hpp"

#include <cstddef>

namespace gastube::exact {

/// Scales A to D^-1 A D by powers of two so that each row weighs about what its column does; `scale` receives the
/// diagonal of D. Where nothing feeds a coordinate, or it feeds nothing, its own rate is the measure, if `lone`.
template <class P>
[[gnu::cold]] void balance(std::size_t n, P* a, P* scale, bool lone = true) {
  for (std::size_t i = 0; i < n; ++i) scale[i] = P(1);
  bool changed = true;
  for (int sweep = 0; changed && sweep < 30; ++sweep) {
    changed = false;
    for (std::size_t i = 0; i < n; ++i) {
      P row(0), column(0);
      const P own = math::abs(a[i * n + i]);
      for (std::size_t j = 0; j < n; ++j)
        if (j != i) row += math::abs(a[i * n + j]), column += math::abs(a[j * n + i]);
      if (lone && !(row > P(0)) && column > own) row = own * (own / column);
      if (lone && !(column > P(0)) && row > own) column = own * (own / row);
      if (!(row > P(0)) || !(column > P(0))) continue;
      const int shift = (std::ilogb(row) - std::ilogb(column)) / 2;
      if (shift == 0) continue;
      changed = true;
      const P factor = std::ldexp(P(1), shift), inverse = std::ldexp(P(1), -shift);
      for (std::size_t j = 0; j < n; ++j) a[i * n + j] *= inverse;
      for (std::size_t j = 0; j < n; ++j) a[j * n + i] *= factor;
      scale[i] *= factor;
    }
  }
}

/// I - beta v v^T with v = (1, v1, v2), which takes (x, y, z) to (image, 0, 0).
template <class P>
struct Reflection {
  P v1 = P(0), v2 = P(0), beta = P(0), image;

  Reflection(P x, P y, P z) : image(x) {
    const P size = math::abs(x) + math::abs(y) + math::abs(z);
    if (!(math::abs(y) + math::abs(z) > P(0))) return;
    const P a = x / size, b = y / size, c = z / size;
    const P length = std::copysign(math::sqrt(P(a * a + b * b + c * c)), -a);
    v1 = b / (a - length);
    v2 = c / (a - length);
    beta = (length - a) / length;
    image = length * size;
  }
  /// On three (or, without z, two) numbers.
  void apply(P& x, P& y) const {
    const P t = beta * (x + v1 * y);
    x -= t;
    y -= t * v1;
  }
  void apply(P& x, P& y, P& z) const {
    const P t = beta * (x + v1 * y + v2 * z);
    x -= t;
    y -= t * v1;
    z -= t * v2;
  }
};

/// Takes A to Hessenberg form (zeros below the first subdiagonal) by reflections, gathered in Z from the right.
template <class P>
void reduce_to_hessenberg(std::size_t n, P* a, P* z, P* v) {
  for (std::size_t k = 0; k + 2 < n; ++k) {
    P greatest(0), squares(0);
    for (std::size_t i = k + 2; i < n; ++i) greatest = math::max(greatest, math::abs(a[i * n + k]));
    if (!(greatest > P(0))) continue;
    greatest = math::max(greatest, math::abs(a[(k + 1) * n + k]));
    for (std::size_t i = k + 1; i < n; ++i) {
      v[i] = a[i * n + k] / greatest;
      squares += v[i] * v[i];
    }
    const P length = std::copysign(math::sqrt(squares), -v[k + 1]);
    v[k + 1] -= length;
    const P beta = P(-1) / (length * v[k + 1]);
    for (std::size_t j = k + 1; j < n; ++j) {
      P sum(0);
      for (std::size_t i = k + 1; i < n; ++i) sum += v[i] * a[i * n + j];
      for (std::size_t i = k + 1; i < n; ++i) a[i * n + j] -= beta * sum * v[i];
    }
    for (P* const matrix : {a, z})
      for (std::size_t i = 0; i < n; ++i) {
        P sum(0);
        for (std::size_t j = k + 1; j < n; ++j) sum += matrix[i * n + j] * v[j];
        for (std::size_t j = k + 1; j < n; ++j) matrix[i * n + j] -= beta * sum * v[j];
      }
    a[(k + 1) * n + k] = length * greatest;
    for (std::size_t i = k + 2; i < n; ++i) a[i * n + k] = P(0);
  }
}

/// QR steps on a Hessenberg matrix until it is triangular but for 2 x 2 blocks with complex eigenvalues.
template <class P>
class QrSteps {
 public:
  /// Works on h and z in place; z is multiplied from the right by all that is done.
  QrSteps(std::size_t n, P* h, P* z) : n_(n), h_(h), z_(z) {}

  /// @return false if an eigenvalue does not settle (not known to happen), or at a NaN
  [[nodiscard]] bool run() {
    P sum(0);  // finds a NaN, which no comparison does
    for (std::size_t i = 0; i < n_ * n_; ++i) sum += math::abs(h_[i]);
    if (!math::is_finite(sum)) return false;
    std::size_t end = n_;
    int steps = 0;
    while (end > 0) {
      const std::size_t begin = cut(end);
      if (begin + 2 >= end) {
        if (begin + 2 == end) split_pair(begin);
        end = begin;
        steps = 0;
      } else if (++steps > 60) {
        return false;
      } else {
        double_step(begin, end, steps % 10 == 0);
      }
    }
    return true;
  }

 private:
  [[nodiscard]] P& at(std::size_t i, std::size_t j) { return h_[i * n_ + j]; }

  /// Start of the last unbroken block before `end`; subdiagonal entries lost to round-off become 0.
  [[nodiscard]] std::size_t cut(std::size_t end) {
    for (std::size_t k = end - 1; k > 0; --k) {
      const P small = math::abs(at(k, k - 1));
      P size = math::abs(at(k, k)) + math::abs(at(k - 1, k - 1));
      if (!(size > P(0))) size = math::abs(at(k - 1, k));
      if (small <= round_off<P> / P(2) * size) {
        at(k, k - 1) = P(0);
        return k;
      }
    }
    return 0;
  }
  /// One step with both eigenvalues of the last 2 x 2 block as shifts.
  void double_step(std::size_t begin, std::size_t end, bool exceptional) {
    const std::size_t b = begin, e = end - 1;
    P sum = at(e - 1, e - 1) + at(e, e);
    P product = at(e - 1, e - 1) * at(e, e) - at(e - 1, e) * at(e, e - 1);
    if (exceptional) {
      const P size = math::abs(at(e, e - 1)) + math::abs(at(e - 1, e - 2));
      sum = P(1.5) * size;
      product = size * size;
    }
    P x = at(b, b) * (at(b, b) - sum) + product + at(b, b + 1) * at(b + 1, b);
    P y = at(b + 1, b) * (at(b, b) + at(b + 1, b + 1) - sum);
    P z = at(b + 1, b) * at(b + 2, b + 1);
    for (std::size_t k = b; k < e; ++k) {
      if (k > b) x = at(k, k - 1), y = at(k + 1, k - 1), z = k + 2 <= e ? at(k + 2, k - 1) : P(0);
      const Reflection<P> reflect(x, y, z);
      if (k > b) {
        at(k, k - 1) = reflect.image;
        at(k + 1, k - 1) = P(0);
        if (k + 2 <= e) at(k + 2, k - 1) = P(0);
      }
      if (k + 2 <= e)
        turn(reflect, k, k + 4 < end ? k + 4 : end);
      else
        turn(reflect, k);
    }
  }
  /// A reflection of coordinates k, k + 1, k + 2, where the first `rows` rows reach.
  void turn(const Reflection<P>& reflect, std::size_t k, std::size_t rows) {
    for (std::size_t j = k; j < n_; ++j) reflect.apply(at(k, j), at(k + 1, j), at(k + 2, j));
    for (std::size_t i = 0; i < rows; ++i) reflect.apply(at(i, k), at(i, k + 1), at(i, k + 2));
    for (P* p = z_ + k; p < z_ + n_ * n_; p += n_) reflect.apply(p[0], p[1], p[2]);
  }
  /// The same of two coordinates.
  void turn(const Reflection<P>& reflect, std::size_t k) {
    for (std::size_t j = k; j < n_; ++j) reflect.apply(at(k, j), at(k + 1, j));
    for (std::size_t i = 0; i < k + 2; ++i) reflect.apply(at(i, k), at(i, k + 1));
    for (P* p = z_ + k; p < z_ + n_ * n_; p += n_) reflect.apply(p[0], p[1]);
  }
  /// Makes a 2 x 2 block with real eigenvalues triangular.
  [[gnu::cold]] void split_pair(std::size_t k) {
    const P half = (at(k, k) - at(k + 1, k + 1)) / P(2), b = at(k, k + 1), c = at(k + 1, k);
    const P noise = P(4) * round_off<P> * (math::abs(at(k, k)) + math::abs(at(k + 1, k + 1)));
    if (math::abs(half) + math::abs(b) + math::abs(c) > noise) {
      const P scale = math::max(math::abs(half), math::sqrt(math::abs(b)) * math::sqrt(math::abs(c)));
      const P under = scale > P(0) ? P((half / scale) * (half / scale) + (b / scale) * (c / scale)) : P(0);
      if (under < P(0)) return;
      const P root = half + std::copysign(scale * math::sqrt(under), half);  // eigenvalue less the last diagonal entry
      turn(Reflection<P>(root, c, P(0)), k);                                 // its eigenvector is (root, c)
    }
    at(k + 1, k) = P(0);
  }

  std::size_t n_;
  P* h_;
  P* z_;
};

}  // namespace gastube::exact
