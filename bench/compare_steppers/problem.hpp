// SPDX-License-Identifier: MIT
#pragma once
/// The problems by name, and the methods that solve them.

#include "outcome.hpp"

#include <functional>
#include <string>
#include <vector>

namespace compare {

struct Problem {
  std::string name;          ///< as on the command line: P1, P2, P3, P3s, P4, P4day, P5/4, ...
  std::string kind;          ///< P1 ... P5
  std::size_t count = 0;     ///< tubes in the ring
  std::size_t expected = 0;  ///< events
  double fixed_step = 1e-6;  ///< s, for schemes with fixed steps
  bool by_default = true;
};

[[nodiscard]] const std::vector<Problem>& problems();

/// A method with its tolerance, ready to run any number of times.
struct Method {
  std::string name;
  double tolerance = 0;  ///< relative; 0 for methods without one
  std::function<void(Outcome&)> run;
  bool dense = false;  ///< solves with a full matrix of all unknowns in every step
};

/// The library's schemes on a problem, loosest tolerance first.
[[nodiscard]] std::vector<Method> library_methods(const Problem& problem);

// Those on one circuit, in parts: each has a file of its own, for they take their time to compile.
[[nodiscard]] std::vector<Method> plain_oscillator(const Problem& problem);
[[nodiscard]] std::vector<Method> fine_oscillator(const Problem& problem);
[[nodiscard]] std::vector<Method> exact_oscillator(const Problem& problem);
[[nodiscard]] std::vector<Method> plain_rectifier(const Problem& problem);
[[nodiscard]] std::vector<Method> fine_rectifier(const Problem& problem);
[[nodiscard]] std::vector<Method> exact_rectifier(const Problem& problem);
[[nodiscard]] std::vector<Method> plain_flip_flop(const Problem& problem);
[[nodiscard]] std::vector<Method> fine_flip_flop(const Problem& problem);
[[nodiscard]] std::vector<Method> exact_flip_flop(const Problem& problem);
[[nodiscard]] std::vector<Method> plain_stray_flip_flop(const Problem& problem);
[[nodiscard]] std::vector<Method> fine_stray_flip_flop(const Problem& problem);
[[nodiscard]] std::vector<Method> exact_stray_flip_flop(const Problem& problem);
[[nodiscard]] std::vector<Method> plain_lamp(const Problem& problem);
[[nodiscard]] std::vector<Method> fine_lamp(const Problem& problem);
[[nodiscard]] std::vector<Method> plain_ring_of_4(const Problem& problem);
[[nodiscard]] std::vector<Method> fine_ring_of_4(const Problem& problem);
[[nodiscard]] std::vector<Method> exact_ring_of_4(const Problem& problem);
[[nodiscard]] std::vector<Method> plain_ring_of_10(const Problem& problem);
[[nodiscard]] std::vector<Method> fine_ring_of_10(const Problem& problem);
[[nodiscard]] std::vector<Method> exact_ring_of_10(const Problem& problem);
[[nodiscard]] std::vector<Method> plain_ring_of_any(const Problem& problem);
[[nodiscard]] std::vector<Method> fine_ring_of_any(const Problem& problem);
[[nodiscard]] std::vector<Method> exact_ring_of_any(const Problem& problem);

}  // namespace compare
