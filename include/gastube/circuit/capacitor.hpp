// SPDX-License-Identifier: MIT
#pragma once
/// Capacitor.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

template <Real S>
struct Capacitor {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  Node a, b;
  S capacitance;  ///< F, above 0
  S initial;      ///< V of a against b at the start
  const char* label = "capacitor";

  /// @throws InvalidParameter
  Capacitor(Node from, Node to, const S& farads, const S& initial_voltage = S(0))
      : a(from), b(to), capacitance(farads), initial(initial_voltage) {
    Check{label}.above("capacitance", capacitance, 0.0, "F").finite("initial", initial, "V");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  [[nodiscard]] std::array<Link, 1> links() const { return {{{a, b, Joint::stores}}}; }
  void start(Starter<S>& starter) const { starter.tie(a, b, initial); }
  void write(PartEquations<S>& eq, const NoMemory&) const { eq.capacitance(a, b, capacitance); }
  [[nodiscard]] S stored(const PartView<S>& at, const NoMemory&) const {
    return capacitance_energy(at, a, b, capacitance);
  }
};

}  // namespace gastube
