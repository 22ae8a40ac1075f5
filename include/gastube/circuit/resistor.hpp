// SPDX-License-Identifier: MIT
#pragma once
/// Resistor.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

template <Real S>
struct Resistor {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  Node a, b;
  S resistance;  ///< ohm, above 0
  const char* label = "resistor";

  /// @throws InvalidParameter
  Resistor(Node from, Node to, const S& ohms) : a(from), b(to), resistance(ohms) {
    Check{label}.above("resistance", resistance, 0.0, "ohm");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    eq.conduct(a, b, S(eq.across(a, b) / resistance), S(S(1) / resistance));
  }
  /// A, from a to b.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return S(at.across(a, b) / resistance); }
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory&) const {
    const S volts = at.across(a, b);
    return S(volts * volts / resistance);
  }
};

}  // namespace gastube
