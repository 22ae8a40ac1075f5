// SPDX-License-Identifier: MIT
// Every tube of the catalogue obeys the laws of a tube, in every scalar. A new tube is one more line.
#include <gastube/adapt/dual.hpp>
#include <gastube/catalogue/xenon.hpp>

#include "laws/tube_laws.hpp"

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE_TEMPLATE("the tubes of the catalogue obey the laws of a tube", S, float, double, long double,
                   Dual<double, 4>) {
  check_tube_laws(catalogue::type_5727<S>(), 101);
  check_tube_laws(catalogue::type_2050_a<S>(), 102);
  check_tube_laws(catalogue::build<S>(catalogue::data_2050_a_low_voltage), 103);
}
