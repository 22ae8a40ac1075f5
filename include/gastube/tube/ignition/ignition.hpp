// SPDX-License-Identifier: MIT
#pragma once
/// What every ignition law offers, and what follows from it: the inverse, the band over tubes, the shift by the shield
/// grid and by the resistor in the grid lead.

#include "gastube/support/root.hpp"
#include "gastube/tube/ignition/control_line.hpp"
#include "gastube/tube/ignition/ignition_curve.hpp"
#include "gastube/tube/ignition/low_voltage_knee.hpp"

namespace gastube {

/// Minimum: critical_grid(plate), falling with plate voltage, and check(). A law of the control line's form says
/// `static constexpr bool piecewise_linear = true` and has the control line's fields.
template <class Law, class S>
concept IgnitionLaw = Real<S> && requires(const Law law, const S plate) {
  { law.critical_grid(plate) } -> std::same_as<S>;
  law.check();
};
static_assert(IgnitionLaw<ControlLine<double>, double> && IgnitionLaw<KneedLine<double>, double>);

/// Plate voltage at which the tube just fires with this grid voltage, V: the inverse of critical_grid.
/// @param highest V, end of the search; @return `highest` if the tube does not fire up to there
template <Real S, IgnitionLaw<S> Law>
  requires is_plain<S>
[[nodiscard]] S critical_plate(const Law& law, S grid, S highest = S(1e5)) {
  const auto margin = [&](S plate) { return law.critical_grid(plate) - grid; };
  if (margin(highest) > S(0)) return highest;
  if (margin(S(0)) <= S(0)) return S(0);
  return find_root(margin, S(0), highest, S(1e-9));
}

/// Shift of the critical grid voltage by the shield grid, in proportion: 1 V more on the shield grid makes ignition
/// easier by `leverage` volts of grid. A local slope: the measured families are curved.
template <Real S>
struct ShieldShift {
  static constexpr bool piecewise_linear = true;
  S leverage = S(0);  ///< V of grid per V of shield grid, at least 0; 0 for a triode

  void check() const { Check{"shield shift"}.at_least("leverage", leverage, 0.0, "V/V"); }
  /// V to add to the critical grid voltage.
  [[nodiscard]] S operator()(const S& shield) const { return S(-leverage * shield); }
};

/// Minimum of a shield law: the shift in V by the shield voltage, as operator(), and check(). One in proportion says
/// `static constexpr bool piecewise_linear = true` and has a field `leverage`.
template <class Law, class S>
concept ShieldLaw = Real<S> && requires(const Law law, const S shield) {
  { law(shield) } -> std::same_as<S>;
  law.check();
};
static_assert(ShieldLaw<ShieldShift<double>, double>);

/// Half-width of the band in which the ignition of single tubes lies: by production, by life, or by both together.
template <Real S>
struct IgnitionBand {
  S at_zero;         ///< V of grid, extrapolated to zero plate voltage, at least 0
  S per_plate_volt;  ///< V/V, at least 0
  S knee_share;      ///< share of the knee's lift that is uncertain, 0 to 1

  void check() const {
    Check{"ignition band"}
        .at_least("at_zero", at_zero, 0.0, "V")
        .at_least("per_plate_volt", per_plate_volt, 0.0, "V/V")
        .between("knee_share", knee_share, 0.0, 1.0, "");
  }
  /// Half-width at a plate voltage where the knee lifts the line by `knee_lift`, V.
  [[nodiscard]] S half_width(const S& plate, const S& knee_lift) const {
    return S(at_zero + per_plate_volt * math::positive_part(plate) + knee_share * knee_lift);
  }
};

/// The band that holds a tube from either edge of production through its life. A tube drifts from where it was made, so
/// the widths add: life never narrows the band, and what little both rarely do at once is not counted on.
template <Real S>
[[nodiscard]] IgnitionBand<S> combined(const IgnitionBand<S>& production, const IgnitionBand<S>& life) {
  return {S(production.at_zero + life.at_zero), S(production.per_plate_volt + life.per_plate_volt),
          math::min(S(production.knee_share + life.knee_share), S(1))};
}

/// Grid supply voltage at which the tube just fires through a grid resistor: the critical grid current lifts the grid
/// by its drop in the resistor, so a large resistor wants more negative bias. L. Malter and M. R. Boyd, "Grid current
/// and grid emission studies in thyratrons", Proc. IRE 39, 636 (1951).
/// @param critical_grid V; @param critical_current A, out of the grid, at least 0; @param resistance ohm, at least 0
template <Real S>
[[nodiscard]] S critical_bias(const S& critical_grid, const S& critical_current, const S& resistance) {
  return S(critical_grid - critical_current * resistance);
}

}  // namespace gastube
