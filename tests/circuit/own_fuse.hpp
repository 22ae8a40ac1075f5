// SPDX-License-Identifier: MIT
#pragma once
/// A part as a user writes it, in a file of its own: a fuse that adds up its current's square and opens for good. It
/// takes in nothing of the library but part.hpp and the checks of parameters.

#include <gastube/circuit/part.hpp>
#include <gastube/support/checked.hpp>

namespace workshop {

/// Melts when the integral of its current squared reaches `melting`, as short overloads do; it does not cool.
template <gastube::Real S>
struct Fuse {
  using Scalar = S;
  static constexpr std::size_t followers = 1, guards = 1;
  struct Memory {
    bool blown = false;
  };
  gastube::Node a, b;
  S resistance;  ///< ohm, above 0
  S melting;     ///< A^2 s, above 0
  S gap;         ///< ohm when blown, above 0
  const char* label = "fuse";

  Fuse(gastube::Node from, gastube::Node to, S ohms, S a2s, S blown_ohms)
      : a(from), b(to), resistance(ohms), melting(a2s), gap(blown_ohms) {
    gastube::Check{label}
        .above("resistance", resistance, 0.0, "ohm")
        .above("melting", melting, 0.0, "A^2 s")
        .above("gap", gap, 0.0, "ohm");
  }
  [[nodiscard]] std::array<gastube::Node, 2> terminals() const { return {a, b}; }
  void write(gastube::PartEquations<S>& eq, const Memory& memory) const {
    const S ohms = memory.blown ? gap : resistance;
    eq.conduct(a, b, S(eq.across(a, b) / ohms), S(S(1) / ohms));
  }
  void follow(const gastube::PartView<S>& at, const Memory& memory, gastube::FollowRate<S>* rates) const {
    const S amperes = current(at, memory);
    rates[0].source = S(amperes * amperes);
  }
  [[nodiscard]] S guard(std::size_t, const gastube::PartView<S>& at, const Memory& memory) const {
    return memory.blown ? S(1) : S(S(1) - at.follower(0) / melting);
  }
  gastube::Change fire(std::size_t, const gastube::PartView<S>&, Memory& memory, S*) const {
    memory.blown = true;
    return {label, "whole", "blown", "melting integral reached"};
  }
  [[nodiscard]] S current(const gastube::PartView<S>& at, const Memory& memory) const {
    return S(at.across(a, b) / (memory.blown ? gap : resistance));
  }
};

}  // namespace workshop
