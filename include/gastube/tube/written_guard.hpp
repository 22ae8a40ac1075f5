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
/// True for a tube that has nothing of its control back because a law by steps gives it back at its end alone, which is
/// an event of its own: were the control to hang on the residual, which runs out between two looks, a strike just
/// before would be hidden.
template <class Law, Real S>
[[nodiscard]] bool waits_for_its_step(const TubeMemory<S>& memory) {
  if constexpr (has_control_form<Law>)
    return Law::control_form == ControlForm::step && memory.state == TubeState::recovering && !memory.none_left;
  return false;
}
/// The tube as a strike is to be asked for.
template <class Law, Real S>
[[nodiscard]] TubeView<S> as_seen_recovering(TubeView<S> view, const TubeMemory<S>& memory) {
  if constexpr (has_control_form<Law>)
    if (Law::control_form == ControlForm::step && memory.state == TubeState::recovering)
      view.residual = S(memory.none_left ? 0 : 1);
  return view;
}
/// What a law by steps counts as none, for a tube that waits to be fed: a little later than what gives its grid back,
/// so that a grid which holds again has its say first.
template <Real S>
inline constexpr Plain<S> surely_nothing_left = -math::max(Plain<S>(1e-9L), Plain<S>(1e4) * round_off<S>);
/// Whether a circuit that cannot feed the tube steadily may light it for a moment all the same.
template <Real S, class Law>
[[nodiscard]] bool may_flash(const Law& law, const TubeView<S>& view) {
  if constexpr (has_control_form<Law>)
    if (Law::control_form == ControlForm::step) return !(value_of(view.residual) > surely_nothing_left<S>);
  return value_of(law.control(view.residual, view.at.grid)) >= Plain<S>(0.5);
}
/// Until where the residual of this law runs, of a tube that is out.
template <class Law, Real S>
[[nodiscard]] bool some_runs(const S& residual) {
  if constexpr (has_control_form<Law>)
    if (Law::control_form == ControlForm::step) return value_of(residual) > Plain<S>(2) * surely_nothing_left<S>;
  return value_of(residual) > Plain<S>(0);
}
/// To be told as a tube goes into recovery, with what is left.
template <Real S, class Law>
void note_recovery(const Law& law, const S& residual, TubeMemory<S>& memory) {
  memory.none_left = !(value_of(law.left(residual)) > Plain<S>(0));
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
  if (!is_limited(feed.steady_voltage) || !(value_of(steadily) > feeding_leeway<S>)) return;
  to.begin();
  to.constant(S(needed + S(1)));
  to.plate(S(-sign));
  if constexpr (Recovery::control_form == ControlForm::full) return;
  to.begin();
  if constexpr (Recovery::control_form == ControlForm::step) {
    write_left_by_steps(to, S(1));
    to.constant(S(-surely_nothing_left<S>));
    return;
  }
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
