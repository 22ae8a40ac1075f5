// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/voltmeter.hpp>

#include "laws/part_laws.hpp"
#include "laws/sample_parts.hpp"

#include <doctest/doctest.h>

using namespace laws;

TEST_CASE_TEMPLATE("every part writes the slopes of its own currents and charges, and loses none of them", S, float,
                   double, long double) {
  check_equations(Resistor<S>{1, 2, S(330)});
  check_equations(Capacitor<S>{1, 2, S(0.5)});
  check_equations(Inductor<S>{1, 2, S(0.25), S(20)});
  check_equations(DcSource<S>{1, 2, S(48)});
  check_equations(SineSource<S>{1, 2, {S(10), S(50)}});
  check_equations(pulses<S>());
  check_equations(Contact<S>{1, 2, false, S(0)});
  check_equations(Contact<S>{1, 2, true, S(0.5)});
  check_equations(button<S>());
  check_equations(button<S>(), button<S>().memory(S(2)));
  check_equations(lamp<S>(), {}, 40, 0.05);
  check_equations(Voltmeter<S>{1, 2, S(1e4)});
}

TEST_CASE_TEMPLATE("schedules come in order and are found again from any time", S, float, double, long double) {
  check_schedule(pulses<S>(), S(100));
  check_schedule(button<S>(), S(100));
}
