// SPDX-License-Identifier: MIT
#pragma once
/// A real basis of a subspace that is its own complex conjugate.

#include "gastube/stepping/exact/complex_number.hpp"
#include "gastube/stepping/exact/vector_sums.hpp"

#include <cstddef>

namespace gastube::exact {

/// Orthonormal real basis (vector k contiguous, `count` of them, n numbers each) of what `count` complex vectors span.
/// Real and imaginary parts are made orthogonal to each other, the greatest first, twice over.
/// `work` holds 2 * count * n numbers.
template <class P>
[[gnu::cold]] void real_basis(std::size_t n, std::size_t count, const Complex<P>* vectors, P* basis, P* work) {
  for (std::size_t k = 0; k < count; ++k)
    for (std::size_t i = 0; i < n; ++i) {
      work[2 * k * n + i] = vectors[k * n + i].re;
      work[(2 * k + 1) * n + i] = vectors[k * n + i].im;
    }
  for (std::size_t k = 0; k < count; ++k) {
    P* const chosen = basis + k * n;
    const P* best = work;
    for (const P* v = work; v < work + 2 * count * n; v += n)
      if (dot(n, v, v) > dot(n, best, best)) best = v;
    for (std::size_t i = 0; i < n; ++i) chosen[i] = best[i];
    for (const P* earlier = basis; earlier < chosen; earlier += n)
      add_scaled(n, chosen, P(-dot(n, earlier, chosen)), earlier);
    const P size = math::sqrt(dot(n, chosen, chosen));
    for (std::size_t i = 0; i < n; ++i) chosen[i] /= size;
    for (P* v = work; v < work + 2 * count * n; v += n) add_scaled(n, v, P(-dot(n, chosen, v)), chosen);
  }
}

}  // namespace gastube::exact
