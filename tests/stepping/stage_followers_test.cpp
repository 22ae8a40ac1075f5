// SPDX-License-Identifier: MIT
// Followers from stage to stage of a Runge-Kutta step.
#include <gastube/stepping/stage_followers.hpp>
#include <gastube/stepping/stages.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;

namespace {

/// The unknown is time; follower 0 has a constant source, follower 1 one that rises with time.
struct Straight : QuietSystem<double, 1, 2> {
  void write(const Instant<double>&, int, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, -1.0);
  }
  void follow(const Instant<double>& at, int, FollowRate<double>* rates) const {
    rates[0] = {3.0, 2.0};
    rates[1] = {4.0 * at.x[0], 5.0};
  }
  static double first(double t) { return 1.5 + 3.5 * std::exp(-2 * t); }
  static double second(double t) { return 0.8 * t - 0.16 + 1.16 * std::exp(-5 * t); }
};

template <class Scheme>
[[nodiscard]] Stages<Straight, Scheme> stepped(double h) {
  const Straight system;
  auto start = start_at(system, 0.0);
  start.y = {5.0, 1.0};
  Stages<Straight, Scheme> engine(system);
  engine.evaluate_currents(system, 0, start);
  REQUIRE(engine.attempt(system, 0, start, h, {}) == StageStatus::solved);
  return engine;
}

}  // namespace

TEST_CASE_TEMPLATE("where stages go forward, constant and straight sources are followed exactly", Scheme, BackwardEuler,
                   Trapezoidal, TrBdf2) {
  for (const double h : {1e-5, 0.1, 0.7, 20.0}) {
    auto engine = stepped<Scheme>(h);
    for (int i = 1; i < Scheme::stages; ++i) {
      const double t = h * Scheme::c(i);
      CHECK(absolute_gap(engine.stage(i).y[0], Straight::first(t)) < 1e-14);
      CHECK(absolute_gap(engine.stage(i).y[1], Straight::second(t)) < 1e-13);
    }
  }
}

TEST_CASE("where they go back in time the scheme steps followers itself, to its order") {
  const auto error = [](double h) { return absolute_gap(stepped<Esdirk4>(h).end().y[1], Straight::second(h)); };
  CHECK(std::log2(error(0.1) / error(0.05)) > 4.5);  // of one step
}

TEST_CASE("at rest a follower stands where its source holds it") {
  const Straight system;
  auto at = start_at(system, 2.0);
  StageFollowers<Straight, TrBdf2> followers(system);
  followers.rest(system, 0, at);
  CHECK(at.y[0] == doctest::Approx(1.5));
  CHECK(at.y[1] == doctest::Approx(1.6));
}
