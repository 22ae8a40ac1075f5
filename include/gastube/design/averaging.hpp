// SPDX-License-Identifier: MIT
#pragma once
/// Average current over the maker's averaging time, at its worst.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube::design {

/// A current that flows for `on` in every `period`.
template <Real S>
struct DutyCycle {
  S on;      ///< s, above 0, at most `period`
  S period;  ///< s

  void check() const {
    Check{"duty cycle"}.above("on", on, 0.0, "s").at_least("period", period, double(value_of(on)), "s");
  }
};

/// Greatest average over any window of length `window`: whole periods and the fullest rest, A.
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] S worst_average(const S& current, const DutyCycle<S>& duty, const S& window) {
  duty.check();
  Check{"averaging"}.at_least("current", current, 0.0, "A").above("window", window, 0.0, "s");
  const Plain<S> whole = std::floor(value_of(S(window / duty.period)));
  const S rest = S(window - S(whole) * duty.period);
  return S(current * (S(whole) * duty.on + math::min(rest, duty.on)) / window);
}

/// Longest single pulse that keeps the average over the window, s.
template <Real S>
[[nodiscard]] S longest_pulse(const S& current, const S& average, const S& window) {
  return math::min(S(average * window / current), window);
}

}  // namespace gastube::design
