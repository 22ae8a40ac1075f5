// SPDX-License-Identifier: MIT
#pragma once
/// Currents limited by space charge: between cold electrodes before ignition, and across the ion sheath that covers a
/// negative electrode in plasma.

#include "gastube/gas/constants.hpp"
#include "gastube/gas/transport.hpp"
#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// Share of the plasma's density that is left at the sheath's edge: exp(-1/2), as usually rounded.
inline constexpr double sheath_edge = 0.61;

namespace detail {
inline constexpr double root_two = 1.41421356237309504880;
/// 4/9 eps0 sqrt(2 q/m), A/V^1.5.
[[nodiscard]] inline double child_factor(double specific_charge) {
  return 4.0 / 9.0 * root_two * constants::vacuum_permittivity * math::sqrt(specific_charge);
}
/// Square of the sheath's thickness, times density, times sqrt(T_e), over voltage^1.5: 1/(V m).
inline constexpr double sheath_factor =
    4.0 / 9.0 * root_two * constants::vacuum_permittivity / (sheath_edge * constants::elementary_charge);
/// e v / 4 for electrons of 1 V, with v = sqrt(8 e T_e / (pi m)), A m.
[[nodiscard]] inline double random_factor() {
  return constants::elementary_charge * math::sqrt(constants::electron_specific_charge / (2.0 * constants::pi));
}
}  // namespace detail

/// Electron current density between planes, A/m^2, by Child's law: 2.334e-6 V^1.5 / d^2.
/// @param voltage V, 0 or less gives no current; @param distance m, above 0
/// @throws InvalidParameter naming the one out of range
template <Real S>
[[nodiscard]] S child_electron_current(const S& voltage, const S& distance) {
  Check{"Child's law"}.finite("voltage", voltage, "V").above("distance", distance, 0.0, "m");
  return S(S(detail::child_factor(constants::electron_specific_charge)) * math::three_halves_power(voltage)
           / (distance * distance));
}
/// The same for singly charged ions. @param mass u, above 0
template <Real S>
[[nodiscard]] S child_ion_current(const S& voltage, const S& distance, const S& mass) {
  Check{"Child's law"}
      .finite("voltage", voltage, "V")
      .above("distance", distance, 0.0, "m")
      .above("mass", mass, 0.0, "u");
  return S(S(detail::child_factor(constants::ion_specific_charge)) * math::three_halves_power(voltage)
           / (distance * distance * math::sqrt(mass)));
}

/// Electrons whose space charge one ion makes up for as it crosses the same gap: sqrt(M/m).
/// @param mass u, of the ion, above 0
template <Real S>
[[nodiscard]] S neutralised_electrons(const S& mass) {
  Check{"space charge"}.above("mass", mass, 0.0, "u");
  return math::sqrt(S(mass * S(constants::atomic_mass / constants::electron_mass)));
}

/// Ion current density into any electrode more negative than the plasma, A/m^2, whatever its voltage: 0.61 n e u_B.
/// @param density 1/m^3, of the plasma, at least 0; @param electron_temperature V (kT/e), at least 0
/// @param mass u, of the ion, above 0
template <Real S>
[[nodiscard]] S bohm_current(const S& density, const S& electron_temperature, const S& mass) {
  Check{"Bohm current"}.at_least("density", density, 0.0, "1/m^3");
  return S(S(sheath_edge * constants::elementary_charge) * density * bohm_speed(electron_temperature, mass));
}

/// Thickness of the ion sheath, m: Child's law with the current that Bohm's allows; the ion's mass cancels.
/// @param voltage V, of plasma over electrode, 0 or less gives no sheath
/// @param density 1/m^3, of the plasma, above 0; @param electron_temperature V (kT/e), above 0
template <Real S>
[[nodiscard]] S sheath_thickness(const S& voltage, const S& density, const S& electron_temperature) {
  Check{"sheath"}
      .finite("voltage", voltage, "V")
      .above("density", density, 0.0, "1/m^3")
      .above("electron temperature", electron_temperature, 0.0, "V");
  if (!(value_of(voltage) > Plain<S>(0))) return S(0);  // where the root has no slope
  return math::sqrt(
      S(S(detail::sheath_factor) * math::three_halves_power(voltage) / (density * math::sqrt(electron_temperature))));
}
/// Density of the plasma whose sheath is so thick, 1/m^3: with half a grid hole for thickness, the density below which
/// a grid closes its holes. The inverse of sheath_thickness; 0 for a voltage of 0 or less.
/// @param thickness m, above 0
template <Real S>
[[nodiscard]] S sheath_density(const S& voltage, const S& thickness, const S& electron_temperature) {
  Check{"sheath"}
      .finite("voltage", voltage, "V")
      .above("thickness", thickness, 0.0, "m")
      .above("electron temperature", electron_temperature, 0.0, "V");
  return S(S(detail::sheath_factor) * math::three_halves_power(voltage)
           / (thickness * thickness * math::sqrt(electron_temperature)));
}

/// Current density of electrons that cross any plane in plasma one way, A/m^2: n e v / 4, Maxwellian. It bounds what a
/// plasma carries to its plate.
/// @param density 1/m^3, at least 0; @param electron_temperature V (kT/e), at least 0
template <Real S>
[[nodiscard]] S random_electron_current(const S& density, const S& electron_temperature) {
  Check{"plasma"}
      .at_least("density", density, 0.0, "1/m^3")
      .at_least("electron temperature", electron_temperature, 0.0, "V");
  return S(density * (S(detail::random_factor()) * math::sqrt(electron_temperature)));
}
/// Least density of a plasma that carries a current density, 1/m^3: the inverse of random_electron_current.
/// @param current_density A/m^2, at least 0; @param electron_temperature V (kT/e), above 0
template <Real S>
[[nodiscard]] S density_for_current(const S& current_density, const S& electron_temperature) {
  Check{"plasma"}
      .at_least("current density", current_density, 0.0, "A/m^2")
      .above("electron temperature", electron_temperature, 0.0, "V");
  return S(current_density / (S(detail::random_factor()) * math::sqrt(electron_temperature)));
}

}  // namespace gastube
