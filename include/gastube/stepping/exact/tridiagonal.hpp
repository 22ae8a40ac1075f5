// SPDX-License-Identifier: MIT
#pragma once
/// Eigenvectors of a large symmetric matrix: reflections to tridiagonal form, then implicit QL steps. Errors are a few
/// round-offs of the greatest eigenvalue, however small the others.
/// Source: G. H. Golub, C. F. Van Loan, Matrix Computations, 4th ed. 2013, section 8.3 (from memory).

#include "gastube/stepping/exact/vector_sums.hpp"
#include "gastube/support/math.hpp"

#include <cstddef>

namespace gastube::exact {

/// Makes v[0 .. last - 1] zero by the reflection 1 - beta v v^T; v becomes its vector.
/// @return beta, 0 if there is nothing to do; `image` receives what v[last] becomes
template <class P>
[[nodiscard]] P make_reflection(std::size_t last, P* v, P& image) {
  P rest(0);
  for (std::size_t k = 0; k < last; ++k) rest = math::max(rest, math::abs(v[k]));
  image = v[last];
  if (!(rest > P(0))) return P(0);
  const P greatest = math::max(rest, math::abs(v[last]));
  for (std::size_t k = 0; k <= last; ++k) v[k] /= greatest;
  const P length = std::copysign(math::sqrt(dot(last + 1, v, v)), -v[last]);
  image = length * greatest;
  v[last] -= length;
  return P(-1) / (length * v[last]);
}

/// Takes the symmetric n x n matrix `a` to tridiagonal form, and `a` itself to the transposed product of the
/// reflections.
template <class P>
void reduce_to_tridiagonal(std::size_t n, P* a, P* diagonal, P* beside) {
  // From the last row up: row i keeps its reflection's vector in places 0 .. i - 1, `diagonal` its factor.
  for (std::size_t i = n; i-- > 1;) {
    P* const v = a + i * n;
    P* const w = beside;  // places 0 .. i - 1 are still free
    const P beta = diagonal[i] = make_reflection(i - 1, v, beside[i]);
    if (beta == P(0)) continue;
    for (std::size_t k = 0; k < i; ++k) w[k] = P(0);
    for (std::size_t k = 0; k < i; ++k) {  // w = A v from the lower half
      w[k] += dot(k + 1, a + k * n, v);
      add_scaled(k, w, v[k], a + k * n);
    }
    const P half = beta * beta * dot(i, w, v) / P(2);
    for (std::size_t k = 0; k < i; ++k) w[k] = beta * w[k] - half * v[k];
    for (std::size_t k = 0; k < i; ++k) {
      add_scaled(k + 1, a + k * n, P(-v[k]), w);
      add_scaled(k + 1, a + k * n, P(-w[k]), v);
    }
  }
  // The product, grown from the small end; the diagonal is read before it is overwritten.
  for (std::size_t i = 0; i < n; ++i) {
    P* const v = a + i * n;
    const P own = v[i], beta = diagonal[i];
    for (std::size_t k = 0; i > 0 && beta != P(0) && k < i; ++k)
      add_scaled(i, a + k * n, P(-beta * dot(i, a + k * n, v)), v);
    for (std::size_t k = 0; k < i; ++k) v[k] = a[k * n + i] = P(0);
    v[i] = P(1);
    diagonal[i] = own;
  }
}

/// QL steps on a symmetric tridiagonal matrix; `beside[i]` stands between diagonal entries i - 1 and i. The rows of `q`
/// are turned along: from the transposed product of the reduction they become the eigenvectors.
/// @return false if one does not settle, or at a NaN
template <class P>
[[nodiscard]] bool settle_tridiagonal(std::size_t n, P* diagonal, P* beside, P* q) {
  P sum = diagonal[0];  // finds a NaN, which no comparison does
  for (std::size_t i = 1; i < n; ++i) {
    beside[i - 1] = beside[i];
    sum += diagonal[i] + beside[i];
  }
  if (!math::is_finite(sum)) return false;
  beside[n - 1] = P(0);
  for (std::size_t first = 0; first < n; ++first)
    for (int steps = 0;; ++steps) {
      std::size_t last = first;
      while (last + 1 < n
             && math::abs(beside[last])
                    > round_off<P> / P(2) * (math::abs(diagonal[last]) + math::abs(diagonal[last + 1])))
        ++last;
      if (last == first) break;
      if (steps > 60) return false;
      const P half = (diagonal[first + 1] - diagonal[first]) / (P(2) * beside[first]);
      const P shift = diagonal[first] - beside[first] / (half + std::copysign(std::hypot(half, P(1)), half));
      P g = diagonal[last] - shift, s(1), c(1), p(0);
      bool broken = false;
      for (std::size_t i = last; i-- > first;) {
        const P f = s * beside[i], b = c * beside[i], r = std::hypot(f, g);
        beside[i + 1] = r;
        if (r == P(0)) {
          diagonal[i + 1] -= p;
          broken = true;
          break;
        }
        s = f / r;
        c = g / r;
        g = diagonal[i + 1] - p;
        const P t = (diagonal[i] - g) * s + P(2) * c * b;
        p = s * t;
        diagonal[i + 1] = g + p;
        g = c * t - b;
        rotate_vectors(n, q + i * n, q + (i + 1) * n, c, s);
      }
      beside[last] = P(0);
      if (broken) continue;
      diagonal[first] -= p;
      beside[first] = g;
    }
  return true;
}

}  // namespace gastube::exact
