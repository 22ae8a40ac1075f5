// SPDX-License-Identifier: MIT
#pragma once
/// What a run tells those who watch it.

#include "gastube/stepping/system.hpp"

namespace gastube {

/// Observer that ignores everything. An observer may offer step(stepper) after each accepted step, arrive(stepper) at
/// the end of a step that ends in an event or breakpoint, before anything jumps, change(time, Change) at each event,
/// and jump(stepper) after each jump of an instant, of which a cascade of events has several.
struct Silent {};

namespace detail {
template <class Observer, class Stepper>
void tell_step(Observer& observer, const Stepper& stepper) {
  if constexpr (requires { observer.step(stepper); }) observer.step(stepper);
}
template <class Observer, class Stepper>
void tell_arrival(Observer& observer, const Stepper& stepper) {
  if constexpr (requires { observer.arrive(stepper); }) observer.arrive(stepper);
}
template <class Observer, class Stepper>
void tell_jump(Observer& observer, const Stepper& stepper) {
  if constexpr (requires { observer.jump(stepper); }) observer.jump(stepper);
}
template <class Observer, class S>
void tell_change(Observer& observer, const S& time, const Change& change) {
  if constexpr (requires { observer.change(time, change); }) observer.change(time, change);
}
}  // namespace detail

}  // namespace gastube
