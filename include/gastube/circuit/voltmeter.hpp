// SPDX-License-Identifier: MIT
#pragma once
/// Averaging voltmeter: loads the circuit with its resistance and sums up what it reads.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

/// Followers: 0 the integral of the voltage (V s), 1 the integral of its square (V^2 s).
template <Real S>
struct Voltmeter {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t followers = 2;
  Node plus, minus;
  S resistance;  ///< ohm, above 0
  const char* label = "voltmeter";

  /// @throws InvalidParameter
  Voltmeter(Node positive, Node negative, const S& ohms) : plus(positive), minus(negative), resistance(ohms) {
    Check{label}.above("resistance", resistance, 0.0, "ohm");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, minus}; }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    eq.conduct(plus, minus, S(eq.across(plus, minus) / resistance), S(S(1) / resistance));
  }
  void follow(const PartView<S>& at, const NoMemory&, FollowRate<S>* rates) const {
    const S volts = at.across(plus, minus);
    rates[0].source = volts;
    rates[1].source = S(volts * volts);
  }
  /// The square is no straight line.
  [[nodiscard]] bool follows_straight(std::size_t k) const { return k == 0; }
  /// A through the meter.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const {
    return S(at.across(plus, minus) / resistance);
  }
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory&) const {
    const S volts = at.across(plus, minus);
    return S(volts * volts / resistance);
  }
};

}  // namespace gastube
