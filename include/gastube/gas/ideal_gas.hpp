// SPDX-License-Identifier: MIT
#pragma once
/// Pressure against density: what electrons and ions meet are molecules, and a sealed fill keeps their number.

#include "gastube/gas/constants.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

/// Molecules in a volume, 1/m^3: p / kT.
/// @param pressure Pa, at least 0; @param temperature K, above 0
/// @throws InvalidParameter naming the one out of range
template <Real S>
[[nodiscard]] constexpr S number_density(const S& pressure, const S& temperature) {
  Check{"ideal gas"}.at_least("pressure", pressure, 0.0, "Pa").above("temperature", temperature, 0.0, "K");
  return S(pressure / (S(constants::boltzmann.value) * temperature));
}

/// Pressure of so many molecules in a volume, Pa: the inverse of number_density.
/// @param density 1/m^3, at least 0; @param temperature K, above 0
template <Real S>
[[nodiscard]] constexpr S gas_pressure(const S& density, const S& temperature) {
  Check{"ideal gas"}.at_least("density", density, 0.0, "1/m^3").above("temperature", temperature, 0.0, "K");
  return S(density * (S(constants::boltzmann.value) * temperature));
}

/// Pressure the same molecules would have at 0 degrees Celsius, Pa. Handbook curves against pressure mean this one, so
/// a sealed tube keeps its breakdown voltage at any bulb temperature.
/// @param pressure Pa, at least 0; @param temperature K, above 0
template <Real S>
[[nodiscard]] constexpr S reduced_pressure(const S& pressure, const S& temperature) {
  Check{"ideal gas"}.at_least("pressure", pressure, 0.0, "Pa").above("temperature", temperature, 0.0, "K");
  return S(pressure * (S(constants::ice_point) / temperature));
}

}  // namespace gastube
