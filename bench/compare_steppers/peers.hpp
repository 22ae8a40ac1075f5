// SPDX-License-Identifier: MIT
#pragma once
/// General-purpose solvers of other people, as far as they are there. Absolute tolerance: a tenth of the relative one,
/// in volts (or shares of the hot temperature), as in gastube's own settings.

#include "outcome.hpp"

#include <functional>
#include <string>

namespace compare {

/// Runs a problem at a relative tolerance; empty where the solver is not there or not fit for the problem.
using PeerRun = std::function<void(Outcome&)>;

[[nodiscard]] PeerRun dopri5_run(const std::string& problem, std::size_t count, double relative);
[[nodiscard]] PeerRun rosenbrock4_run(const std::string& problem, std::size_t count, double relative);
[[nodiscard]] PeerRun cvode_run(const std::string& problem, std::size_t count, double relative);
/// With a band matrix; P5 only.
[[nodiscard]] PeerRun ida_run(const std::string& problem, std::size_t count, double relative);

inline constexpr double absolute_share = 0.1;

}  // namespace compare
