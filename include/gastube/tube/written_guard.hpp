// SPDX-License-Identifier: MIT
#pragma once
/// Guards of tubes written out as sums, for circuits that are stepped exactly. Each of these has the sign of the guard
/// that the tube works out in numbers; of what differs between families only the sign of the current is left here.

#include "gastube/tube/machine.hpp"
#include "gastube/tube/recovery/recovery.hpp"

namespace gastube {

/// Where a tube writes a guard out. As in the exact scheme's Margin, begin() begins a sum, join() one in the group of
/// the sum before, and the guard lasts as long as every group has a positive sum; after greatest(), as long as in any
/// group all are positive. The other functions add to the latest sum a constant, what time adds each second, or a
/// factor times what a TubeView holds: a voltage against the cathode, the plate current, a follower, or a voltage times
/// the residual.
template <class Writer, class S>
concept GuardWriter = Real<S> && requires(Writer& to, const S& factor) {
  to.begin();
  to.join();
  to.greatest();
  to.constant(factor);
  to.per_second(factor);
  to.plate(factor);
  to.grid(factor);
  to.shield(factor);
  to.current(factor);
  to.residual(factor);
  to.formation(factor);
  to.excess(factor);
  to.grid_residual(factor);
  to.shield_residual(factor);
};

template <class Law>
concept PiecewiseLinearLaw = requires {
  requires std::decay_t<Law>::piecewise_linear;
};
/// True if every one of these laws says that it is piecewise linear.
template <class... Laws>
inline constexpr bool all_piecewise_linear = (PiecewiseLinearLaw<Laws> && ...);

/// Share of control that the grid has, as a straight line of the residual: fixed + per_residual n.
template <Real S>
struct StraightControl {
  S fixed = S(1), per_residual = S(0);

  [[nodiscard]] bool is_whole() const {
    return value_of(fixed) == Plain<S>(1) && value_of(per_residual) == Plain<S>(0);
  }
};
/// The line of a recovery law, with `least` where nothing of control is left; of a law by steps, before its step.
template <class Law, Real S>
[[nodiscard]] StraightControl<S> straight_control(const S& least) {
  if constexpr (Law::control_form == ControlForm::straight) return {S(1), S(least - S(1))};
  if constexpr (Law::control_form == ControlForm::step) return {least, S(0)};
  return {};
}
/// True where a law by steps may have some of the residual left.
template <class Law>
[[nodiscard]] bool may_step(TubeState state) {
  return Law::control_form == ControlForm::step && (state == TubeState::recovering || state == TubeState::striking);
}

/// @param sign 1, or -1 for a discharge that burns the other way round; @param falls whether the plate takes a time
template <Real S, class Writer>
void write_current_lost(Writer& to, const S& sign, const S& least, bool falls) {
  to.greatest();
  to.begin();
  if (value_of(least) > Plain<S>(0)) {
    to.current(S(sign / least));
    to.constant(S(-1));
  } else {
    to.current(sign);
  }
  if (!falls) return;
  to.begin();
  to.excess(S(sign / S(Plain<S>(1e-3))));
  to.constant(S(-1));
}

/// Adds sign times what is left, for a law by steps; by then the numbers count less than nothing_left as none for sure.
template <Real S, class Writer>
void write_left_by_steps(Writer& to, const S& sign) {
  to.residual(sign);
}

/// @param needed V across the tube at its least current
template <class Recovery, Real S, class Writer>
void write_arc_formed(Writer& to, const S& sign, const S& least, const S& needed, const Feed<S>& feed, bool instant) {
  to.greatest();
  if (!instant) {
    to.begin();
    to.constant(S(1));
    to.formation(S(-1));
  }
  to.begin();
  to.constant(S(needed + feed.resistance * least));
  to.plate(S(-sign));
  to.current(S(-sign * feed.resistance));
  const S steadily = S(steady_need(least, needed, feed) - sign * feed.steady_voltage);
  if (!is_limited(feed.steady_voltage) || !(value_of(steadily) > Plain<S>(0))) return;
  to.begin();
  to.constant(S(needed + S(1)));
  to.plate(S(-sign));
  if constexpr (Recovery::control_form == ControlForm::full) return;
  to.begin();
  if constexpr (Recovery::control_form == ControlForm::step) return write_left_by_steps(to, S(1));
  to.residual(S(1));  // until half of control is back
  to.constant(S(Plain<S>(-0.5)));
}

template <Real S, class Recovery, class Writer>
void write_deionised(Writer& to, const Recovery& law) {
  const S none = law.left(S(0));
  to.begin();
  to.constant(none);
  to.residual(S(law.left(S(1)) - none));
}

}  // namespace gastube
