// SPDX-License-Identifier: MIT
// A real basis of a subspace that is its own conjugate.
#include <gastube/stepping/exact/real_basis.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace gastube::exact;

TEST_CASE("two conjugate vectors and a turned real one span what their real basis spans") {
  using C = Complex<double>;
  const double p[] = {1, 2, 0, -1}, q[] = {0.5, -1, 3, 2}, r[] = {1, 0, 1e-3, 0};
  std::vector<C> vectors(12);
  for (std::size_t i = 0; i < 4; ++i) {
    vectors[i] = {p[i], q[i]};
    vectors[4 + i] = {p[i], -q[i]};
    vectors[8 + i] = C{0.6, 0.8} * C{r[i]};
  }
  double basis[12], work[24];
  real_basis(4, 3, vectors.data(), basis, work);
  for (int i = 0; i < 3; ++i)
    for (int j = 0; j < 3; ++j) CHECK(std::fabs(dot(4, basis + 4 * i, basis + 4 * j) - (i == j)) < 1e-15);
  for (const double* const v : {p, q, r}) {
    double rest[4];
    for (int i = 0; i < 4; ++i) rest[i] = v[i];
    for (int k = 0; k < 3; ++k) add_scaled(4, rest, -dot(4, basis + 4 * k, v), basis + 4 * k);
    CHECK(std::sqrt(dot(4, rest, rest)) < 1e-14);
  }
}
