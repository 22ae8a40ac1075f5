// SPDX-License-Identifier: MIT
// Complex numbers: field operations, also far from 1 and with derivatives.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/complex_number.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative;

TEST_CASE_TEMPLATE("a quotient times its divisor is the dividend", S, float, double, long double) {
  for (const double size : {1e-15, 1.0, 1e15})
    for (const Complex<S> b :
         {Complex<S>{S(size), S(2 * size)}, Complex<S>{S(-3 * size), S(size)}, Complex<S>{S(0), S(size)}}) {
      const Complex<S> a{S(0.5), S(-0.25)}, back = a / b * b;
      CHECK(double(back.re) == relative(0.5).epsilon(double(4 * round_off<S>)));
      CHECK(double(back.im) == relative(-0.25).epsilon(double(4 * round_off<S>)));
    }
}
TEST_CASE("the conjugate, the size, and products") {
  const Complex<double> a{3, -4}, b{1, 2};
  CHECK(size_of(a) == 5);
  CHECK((conjugate(a) * a).re == 25);
  CHECK((a * b).re == 11);
  CHECK((a * b).im == 2);
  CHECK((a - b + b - a).re == 0);
  CHECK((2.0 * -a).im == 8);
}
TEST_CASE("derivatives pass through a quotient") {
  using D = Dual<double, 1>;
  const Complex<D> x{D::variable(2, 0), D(1)};
  const Complex<D> inverse = Complex<D>{D(1)} / x;  // d/dx of 1/(x + i) is -1/(x + i)^2 = -(3 - 4i)/25 at x = 2
  CHECK(inverse.re.partial(0) == relative(-3.0 / 25).epsilon(1e-15));
  CHECK(inverse.im.partial(0) == relative(4.0 / 25).epsilon(1e-15));
}
