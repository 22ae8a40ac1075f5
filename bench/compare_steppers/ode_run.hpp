// SPDX-License-Identifier: MIT
#pragma once
/// Runs an ode form with a solver that steps and then tells any state within the step.

#include "ode_events.hpp"

#include <algorithm>
#include <cmath>

namespace compare {

/// A solver offers ode(), state() (to start from), begin(first step), step(longest) -> its end, look(t) (a state within
/// the last step), take(t) (makes that the state), tolerance(), solves().
template <class Solver>
void run_ode(Solver& solver, Outcome& out) {
  auto& ode = solver.ode();
  std::vector<double> margins(ode.guards());
  ode.start(solver.state());
  const double longest = ode.longest_step();
  const auto fallen = [&](double t) {
    ode.margins(t, solver.look(t), margins.data());
    return *std::min_element(margins.begin(), margins.end()) < 0;
  };
  while (ode.time() < ode.end()) {
    const double corner = ode.next_corner(), rest = ode.end() - ode.time(), until = std::min(corner, rest);
    double before = 0;
    solver.begin(std::min(ode.first_step(), until));
    for (;;) {
      const double now = solver.step(longest), reached = std::min(now, until);
      ++out.steps;
      if (fallen(reached)) {
        const double width = std::max(2e-16 * ode.time(), 1e-3 * solver.tolerance() * (reached - before));
        const double t = bisect(fallen, before, reached, width);
        ode.margins(t, solver.look(t), margins.data());
        const auto least = std::min_element(margins.begin(), margins.end());
        solver.take(t);
        ode.advance(t);
        fire_all(ode, std::size_t(least - margins.begin()), solver.state(), margins, out);
        if (!out.failure.empty()) return;
        break;
      }
      if (now >= until) {
        solver.take(until);
        ode.advance(until);
        if (corner < rest)
          ode.pass_corner();
        else
          out.temperature = solver.state()[0];
        break;
      }
      before = now;
      if (out.steps > 100000000) return static_cast<void>(out.failure = "too many steps");
    }
    if (!(ode.time() < ode.end() - 1e-15 * ode.end())) break;
  }
  out.solves = solver.solves();
}

}  // namespace compare
