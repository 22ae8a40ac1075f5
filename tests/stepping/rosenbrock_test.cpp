// SPDX-License-Identifier: MIT
// Rosenbrock schemes: measured order on differential, algebraic and follower equations, damping, dense output,
// refusals.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/dense_output.hpp>
#include <gastube/stepping/stepper.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

#define ROSENBROCK_SCHEMES Rodas4, Rodas4P, Rodas5P

namespace {

/// Two nodes with capacitance, coupled to each other too, a cubic conductance between them and to ground, and currents
/// that make the exact solution what it is: "manufactured".
struct CoupledPair : QuietSystem<double, 2> {
  static std::array<double, 2> exact(double t) { return {1 + 0.5 * std::sin(2 * t), std::exp(-t) * std::cos(3 * t)}; }
  static std::array<double, 2> exact_slope(double t) {
    return {std::cos(2 * t), -std::exp(-t) * (std::cos(3 * t) + 3 * std::sin(3 * t))};
  }
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    const auto v = exact(at.time), dv = exact_slope(at.time);
    const double m[2][2] = {{1.5, -0.5}, {-0.5, 2.5}};
    const auto cubic = [](double u) { return u + 0.5 * u * u * u; };
    const double u = at.x[0] - at.x[1], slope = 1 + 1.5 * u * u, through = cubic(u) - cubic(v[0] - v[1]);
    for (std::size_t row = 0; row < 2; ++row) {
      for (std::size_t column = 0; column < 2; ++column) {
        eq.store(row, column, m[row][column]);
        eq.flow(row, -m[row][column] * dv[column]);
        eq.flow_slope(row, column, row == column ? slope : -slope);
      }
      eq.flow(row, at.x[row] * at.x[row] * at.x[row] - v[row] * v[row] * v[row] + (row == 0 ? through : -through));
      eq.flow_slope(row, row, 3 * at.x[row] * at.x[row]);
    }
  }
};

/// An equation without charge that is nonlinear and moves with time, and acts back on one with charge (index 1).
struct BareNode : QuietSystem<double, 2> {
  static double source(double t) { return 2 * std::sin(t); }
  static std::array<double, 2> exact(double t) {
    const double v = 0.7 + 0.4 * std::cos(1.5 * t);
    return {v, v + (v - source(t)) + 0.8 * v * v * v};
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

/// x is driven by follower 0, whose source moves with time; follower 1 follows x; both decay.
/// exact: y0 = sin 2t,  x = exp(-t) + sin 2t,  y1 = cos t, its source chosen to match with x^2 in it.
struct Followed : QuietSystem<double, 1, 2> {
  static double x(double t) { return std::exp(-t) + std::sin(2 * t); }
  static std::array<double, 2> exact(double t) { return {x(t), std::cos(t)}; }
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    const double t = at.time, slope = -std::exp(-t) + 2 * std::cos(2 * t);
    eq.store(0, 0, 1.0);
    eq.flow(0, (at.x[0] - at.y[0] - std::exp(-t)) - slope);
    eq.flow_slope(0, 0, 1.0);
  }
  void follow(const Instant<double>& at, int, FollowRate<double>* rates) const {
    const double t = at.time, off = at.x[0] * at.x[0] - x(t) * x(t);
    rates[0] = {2 * std::cos(2 * t) + 3 * std::sin(2 * t), 3.0};
    rates[1] = {-std::sin(t) + 2 * std::cos(t) + off, 2.0};
  }
};

struct Falling : QuietSystem<double, 1> {
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, at.x[0]);
    eq.flow_slope(0, 0, 1.0);
  }
};

Settings<double> fixed_steps(double length) { return {.relative = 1e-13, .absolute = 1e-13, .fixed_step = length}; }

template <class Scheme, class System>
std::array<double, 2> errors(double step) {
  const System system;
  const auto start = System::exact(0.0);
  auto from = start_at(system, start[0]);
  if constexpr (System::extent > 1) from.x[1] = start[1];
  if constexpr (System::follower_extent > 0) from.y = {0.0, start[1]};
  Stepper<System, Scheme> stepper(system, from, 0, fixed_steps(step));
  std::array<double, 2> worst{};
  while (stepper.time() < 3.0) {
    REQUIRE(stepper.step(3.0) == Status::done);
    const auto wanted = System::exact(stepper.time());
    worst[0] = std::max(worst[0], absolute_gap(stepper.instant().x[0], wanted[0]));
    if constexpr (System::extent > 1) worst[1] = std::max(worst[1], absolute_gap(stepper.instant().x[1], wanted[1]));
    if constexpr (System::follower_extent > 0)
      worst[1] = std::max(worst[1], absolute_gap(stepper.instant().y[1], wanted[1]));
  }
  return worst;
}

template <class Scheme, class System>
std::array<double, 2> orders(double step) {
  const auto coarse = errors<Scheme, System>(step), fine = errors<Scheme, System>(step / 2);
  return {std::log2(coarse[0] / fine[0]), std::log2(coarse[1] / fine[1])};
}

