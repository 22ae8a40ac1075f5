// SPDX-License-Identifier: MIT
#pragma once
/// Diode by the exponential law, with series resistance.

#include "gastube/circuit/part.hpp"
#include "gastube/gas/constants.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

/// i = saturation_current (exp(u / (emission n kT/e)) - 1) at the junction voltage u (W. Shockley, "The theory of p-n
/// junctions in semiconductors and p-n junction transistors", Bell System Technical Journal 28, 1949; the emission
/// coefficient is common practice).
template <Real S>
struct JunctionLaw {
  S saturation_current;        ///< A, above 0
  S emission = S(1);           ///< coefficient, 0.5 to 100 (a stack of junctions has that of their sum)
  S series_resistance = S(0);  ///< ohm, at least 0
  S temperature = S(300);      ///< K, 1 to 1000
};

/// Own unknown w: junction voltage in units of n kT/e, plus the current in units of a milliampere (or of the saturation
/// current, if that is more). Against it voltage and current both run almost straight to both sides of the knee, so
/// Newton's method finds its way from anywhere, and nothing overflows: for large w the voltage is its logarithm.
template <Real S>
struct ExponentialDiode {
  using Scalar = S;
  using Memory = NoMemory;
  static constexpr std::size_t own_unknowns = 1;
  Node anode, cathode;
  JunctionLaw<S> law;
  const char* label = "exponential diode";

  /// @throws InvalidParameter
  ExponentialDiode(Node from, Node to, const JunctionLaw<S>& shape) : anode(from), cathode(to), law(shape) {
    Check{label}
        .above("saturation_current", law.saturation_current, 0.0, "A")
        .between("emission", law.emission, 0.5, 100.0, "")
        .at_least("series_resistance", law.series_resistance, 0.0, "ohm")
        .between("temperature", law.temperature, 1.0, 1000.0, "K");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {anode, cathode}; }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    const Junction j = junction(eq.own(0));
    eq.current(anode, cathode, j.current);
    eq.current_slope_own(anode, cathode, 0, j.current_slope);
    eq.own_flow(0, S(eq.across(anode, cathode) - j.voltage - law.series_resistance * j.current));
    eq.own_flow_by_node(0, anode, S(1));
    eq.own_flow_by_node(0, cathode, S(-1));
    eq.own_flow_by_own(0, 0, S(-j.voltage_slope - law.series_resistance * j.current_slope));
  }
  /// A, from anode to cathode.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return junction(at.own(0)).current; }
  /// W into heat, or light.
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory& m) const {
    return S(at.across(anode, cathode) * current(at, m));
  }

  /// V per unit of emission: n kT/e.
  [[nodiscard]] S thermal_voltage() const {
    return S(law.emission * law.temperature / S(Plain<S>(constants::kelvin_per_volt.value)));
  }
  /// A at a junction voltage; the law itself, which overflows beyond some hundred thermal voltages.
  [[nodiscard]] S static_current(const S& volts) const {
    return S(law.saturation_current * (math::exp(S(volts / thermal_voltage())) - S(1)));
  }

 private:
  struct Junction {
    S voltage, current, voltage_slope, current_slope;  // slopes against w
  };
  [[nodiscard]] Junction junction(const S& w) const {
    const S unit = math::max(law.saturation_current, S(Plain<S>(1e-3))), share = S(law.saturation_current / unit);
    // One step of Newton's method more gives the exponent its derivatives.
    S x = S(exponent(value_of(w), value_of(share)));
    S grown = math::exp(x);
    x = S(x - (x + share * (grown - S(1)) - w) / (S(1) + share * grown));
    grown = math::exp(x);
    const S slope = S(S(1) / (S(1) + share * grown)), thermal = thermal_voltage();
    // Where the exponential is great its rounding is that of x many times over.
    const bool great = value_of(share) * value_of(grown) > Plain<S>(1);
    const S amperes = great ? S(unit * (w - x)) : S(law.saturation_current * (grown - S(1)));
    return {S(thermal * x), amperes, S(thermal * slope), S(law.saturation_current * grown * slope)};
  }
  /// x with x + share (exp(x) - 1) = w, for share at most 1.
  [[nodiscard]] static Plain<S> exponent(Plain<S> w, Plain<S> share) {
    using P = Plain<S>;
    const P knee = -math::log(share), beyond = w - knee;
    P x = beyond > P(1) ? knee + math::log(beyond) : math::min(w + share, knee);
    for (int round = 0; round < 50; ++round) {
      const P grown = share * math::exp(x), step = (x + grown - share - w) / (P(1) + grown);
      x -= step;
      if (!(math::abs(step) > P(4) * round_off<S> * (P(1) + math::abs(x)))) break;
    }
    return x;
  }
};

}  // namespace gastube
