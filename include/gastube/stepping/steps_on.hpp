// SPDX-License-Identifier: MIT
#pragma once
/// How a run goes on, whatever its scheme: by one step, until a time, by a while, to the next event.

#include "gastube/stepping/observer.hpp"
#include "gastube/stepping/settings.hpp"

namespace gastube {

/// Base of the steppers. `Stepper` offers time(), and to this base (its friend) also
///   attempt_step(limit, observer)  // one step towards limit; a Status, and on failure the state it found
///   is_before(limit)               // false once there is nothing left to step
template <class Stepper, Real S>
class StepsOn {
 public:
  /// One accepted step towards `limit` (> time()), shorter if an event or a breakpoint comes first.
  /// @return done, event (then the state is right after it), or why it failed (then the state is unchanged)
  template <class Observer = Silent>
  Status step(const S& limit, Observer&& observer = {}) {
    if (!succeeded(start_status_)) return start_status_;
    const Status status = self().attempt_step(limit, observer);
    if (succeeded(status)) {
      ++steps_;
      detail::tell_step(observer, self());
    }
    return status;
  }
  /// Steps until `limit`; stops early only on failure.
  template <class Observer = Silent>
  Status run_until(const S& limit, Observer&& observer = {}) {
    if (!succeeded(start_status_)) return start_status_;
    while (self().is_before(limit)) {
      const Status status = step(limit, observer);
      if (!succeeded(status)) return status;
    }
    return Status::done;
  }
  /// Goes on by dt s, > 0: for a host that steps by frames of its own.
  template <class Observer = Silent>
  Status advance(const S& dt, Observer&& observer = {}) {
    return run_until(S(self().time() + dt), observer);
  }
  /// Steps until right after the next event or until `limit`.
  template <class Observer = Silent>
  Status next_event(const S& limit, Observer&& observer = {}) {
    if (!succeeded(start_status_)) return start_status_;
    Status status = Status::done;
    while (status == Status::done && self().is_before(limit)) status = step(limit, observer);
    return status;
  }

  /// Steps accepted so far.
  [[nodiscard]] long steps() const noexcept { return steps_; }
  /// How the start was settled; a run from a failed start does not step.
  [[nodiscard]] Status start_status() const noexcept { return start_status_; }

 protected:
  StepsOn() = default;
  ~StepsOn() = default;
  StepsOn(const StepsOn&) = default;
  StepsOn& operator=(const StepsOn&) = default;

  Status start_status_ = Status::done;
  long steps_ = 0;

 private:
  [[nodiscard]] Stepper& self() { return static_cast<Stepper&>(*this); }
};

}  // namespace gastube
