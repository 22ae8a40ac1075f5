// SPDX-License-Identifier: MIT
#pragma once
/// Mercury vapour over the liquid: the coldest place of the bulb, where it condenses, sets the pressure of the fill.
///
/// Mercury is poisonous: a tube that holds it is not to be opened, and a broken one calls for ventilation and the local
/// rules for clearing it up.

#include "gastube/gas/ideal_gas.hpp"
#include "gastube/support/math.hpp"

namespace gastube::mercury_vapour {

// M. L. Huber, A. Laesecke and D. G. Friend, The vapor pressure of mercury, NIST IR 6643, 2006; coefficients from
// memory, which give one atmosphere at 629.77 K, the boiling point its abstract states.
inline constexpr double critical_temperature = 1764.0;  ///< K
inline constexpr double critical_pressure = 167e6;      ///< Pa
inline constexpr double freezing_point = 234.3156;      ///< K, triple point

namespace detail {
struct Term {
  double factor, power;
};
inline constexpr Term terms[] = {{-4.57618368, 1.0}, {-1.40726277, 1.89}, {2.36263541, 2.0},
                                 {-31.0889985, 8.0}, {58.0183959, 8.5},   {-27.6304546, 9.0}};

/// ln(P / P_c), and its slope with temperature, 1/K.
template <Real S>
struct LogPressure {
  S value, slope;
};
template <Real S>
[[nodiscard]] LogPressure<S> log_pressure(const S& temperature) {
  const S part = S(temperature / S(critical_temperature)), below = S(S(1) - part);
  S sum = S(0), slope = S(0);
  for (const Term& term : terms) {
    const S lower = math::pow(below, Plain<S>(term.power - 1.0));  // one power serves both
    sum += S(S(term.factor) * lower * below);
    slope += S(S(term.factor * term.power) * lower);
  }
  const S value = S(sum / part);
  return {value, S(-(slope + value) / temperature)};
}
template <Real S>
void check_temperature(const S& temperature) {
  Check{"mercury vapour"}.between("temperature", temperature, freezing_point, critical_temperature, "K");
}
}  // namespace detail

/// Pressure of saturated vapour, Pa. Within 1 % from 273 to 400 K, by its authors.
/// @param temperature K, of the condensed mercury, from the freezing to the critical point
/// @throws InvalidParameter naming a temperature out of range
template <Real S>
[[nodiscard]] S pressure(const S& temperature) {
  detail::check_temperature(temperature);
  return S(S(critical_pressure) * math::exp(detail::log_pressure(temperature).value));
}

/// The same by the two-constant fit of C. B. Alcock, V. P. Itkin and M. K. Horrigan (1984), Pa, as carried in an open
/// chemical-data repository. Meant for 298 to 400 K; 3 % high at 0 degrees Celsius. For a microcontroller's budget.
template <Real S>
[[nodiscard]] S simple_pressure(const S& temperature) {
  detail::check_temperature(temperature);
  return math::exp(S(S(23.306113787) - S(7345.246447) / temperature));
}

/// Temperature of the condensed mercury that has this vapour pressure, K: the inverse of pressure(), by Newton's method
/// from the simple fit.
/// @param saturated Pa, from the pressure at the freezing point (3e-4 Pa) to 10 MPa
template <Real S>
[[nodiscard]] S condensed_temperature(const S& saturated) {
  Check{"mercury vapour"}.between("pressure", saturated, 3.1e-4, 1e7, "Pa");
  const S wanted = math::log(S(saturated / S(critical_pressure)));
  S temperature = S(S(7345.246447) / (S(23.306113787) - math::log(saturated)));
  for (int k = 0; k < 20; ++k) {
    const auto at = detail::log_pressure(temperature);
    const S step = S((wanted - at.value) / at.slope);
    temperature += step;
    if (!(math::abs(value_of(step)) > Plain<S>(4) * round_off<S> * value_of(temperature))) break;
  }
  return temperature;
}

/// Atoms of saturated vapour, 1/m^3, in gas as warm as the condensed mercury.
/// @param temperature K, from the freezing to the critical point; the vapour is taken as ideal: below some 800 K
template <Real S>
[[nodiscard]] S density(const S& temperature) {
  return number_density(pressure(temperature), temperature);
}

/// Heat that evaporates the mercury, J/mol, from the slope of the pressure (Clausius and Clapeyron, vapour ideal).
template <Real S>
[[nodiscard]] S evaporation_heat(const S& temperature) {
  detail::check_temperature(temperature);
  const S gas_constant = S(constants::boltzmann.value * constants::avogadro.value);
  return S(gas_constant * temperature * temperature * detail::log_pressure(temperature).slope);
}

/// Inverse voltage that mercury-vapour tubes are rated to hold off, V, at a temperature of the condensed mercury: 250 V
/// Torr over the pressure. Rule read from the limits of one rectifier at 60, 70 and 80 degrees Celsius, which it meets
/// to 9 %.
/// @param temperature K; not to be carried below 333 K, where other limits come first, nor above 353 K
template <Real S>
[[nodiscard]] S hold_off(const S& temperature) {
  Check{"mercury hold-off"}.between("temperature", temperature, 333.0, 353.5, "K");
  return S(S(250.0 * constants::torr) / pressure(temperature));
}

}  // namespace gastube::mercury_vapour
