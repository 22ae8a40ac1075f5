// SPDX-License-Identifier: MIT
#pragma once
/// Ions made by fast electrons, such as cross a tube before it fires: efficiency of ionisation near its threshold.
///
/// An electron of energy V makes s = a (V - V_i) ions on each metre in gas of unit pressure at 0 degrees Celsius.
/// A. von Engel, Ionized Gases, 1965, from memory: the order of gases is sure, the numbers are not to more than a
/// third.

#include "gastube/gas/constants.hpp"
#include "gastube/gas/species.hpp"
#include "gastube/support/math.hpp"

#include <array>

namespace gastube {

/// Rise of the efficiency of one gas.
struct IonisationEfficiency {
  Gas gas;
  Sourced<double> slope;  ///< 1/(Pa m V), at 0 degrees Celsius, above 0
  double highest;         ///< V, electron energy to which the rise is straight, above the ionisation potential

  /// @throws InvalidParameter naming the field out of range
  constexpr void check() const {
    Check{"ionisation efficiency"}
        .above("slope", slope.value, 0.0, "1/(Pa m V)")
        .above("highest", highest, gas.ionisation.value, "V");
  }
};

/// Ions an electron makes on a metre of its way, 1/m: nothing up to the ionisation potential, then in proportion to the
/// excess, up to `highest`. Beyond, the value there is held: too little by up to a factor of three, at about 100 V.
/// @param energy V, of the electron, at least 0; @param pressure Pa, at 0 degrees Celsius (see reduced_pressure), at
/// least 0
/// @throws InvalidParameter naming the one out of range
template <Real S>
[[nodiscard]] S ions_per_length(const IonisationEfficiency& efficiency, const S& energy, const S& pressure) {
  Check{"ionisation"}.at_least("energy", energy, 0.0, "V").at_least("pressure", pressure, 0.0, "Pa");
  const S straight = math::min(energy, S(efficiency.highest));
  const S excess = math::positive_part(S(straight - S(efficiency.gas.ionisation.value)));
  return S(S(efficiency.slope.value) * pressure * excess);
}

namespace ionisation {

namespace detail {
inline constexpr const char* engel = "A. von Engel, Ionized Gases, 1965, from memory";
/// One row as printed: 1/(cm Torr V), V.
constexpr IonisationEfficiency row(const Gas& gas, double slope, double highest,
                                   Confidence confidence = Confidence::plausible, const char* source = engel) {
  return {gas, {constants::per_torr_cm(slope), confidence, source}, highest};
}
}  // namespace detail

inline constexpr IonisationEfficiency helium = detail::row(gas::helium, 0.046, 36);
inline constexpr IonisationEfficiency neon = detail::row(gas::neon, 0.056, 40);
inline constexpr IonisationEfficiency argon = detail::row(gas::argon, 0.71, 25);
inline constexpr IonisationEfficiency mercury = detail::row(gas::mercury, 0.83, 28);
inline constexpr IonisationEfficiency hydrogen = detail::row(gas::hydrogen, 0.21, 30);
/// A weak recollection, "1.2 to 1.5".
inline constexpr IonisationEfficiency xenon =
    detail::row(gas::xenon, 1.35, 25, Confidence::unverified, "weak recollection of 1.2 to 1.5 /(cm Torr V)");
/// Its electrons are bound as in hydrogen.
inline constexpr IonisationEfficiency deuterium =
    detail::row(gas::deuterium, 0.21, 30, Confidence::unverified, "assumed as for hydrogen");

/// Every gas for which a slope is known; krypton is not among them.
inline constexpr std::array<IonisationEfficiency, 7> all{hydrogen, helium, deuterium, neon, argon, xenon, mercury};

}  // namespace ionisation
}  // namespace gastube
