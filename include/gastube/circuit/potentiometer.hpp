// SPDX-License-Identifier: MIT
#pragma once
/// Potentiometer: a resistance with a wiper, which may stand at either end.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

/// Own unknowns: the currents from `low` to the wiper and from the wiper to `high`. The wiper may be wired to an end
/// (a rheostat); that side then carries nothing. Turn it between steps by changing `position`.
template <Real S>
struct Potentiometer {
  using Scalar = S;
  static constexpr std::size_t own_unknowns = 2;
  Node low, wiper, high;
  S resistance;  ///< ohm from end to end, above 0
  S position;    ///< share of the resistance between `low` and the wiper, 0 to 1
  const char* label = "potentiometer";

  /// @throws InvalidParameter
  Potentiometer(Node low_end, Node wiping, Node high_end, const S& ohms, const S& at)
      : low(low_end), wiper(wiping), high(high_end), resistance(ohms), position(at) {
    Check{label}.above("resistance", resistance, 0.0, "ohm").between("position", position, 0.0, 1.0, "");
  }
  [[nodiscard]] std::array<Node, 3> terminals() const { return {low, wiper, high}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    write_side(eq, 0, low, wiper, S(resistance * position));
    write_side(eq, 1, wiper, high, S(resistance * (S(1) - position)));
  }
  /// A out of the wiper.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return S(at.own(0) - at.own(1)); }
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory&) const {
    return S(resistance * (position * at.own(0) * at.own(0) + (S(1) - position) * at.own(1) * at.own(1)));
  }

 private:
  static void write_side(PartEquations<S>& eq, std::size_t k, Node from, Node to, const S& ohms) {
    const bool shorted = from == to;
    eq.branch(from, to, k);
    if (!shorted) eq.own_voltage(k, from, to);
    const S weight = shorted ? S(1) : ohms;
    eq.own_flow(k, S(-weight * eq.own(k)));
    eq.own_flow_by_own(k, k, S(-weight));
  }
};

}  // namespace gastube
