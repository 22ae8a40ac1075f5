// SPDX-License-Identifier: MIT
#pragma once
/// The stepping schemes, each a type that holds its coefficients. All are singly diagonally implicit Runge-Kutta
/// schemes whose first stage is the end of the step before and whose last stage is the new state (stiffly accurate), so
/// one engine runs them all and algebraic equations hold at every step's end.
///
/// A scheme offers: name, order, stages, a(stage, column), c(stage), estimate(column) (weights of the error estimate),
/// estimate_order; and nodes, node(i), where not all stages serve for dense output: those that do, in order of time. To
/// add one, write such a struct; the order test in tests/stepping/schemes_test.cpp takes it by one
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

/// Fourth order, L-stable, with an embedded third-order estimate: for nonlinear circuits and tight tolerances.
/// C. A. Kennedy and M. H. Carpenter, "Additive Runge-Kutta schemes for convection-diffusion-reaction equations",
/// Applied Numerical Mathematics 44, 139 (2003), the implicit half of ARK4(3)6L[2]SA, from memory; the order tests
/// measure it.
struct Esdirk4 {
  static constexpr const char* name = "ESDIRK4";
  static constexpr int order = 4, stages = 6, estimate_order = 3, nodes = 4;
  static constexpr int node(int i) { return i == 0 ? 0 : i == 3 ? 5 : i + 1; }  // 0, 0.332, 0.62 and 1 of a step
  static constexpr double c(int stage) { return times_[stage]; }
  static constexpr double a(int stage, int column) { return weights_[stage][column]; }
  static constexpr double estimate(int column) { return a(5, column) - embedded_[column]; }

 private:
  static constexpr double times_[6] = {0.0, 1.0 / 2, 83.0 / 250, 31.0 / 50, 17.0 / 20, 1.0};
  static constexpr double weights_[6][6] = {
      {},
      {1.0 / 4, 1.0 / 4},
      {8611.0 / 62500, -1743.0 / 31250, 1.0 / 4},
      {5012029.0 / 34652500, -654441.0 / 2922500, 174375.0 / 388108, 1.0 / 4},
      {15267082809.0 / 155376265600, -71443401.0 / 120774400, 730878875.0 / 902184768, 2285395.0 / 8070912, 1.0 / 4},
      {82889.0 / 524892, 0.0, 15625.0 / 83664, 69875.0 / 102672, -2260.0 / 8211, 1.0 / 4}};
  static constexpr double embedded_[6] = {4586570599.0 / 29645900160, 0.0,
                                          178811875.0 / 945068544,    814220225.0 / 1159782912,
                                          -3700637.0 / 11593932,      61727.0 / 225920};
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

namespace detail {
template <class Scheme>
inline constexpr int dense_nodes = [] {
  if constexpr (requires { Scheme::nodes; })
    return Scheme::nodes;
  else
    return Scheme::stages;
}();
/// The stage that is node i of the dense output.
template <class Scheme>
[[nodiscard]] constexpr int dense_node(int i) {
  if constexpr (requires { Scheme::node(i); })
    return Scheme::node(i);
  else
    return i;
}
}  // namespace detail

static_assert(
    SteppingScheme<BackwardEuler> && SteppingScheme<Trapezoidal> && SteppingScheme<TrBdf2> && SteppingScheme<Esdirk4>);

}  // namespace gastube
