// SPDX-License-Identifier: MIT
#pragma once
/// The stepping schemes, each a type that holds its coefficients. All are singly diagonally implicit Runge-Kutta
/// schemes whose first stage is the end of the step before and whose last stage is the new state (stiffly accurate), so
/// one engine runs them all and algebraic equations hold at every step's end.
///
/// A scheme offers: name, order, stages, a(stage, column), c(stage), estimate(column) (weights of the error estimate),
/// estimate_order. To add one, write such a struct; the order test in tests/stepping/schemes_test.cpp takes it by one
/// line.

#include "gastube/support/real.hpp"

#include <numbers>

namespace gastube {

/// First order, strongly damped: the plain choice for a first look and for restarts.
/// Its error estimate is the difference to the trapezoidal rule.
struct BackwardEuler {
  static constexpr const char* name = "backward Euler";
  static constexpr int order = 1, stages = 2, estimate_order = 1;
  static constexpr double a(int stage, int column) { return stage == 1 && column == 1 ? 1.0 : 0.0; }
  static constexpr double c(int stage) { return stage == 0 ? 0.0 : 1.0; }
  static constexpr double estimate(int column) { return column == 0 ? -0.5 : 0.5; }
};

/// Second order, undamped: conserves energy, rings on stiff parts.
/// Its error estimate is the difference to backward Euler, hence cautious: for fixed steps.
struct Trapezoidal {
  static constexpr const char* name = "trapezoidal";
  static constexpr int order = 2, stages = 2, estimate_order = 1;
  static constexpr double a(int stage, int) { return stage == 1 ? 0.5 : 0.0; }
  static constexpr double c(int stage) { return stage == 0 ? 0.0 : 1.0; }
  static constexpr double estimate(int column) { return column == 0 ? 0.5 : -0.5; }
};

/// Second order, L-stable, with an embedded third-order estimate: the default for nonlinear circuits.
/// R. E. Bank et al., "Transient simulation of silicon devices and circuits", IEEE Trans. ED 32, 1992 (1985);
/// estimate by M. E. Hosea and L. F. Shampine, "Analysis and implementation of TR-BDF2",
/// Applied Numerical Mathematics 20, 21 (1996), table 1.
struct TrBdf2 {
  static constexpr const char* name = "TR-BDF2";
  static constexpr int order = 2, stages = 3, estimate_order = 2;
  static constexpr double gamma = 2.0 - std::numbers::sqrt2;  ///< end of the trapezoidal part
  static constexpr double d = gamma / 2.0, w = std::numbers::sqrt2 / 4.0;
  static constexpr double a(int stage, int column) {
    if (stage == 0) return 0.0;
    if (stage == 1) return column < 2 ? d : 0.0;
    return column < 2 ? w : d;
  }
  static constexpr double c(int stage) { return stage == 0 ? 0.0 : stage == 1 ? gamma : 1.0; }
  static constexpr double estimate(int column) {
    return column == 0 ? w - (1.0 - w) / 3.0 : column == 1 ? w - (3.0 * w + 1.0) / 3.0 : d - d / 3.0;
  }
};

/// What the engine asks of a scheme.
template <class Scheme>
concept SteppingScheme = requires(int i) {
  { Scheme::name } -> std::convertible_to<const char*>;
  { Scheme::order } -> std::convertible_to<int>;
  { Scheme::stages } -> std::convertible_to<int>;
  { Scheme::estimate_order } -> std::convertible_to<int>;
  { Scheme::a(i, i) } -> std::convertible_to<double>;
  { Scheme::c(i) } -> std::convertible_to<double>;
  { Scheme::estimate(i) } -> std::convertible_to<double>;
};

static_assert(SteppingScheme<BackwardEuler> && SteppingScheme<Trapezoidal> && SteppingScheme<TrBdf2>);

}  // namespace gastube
