// SPDX-License-Identifier: MIT
// Each scheme: its coefficients, its measured order on differential and on algebraic equations, its damping.
#include <gastube/stepping/schemes.hpp>
#include <gastube/stepping/stepper.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

/// Every scheme the tests below are run on; a new one is added here.
#define LOW_SCHEMES BackwardEuler, Trapezoidal, TrBdf2
#define EVERY_SCHEME LOW_SCHEMES, Esdirk4

namespace {

/// Two nodes with capacitance, a cubic conductance between them and to ground, and a current into each that makes the
/// exact solution what it is: "manufactured", hence known in closed form.
struct CubicPair : QuietSystem<double, 2> {
  static std::array<double, 2> exact(double t) { return {1 + 0.5 * std::sin(2 * t), std::exp(-t) * std::cos(3 * t)}; }
  static std::array<double, 2> exact_slope(double t) {
    return {std::cos(2 * t), -std::exp(-t) * (std::cos(3 * t) + 3 * std::sin(3 * t))};
  }
  static double between(double u) { return u + 0.5 * u * u * u; }
  static double between_slope(double u) { return 1 + 1.5 * u * u; }

  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    const auto v = exact(at.time), dv = exact_slope(at.time);
    eq.store(0, 0, 1.0);
    eq.flow(0, at.x[0] * at.x[0] * at.x[0] - v[0] * v[0] * v[0] - dv[0]);
    eq.flow_slope(0, 0, 3 * at.x[0] * at.x[0]);
    eq.store(1, 1, 2.0);
    eq.flow(1, at.x[1] - v[1] - 2 * dv[1]);
    eq.flow_slope(1, 1, 1.0);
    const double through = between(at.x[0] - at.x[1]) - between(v[0] - v[1]);
    const double slope = between_slope(at.x[0] - at.x[1]);
    eq.flow(0, through);
    eq.flow(1, -through);
    for (std::size_t row = 0; row < 2; ++row)
      for (std::size_t column = 0; column < 2; ++column) eq.flow_slope(row, column, row == column ? slope : -slope);
  }
};

/// A node without capacitance: source e(t) - resistor - node with a cubic resistor to ground - resistor - capacitor.
/// The algebraic equation of row 0 holds for every t by itself; a current into the capacitor makes x exact
/// (manufactured).
struct BareNode : QuietSystem<double, 2> {
  static double source(double t) { return 2 * std::sin(t); }
  static std::array<double, 2> exact(double t) {
    const double v = 0.7 + 0.4 * std::cos(1.5 * t);
    return {v,
            v + (v - source(t)) + 0.8 * v * v * v};  // the current through the second resistor leaves no other choice
  }
  static double exact_slope(double t) {
    const double v = exact(t)[0], dv = -0.6 * std::sin(1.5 * t);
    return 2 * dv - 2 * std::cos(t) + 2.4 * v * v * dv;
  }
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    const double v = at.x[0], u = at.x[1];
    eq.flow(0, (v - source(at.time)) + 0.8 * v * v * v + (v - u));
    eq.flow_slope(0, 0, 2 + 2.4 * v * v);
    eq.flow_slope(0, 1, -1.0);
    const auto wanted = exact(at.time);
    eq.store(1, 1, 1.5);
    eq.flow(1, (u - v) - (wanted[1] - wanted[0]) - 1.5 * exact_slope(at.time));
    eq.flow_slope(1, 1, 1.0);
    eq.flow_slope(1, 0, -1.0);
  }
};

/// dx/dt = -x.
struct Decay : QuietSystem<double, 1> {
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, at.x[0]);
    eq.flow_slope(0, 0, 1.0);
  }
};

Settings<double> fixed_steps(double length) { return {.relative = 1e-13, .absolute = 1e-13, .fixed_step = length}; }

/// Greatest error of each unknown over a run with fixed steps.
template <class Scheme, class System>
std::array<double, 2> errors(double step) {
  const System system;
  const auto start = System::exact(0.0);
  Stepper<System, Scheme> stepper(system, start_at(system, start[0], start[1]), 0, fixed_steps(step));
  std::array<double, 2> worst{};
  while (stepper.time() < 3.0) {
    REQUIRE(stepper.step(3.0) == Status::done);
    const auto wanted = System::exact(stepper.time());
    for (std::size_t k = 0; k < 2; ++k) worst[k] = std::max(worst[k], absolute_gap(stepper.instant().x[k], wanted[k]));
  }
  return worst;
}

