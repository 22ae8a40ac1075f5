// SPDX-License-Identifier: MIT
#pragma once
/// What happens to an ode form at one instant, for all peers alike.

#include "outcome.hpp"

#include <vector>

namespace compare {

/// Fires guard k, then what that sets off at the same instant. The form's time must be at the event.
template <class Ode, class T>
void fire_all(Ode& ode, std::size_t k, const T* x, std::vector<T>& margins, Outcome& out) {
  for (int round = 0; round < 64; ++round) {
    ode.fire(k);
    out.note(double(ode.time()), int(k), ode.lit(k));
    ode.margins(T(0), x, margins.data());
    std::size_t worst = 0;
    for (std::size_t j = 1; j < margins.size(); ++j)
      if (margins[j] < margins[worst]) worst = j;
    if (!(margins[worst] < T(-1e-9))) return;
    k = worst;
  }
  out.failure = "events at one instant without end";
}

/// The time between two at which any margin has first fallen, by bisection of the least one.
/// @param fallen true if any margin is below zero at a time
template <class T, class Fallen>
[[nodiscard]] T bisect(Fallen&& fallen, T low, T high, T width) {
  while (high - low > width) {
    const T middle = (low + high) / 2;
    if (!(middle > low && middle < high)) break;
    (fallen(middle) ? high : low) = middle;
  }
  return high;
}

}  // namespace compare
