// SPDX-License-Identifier: MIT
#pragma once
/// Battery, or the back electromotive force of a motor: an ideal voltage behind a resistance. Its charge is counted.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

/// Own unknown: the current drawn from `plus` into the battery (charging). Follower: the charge put in since the start,
/// C.
template <Real S>
struct Battery {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1, followers = 1;
  Node plus, minus;
  S force;       ///< V
  S resistance;  ///< ohm, at least 0
  const char* label = "battery";

  /// @throws InvalidParameter
  Battery(Node positive, Node negative, const S& volts, const S& ohms)
      : plus(positive), minus(negative), force(volts), resistance(ohms) {
    Check{label}.finite("force", force, "V").at_least("resistance", resistance, 0.0, "ohm");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, minus}; }
  [[nodiscard]] std::array<Link, 1> links() const {
    return {{{plus, minus, value_of(resistance) > Plain<S>(0) ? Joint::conducts : Joint::holds}}};
  }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    eq.branch(plus, minus, 0);
    eq.own_voltage(0, plus, minus);
    eq.own_flow(0, S(-force - resistance * eq.own(0)));
    eq.own_flow_by_own(0, 0, S(-resistance));
  }
  void follow(const PartView<S>& at, const NoMemory&, FollowRate<S>* rates) const { rates[0].source = at.own(0); }
  /// A delivered out of plus.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return S(-at.own(0)); }
  /// W from its chemistry; below 0 while it is charged.
  [[nodiscard]] S delivered(const PartView<S>& at, const NoMemory&) const { return S(-force * at.own(0)); }
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory&) const {
    return S(resistance * at.own(0) * at.own(0));
  }
};

/// A battery whose voltage rises straight with its charge. Own unknowns: the charging current, and the rise of the
/// voltage since the start, V. A settled start (Beginning::settled) is one that has charged it till no current flows.
template <Real S>
struct ChargingBattery {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 2;
  Node plus, minus;
  S force;       ///< V at the start
  S resistance;  ///< ohm, at least 0
  S rise;        ///< V per coulomb put in, above 0
  const char* label = "charging battery";

  /// @throws InvalidParameter
  ChargingBattery(Node positive, Node negative, const S& volts, const S& ohms, const S& volts_per_coulomb)
      : plus(positive), minus(negative), force(volts), resistance(ohms), rise(volts_per_coulomb) {
    Check{label}
        .finite("force", force, "V")
        .at_least("resistance", resistance, 0.0, "ohm")
        .above("rise", rise, 0.0, "V/C");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, minus}; }
  [[nodiscard]] std::array<Link, 1> links() const {
    return {{{plus, minus, value_of(resistance) > Plain<S>(0) ? Joint::conducts : Joint::holds}}};
  }
  [[nodiscard]] Plain<S> nominal(std::size_t k) const { return k == 0 ? Plain<S>(1e-3) : Plain<S>(1); }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    eq.branch(plus, minus, 0);
    eq.own_voltage(0, plus, minus);
    eq.own_flow(0, S(-force - eq.own(1) - resistance * eq.own(0)));
    eq.own_flow_by_own(0, 0, S(-resistance));
    eq.own_flow_by_own(0, 1, S(-1));
    eq.own_store(1, S(1));  // d rise/dt - V/C i = 0
    eq.own_flow(1, S(-rise * eq.own(0)));
    eq.own_flow_by_own(1, 0, S(-rise));
  }
  /// A delivered out of plus.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return S(-at.own(0)); }
  /// W at the voltage of the start; below 0 while it is charged.
  [[nodiscard]] S delivered(const PartView<S>& at, const NoMemory&) const { return S(-force * at.own(0)); }
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory&) const {
    return S(resistance * at.own(0) * at.own(0));
  }
  /// J by which the rise of its voltage has added to what it holds.
  [[nodiscard]] S stored(const PartView<S>& at, const NoMemory&) const {
    return S(S(0.5) * at.own(1) * at.own(1) / rise);
  }
  /// C put in since the start.
  [[nodiscard]] S charge(const PartView<S>& at) const { return S(at.own(1) / rise); }
};

}  // namespace gastube
