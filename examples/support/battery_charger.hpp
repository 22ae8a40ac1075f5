// SPDX-License-Identifier: MIT
#pragma once
// A battery charged from the mains through a gas tube whose grid is joined to its cathode.

#include <gastube/circuit/battery.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

namespace gastube::examples {

struct ChargerParts {
  double volts = 60, frequency = 50;  ///< V r.m.s. of the transformer, Hz
  double resistor = 8;                ///< ohm, with that of the windings
  double choke = 1e-6;                ///< H; that of the leads if there is none
  double choke_loss = 100;            ///< ohm across the choke: its losses, and a path when the tube goes out
  double battery = 48;                ///< V without current
  double battery_resistance = 0.2;    ///< ohm
  double rise = 1e-6;                 ///< V per coulomb put in
};

enum ChargerNodes : Node {
  charger_negative,
  charger_line,
  charger_choke,
  charger_plate,
  charger_battery,
  charger_nodes
};

/// The circuit, with parts labelled "tube" and "battery".
template <class Tube>
[[nodiscard]] auto battery_charger(const ChargerParts& p, const Tube& tube) {
  return wire<charger_nodes>(
      SineSource<double>{charger_line, charger_negative, {p.volts * std::numbers::sqrt2, p.frequency}},
      Resistor{charger_line, charger_choke, p.resistor}, Inductor{charger_choke, charger_plate, p.choke},
      Resistor{charger_choke, charger_plate, p.choke_loss},
      named("tube", wired(tube, {.plate = charger_plate, .grid = charger_battery, .cathode = charger_battery})),
      named("battery", ChargingBattery{charger_battery, charger_negative, p.battery, p.battery_resistance, p.rise}));
}

/// s to put in `charge` coulombs, where the currents were taken at equal steps of charge from the first to the last and
/// change in straight lines between; infinite where one of them is not above 0.
[[nodiscard]] inline double charging_time(double charge, const std::vector<double>& currents) {
  const double step = charge / double(currents.size() - 1);
  double sum = 0;
  for (std::size_t k = 1; k < currents.size(); ++k) {
    const double a = currents[k - 1], b = currents[k];
    if (!(a > 0) || !(b > 0)) return std::numeric_limits<double>::infinity();
    sum += step * (std::abs(a - b) < 1e-6 * a ? 2 / (a + b) : std::log(a / b) / (a - b));
  }
  return sum;
}

}  // namespace gastube::examples
