// SPDX-License-Identifier: MIT
#pragma once
/// What is left of the discharge after extinction, and how the grid wins back control as it goes.
///
/// A recovery law carries the residual ionisation n (1 at its reference current) as a follower: dn/dt = source - decay
/// n, with one source while lit and another, 0 or negative, as long as anything is left after extinction, when the grid
/// may have a say in it. control(n, grid) is the share of hold-off that the grid has back: 0 just lit, 1 recovered. The
/// tube then fires at plate voltage floor + control * (full hold-off - floor), floor being the voltage at which an arc
/// can just burn.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// How control(n, grid) hangs on the residual, where it does so simply enough for a circuit to be stepped exactly. Such
/// a law says control_form; it has constant decay and source_out, and left(n) is a straight line of n.
enum class ControlForm {
  full,      ///< always 1
  step,      ///< 0 as long as more than nothing_left is left, then 1
  straight,  ///< 1 - n
};
template <class Law>
inline constexpr bool has_control_form = requires {
  Law::control_form;
};
/// Whether source_lit() of such a law is a straight line of the current: then it says follows_straight.
template <class Law>
inline constexpr bool recovery_follows_straight = requires {
  requires Law::follows_straight;
};

/// Residual that a law by steps counts as none: round-off, where it has run down to 0.
template <Real S>
inline constexpr Plain<S> nothing_left = Plain<S>(16) * round_off<S>;

/// Recovers in the instant of extinction: the ideal of textbook circuits.
template <Real S>
struct InstantRecovery {
  static constexpr ControlForm control_form = ControlForm::full;
  static constexpr bool follows_straight = true;
  void check() const {}
  [[nodiscard]] S source_lit(const S&) const { return S(0); }
  [[nodiscard]] S source_out(const S&) const { return S(0); }
  [[nodiscard]] S decay() const { return S(0); }
  [[nodiscard]] S at_extinction(const S&) const { return S(0); }
  [[nodiscard]] S control(const S&, const S&) const { return S(1); }
  /// Positive until the tube counts as recovered.
  [[nodiscard]] S left(const S&) const { return S(-1); }
};

/// No control at all for a fixed deionisation time, then all of it: the rating as a rule.
template <Real S>
struct FixedDeionisation {
  static constexpr ControlForm control_form = ControlForm::step;
  static constexpr bool follows_straight = true;
  S time;  ///< s, above 0

  void check() const { Check{"fixed deionisation"}.above("time", time, 0.0, "s"); }
  [[nodiscard]] S source_lit(const S&) const { return S(0); }
  [[nodiscard]] S source_out(const S&) const { return S(S(-1) / time); }
  [[nodiscard]] S decay() const { return S(0); }
  [[nodiscard]] S at_extinction(const S&) const { return S(1); }
  [[nodiscard]] S control(const S& residual, const S&) const { return S(value_of(residual) > nothing_left<S> ? 0 : 1); }
  [[nodiscard]] S left(const S& residual) const { return S(residual - S(nothing_left<S>)); }
};

/// Minimum of a recovery law.
template <class Law, class S>
concept RecoveryLaw = Real<S> && requires(const Law law, const S v) {
  { law.source_lit(v) } -> std::same_as<S>;
  { law.source_out(v) } -> std::same_as<S>;
  { law.decay() } -> std::same_as<S>;
  { law.at_extinction(v) } -> std::same_as<S>;
  { law.control(v, v) } -> std::same_as<S>;
  { law.left(v) } -> std::same_as<S>;
  law.check();
};
/// Decay of the residual while the tube is lit, 1/s. decay() holds lit and out, but a law that follows the current in a
/// time of its own states it as decay_lit().
template <Real S, RecoveryLaw<S> Law>
[[nodiscard]] S decay_while_lit(const Law& law) {
  if constexpr (requires { law.decay_lit(); })
    return law.decay_lit();
  else
    return law.decay();
}
/// Residual that a tube is left with as it counts as recovered: nothing, by a law for which only nothing counts.
template <Real S, RecoveryLaw<S> Law>
[[nodiscard]] S residual_once_recovered(const Law& law, const S& residual) {
  return value_of(law.left(S(0))) < -nothing_left<S> ? residual : S(0);
}
static_assert(RecoveryLaw<InstantRecovery<double>, double> && RecoveryLaw<FixedDeionisation<double>, double>);

}  // namespace gastube
