// SPDX-License-Identifier: MIT
#pragma once
/// How far a number is off, in terms that hold for every plain scalar.

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

namespace closeness {

/// |got - expected| as a share of |expected|; infinite for a NaN, so that no check passes by it.
template <class A, class B>
[[nodiscard]] double relative_gap(const A& got, const B& expected) {
  const long double wanted = static_cast<long double>(expected);
  const long double gap = std::fabs((static_cast<long double>(got) - wanted) / wanted);
  return std::isnan(gap) ? std::numeric_limits<double>::infinity() : static_cast<double>(gap);
}

/// |got - expected|; infinite for a NaN.
template <class A, class B>
[[nodiscard]] double absolute_gap(const A& got, const B& expected) {
  const long double gap = std::fabs(static_cast<long double>(got) - static_cast<long double>(expected));
  return std::isnan(gap) ? std::numeric_limits<double>::infinity() : static_cast<double>(gap);
}

/// A value to compare with by share of it. The test library's own default adds 1 to the size of both sides, which lets
/// almost anything pass in microseconds.
[[nodiscard]] inline doctest::Approx relative(double expected) { return doctest::Approx(expected).scale(0.0); }

}  // namespace closeness
