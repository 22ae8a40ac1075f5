// SPDX-License-Identifier: MIT
#include "support/series_inverter.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube::examples;
using closeness::relative_gap;

namespace {
// A printed solid-state example ("Inverters 3_1, 3_2", found as solved problems): 80 ohm, 8 mH, 1.2 uF.
const SeriesInverter printed{.supply = 200, .drop = 1, .inductance = 8e-3, .resistance = 80, .capacitance = 1.2e-6};
}  // namespace

TEST_CASE("80 ohm, 8 mH and 1.2 uF ring at 1416.09 Hz, and with 14 us after each half at 1362.1 Hz") {
  CHECK(printed.rings());
  CHECK(relative_gap(printed.ring_frequency(), 1416.09148) < 1e-8);
  CHECK(relative_gap(printed.highest_frequency(14e-6), 1362.08409) < 1e-8);
  CHECK(relative_gap(printed.dead_time(1362.08409), 14e-6) < 1e-6);
}

TEST_CASE("half by half the capacitor's swing settles where the closed form says, and the books close") {
  const double k = std::exp(-printed.resistance / (2 * printed.inductance) * printed.conduction());
  double charged = 0, discharged = 0;
  for (int half = 0; half < 200; ++half) {
    charged = (printed.supply - printed.drop) + (printed.supply - printed.drop - discharged) * k;
    discharged = printed.drop - (charged - printed.drop) * k;
  }
  CHECK(relative_gap(charged, printed.supply / 2 + printed.swing()) < 1e-12);
  CHECK(relative_gap(discharged, printed.supply / 2 - printed.swing()) < 1e-12);
  const double from_supply = printed.supply * printed.mean_current(1000), in_tubes = 2 * printed.mean_current(1000);
  CHECK(relative_gap(printed.load_power(1000), from_supply - in_tubes) < 1e-12);
}

TEST_CASE("its current by small steps has the peak and the slope at zero of the closed form") {
  double current = 0, charge = printed.capacitance * (printed.supply / 2 - printed.swing()), peak = 0, slope = 0;
  const double step = printed.conduction() / 200000;
  do {  // a symplectic Euler step
    slope = (printed.supply - printed.drop - printed.resistance * current - charge / printed.capacitance)
            / printed.inductance;
    current += step * slope;
    charge += step * current;
    peak = std::fmax(peak, current);
  } while (current > 0);
  CHECK(relative_gap(peak, printed.peak_current()) < 1e-4);
  CHECK(relative_gap(-slope, printed.fall_at_zero()) < 1e-4);
}

TEST_CASE("from 2 sqrt(L / C) on it does not ring") {
  SeriesInverter damped = printed;
  damped.resistance = 2 * std::sqrt(damped.inductance / damped.capacitance);
  CHECK_FALSE(damped.rings());
}
