// SPDX-License-Identifier: MIT
#include "series_inverter.hpp"

#include <cmath>
#include <numbers>

namespace gastube::examples {

bool SeriesInverter::rings() const { return resistance < 2 * std::sqrt(inductance / capacitance); }

double SeriesInverter::rate() const { return std::sqrt(1 / (inductance * capacitance) - decay() * decay()); }

double SeriesInverter::conduction() const { return std::numbers::pi / rate(); }

double SeriesInverter::left_over() const { return std::exp(-decay() * conduction()); }

double SeriesInverter::swing() const { return (supply / 2 - drop) * (1 + left_over()) / (1 - left_over()); }

// The voltage with which each half begins: its own half of the supply, and the capacitor's swing.
double SeriesInverter::drive() const { return supply / 2 - drop + swing(); }

double SeriesInverter::peak_current() const {
  const double crest = std::atan2(rate(), decay()) / rate();
  return drive() * std::sqrt(capacitance / inductance) * std::exp(-decay() * crest);
}

double SeriesInverter::fall_at_zero() const { return drive() / inductance * left_over(); }

}  // namespace gastube::examples
