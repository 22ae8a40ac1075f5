// SPDX-License-Identifier: MIT
#pragma once
/// Diode of two straight lines. It changes from one to the other at an event, so that each stretch is linear.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

/// The two lines:  blocking i = leakage v,  conducting v = drop + slope (i - leakage drop).  They meet at v = drop.
template <Real S>
struct DiodeLines {
  S drop = S(0);     ///< V, at least 0
  S slope = S(0);    ///< ohm when conducting, at least 0
  S leakage = S(0);  ///< siemens when blocking, at least 0
};

/// Own unknown: the current from anode to cathode.
///
/// The change waits until the line it stands on is overrun by a nanovolt, or a picoampere (float: 0.1 mV, 0.1 uA): with
/// an ideal diode at rest, where both lines hold, it would go to and fro for ever.
template <Real S>
struct Diode {
  using Scalar = S;
  static constexpr std::size_t own_unknowns = 1, guards = 2;
  struct Memory {
    bool conducting = false;
  };
  Node anode, cathode;
  DiodeLines<S> lines;
  const char* label = "diode";

  /// @throws InvalidParameter
  Diode(Node from, Node to, const DiodeLines<S>& shape = {}) : anode(from), cathode(to), lines(shape) {
    Check{label}
        .at_least("drop", lines.drop, 0.0, "V")
        .at_least("slope", lines.slope, 0.0, "ohm")
        .at_least("leakage", lines.leakage, 0.0, "S");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {anode, cathode}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return ordinary; }
  void write(PartEquations<S>& eq, const Memory& m) const {
    eq.branch(anode, cathode, 0);
    if (m.conducting) {
      eq.own_voltage(0, anode, cathode);
      eq.own_flow(0, S(-lines.drop - lines.slope * (eq.own(0) - knee())));
      eq.own_flow_by_own(0, 0, S(-lines.slope));
    } else {
      eq.own_flow(0, S(eq.own(0) - lines.leakage * eq.across(anode, cathode)));
      eq.own_flow_by_own(0, 0, S(1));
      eq.own_flow_by_node(0, anode, S(-lines.leakage));
      eq.own_flow_by_node(0, cathode, lines.leakage);
    }
  }
  /// Guard 0 ends the line that holds. Guard 1 looks for impulses of voltage, as from a coil that is cut off: a
  /// blocking diode then conducts, and charges and fluxes are those from before. A volt over 10 ns is the least impulse
  /// that it sees; what sources and capacitors do in that time must not pass for one.
  [[nodiscard]] S guard(std::size_t k, const PartView<S>& at, const Memory& m) const {
    if (m.conducting) return k == 0 ? S((at.own(0) - knee()) / S(ordinary) + S(play)) : S(1);
    return S(lines.drop - at.across(anode, cathode) + (k == 0 ? S(play) : S(1)));
  }
  [[nodiscard]] bool opens(std::size_t k, const Memory& m) const { return m.conducting == (k == 0); }
  Change fire(std::size_t, const PartView<S>&, Memory& m, S*) const {
    m.conducting = !m.conducting;
    if (m.conducting) return {label, "blocking", "conducting", "drop reached"};
    return {label, "conducting", "blocking", "current gone"};
  }
  /// A, from anode to cathode.
  [[nodiscard]] S current(const PartView<S>& at, const Memory&) const { return at.own(0); }
  /// W into heat, or light.
  [[nodiscard]] S dissipated(const PartView<S>& at, const Memory&) const {
    return S(at.across(anode, cathode) * at.own(0));
  }

 private:
  static constexpr Plain<S> ordinary = Plain<S>(1e-3);  // A
  static constexpr Plain<S> play = round_off<S> > Plain<S>(1e-12) ? Plain<S>(1e3) * round_off<S> : Plain<S>(1e-9);
  [[nodiscard]] S knee() const { return S(lines.leakage * lines.drop); }
};

}  // namespace gastube