/// One attempt of length h from t on the manufactured pair.
template <class Scheme, class System>
RosenbrockStages<System, Scheme> one_step(const System& system, double t, double h) {
  RosenbrockStages<System, Scheme> stages(system);
  const auto start = System::exact(t);
  auto from = start_at(system, start[0], start[1]);
  from.time = t;
  REQUIRE(stages.attempt(system, 0, from, h, fixed_steps(h)) == StageStatus::solved);
  return stages;
}

}  // namespace

TEST_CASE_TEMPLATE("a Rosenbrock scheme's table is consistent and stiffly accurate", Scheme, ROSENBROCK_SCHEMES) {
  CHECK(std::string(Scheme::name) != "");
  CHECK(Scheme::alpha(0) == 0.0);
  CHECK(Scheme::d(0) == Scheme::gamma);  // gamma_i = sum of row i, of the first the diagonal alone
  const int last = Scheme::stages - 1;
  for (const int i : {last - 1, last}) {
    CHECK(Scheme::alpha(i) == 1.0);
    CHECK(Scheme::d(i) == 0.0);
  }
  CHECK(Scheme::a(last, last - 1) == 1.0);  // the last argument is the one before, with its u
  for (int j = 0; j < last - 1; ++j) CHECK(Scheme::a(last, j) == Scheme::a(last - 1, j));
}

TEST_CASE_TEMPLATE("measured order on nonlinear differential equations with a source that moves", Scheme,
                   ROSENBROCK_SCHEMES) {
  for (const double order : orders<Scheme, CoupledPair>(0.025)) CHECK(absolute_gap(order, Scheme::order) < 0.4);
  for (const double order : orders<Scheme, CoupledPair>(0.0125)) CHECK(absolute_gap(order, Scheme::order) < 0.3);
}

TEST_CASE_TEMPLATE("measured order where an equation is algebraic, nonlinear and moves", Scheme, ROSENBROCK_SCHEMES) {
  for (const double order : orders<Scheme, BareNode>(0.025)) CHECK(absolute_gap(order, Scheme::order) < 0.4);
  for (const double order : orders<Scheme, BareNode>(0.0125)) CHECK(absolute_gap(order, Scheme::order) < 0.3);
}

TEST_CASE_TEMPLATE("followers that act and followers that are acted on are carried to order four", Scheme,
                   ROSENBROCK_SCHEMES) {
  for (const double order : orders<Scheme, Followed>(0.05)) CHECK(order > 3.7);
}

TEST_CASE_TEMPLATE("one step damps a stiff decay, and none grows however long", Scheme, ROSENBROCK_SCHEMES) {
  const Falling system;
  const auto factor = [&](double h) {
    RosenbrockStages<Falling, Scheme> stages(system);
    REQUIRE(stages.attempt(system, 0, start_at(system, 1.0), h, fixed_steps(h)) == StageStatus::solved);
    return stages.end().x[0];
  };
  for (const double h : {0.1, 0.05})
    CHECK(absolute_gap(factor(h), std::exp(-h)) < 1e-3 * std::pow(h, Scheme::order + 1));
  for (const double h : {1e4, 1e8, 1e12}) CHECK(std::abs(factor(h)) <= 20 / h + 1e-13);
  for (double h = 1e-4; h < 1e9; h *= 1.7) CHECK(std::abs(factor(h)) < 1);
}

TEST_CASE_TEMPLATE("the error estimate has the order it is said to have, and is above the true error", Scheme,
                   ROSENBROCK_SCHEMES) {
  const CoupledPair system;
  const double t = 0.3;
  const auto estimate = [&](double h) {
    auto stages = one_step<Scheme>(system, t, h);
    const auto wanted = CoupledPair::exact(t + h);
    double truth = 0;
    for (std::size_t k = 0; k < 2; ++k)
      truth = std::max(truth, std::abs(stages.end().x[k] - wanted[k]) / (1e-13 * (1 + std::abs(stages.end().x[k]))));
    return std::array<double, 2>{stages.error(system, h, fixed_steps(h)), truth};
  };
  const auto coarse = estimate(0.01), fine = estimate(0.005);
  CHECK(absolute_gap(std::log2(coarse[0] / fine[0]), Scheme::estimate_order + 1) < 0.15);
  CHECK(fine[0] > fine[1]);
}

TEST_CASE_TEMPLATE("dense output lies on the solution to order three at least, inside a step as at its ends", Scheme,
                   ROSENBROCK_SCHEMES) {
  const CoupledPair system;
  const auto worst = [&](double h) {
    const auto stages = one_step<Scheme>(system, 0.3, h);
    DenseOutput<CoupledPair> dense(system);
    double gap = 0;
    for (double share = 0; share <= 1; share += 0.05) {
      const auto& at = dense.at(system, 0, stages, h, share);
      CHECK(absolute_gap(at.time, 0.3 + share * h) < 1e-15);
      for (std::size_t k = 0; k < 2; ++k) gap = std::max(gap, absolute_gap(at.x[k], CoupledPair::exact(at.time)[k]));
    }
    return gap;
  };
  CHECK(std::log2(worst(0.1) / worst(0.05)) > 3.7);
}

