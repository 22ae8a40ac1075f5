// SPDX-License-Identifier: MIT
// Followers in a Rosenbrock step: exact along sources that are constant or cubic in time, of high order where one
// follower's source looks at another.
#include <gastube/stepping/rosenbrock.hpp>
#include <gastube/stepping/stepper.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;

namespace {

/// The unknown is time; followers say what they do with it.
template <std::size_t Followers>
struct Clock : QuietSystem<double, 1, Followers> {
  static constexpr bool followers_act = false;
  void write(const Instant<double>&, int, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, -1.0);
  }
};
struct Straight : Clock<3> {
  void follow(const Instant<double>& at, int, FollowRate<double>* rates) const {
    const double x = at.x[0];
    rates[0] = {3.0, 2.0};
    rates[1] = {x * x * x, 0.0};
    rates[2] = {4 * x * x * x, 0.0};
  }
};
/// y0 = exp(-2 t); y1' = y0^2 - y1.
struct Chain : Clock<2> {
  void follow(const Instant<double>& at, int, FollowRate<double>* rates) const {
    rates[0] = {0.0, 2.0};
    rates[1] = {at.y[0] * at.y[0], 1.0};
  }
  static double exact(double t) { return (std::exp(-t) - std::exp(-4 * t)) / 3; }
};

template <class Scheme>
[[nodiscard]] double chain_error(int steps) {
  const Chain system;
  auto start = start_at(system, 0.0);
  start.y = {1.0, 0.0};
  Stepper<Chain, Scheme> stepper(system, start, 0, {.fixed_step = 1.0 / steps});
  REQUIRE(stepper.run_until(1.0) == Status::done);
  return absolute_gap(stepper.instant().y[1], Chain::exact(1.0));
}

}  // namespace

TEST_CASE_TEMPLATE("one step is exact along constant sources and along cubic ones", Scheme, Rodas4, Rodas4P, Rodas5P) {
  const Straight system;
  auto start = start_at(system, 0.0);
  start.y = {5.0, 0.0, 1.0};
  RosenbrockStages<Straight, Scheme> engine(system);
  REQUIRE(engine.attempt(system, 0, start, 0.7, {}) == StageStatus::solved);
  for (int i = 1; i < 4; ++i) {
    const double t = 0.7 * i / 3;
    CHECK(absolute_gap(engine.node(i).y[0], 1.5 + 3.5 * std::exp(-2 * t)) < 1e-13);
    CHECK(absolute_gap(engine.node(i).y[1], std::pow(t, 4) / 4) < 1e-13);
    CHECK(absolute_gap(engine.node(i).y[2], 1 + std::pow(t, 4)) < 1e-13);
  }
  CHECK(engine.error(system, 0.7, {}) < 1e-6);
}

TEST_CASE_TEMPLATE("a follower of a follower is met to the fourth order at least", Scheme, Rodas4, Rodas4P, Rodas5P) {
  const double coarse = chain_error<Scheme>(8), fine = chain_error<Scheme>(16);
  CAPTURE(coarse);
  CAPTURE(fine);
  CHECK(std::log2(coarse / fine) > 3.7);
  CHECK(fine < 1e-6);
}

TEST_CASE_TEMPLATE("the estimate of a follower's error holds within a few times", Scheme, Rodas4, Rodas5P) {
  const Chain system;
  for (const double h : {0.05, 0.1, 0.3}) {
    auto start = start_at(system, 0.0);
    start.y = {1.0, 0.0};
    RosenbrockStages<Chain, Scheme> engine(system);
    REQUIRE(engine.attempt(system, 0, start, h, {}) == StageStatus::solved);
    const Settings<double> settings{.relative = 1e-10, .absolute = 1e-6};
    const double estimate = 1e-6 * engine.error(system, h, settings);
    const double wrong = absolute_gap(engine.end().y[1], Chain::exact(h));
    CAPTURE(h);
    CAPTURE(estimate);
    CHECK(wrong < 3 * estimate + 1e-14);
    CHECK(estimate < 0.1 * h);
  }
}
