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
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1, guards = 2;
  struct Memory {
    bool conducting = false;
    S impulse = unlimited<S>();  ///< s, when an impulse last turned it over
  };
  Node anode, cathode;
  DiodeLines<S> lines;
  /// The state tried first at the start. A settled start (Beginning::settled) settles with this one.
  bool initially_conducting;
  const char* label = "diode";

  /// @throws InvalidParameter
  Diode(Node from, Node to, const DiodeLines<S>& shape = {}, bool conducting = false)
      : anode(from), cathode(to), lines(shape), initially_conducting(conducting) {
    Check{label}
        .at_least("drop", lines.drop, 0.0, "V")
        .at_least("slope", lines.slope, 0.0, "ohm")
        .at_least("leakage", lines.leakage, 0.0, "S");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {anode, cathode}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return ordinary; }
  [[nodiscard]] Memory memory(const S&) const { return {initially_conducting, unlimited<S>()}; }
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
  /// Guard 0 ends the line that holds. Guard 1 looks for impulses: of current backwards, which end conduction, and of
  /// voltage forwards, as from a coil that is cut off, which begin it; charges and fluxes are then those from before. A
  /// volt over 10 ns is the least impulse of voltage that it sees. What charges do in those 10 ns while sources stand
  /// still may look like an impulse that sources then make good: a diode that turns back at once is not asked again.
  [[nodiscard]] S guard(std::size_t k, const PartView<S>& at, const Memory& m) const {
    if (k == 1 && value_of(m.impulse) == value_of(at.time())) return S(1);
    if (m.conducting) return S((at.own(0) - knee()) / S(ordinary) + S(play));
    return S(lines.drop - at.across(anode, cathode) + (k == 0 ? S(play) : S(1)));
  }
  [[nodiscard]] unsigned pattern(const Memory& m) const { return m.conducting; }
  void margin(std::size_t k, PartMargin<S>& out, const Memory& m) const {
    out.begin();
    if (m.conducting)
      out.constant(S(S(play) - knee() / S(ordinary))).add(S(Plain<S>(1) / ordinary), out.own(0));
    else
      out.constant(S(lines.drop + (k == 0 ? S(play) : S(1)))).across(S(-1), anode, cathode);
  }
  [[nodiscard]] bool opens(std::size_t k, const Memory&) const { return k == 1; }
  Change fire(std::size_t k, const PartView<S>& at, Memory& m, S*) const {
    const Plain<S> now = value_of(at.time()), at_once = math::max(Plain<S>(1e-9), Plain<S>(8) * round_off<S> * now);
    m.conducting = !m.conducting;
    if (k == 1 || math::abs(now - value_of(m.impulse)) < at_once) m.impulse = at.time();
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
