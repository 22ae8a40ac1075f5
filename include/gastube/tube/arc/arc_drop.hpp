// SPDX-License-Identifier: MIT
#pragma once
/// Plate-to-cathode voltage of the lit tube against its current.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// The same drop at any current.
template <Real S>
struct ConstantDrop {
  static constexpr bool piecewise_linear = true;
  S drop;  ///< V, above 0

  void check() const { Check{"constant drop"}.above("drop", drop, 0.0, "V"); }
  [[nodiscard]] S voltage(const S&) const { return drop; }
  /// dV/dI, ohm.
  [[nodiscard]] S slope(const S&) const { return S(0); }
};

/// Drop that rises (or, with a negative resistance, falls) in proportion to the current.
template <Real S>
struct LinearDrop {
  static constexpr bool piecewise_linear = true;
  S drop;        ///< V at zero current, above 0
  S resistance;  ///< ohm

  void check() const { Check{"linear drop"}.above("drop", drop, 0.0, "V").finite("resistance", resistance, "ohm"); }
  [[nodiscard]] S voltage(const S& current) const { return S(drop + resistance * current); }
  [[nodiscard]] S slope(const S&) const { return resistance; }
};

/// Falling arc characteristic v = asymptote + power / current (Ayrton's form; J. D. Cobine, Gaseous Conductors (1941),
/// from memory). Below `least_current` it goes on along the tangent, so that the voltage stays finite.
/// In a circuit it wants more series resistance than it falls by, and no capacitance straight across the tube: with one
/// it has no steady current, as in life, where the inertia of the ions decides what happens then.
template <Real S>
struct FallingDrop {
  S asymptote;      ///< V, above 0
  S power;          ///< W, at least 0
  S least_current;  ///< A, above 0

  void check() const {
    Check{"falling drop"}
        .above("asymptote", asymptote, 0.0, "V")
        .at_least("power", power, 0.0, "W")
        .above("least_current", least_current, 0.0, "A");
  }
  [[nodiscard]] S voltage(const S& current) const {
    const S i = math::max(current, least_current);
    return S(asymptote + power / i + slope(current) * (current - i));
  }
  [[nodiscard]] S slope(const S& current) const {
    const S i = math::max(current, least_current);
    return S(-power / (i * i));
  }
};

/// Minimum of an arc law: voltage(current), slope(current), check(). One whose voltage is a straight line of the
/// current says `static constexpr bool piecewise_linear = true`.
template <class Law, class S>
concept ArcLaw = Real<S> && requires(const Law law, const S current) {
  { law.voltage(current) } -> std::same_as<S>;
  { law.slope(current) } -> std::same_as<S>;
  law.check();
};
static_assert(
    ArcLaw<ConstantDrop<double>, double> && ArcLaw<LinearDrop<double>, double> && ArcLaw<FallingDrop<double>, double>);

}  // namespace gastube
