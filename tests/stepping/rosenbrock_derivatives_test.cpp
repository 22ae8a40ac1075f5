// SPDX-License-Identifier: MIT
// Derivatives of event times and averages with respect to every value of a circuit, through a Rosenbrock scheme,
// against differences of the exact scheme's in long double.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/exact.hpp>
#include <gastube/stepping/rosenbrock.hpp>

#include "support_for_tests/varied_circuits.hpp"

using namespace gastube;

namespace {

using D = Dual<double, varied::value_count>;
const Settings<D> settings{.relative = 1e-11, .absolute = 1e-11};

}  // namespace

TEST_CASE("RODAS5P gives a latch's firing, extinction, hold-off and mean the derivatives that they have") {
  const auto got = varied::measure_one_pulse<Rodas5P>(varied::variables<D>(varied::one_pulse_values), settings);
  const auto exactly = [](const auto& values) { return varied::measure_one_pulse<Exact>(values, {}); };
  varied::check_slopes(got, varied::differences(exactly, varied::one_pulse_values), varied::one_pulse_values, 1e-6L,
                       3e-11L);
}
