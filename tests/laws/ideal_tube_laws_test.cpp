// SPDX-License-Identifier: MIT
// Ideal tubes obey the laws of a tube, in every scalar and with every recovery law.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/recovery/sheath_afterglow.hpp>

#include "laws/tube_laws.hpp"

#include <doctest/doctest.h>

using namespace gastube;

namespace {

template <class S>
constexpr IdealTube<S> ideal{.control_ratio = S(40),
                             .arc_drop = S(15),
                             .sustaining_current = S(0.01L),
                             .arc_resistance = S(1),
                             .lowest_plate = S(20),
                             .leakage = S(1e-9L)};

}  // namespace

TEST_CASE_TEMPLATE("ideal tubes obey the laws of a tube", S, float, double, long double, Dual<double, 4>) {
  check_tube_laws(ideal<S>.build(), 104);
  check_tube_laws(ideal<S>.build(FixedDeionisation<S>{S(200e-6L)}), 105);
  check_tube_laws(ideal<S>.build(SheathAfterglow<S>{S(20e-6L), S(100e-6L), S(0.5), S(10)}), 106);
}
