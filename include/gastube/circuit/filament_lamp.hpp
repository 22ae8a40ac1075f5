// SPDX-License-Identifier: MIT
#pragma once
/// Filament lamp with thermal state: cold it takes many times its rated current.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

/// Lamp ratings and laws. The static current follows the published re-rating exponent (current ~ voltage^0.55); with
/// radiation ~ temperature^4 this fixes resistance ~ temperature^1.161.
template <Real S>
struct FilamentRating {
  S voltage;                               ///< V, rated, above 0
  S current;                               ///< A, at rated voltage, above 0
  S time_constant = S(Plain<S>(0.1));      ///< s, heat held at rated temperature over rated power, above 0
  S cold = S(Plain<S>(0.11));              ///< temperature at rest as a share of the rated one, 0.01 to 0.5
  S current_exponent = S(Plain<S>(0.55));  ///< of voltage, 0.4 to 0.7
  S light_exponent = S(Plain<S>(3.5));     ///< of voltage, 2 to 5
};

/// Filament between two nodes. Own unknown: temperature as a share of that at rated voltage.
///   time_constant dT/dt = v^2 / (R(T) P) - (T^4 - cold^4) / (1 - cold^4),  R = V/I T^n,  n = 4 (1 - e) / (1 + e)
/// Exponents: lamp re-rating rules of the trade handbooks, as given in "Lamp rerating" (encyclopedia): current 0.55,
/// light 3.4 to 3.5 of the voltage ratio.
template <Real S>
struct FilamentLamp {
  using Scalar = S;
  static constexpr std::size_t own_unknowns = 1;
  Node a, b;
  FilamentRating<S> rating;
  S initial;  ///< temperature at the start, share of rated
  const char* label = "filament lamp";

  /// Starts cold. @throws InvalidParameter
  FilamentLamp(Node from, Node to, const FilamentRating<S>& rated) : FilamentLamp(from, to, rated, rated.cold) {}
  FilamentLamp(Node from, Node to, const FilamentRating<S>& rated, const S& initial_temperature)
      : a(from), b(to), rating(rated), initial(initial_temperature) {
    Check{label}
        .above("voltage", rating.voltage, 0.0, "V")
        .above("current", rating.current, 0.0, "A")
        .above("time_constant", rating.time_constant, 0.0, "s")
        .between("cold", rating.cold, 0.01, 0.5, "of rated temperature")
        .between("current_exponent", rating.current_exponent, 0.4, 0.7, "")
        .between("light_exponent", rating.light_exponent, 2, 5, "")
        .between("initial", initial, 0.01, 2, "of rated temperature");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  void start(Starter<S>& starter) const { starter.own(0, initial); }
  [[nodiscard]] bool slow(std::size_t) const { return true; }

  /// Exponent n of resistance ~ temperature^n.
  [[nodiscard]] Plain<S> resistance_exponent() const {
    const Plain<S> e = value_of(rating.current_exponent);
    return Plain<S>(4) * (Plain<S>(1) - e) / (Plain<S>(1) + e);
  }
  /// ohm at a temperature (share of rated).
  [[nodiscard]] S resistance(const S& temperature) const {
    return S(rating.voltage / rating.current * math::pow(clamped(temperature), resistance_exponent()));
  }
  /// A, steady current at a steady voltage: the published law, without the small help of a warm surrounding.
  [[nodiscard]] S steady_current(const S& volts) const {
    return S(rating.current * math::pow(S(volts / rating.voltage), value_of(rating.current_exponent)));
  }
  /// Light as a share of rated light.
  [[nodiscard]] S light(const S& temperature) const {
    const Plain<S> by_voltage = (Plain<S>(4) + resistance_exponent()) / Plain<S>(2);
    return math::pow(clamped(temperature), value_of(rating.light_exponent) * by_voltage);
  }

  void write(PartEquations<S>& eq, const NoMemory&) const {
    const S temperature = clamped(eq.own(0)), n = S(value_of(eq.own(0)) > coldest ? resistance_exponent() : P(0));
    const S ohms = resistance(temperature), volts = eq.across(a, b), amperes = S(volts / ohms);
    eq.conduct(a, b, amperes, S(S(1) / ohms));
    eq.current_slope_own(a, b, 0, S(-n * amperes / temperature));
    const S rated_power = S(rating.voltage * rating.current), heating = S(volts * amperes / rated_power);
    eq.own_store(0, rating.time_constant);
    eq.own_flow(0, S(loss(eq.own(0)) - heating));
    eq.own_flow_by_node(0, a, S(S(-2) * amperes / rated_power));
    eq.own_flow_by_node(0, b, S(S(2) * amperes / rated_power));
    eq.own_flow_by_own(0, 0, S(loss_slope(eq.own(0)) + n * heating / temperature));
  }
  /// A, from a to b.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const {
    return S(at.across(a, b) / resistance(at.own(0)));
  }
  /// W into heat and light, that which warms the filament included.
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory& m) const {
    return S(at.across(a, b) * current(at, m));
  }

 private:
  using P = Plain<S>;
  // A trial iterate may pass through zero; the law is meant for filaments above it. Below, resistance stays and what is
  // lost changes sign with the temperature: a fourth power would make heat come to rest there a second time.
  static constexpr P coldest = P(1e-3);
  [[nodiscard]] static S clamped(const S& temperature) { return math::max(temperature, S(coldest)); }
  [[nodiscard]] static S fourth(const S& x) { return S(x * x * x * math::abs(x)); }
  [[nodiscard]] S loss(const S& t) const { return S((fourth(t) - fourth(rating.cold)) / (S(1) - fourth(rating.cold))); }
  [[nodiscard]] S loss_slope(const S& t) const { return S(S(4) * t * t * math::abs(t) / (S(1) - fourth(rating.cold))); }
};

}  // namespace gastube
