// SPDX-License-Identifier: MIT
#pragma once
/// How ions move: mobility in their own gas, their diffusion, and that of the plasma they form with electrons.

#include "gastube/gas/ideal_gas.hpp"
#include "gastube/gas/species.hpp"
#include "gastube/support/math.hpp"

#include <array>

namespace gastube {

/// Measured mobility of an ion in its own gas at about 300 K and weak field, stated as by custom at 2.687e25
/// molecules/m^3.
struct IonMobility {
  const char* ion;
  Gas gas;
  double mass;              ///< u, of the ion
  Sourced<double> reduced;  ///< m^2/(V s), above 0
};

/// Mobility in gas of another density, m^2/(V s). The reduced mobility is taken as constant,
/// which it nearly is about room temperature and while the ion gains little energy between collisions.
/// @param reduced m^2/(V s), above 0; @param pressure Pa, above 0; @param temperature K, above 0
/// @throws InvalidParameter naming the one out of range
template <Real S>
[[nodiscard]] S mobility(const S& reduced, const S& pressure, const S& temperature) {
  Check{"mobility"}.above("reduced mobility", reduced, 0.0, "m^2/(V s)").above("pressure", pressure, 0.0, "Pa");
  return S(reduced * (S(constants::loschmidt.value) / number_density(pressure, temperature)));
}

/// Diffusion coefficient of ions alone, m^2/s, by Einstein's relation: mobility kT / e.
/// @param ion_mobility m^2/(V s), above 0; @param temperature K, of the ions, above 0
template <Real S>
[[nodiscard]] S ion_diffusion(const S& ion_mobility, const S& temperature) {
  Check{"ion diffusion"}.above("mobility", ion_mobility, 0.0, "m^2/(V s)").above("temperature", temperature, 0.0, "K");
  return S(ion_mobility * temperature / S(constants::kelvin_per_volt.value));
}

/// Diffusion coefficient of a plasma, m^2/s: its fast electrons draw the ions after them, D_i (1 + T_e / T_i).
/// @param ions m^2/s, diffusion coefficient of the ions, above 0
/// @param temperature_ratio electron over ion temperature, at least 0: 1 late in an afterglow, 40 at first
template <Real S>
[[nodiscard]] S ambipolar_diffusion(const S& ions, const S& temperature_ratio) {
  Check{"ambipolar diffusion"}
      .above("ion diffusion", ions, 0.0, "m^2/s")
      .at_least("temperature ratio", temperature_ratio, 0.0, "");
  return S(ions * (S(1) + temperature_ratio));
}
/// The same from the measured mobility.
/// @param pressure Pa, above 0; @param temperature K, of gas and ions, above 0
template <Real S>
[[nodiscard]] S ambipolar_diffusion(const IonMobility& ion, const S& pressure, const S& temperature,
                                    const S& temperature_ratio = S(1)) {
  const S moving = mobility(S(ion.reduced.value), pressure, temperature);
  return ambipolar_diffusion(ion_diffusion(moving, temperature), temperature_ratio);
}

/// Speed at which ions enter a sheath, m/s (Bohm): sqrt(e T_e / M). The plasma cannot leave faster than this.
/// @param electron_temperature V (kT/e), at least 0; @param mass u, of the ion, above 0
template <Real S>
[[nodiscard]] S bohm_speed(const S& electron_temperature, const S& mass) {
  Check{"Bohm speed"}.at_least("electron temperature", electron_temperature, 0.0, "V").above("mass", mass, 0.0, "u");
  return math::sqrt(S(S(constants::ion_specific_charge.value) * electron_temperature / mass));
}

/// Electron temperature in V (kT/e) from K.
/// @param temperature K, at least 0
template <Real S>
[[nodiscard]] S electron_volts(const S& temperature) {
  Check{"electron temperature"}.at_least("temperature", temperature, 0.0, "K");
  return S(temperature / S(constants::kelvin_per_volt.value));
}

namespace transport {

namespace detail {
inline constexpr const char* biondi = "M. A. Biondi and L. M. Chanin, Mobilities of atomic and molecular ions in the "
                                      "noble gases, Phys. Rev. (1954), abstract";
inline constexpr const char* hornbeck =
    "J. A. Hornbeck, The drift velocities of molecular and atomic ions in He, Ne and Ar, Phys. Rev. (1951), abstract";
inline constexpr const char* oskam =
    "H. J. Oskam and V. R. Mittelstadt, Ion mobilities in helium, neon, and argon, Phys. Rev. (1963), abstract";
inline constexpr const char* conversion = "Reaction rate constant for Ne+ + 2 Ne, abstract";
inline constexpr const char* miller = "T. M. Miller and others, mobilities in H2 and D2, Phys. Rev. (1968), abstract";

/// One row as printed: cm^2/(V s). `atoms` of the gas make the ion.
constexpr IonMobility row(const char* ion, const Gas& gas, double atoms, double reduced, const char* source,
                          Confidence confidence = Confidence::published) {
  return {ion, gas, atoms * gas.mass.value, {constants::square_cm(reduced), confidence, source}};
}
}  // namespace detail

// The ions that carry an afterglow, one choice each.
inline constexpr IonMobility helium = detail::row("He+", gas::helium, 1, 10.5, detail::biondi);
inline constexpr IonMobility neon = detail::row("Ne+", gas::neon, 1, 4.0, detail::biondi);
inline constexpr IonMobility argon = detail::row("Ar+", gas::argon, 1, 1.60, detail::biondi);
inline constexpr IonMobility krypton = detail::row("Kr+", gas::krypton, 1, 0.90, detail::biondi);
inline constexpr IonMobility xenon = detail::row("Xe+", gas::xenon, 1, 0.58, detail::biondi);
inline constexpr IonMobility proton = detail::row("H+", gas::hydrogen, 0.5, 15.7, detail::miller);     // +-0.6
inline constexpr IonMobility hydrogen = detail::row("H3+", gas::hydrogen, 1.5, 11.1, detail::miller);  // +-0.5
inline constexpr IonMobility deuteron = detail::row("D+", gas::deuterium, 0.5, 11.2, detail::miller);
inline constexpr IonMobility deuterium = detail::row("D3+", gas::deuterium, 1.5, 8.0, detail::miller);
inline constexpr IonMobility mercury =
    detail::row("Hg+", gas::mercury, 1, 0.24, "weak recollection", Confidence::unverified);

/// Molecular ions, which atomic ones turn into at glow-lamp pressures.
inline constexpr std::array<IonMobility, 6> molecular{
    detail::row("He2+", gas::helium, 2, 20.3, detail::biondi),
    detail::row("Ne2+", gas::neon, 2, 6.5, detail::biondi),
    detail::row("Ar2+", gas::argon, 2, 2.65, detail::biondi),
    detail::row("Kr2+", gas::krypton, 2, 1.21, detail::biondi),
    detail::row("Xe2+", gas::xenon, 2, 0.79, detail::biondi),
    detail::row("Hg2+", gas::mercury, 2, 0.45, "weak recollection", Confidence::unverified)};

/// What others measured, for comparison.
inline constexpr std::array<IonMobility, 8> repeated{
    detail::row("He+", gas::helium, 1, 10.8, detail::hornbeck), detail::row("He+", gas::helium, 1, 10.7, detail::oskam),
    detail::row("Ne+", gas::neon, 1, 4.4, detail::hornbeck),    detail::row("Ne+", gas::neon, 1, 4.1, detail::oskam),
    detail::row("Ne+", gas::neon, 1, 4.0, detail::conversion),  // +-0.1
    detail::row("Ar+", gas::argon, 1, 1.63, detail::hornbeck),  detail::row("Ar+", gas::argon, 1, 1.6, detail::oskam),
    detail::row("Ar2+", gas::argon, 2, 1.9, detail::oskam)};

}  // namespace transport
}  // namespace gastube