TEST_CASE_TEMPLATE("a linear equation without charge holds at every step's end", Scheme, ROSENBROCK_SCHEMES) {
  struct Driven : QuietSystem<double, 2> {
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      eq.store(0, 0, 1.0);
      eq.flow(0, at.x[0] - at.x[1]), eq.flow_slope(0, 0, 1.0), eq.flow_slope(0, 1, -1.0);
      eq.flow(1, at.x[1] - std::sin(9 * at.time)), eq.flow_slope(1, 1, 1.0);
    }
  };
  const Driven system;
  Stepper<Driven, Scheme> stepper(system, start_at(system, 0.0, 0.0), 0, fixed_steps(0.13));
  for (int k = 0; k < 30; ++k) {
    REQUIRE(stepper.step(100.0) == Status::done);
    CHECK(absolute_gap(stepper.instant().x[1], std::sin(9 * stepper.time())) < 1e-13);
  }
}

TEST_CASE("a charge that is not linear is refused, and the state stays") {
  struct Varactor : QuietSystem<double, 1> {
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      const double x = at.x[0], base = eq.base(0);
      eq.store_increment(0, (x - base) * (1 + x * x + x * base + base * base));
      eq.store_slope(0, 0, 1 + 3 * x * x);
      eq.flow(0, x), eq.flow_slope(0, 0, 1.0);
    }
  };
  const Varactor system;
  Stepper<Varactor, Rodas4> refused(system, start_at(system, 1.0), 0);
  CHECK(refused.run_until(1.0) == Status::unsuited);
  CHECK(refused.time() == 0.0);
  CHECK(refused.instant().x[0] == 1.0);
  Stepper<Varactor, Esdirk4> stepped(system, start_at(system, 1.0), 0);
  CHECK(stepped.run_until(1.0) == Status::done);
}

TEST_CASE("an unsolvable step and one that leads nowhere say so") {
  struct Loose : QuietSystem<double, 1> {
    bool broken = false;
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      if (at.time <= 0.5 && !broken) eq.flow_slope(0, 0, 1.0), eq.flow(0, at.x[0]);
      if (broken && at.time > 0) eq.flow(0, std::nan(""));
      if (broken) eq.store(0, 0, 1.0);
    }
  };
  Loose system;
  Stepper<Loose, Rodas4> loose(system, start_at(system, 1.0), 0, {.fixed_step = 0.3});
  CHECK(loose.run_until(3.0) == Status::unsolvable);
  system.broken = true;
  Stepper<Loose, Rodas4> lost(system, start_at(system, 1.0), 0);
  CHECK(lost.run_until(3.0) == Status::no_convergence);
  CHECK(lost.time() == 0.0);
}

TEST_CASE_TEMPLATE("a run from a saved state equals the run that was saved, bit for bit", Scheme, ROSENBROCK_SCHEMES) {
  const CoupledPair system;
  const auto start = CoupledPair::exact(0.0);
  Stepper<CoupledPair, Scheme> stepper(system, start_at(system, start[0], start[1]), 0);
  REQUIRE(stepper.run_until(0.7) == Status::done);
  const auto saved = stepper.save();
  REQUIRE(stepper.run_until(2.0) == Status::done);
  Stepper<CoupledPair, Scheme> other(system, start_at(system, 0.0, 0.0), 0);
  other.restore(saved);
  REQUIRE(other.run_until(2.0) == Status::done);
  CHECK(same_state(stepper.state(), other.state()));
}

TEST_CASE("derivatives of an event's time pass through a Rosenbrock step") {
  // charging through a resistor: t = R C ln((E - V0) / (E - Vs)), so dt/dR = t / R and dt/dVs = R C / (E - Vs)
  using D = Dual<double, 2>;
  struct Charging : QuietSystem<D, 1> {
    D resistance = D(1e5), level = D(48);
    void write(const Instant<D>& at, int, Equations<D>& eq) const {
      eq.store(0, 0, D(1e-6));
      eq.flow(0, D((at.x[0] - D(60)) / resistance));
      eq.flow_slope(0, 0, D(D(1) / resistance));
    }
    [[nodiscard]] std::size_t guards() const { return 1; }
    [[nodiscard]] D guard(std::size_t, const Instant<D>& at, int mode) const {
      return mode == 0 ? D(level - at.x[0]) : D(1);
    }
    Change fire(std::size_t, const Instant<D>&, int& mode, D*) const {
      mode = 1;
      return {};
    }
  };
  Charging system;
  system.resistance = D::variable(1e5, 0);
  system.level = D::variable(48.0, 1);
  Stepper<Charging, Rodas5P> stepper(system, start_at(system, 0.0), 0, {.relative = 1e-9, .absolute = 1e-9});
  REQUIRE(stepper.next_event(D(10)) == Status::event);
  const double t = 0.1 * std::log(5.0);
  CHECK(relative_gap(stepper.time().value(), t) < 1e-8);
  CHECK(relative_gap(stepper.time().partial(0), t / 1e5) < 1e-6);
  CHECK(relative_gap(stepper.time().partial(1), 0.1 / 12) < 1e-6);
}