template <class Scheme, class System>
void check_order() {
  const auto coarse = errors<Scheme, System>(0.01), fine = errors<Scheme, System>(0.005),
             finest = errors<Scheme, System>(0.0025);
  for (std::size_t k = 0; k < 2; ++k) {
    CAPTURE(k);
    const double first = std::log2(coarse[k] / fine[k]), second = std::log2(fine[k] / finest[k]);
    CHECK(absolute_gap(first, Scheme::order) < 0.1);
    CHECK(absolute_gap(second, Scheme::order) < 0.1);
  }
}

/// Sum of weights times powers of c.
template <class Scheme, class Weight>
double moment(Weight weight, int power) {
  double sum = 0;
  for (int j = 0; j < Scheme::stages; ++j) sum += weight(j) * (power == 0 ? 1.0 : std::pow(Scheme::c(j), power));
  return sum;
}
template <class Scheme>
double last_weight(int column) {
  return Scheme::a(Scheme::stages - 1, column);
}

/// What one step of length h makes of dx/dt = -x.
template <class Scheme>
double factor_of_one_step(double h) {
  const Decay system;
  Stages<Decay, Scheme> stages(system);
  Position<Decay> start = start_at(system, 1.0);
  stages.evaluate_currents(system, 0, start);
  REQUIRE(stages.attempt(system, 0, start, h, fixed_steps(h)) == StageStatus::solved);
  return stages.end().x[0];
}

/// The same in closed form, each worked here from the scheme's own words, not from its table.
double closed_form(BackwardEuler, double h) { return 1 / (1 + h); }
double closed_form(Trapezoidal, double h) { return (1 - h / 2) / (1 + h / 2); }
/// Trapezoidal over g h, then the second-order backward difference through 0, g h and h (Bank et al.).
double closed_form(TrBdf2, double h) {
  const double g = 2 - std::sqrt(2.0), middle = (1 - g * h / 2) / (1 + g * h / 2);
  return (middle / (g * (2 - g)) - (1 - g) * (1 - g) / (g * (2 - g))) / (1 + (1 - g) / (2 - g) * h);
}

}  // namespace

TEST_CASE_TEMPLATE("a scheme's table is singly diagonally implicit, stiffly accurate and consistent", Scheme,
                   EVERY_SCHEME) {
  CHECK(std::string(Scheme::name) != "");
  CHECK(Scheme::c(0) == 0.0);
  CHECK(Scheme::c(Scheme::stages - 1) == 1.0);
  for (int i = 0; i < Scheme::stages; ++i) {
    double row = 0;
    for (int j = 0; j < Scheme::stages; ++j) {
      row += Scheme::a(i, j);
      if (j > i || i == 0) CHECK(Scheme::a(i, j) == 0.0);
    }
    CHECK(absolute_gap(row, Scheme::c(i)) < 1e-15);
    if (i > 0) CHECK(Scheme::a(i, i) == Scheme::a(1, 1));  // one matrix serves all stages
  }
}

TEST_CASE_TEMPLATE("a scheme's table meets the conditions of its order and no more", Scheme, EVERY_SCHEME) {
  const auto weight = last_weight<Scheme>;
  CHECK(absolute_gap(moment<Scheme>(weight, 0), 1.0) < 1e-15);
  for (int p = 1; p < Scheme::order; ++p) CHECK(absolute_gap(moment<Scheme>(weight, p), 1.0 / (p + 1)) < 1e-15);
  CHECK(absolute_gap(moment<Scheme>(weight, Scheme::order), 1.0 / (Scheme::order + 1)) > 1e-4);
}

TEST_CASE_TEMPLATE("a scheme's estimate is the difference to a scheme of another order", Scheme, EVERY_SCHEME) {
  const auto other = [](int j) { return last_weight<Scheme>(j) - Scheme::estimate(j); };
  CHECK(absolute_gap(moment<Scheme>(Scheme::estimate, 0), 0.0) < 1e-15);
  CHECK(absolute_gap(moment<Scheme>(other, 0), 1.0) < 1e-15);
  if (Scheme::estimate_order == 1) {
    CHECK(absolute_gap(moment<Scheme>(Scheme::estimate, 1), 0.0) > 0.1);
    const double other_second = absolute_gap(moment<Scheme>(other, 1), 0.5);
    if (Scheme::order == 1) CHECK(other_second < 1e-15);
  } else {
    CHECK(absolute_gap(moment<Scheme>(Scheme::estimate, 1), 0.0) < 1e-15);
    CHECK(absolute_gap(moment<Scheme>(other, 1), 0.5) < 1e-15);
    CHECK(absolute_gap(moment<Scheme>(other, 2), 1.0 / 3) < 1e-15);
    if (Scheme::estimate_order >= Scheme::order) return;  // else the other scheme is of that order and no more
    CHECK(absolute_gap(moment<Scheme>(other, Scheme::estimate_order), 1.0 / (Scheme::estimate_order + 1)) > 1e-4);
    double nested = 0;  // b a c = 1/6, the other condition of order three
    for (int i = 0; i < Scheme::stages; ++i)
      for (int j = 0; j < Scheme::stages; ++j) nested += other(i) * Scheme::a(i, j) * Scheme::c(j);
    CHECK(absolute_gap(nested, 1.0 / 6) < 1e-15);
  }
}

