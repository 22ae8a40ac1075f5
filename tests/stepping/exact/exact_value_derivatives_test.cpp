// SPDX-License-Identifier: MIT
// Derivatives of firing, hold-off and averages with respect to every value of a circuit, through the exact scheme and
// all events before, against differences in long double.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/exact.hpp>

#include "support_for_tests/varied_circuits.hpp"

using namespace gastube;

namespace {
using D = Dual<double, varied::value_count>;
}  // namespace

TEST_CASE("a flip-flop's firing, hold-off and mean have the derivatives that differences show, for every value") {
  const auto measure = [](const auto& values) { return varied::measure_flip_flop<Exact>(values, {}); };
  const auto got = measure(varied::variables<D>(varied::flip_flop_values));
  varied::check_slopes(got, varied::differences(measure, varied::flip_flop_values), varied::flip_flop_values, 1e-6L,
                       1e-13L);
}

TEST_CASE("so have a latch's that stops by itself, whose extinction hangs on its sustaining current") {
  const auto measure = [](const auto& values) { return varied::measure_one_pulse<Exact>(values, {}); };
  const auto got = measure(varied::variables<D>(varied::one_pulse_values));
  varied::check_slopes(got, varied::differences(measure, varied::one_pulse_values), varied::one_pulse_values, 1e-6L,
                       1e-13L);
}
