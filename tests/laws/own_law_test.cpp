// SPDX-License-Identifier: MIT
// A law from outside the library, that of examples/own_law, is asked the same as the library's own: one line.
#include <gastube/adapt/dual.hpp>

#include "../examples/own_law/measured_tube.hpp"
#include "laws/tube_laws.hpp"

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE_TEMPLATE("a tube with a law from outside the library obeys the laws of a tube", S, float, double, long double,
                   Dual<double, 4>) {
  check_tube_laws(own_law::measured_tube<S>({S(12.5), S(9), S(0.06L)}), 501);
}
