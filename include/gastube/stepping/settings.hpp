// SPDX-License-Identifier: MIT
#pragma once
/// What a user may ask of a run, and how a run can end.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// How finely to step. Absolute tolerances count in multiples of each unknown's nominal size.
template <Real S>
struct Settings {
  Plain<S> relative = Plain<S>(1e-6);  ///< error allowed a step, relative to the unknown; 1e-13 (float: 1e-6) to 0.1
  Plain<S> absolute = Plain<S>(1e-7);  ///< the same relative to its nominal size; above 0, to 0.1
  Plain<S> fixed_step = Plain<S>(0);   ///< s; above 0: every step has this length and no error is estimated
  /// s; first step after a start or an event, or the longer one that the rates of all unknowns allow where no impulse
  /// was settled; above 0
  Plain<S> first_step = Plain<S>(1e-8);
  Plain<S> longest_step = Plain<S>(1e30);    ///< s; above 0
  Plain<S> shortest_step = Plain<S>(1e-16);  ///< s; below it a run gives up; above 0
  /// s; stands for "no time" when jumps are settled at an event; above 0. Far below the circuit's time constants, but
  /// the shorter it is, the more of a current's digits are lost where charges are shared, and a coupling capacitor
  /// whose time constant exceeds some 1e15 times this length (float: 1e6 times) counts as a node without a path.
  Plain<S> restart_step = Plain<S>(1e-12);
  int cascade_limit = 64;  ///< events allowed at one instant; 1 to 100000

  /// @throws InvalidParameter naming the field
  void check() const {
    Check{"settings"}
        .between("relative", relative, math::max(1e-13, 8 * double(round_off<S>)), 0.1, "")
        .above("absolute", absolute, 0.0, "")
        .at_most("absolute", absolute, 0.1, "")
        .at_least("fixed_step", fixed_step, 0.0, "s")
        .above("first_step", first_step, 0.0, "s")
        .above("longest_step", longest_step, 0.0, "s")
        .above("shortest_step", shortest_step, 0.0, "s")
        .above("restart_step", restart_step, 0.0, "s")
        .between("cascade_limit", double(cascade_limit), 1, 100000, "");
  }
};

/// How a step or a run ended. Anything but `done` and `event` leaves the state as it was before the step.
enum class Status {
  done,               ///< reached the time asked for, or made a step
  event,              ///< stopped right after an event
  no_convergence,     ///< the equations of a step could not be solved even with the shortest step
  unsolvable,         ///< the equations have no single solution: a node without a path, or a loop of ideal sources
  unsettled_cascade,  ///< events at one instant set each other off without end
  unsuited,           ///< the scheme cannot step this system: a Rosenbrock scheme and a charge that is not linear
};

[[nodiscard]] constexpr const char* name(Status status) {
  switch (status) {
  case Status::done: return "done";
  case Status::event: return "event";
  case Status::no_convergence: return "no convergence: the step's equations could not be solved with the shortest step";
  case Status::unsolvable:
    return "unsolvable: a node has no path for its current, or ideal sources or closed contacts form a loop";
  case Status::unsettled_cascade: return "unsettled cascade: events at one instant set each other off without end";
  case Status::unsuited: return "unsuited: a Rosenbrock scheme steps linear charges only";
  }
  return "unknown";
}
[[nodiscard]] constexpr bool succeeded(Status status) { return status == Status::done || status == Status::event; }

}  // namespace gastube
