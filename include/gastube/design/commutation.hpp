// SPDX-License-Identifier: MIT
#pragma once
/// Will it let go: a second tube throws a charged capacitor across the first. Closed forms for resistive loads.
/// H. J. Reich, Theory and Applications of Electron Tubes (1944), parallel-capacitor inverter, from memory; derived
/// anew.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube::design {

/// Plate of the outgoing tube fed through `load`, plate of the other through `charging`, `capacitance` between the
/// plates.
template <Real S>
struct Commutation {
  S supply;       ///< V, above the arc drop
  S arc_drop;     ///< V, above 0
  S load;         ///< ohm to the plate of the tube that is put out, above 0
  S charging;     ///< ohm to the plate of the tube that does it, above 0
  S capacitance;  ///< F, above 0

  void check() const {
    Check{"commutation"}
        .above("arc_drop", arc_drop, 0.0, "V")
        .above("supply", supply, double(value_of(arc_drop)), "V")
        .above("load", load, 0.0, "ohm")
        .above("charging", charging, 0.0, "ohm")
        .above("capacitance", capacitance, 0.0, "F");
  }
  /// V across the lit tube's load.
  [[nodiscard]] S swing() const { return S(supply - arc_drop); }
};

/// Time from commutation until the outgoing plate is back at `level` volts, s; at least 0.
/// @param charge share of the full capacitor voltage (supply - arc drop) reached before, 0 to 1
/// @param level  V, below the supply
template <Real S>
[[nodiscard]] S hold_off(const Commutation<S>& c, const S& level, const S& charge = S(1)) {
  const S ratio = S(c.swing() * (S(1) + charge) / (c.supply - level));
  if (!(value_of(ratio) > Plain<S>(1))) return S(0);
  return S(c.load * c.capacitance * math::log(ratio));
}

/// Smallest capacitance that keeps the outgoing plate below `level` for `time`, F.
template <Real S>
[[nodiscard]] S least_capacitance(const Commutation<S>& c, const S& time, const S& level) {
  return S(time / (c.load * math::log(S(S(2) * c.swing() / (c.supply - level)))));
}

/// Peak current of the tube that commutates, A: its own load and the capacitor's discharge through the other load.
template <Real S>
[[nodiscard]] S commutating_peak(const Commutation<S>& c) {
  return S(c.swing() / c.charging + S(2) * c.swing() / c.load);
}

/// Time the first tube must have been lit before a commutation that has to last `time` until `level`, s, if the
/// capacitor was charged fully the other way round before; unlimited if no waiting suffices.
template <Real S>
[[nodiscard]] S least_lit_time(const Commutation<S>& c, const S& time, const S& level) {
  const S needed = S((c.supply - level) / c.swing() * math::exp(S(time / (c.load * c.capacitance))) - S(1));
  if (!(value_of(needed) < Plain<S>(1))) return unlimited<S>();
  return math::positive_part(S(c.charging * c.capacitance * math::log(S(S(2) / (S(1) - needed)))));
}

}  // namespace gastube::design
