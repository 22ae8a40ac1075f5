// SPDX-License-Identifier: MIT
// Every tube of the catalogue obeys the laws of a tube, in every scalar. A new entry is checked without a new line
// here.
#include <gastube/adapt/dual.hpp>
#include <gastube/catalogue/catalogue.hpp>

#include "laws/tube_laws.hpp"

#include <doctest/doctest.h>

using namespace gastube;

namespace {

template <class S, class Data, std::size_t N>
void check_all(const std::array<Data, N>& tubes, unsigned long long seed) {
  for (const Data& data : tubes) check_tube_laws(catalogue::build<S>(data), seed++);
}

}  // namespace

TEST_CASE_TEMPLATE("the rare-gas tubes of the catalogue obey the laws of a tube", S, float, double, long double,
                   Dual<double, 4>) {
  check_all<S>(catalogue::xenon_tubes, 101);
  check_all<S>(catalogue::argon_tubes, 201);
}
TEST_CASE_TEMPLATE("the mercury tubes of the catalogue obey the laws of a tube", S, float, double, long double,
                   Dual<double, 4>) {
  check_all<S>(catalogue::mercury_tubes, 301);
}
TEST_CASE_TEMPLATE("the hydrogen tubes of the catalogue obey the laws of a tube", S, float, double, long double,
                   Dual<double, 4>) {
  check_all<S>(catalogue::hydrogen_tubes, 401);
}
TEST_CASE_TEMPLATE("the trigger tubes of the catalogue obey the laws of a tube", S, float, double, long double,
                   Dual<double, 4>) {
  check_all<S>(catalogue::trigger_tubes, 501);
}
TEST_CASE_TEMPLATE("the glow lamps and stabilisers of the catalogue obey the laws of a tube", S, float, double,
                   long double, Dual<double, 4>) {
  check_all<S>(catalogue::glow_lamps, 601);
  check_all<S>(catalogue::stabilisers, 701);
}
