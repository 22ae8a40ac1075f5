// SPDX-License-Identifier: MIT
// The loops of linear algebra at every length around their stride.
#include <gastube/stepping/exact/vector_sums.hpp>

#include <doctest/doctest.h>

#include <vector>

using namespace gastube::exact;

TEST_CASE_TEMPLATE("sums, products and rotations of any length", P, float, double, long double) {
  for (std::size_t n = 0; n < 11; ++n) {
    std::vector<P> a(n + 1, P(7)), b(n + 1, P(7));
    P expected(0);
    for (std::size_t i = 0; i < n; ++i) {
      a[i] = P(i + 1);
      b[i] = P(2 * i) - P(3);
      expected += a[i] * b[i];
    }
    CHECK(dot(n, a.data(), b.data()) == expected);
    auto sum = a, x = a, y = b;
    add_scaled(n, sum.data(), P(2), b.data());
    rotate_vectors(n, x.data(), y.data(), P(3), P(4));
    for (std::size_t i = 0; i < n; ++i) {
      CHECK(sum[i] == a[i] + P(2) * b[i]);
      CHECK(x[i] == P(3) * a[i] - P(4) * b[i]);
      CHECK(y[i] == P(4) * a[i] + P(3) * b[i]);
    }
    CHECK(sum[n] == P(7));
    CHECK(x[n] == P(7));
    CHECK(y[n] == P(7));
  }
}
