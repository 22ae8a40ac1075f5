// SPDX-License-Identifier: MIT
// Products of a sparse matrix with vectors, and what is left of sums that cancel.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/sparse_rows.hpp>

#include <doctest/doctest.h>

#include <limits>

using namespace gastube;
using namespace gastube::exact;

TEST_CASE("products from both sides, their round-off, and symmetry") {
  const double matrix[9] = {1, 0, -2, 0, 0, 0, 5, 0, 3}, v[3] = {2, 7, 4};
  SparseRows<double, 3> a;
  REQUIRE(a.assign(3, matrix) == 3);
  CHECK_FALSE(a.is_symmetric());
  double right[3], left[3], errors[3];
  a.times(v, right, errors);
  CHECK(right[0] == -6);
  CHECK(right[1] == 0);
  CHECK(right[2] == 22);
  CHECK(errors[0] == 10 * round_off<double>);
  a.times_left(v, left, errors);
  CHECK(left[0] == 22);
  CHECK(left[1] == 0);
  CHECK(left[2] == 8);
  CHECK(errors[2] == 16 * round_off<double>);
  const double mirrored[4] = {1, 0.5, 0.5, 0};
  REQUIRE(a.assign(2, mirrored) == 2);
  CHECK(a.is_symmetric());
}

TEST_CASE("sums that cancel are zero, but small ones are not") {
  const double matrix[4] = {0.3, -0.1, 1e-12, 0}, v[2] = {1, 3};
  CHECK(0.3 * v[0] - 0.1 * v[1] != 0);
  SparseRows<double, 2> a;
  REQUIRE(a.assign(2, matrix) == 2);
  double out[2];
  a.times(v, out);
  CHECK(out[0] == 0);
  CHECK(out[1] == 1e-12);
}

TEST_CASE("a zero that carries a derivative is an entry") {
  using D = Dual<double, 1>;
  const D matrix[4] = {D::variable(0.0, 0), D(0), D(0), D(2)}, v[2] = {D(3), D(1)};
  SparseRows<D, 2> a;
  REQUIRE(a.assign(2, matrix) == 2);
  D out[2];
  a.times(v, out);
  CHECK(out[0].value() == 0);
  CHECK(out[0].partial(0) == 3);
  CHECK(is_nothing(D(0)));
  CHECK_FALSE(is_nothing(matrix[0]));
}

TEST_CASE("a row with a number that is none is told") {
  const double matrix[4] = {1, 0, 0, std::numeric_limits<double>::infinity()};
  SparseRows<double, 2> a;
  CHECK(a.assign(2, matrix) == 1);
}
