// SPDX-License-Identifier: MIT
#pragma once
/// Inductor with winding resistance.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

template <Real S>
struct Inductor {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1;  // its current
  Node a, b;
  S inductance;  ///< H, above 0
  S resistance;  ///< ohm, at least 0
  S initial;     ///< A from a to b at the start
  const char* label = "inductor";

  /// @throws InvalidParameter
  Inductor(Node from, Node to, const S& henries, const S& ohms = S(0), const S& initial_current = S(0))
      : a(from), b(to), inductance(henries), resistance(ohms), initial(initial_current) {
    Check{label}
        .above("inductance", inductance, 0.0, "H")
        .at_least("resistance", resistance, 0.0, "ohm")
        .finite("initial", initial, "A");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  void start(Starter<S>& starter) const { starter.own(0, initial); }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    eq.branch(a, b, 0);
    eq.own_store(0, S(-inductance));  // across - R i - d(L i)/dt = 0
    eq.own_voltage(0, a, b);
    eq.own_flow(0, S(-resistance * eq.own(0)));
    eq.own_flow_by_own(0, 0, S(-resistance));
  }
  /// A, from a to b.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return at.own(0); }
  [[nodiscard]] S stored(const PartView<S>& at, const NoMemory&) const {
    return S(S(0.5) * inductance * at.own(0) * at.own(0));
  }
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory&) const {
    return S(resistance * at.own(0) * at.own(0));
  }
};

}  // namespace gastube
