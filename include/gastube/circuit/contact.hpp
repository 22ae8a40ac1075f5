// SPDX-License-Identifier: MIT
#pragma once
/// Contacts: one that the host sets between steps, and a push button with a schedule and bounce.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

#include <cstdint>

namespace gastube {

namespace detail {
/// Closed: the voltage across is resistance times current; open: no current. Own unknown k: the current from a to b.
template <Real S>
void write_contact(PartEquations<S>& eq, Node a, Node b, bool closed, const S& resistance, std::size_t k = 0) {
  eq.branch(a, b, k);
  if (closed) {
    eq.own_voltage(k, a, b);
    eq.own_flow(k, S(-resistance * eq.own(k)));
    eq.own_flow_by_own(k, k, S(-resistance));
  } else {
    eq.own_flow(k, eq.own(k));
    eq.own_flow_by_own(k, k, S(1));
  }
}
}  // namespace detail

/// A switch that stays as it is until the host changes its memory.
template <Real S>
struct Contact {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1;
  struct Memory {
    bool closed = false;
  };
  Node a, b;
  bool initially_closed;
  S resistance;  ///< ohm when closed, at least 0
  const char* label = "contact";

  /// @throws InvalidParameter
  Contact(Node from, Node to, bool closed, const S& ohms) : a(from), b(to), initially_closed(closed), resistance(ohms) {
    Check{label}.at_least("resistance", resistance, 0.0, "ohm");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  [[nodiscard]] Memory memory(const S&) const { return {initially_closed}; }
  [[nodiscard]] unsigned pattern(const Memory& m) const { return m.closed; }
  void write(PartEquations<S>& eq, const Memory& m) const { detail::write_contact(eq, a, b, m.closed, resistance); }
  /// A, from a to b.
  [[nodiscard]] S current(const PartView<S>& at, const Memory&) const { return at.own(0); }
  [[nodiscard]] S dissipated(const PartView<S>& at, const Memory&) const {
    return S(resistance * at.own(0) * at.own(0));
  }
};

/// One press of a button.
template <Real S>
struct Press {
  S at;      ///< s, first touch, at least 0 and after the press before
  S length;  ///< s until the first opening at release, above 0
};

/// How a contact bounces: after each change it opens and closes `bounces` times within `time`.
template <Real S>
struct Bounce {
  int bounces = 0;         ///< 0 to 1000
  S time = S(0);           ///< s, above 0 if there are bounces
  std::uint32_t seed = 0;  ///< 0: at equal intervals; else at irregular ones, for the same seed always the same
};

namespace detail {
/// A number of 0 to 1 that looks drawn at random, by its place in the series of that seed (after S. Vigna's mixing of a
/// counter, 2015, from memory).
template <class P>
[[nodiscard]] constexpr P drawn(std::uint64_t seed, std::uint64_t place) {
  std::uint64_t bits = (seed << 32U) + place * 0x9e3779b97f4a7c15U;
  bits = (bits ^ (bits >> 30U)) * 0xbf58476d1ce4e5b9U;
  bits = (bits ^ (bits >> 27U)) * 0x94d049bb133111ebU;
  return P((bits ^ (bits >> 31U)) >> 40U) / P(1U << 24U);
}
}  // namespace detail

/// A button that closes its contact at each of N presses.
template <Real S, std::size_t N>
struct PushButton {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1;
  /// Edges passed so far; the contact is closed after an odd number.
  struct Memory {
    long edges = 0;
  };
  Node a, b;
  std::array<Press<S>, N> presses;
  Bounce<S> bounce;
  S resistance;  ///< ohm when closed, at least 0
  const char* label = "push button";

  /// @throws InvalidParameter
  PushButton(Node from, Node to, const std::array<Press<S>, N>& schedule, const Bounce<S>& bouncing = {},
             const S& ohms = S(0))
      : a(from), b(to), presses(schedule), bounce(bouncing), resistance(ohms) {
    Check check{label};
    check.at_least("resistance", resistance, 0.0, "ohm").between("bounces", double(bounce.bounces), 0, 1000, "");
    if (bounce.bounces > 0) check.above("bounce time", bounce.time, 0.0, "s");
    S free(0);
    for (const auto& press : presses) {
      check.at_least("press at", press.at, double(value_of(free)), "s");
      check.above("press length", press.length, double(value_of(bounce.time)), "s");
      free = S(press.at + press.length + bounce.time);
    }
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  [[nodiscard]] static bool closed(const Memory& m) { return m.edges % 2 != 0; }
  [[nodiscard]] Memory memory(const S& time) const {
    Memory m;
    pass_breakpoint(time, m);
    return m;
  }
  [[nodiscard]] S next_breakpoint(const S&, const Memory& m) const {
    const long per_change = 2L * bounce.bounces + 1, press = m.edges / (2 * per_change);
    if (press >= long(N)) return unlimited<S>();
    const long rest = m.edges % (2 * per_change);
    const Press<S>& p = presses[std::size_t(press)];
    const S change = rest < per_change ? p.at : S(p.at + p.length);
    if (bounce.bounces == 0) return change;
    return S(change + bounce.time * S(place_of(m.edges, rest % per_change)) / S(Plain<S>(per_change - 1)));
  }
  void pass_breakpoint(const S& time, Memory& m) const {
    while (value_of(next_breakpoint(time, m)) <= value_of(time)) ++m.edges;
  }
  [[nodiscard]] unsigned pattern(const Memory& m) const { return closed(m); }
  void write(PartEquations<S>& eq, const Memory& m) const { detail::write_contact(eq, a, b, closed(m), resistance); }
  /// A, from a to b.
  [[nodiscard]] S current(const PartView<S>& at, const Memory&) const { return at.own(0); }
  [[nodiscard]] S dissipated(const PartView<S>& at, const Memory&) const {
    return S(resistance * at.own(0) * at.own(0));
  }

 private:
  /// Where touch number `touch` of 0 to `last` falls in the time of bouncing, in equal intervals. The first and the
  /// last keep to its ends, and no two come nearer than a tenth of an interval.
  [[nodiscard]] Plain<S> place_of(long edge, long touch) const {
    using P = Plain<S>;
    const bool inside = touch > 0 && touch < 2L * bounce.bounces;
    if (bounce.seed == 0 || !inside) return P(touch);
    return P(touch) + P(0.9L) * (detail::drawn<P>(bounce.seed, std::uint64_t(edge)) - P(0.5));
  }
};

}  // namespace gastube