TEST_CASE_TEMPLATE("measured order on nonlinear differential equations with a source that moves", Scheme,
                   EVERY_SCHEME) {
  check_order<Scheme, CubicPair>();
}

TEST_CASE_TEMPLATE("measured order where one equation is algebraic", Scheme, EVERY_SCHEME) {
  check_order<Scheme, BareNode>();
}

TEST_CASE_TEMPLATE("an algebraic equation holds at every step's end", Scheme, EVERY_SCHEME) {
  const BareNode system;
  const auto start = BareNode::exact(0.0);
  Stepper<BareNode, Scheme> stepper(system, start_at(system, start[0], start[1]), 0, fixed_steps(0.1));
  for (int k = 0; k < 20; ++k) {
    REQUIRE(stepper.step(10.0) == Status::done);
    const double v = stepper.instant().x[0], u = stepper.instant().x[1];
    CHECK(absolute_gap((v - BareNode::source(stepper.time())) + 0.8 * v * v * v + (v - u), 0.0) < 1e-13);
  }
}

TEST_CASE_TEMPLATE("one step of a decay is the scheme's rational function of the step", Scheme, LOW_SCHEMES) {
  for (const double h : {1e-6, 0.01, 0.3, 1.0, 2.5, 40.0, 1e5}) {
    CAPTURE(h);
    CHECK(absolute_gap(factor_of_one_step<Scheme>(h), closed_form(Scheme{}, h)) < 2e-15);
  }
}

TEST_CASE("ESDIRK4 follows a decay to the fifth order of the step, and damps a stiff one within a step") {
  // closed form: exp(-h); an L-stable scheme's factor goes to 0
  for (const double h : {0.1, 0.05})
    CHECK(absolute_gap(factor_of_one_step<Esdirk4>(h), std::exp(-h)) < 1e-3 * std::pow(h, 5));
  for (const double h : {1e4, 1e8, 1e12}) CHECK(std::abs(factor_of_one_step<Esdirk4>(h)) <= 10 / h);
}

TEST_CASE("backward Euler and TR-BDF2 damp a stiff decay within one step, the trapezoidal rule only turns it over") {
  for (const double h : {1e4, 1e8, 1e12}) {
    CAPTURE(h);
    CHECK(std::abs(factor_of_one_step<BackwardEuler>(h)) <= 1.01 / h);
    CHECK(std::abs(factor_of_one_step<TrBdf2>(h)) <= 10 / h);
    CHECK(std::abs(factor_of_one_step<Trapezoidal>(h) + 1) <= 4.01 / h);
  }
}

TEST_CASE_TEMPLATE("no step of a decay grows, however long", Scheme, EVERY_SCHEME) {
  for (double h = 1e-4; h < 1e9; h *= 1.7) CHECK(std::abs(factor_of_one_step<Scheme>(h)) < 1);
}

TEST_CASE_TEMPLATE("the error estimate shrinks with the order it is said to have and meets the true error", Scheme,
                   EVERY_SCHEME) {
  const CubicPair system;
  const double t = 0.3;
  const auto start = CubicPair::exact(t);
  const auto estimate = [&](double h) {
    Stages<CubicPair, Scheme> stages(system);
    Position<CubicPair> from = start_at(system, start[0], start[1]);
    from.time = t;
    stages.evaluate_currents(system, 0, from);
    const Settings<double> settings = {.relative = 1e-13, .absolute = 1e-13};
    REQUIRE(stages.attempt(system, 0, from, h, settings) == StageStatus::solved);
    const auto wanted = CubicPair::exact(t + h);
    double truth = 0;
    for (std::size_t k = 0; k < 2; ++k) {
      const double x = stages.end().x[k];
      truth = std::max(truth, std::abs(x - wanted[k]) / (1e-13 * (1 + std::abs(x))));
    }
    return std::array<double, 2>{stages.error(system, h, settings), truth};
  };
  const auto coarse = estimate(4e-3), fine = estimate(2e-3);
  CHECK(absolute_gap(std::log2(coarse[0] / fine[0]), Scheme::estimate_order + 1) < 0.1);
  if (Scheme::estimate_order >= Scheme::order)  // else the estimate is the error of the lower order, hence cautious
    CHECK(relative_gap(fine[0], fine[1]) < 0.05);
  else
    CHECK(fine[0] > fine[1]);
}
