// SPDX-License-Identifier: MIT
// The sustaining current as a value; what it does in a tube is tested with the tube.
#include <gastube/tube/arc/sustaining.hpp>

#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE_TEMPLATE("a sustaining current may be zero but not negative", S, float, double, long double) {
  refusal::check_field(SustainingCurrent<S>{S(3e-3L)}, &SustainingCurrent<S>::current, "sustaining current: current",
                       S(0), S(-1e-12));
}
