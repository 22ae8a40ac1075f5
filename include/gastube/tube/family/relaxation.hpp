// SPDX-License-Identifier: MIT
#pragma once
/// A glow tube fed through a resistor, with a capacitor across it: does it settle, or does it flash for ever?
///
/// Below the current at which the normal glow begins the voltage of a steady glow falls with the current, from the
/// strike voltage at no current to the extinction voltage (taken as straight here). And a glow does not follow its
/// characteristic at once, since its ions have to be made or to die: for small changes that is an inductance in
/// series. With supply E, feed R, shunt C, tube current i, and the tube's voltage V(i) falling with slope -rn,
///
///     L di/dt = v - V(i),   L = inertia rn,        C dv/dt = (E - v) / R - i.
///
/// About the steady point the sum of the two rates is rn / L - 1 / (R C) and their product (1 - rn / R) / (L C). It
/// settles if the sum is negative and the product positive: C < L / (R rn) = inertia / R, and R > rn, which a supply
/// above the strike voltage always has where it meets the falling part. On the rising part the point holds with any C.
///
/// That is for small disturbances; the straight falling part and the one time constant of the ions are suggestions of
/// this library. Stabilisers can be set swinging by their strike, though the point would hold: handbooks allow 0.1 uF
/// across a 0A2 or 0D3, and 0.02 uF across a 5651.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// Where the load line finds the tube.
enum class GlowRest {
  dark,       ///< the supply does not strike it
  starved,    ///< struck, but no steady glow can be fed: it flashes with any capacitance
  subnormal,  ///< on the falling part: up to some capacitance the point holds
  normal,     ///< on the rising part: the point holds with any capacitance, but see shunt_limit
};

template <Real S>
struct GlowRelaxation {
  S supply;                        ///< V, at least 0
  S resistance;                    ///< ohm, of the feed, above 0
  S strike;                        ///< V, above extinction
  S extinction;                    ///< V, the least of the characteristic, above 0
  S normal_from;                   ///< A, where the voltage stops falling, above 0
  S inertia;                       ///< s, time constant of the ions, above 0
  S rising_resistance = S(0);      ///< ohm, of the normal glow, at least 0
  S least_current = S(0);          ///< A, below which no glow is steady, 0 to normal_from
  S shunt_limit = unlimited<S>();  ///< F, greatest published for a stabiliser, above 0

  /// @throws InvalidParameter
  void check() const {
    Check{"glow relaxation"}
        .at_least("supply", supply, 0.0, "V")
        .above("resistance", resistance, 0.0, "ohm")
        .above("extinction", extinction, 0.0, "V")
        .above("strike", strike, double(value_of(extinction)), "V")
        .above("normal_from", normal_from, 0.0, "A")
        .above("inertia", inertia, 0.0, "s")
        .at_least("rising_resistance", rising_resistance, 0.0, "ohm")
        .between("least_current", least_current, 0.0, double(value_of(normal_from)), "A")
        .above("shunt_limit", shunt_limit, 0.0, "F");
  }
  /// ohm by which the voltage falls per ampere in the subnormal glow.
  [[nodiscard]] S falling_resistance() const { return S((strike - extinction) / normal_from); }
  /// H, of the ions' inertia in the subnormal glow.
  [[nodiscard]] S inductance() const { return S(inertia * falling_resistance()); }
  /// V of a steady glow at this current.
  [[nodiscard]] S voltage(const S& current) const {
    const S above = S(current - normal_from);
    const bool falling = value_of(above) < Plain<S>(0);
    return S(extinction + (falling ? S(-falling_resistance()) : rising_resistance) * above);
  }

  /// Where the load line finds the tube once it has struck.
  [[nodiscard]] GlowRest rest() const {
    if (!(value_of(supply) > value_of(strike))) return GlowRest::dark;
    if (value_of(supply) >= value_of(S(extinction + resistance * normal_from))) return GlowRest::normal;
    return value_of(falling_point()) >= value_of(least_current) ? GlowRest::subnormal : GlowRest::starved;
  }
  /// A at which load line and characteristic meet; 0 where there is no such point.
  [[nodiscard]] S steady_current() const {
    switch (rest()) {
    case GlowRest::normal:
      return S(normal_from + (supply - extinction - resistance * normal_from) / (resistance + rising_resistance));
    case GlowRest::subnormal: return falling_point();
    default: return S(0);
    }
  }

  /// F beyond which the tube flashes instead of settling: 0 where it flashes with any, unlimited where with none.
  [[nodiscard]] S least_oscillating_capacitance() const {
    switch (rest()) {
    case GlowRest::starved: return S(0);
    case GlowRest::subnormal: return math::min(S(inertia / resistance), shunt_limit);
    case GlowRest::normal: return shunt_limit;
    default: return unlimited<S>();
    }
  }
  /// @param capacitance F across the tube, with its own and the wiring's
  [[nodiscard]] bool oscillates(const S& capacitance) const {
    return value_of(capacitance) > value_of(least_oscillating_capacitance());
  }
  /// Dark part of the period, s: the charging from extinction to strike, R C ln((E - Ve) / (E - Vs)). unlimited() if
  /// the supply does not strike the tube.
  [[nodiscard]] S dark_time(const S& capacitance) const {
    if (!(value_of(supply) > value_of(strike))) return unlimited<S>();
    return S(resistance * capacitance * math::log(S((supply - extinction) / (supply - strike))));
  }
  /// Lit part, s: the discharge from strike to extinction along the rising part, with the feed still on. unlimited() if
  /// that never gets down to the extinction voltage.
  [[nodiscard]] S flash_time(const S& capacitance) const {
    if (!(value_of(rising_resistance) > Plain<S>(0))) return S(0);
    const S both = S(resistance + rising_resistance), start = S(extinction - rising_resistance * normal_from);
    const S towards = S((supply * rising_resistance + start * resistance) / both);
    if (!(value_of(towards) < value_of(extinction))) return unlimited<S>();
    const S ratio = S((strike - towards) / (extinction - towards));
    return S(resistance * rising_resistance / both * capacitance * math::log(ratio));
  }
  /// Period of the flashes, s. Inertia takes the capacitor below the extinction voltage, and the period becomes longer
  /// still, unless sqrt(L / C) is well below rising_resistance, that is, with a large capacitor.
  [[nodiscard]] S period(const S& capacitance) const {
    return math::min(S(dark_time(capacitance) + flash_time(capacitance)), unlimited<S>());
  }

 private:
  [[nodiscard]] S falling_point() const { return S((supply - strike) / (resistance - falling_resistance())); }
};

}  // namespace gastube
