// SPDX-License-Identifier: MIT
// What a tube sees at its terminals.
#include <gastube/tube/conditions.hpp>

#include <doctest/doctest.h>

#include <limits>

using namespace gastube;

TEST_CASE_TEMPLATE("terminals left out are at cathode potential", S, float, double, long double) {
  const Conditions<S> triode{.plate = S(48), .grid = S(-5)};
  CHECK(triode.shield == S(0));
  const Conditions<S> none;
  CHECK(none.plate == S(0));
  CHECK(none.grid == S(0));
}

TEST_CASE_TEMPLATE("the voltage that stands for never is finite and beyond any grid rating", S, float, double,
                   long double) {
  CHECK(never_fires<S> < std::numeric_limits<S>::max());
  CHECK(never_fires<S> > S(2500));  // greater than the greatest plate rating of the small tubes, let alone a grid's
  CHECK(never_fires<S> - S(1e-3L) < never_fires<S>);  // a guard still sees millivolts beside it
}
