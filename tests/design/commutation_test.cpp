// SPDX-License-Identifier: MIT
#include "gastube/design/commutation.hpp"

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using namespace gastube::design;

namespace {
// 150 V, 15 V drop, two loads of 2 kilohm, 0.22 uF: closed forms worked for this library.
const Commutation<double> flip_flop{150, 15, 2e3, 2e3, 0.22e-6};
}  // namespace

TEST_CASE("the outgoing plate takes the closed-form times back to 0 V, the arc drop and 45 V") {
  CHECK(hold_off(flip_flop, 0.0) == closeness::relative(0.000258626133).epsilon(1e-8));
  CHECK(hold_off(flip_flop, 15.0) == closeness::relative(0.000304984759).epsilon(1e-8));
  CHECK(hold_off(flip_flop, 45.0) == closeness::relative(0.000415563108).epsilon(1e-8));
}

TEST_CASE("the commutating tube sees its own load and the capacitor's discharge") {
  CHECK(commutating_peak(flip_flop) == closeness::relative(0.2025).epsilon(1e-12));
}

TEST_CASE("the least capacitance gives just the hold-off asked for") {
  const double least = least_capacitance(flip_flop, 200e-6, 15.0);
  CHECK(least == closeness::relative(1.4427e-7).epsilon(1e-4));  // 1.4427 t / R
  CHECK(least_capacitance(flip_flop, 200e-6, 0.0) == closeness::relative(1.7013e-7).epsilon(1e-4));
  Commutation<double> smallest = flip_flop;
  smallest.capacitance = least;
  CHECK(hold_off(smallest, 15.0) == closeness::relative(200e-6).epsilon(1e-12));
}

TEST_CASE("a printed commutation example is met") {
  // 200 V, 10 ohm load, 40 us twice over for safety, no drop: 11.54 uF (solved "Example 5.3" of a commutation chapter).
  const Commutation<double> printed{200, 1e-9, 10, 100, 1e-6};
  CHECK(least_capacitance(printed, 80e-6, 0.0) == closeness::relative(11.54e-6).epsilon(5e-4));
  CHECK(commutating_peak(printed) == closeness::relative(42.0).epsilon(1e-6));
  const Commutation<double> back{200, 1e-9, 100, 10, 1e-6};
  CHECK(commutating_peak(back) == closeness::relative(24.0).epsilon(1e-6));
}

TEST_CASE("from rest the second commutation needs a waiting time that makes it just long enough") {
  // -RC ln(1 - exp(td/RC)/2) for td = 200 us, worked for this library.
  const double wait = least_lit_time(flip_flop, 200e-6, 15.0);
  CHECK(wait == closeness::relative(0.000681951339).epsilon(1e-8));
  const double charge = 1 - 2 * std::exp(-wait / (2e3 * 0.22e-6));
  CHECK(hold_off(flip_flop, 15.0, charge) == closeness::relative(200e-6).epsilon(1e-10));
  CHECK_FALSE(is_limited(least_lit_time(flip_flop, 310e-6, 15.0)));  // longer than a full charge gives
}

TEST_CASE("hold-off is never negative and grows with the capacitor's charge") {
  CHECK(hold_off(flip_flop, 0.0, 0.0) == 0.0);
  double before = -1;
  for (double charge = 0.0; charge <= 1.0; charge += 0.05) {
    const double now = hold_off(flip_flop, 15.0, charge);
    CHECK(now >= before);
    before = now;
  }
}

TEST_CASE("a commutation refuses a supply below the arc drop") {
  Commutation<double> wrong = flip_flop;
  wrong.supply = 15;
  CHECK_THROWS_WITH_AS(wrong.check(), doctest::Contains("supply = 15 V, allowed: above 15 V"), InvalidParameter);
}
