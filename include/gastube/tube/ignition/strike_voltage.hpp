// SPDX-License-Identifier: MIT
#pragma once
/// The voltage at which a gap of two cold electrodes strikes.

#include "gastube/gas/breakdown.hpp"

namespace gastube {

/// Published strike voltage of each direction, and what darkness and warmth do to it.
///
/// A lamp kept in the dark wants more voltage, for want of a first electron: some volts to some tens of volts, unless
/// the maker has put in a trace of something radioactive. Firing voltages drift by a few volts with temperature.
template <Real S>
struct StrikeVoltage {
  S forward;                   ///< V, plate terminal positive, in the light, above 0
  S inverse;                   ///< V, plate terminal negative, above 0; unlimited() if it never strikes that way
  S dark_increase = S(0);      ///< V more in complete darkness, at least 0
  S darkness = S(0);           ///< 0 in the light to 1
  S temperature_drift = S(0);  ///< V/K
  S warming = S(0);            ///< K above the temperature at which the voltages are stated

  /// @throws InvalidParameter
  void check() const {
    Check{"strike voltage"}
        .above("forward", forward, 0.0, "V")
        .above("inverse", inverse, 0.0, "V")
        .at_least("dark_increase", dark_increase, 0.0, "V")
        .between("darkness", darkness, 0.0, 1.0, "")
        .finite("temperature_drift", temperature_drift, "V/K")
        .finite("warming", warming, "K")
        .that(value_of(shift()) > -value_of(math::min(forward, inverse)), "temperature_drift", temperature_drift, "V/K",
              "one that leaves the strike voltage above 0");
  }
  /// V by which these conditions raise the strike voltage.
  [[nodiscard]] S shift() const { return S(dark_increase * darkness + temperature_drift * warming); }
  /// V across the gap, counted in the direction in which it is to strike.
  /// @param reversed with the plate terminal negative
  [[nodiscard]] S voltage(bool reversed) const {
    const S stated = reversed ? inverse : forward;
    return is_limited(stated) ? S(stated + shift()) : stated;
  }
};

/// Minimum of a strike law.
template <class Law, class S>
concept StrikeLaw = Real<S> && requires(const Law law) {
  { law.voltage(true) } -> std::same_as<S>;
  law.check();
};
static_assert(StrikeLaw<StrikeVoltage<double>, double>);

/// Two like electrodes: a lamp.
template <Real S>
[[nodiscard]] StrikeVoltage<S> symmetrical_strike(const S& volts) {
  return {volts, volts};
}

/// Strike voltage of a gap between two like electrodes by Paschen's curve. For a Penning mixture use its constants:
/// paschen_curve(townsend::of(gas::neon_argon), yield); the result is an estimate, see there.
/// @param pressure Pa, at about 20 degrees Celsius; @param gap m, between the electrodes
/// @throws InvalidParameter for a gap so short, or a gas so thin, that the curve has no breakdown
template <Real S>
[[nodiscard]] StrikeVoltage<S> strike_of_gap(const PaschenCurve<S>& curve, const S& pressure, const S& gap) {
  curve.check();
  Check{"gap"}.above("pressure", pressure, 0.0, "Pa").above("length", gap, 0.0, "m");
  const S product = S(pressure * gap), volts = curve.voltage(product);
  Check{"gap"}.that(is_limited(volts), "pressure times length", product, "Pa m",
                    "right of the curve's asymptote, or it never breaks down");
  return symmetrical_strike(volts);
}

}  // namespace gastube
