// SPDX-License-Identifier: MIT
// Arc-back as a value; what it does in a tube is tested with the tube.
#include <gastube/tube/arc/arc_back.hpp>

#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE_TEMPLATE("an arc-back refuses fields out of range", S, float, double, long double) {
  using Law = ArcBack<S>;
  const Law law{S(1300), S(20)};
  refusal::check_field(law, &Law::voltage, "arc-back: voltage", S(1), S(0));
  refusal::check_field(law, &Law::drop, "arc-back: drop", S(1), S(0));
}
