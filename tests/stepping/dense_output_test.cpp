// SPDX-License-Identifier: MIT
// The search for a guard's first fall along a step: tests made to fool one that samples.
#include <gastube/stepping/dense_output.hpp>
#include <gastube/stepping/stepper.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

#define SCHEMES_WITH_DENSE_OUTPUT TrBdf2, Esdirk4, Rodas4, Rodas5P

namespace {

/// Up and down again: dx/dt = 1 - 2t, x = t (1 - t), which schemes of order two and more step exactly. A guard at a
/// level below the top falls and rises within one step of 1 s.
struct Hump : QuietSystem<double, 1> {
  double level = 0.2;
  bool squared = false;  ///< true: the guard is not affine
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, 2 * at.time - 1);
  }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] double guard(std::size_t, const Instant<double>& at, int mode) const {
    if (mode != 0) return 1;
    return squared ? level * level - at.x[0] * at.x[0] : level - at.x[0];
  }
  Change fire(std::size_t, const Instant<double>&, int& mode, double*) const {
    mode = 1;
    return {"hump", "below", "above", "level"};
  }
};

/// Inductor and capacitor at 1 rad/s, x[0] = cos t: the guard asks for x[0] above a level near its troughs.
struct Swing : QuietSystem<double, 2> {
  double level = -0.999;
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.store(0, 0, 1.0), eq.flow(0, at.x[1]), eq.flow_slope(0, 1, 1.0);
    eq.store(1, 1, 1.0), eq.flow(1, -at.x[0]), eq.flow_slope(1, 0, -1.0);
  }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] double guard(std::size_t, const Instant<double>& at, int mode) const {
    return mode % 2 == 0 ? at.x[0] - level : level - at.x[0];
  }
  Change fire(std::size_t, const Instant<double>&, int& mode, double*) const {
    ++mode;
    return {"swing", "", mode % 2 == 0 ? "above" : "below", ""};
  }
};

/// A current that rests but for a pulse of 1 us each millisecond, into a leaky capacitor: 1 V in a pulse.
struct Pulsed : QuietSystem<double, 1, 0, long> {
  double level = 0.9;
  static constexpr double width = 1e-6, period = 1e-3;
  void write(const Instant<double>& at, const long& edges, Equations<double>& eq) const {
    eq.store(0, 0, 1e-9);
    eq.flow(0, at.x[0] * 1e-2 - (edges % 2 != 0 ? 1e-2 : 0.0));
    eq.flow_slope(0, 0, 1e-2);
  }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] double guard(std::size_t, const Instant<double>& at, const long& edges) const {
    return edges > 1000000 ? 1.0 : level - at.x[0];
  }
  Change fire(std::size_t, const Instant<double>&, long& edges, double*) const {
    edges += 1000001;  // an even number more would end the pulse's schedule
    return {"pulse", "", "", ""};
  }
  [[nodiscard]] double next_breakpoint(const double&, const long& edges) const {
    if (edges > 1000000) return unlimited<double>();
    return double(edges / 2 + 1) * period + (edges % 2 != 0 ? width : 0.0);
  }
  void pass_breakpoint(const double& time, long& edges) const {
    while (next_breakpoint(time, edges) <= time) ++edges;
  }
};

template <class Function>
std::optional<Fall<double>> first_fall(Function f, double margin = 0) {
  return FallSearch<double>(margin)(f, f(0.0), f(1.0));
}

}  // namespace

TEST_CASE("the first fall of a cubic is found, and only where there is one") {
  const unsigned seed = 20;
  CAPTURE(seed);
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> share(-0.3, 1.3), positive(0.1, 5);
  for (int k = 0; k < 2000; ++k) {
    // product of three factors: its roots are known; made positive at 0
    const double a = share(random), b = share(random), c = share(random), size = positive(random);
    const double sign = (0 - a) * (0 - b) * (0 - c) > 0 ? size : -size;
    const auto f = [&](double s) { return sign * (s - a) * (s - b) * (s - c); };
    double wanted = 2;
    for (const double root : {a, b, c})
      if (root > 1e-3 && root < 1 - 1e-3) wanted = std::min(wanted, root);
    const double nearest = std::min({std::abs(a - b), std::abs(b - c), std::abs(a - c)});
    if (nearest < 1e-3 || (std::min({std::abs(a), std::abs(b), std::abs(c)}) < 2e-3)) continue;
    if (std::min({std::abs(a - 1), std::abs(b - 1), std::abs(c - 1)}) < 2e-3) continue;
    CAPTURE(a);
    CAPTURE(b);
    CAPTURE(c);
    const auto found = first_fall(f);
    REQUIRE(found.has_value() == (wanted < 1));
    if (!found) continue;
    CHECK(absolute_gap(found->at, wanted) < 1e-9);
    CHECK(f(found->high) <= 1e-12);
    CHECK_FALSE(found->grazes);
  }
}

TEST_CASE("two roots a thousandth of the step apart are found, and a near miss as near is not") {
  for (const double at : {0.03, 0.31, 0.5, 0.77, 0.96})
    for (const double half : {1e-2, 1e-3, 1e-5}) {
      CAPTURE(at);
      CAPTURE(half);
      const auto dip = [&](double s) { return (s - at) * (s - at) - half * half; };
      const auto miss = [&](double s) { return (s - at) * (s - at) + half * half; };
      const auto found = first_fall(dip);
      REQUIRE(found.has_value());
      CHECK(absolute_gap(found->at, at - half) < 1e-9);
      CHECK_FALSE(first_fall(miss).has_value());
      const auto grazed = first_fall(miss, 2 * half * half);
      REQUIRE(grazed.has_value());
      CHECK(grazed->grazes);
      CHECK(absolute_gap(grazed->at, at) < 1e-6);
    }
}

TEST_CASE("a smooth function that is no cubic is halved until it is nearly one") {
  const auto bell = [](double s) { return 1 - 1.001 * std::exp(-std::pow((s - 0.41) / 0.08, 2)); };
  const auto found = first_fall(bell);
  REQUIRE(found.has_value());
  CHECK(absolute_gap(found->at, 0.41 - 0.08 * std::sqrt(std::log(1.001))) < 1e-5);
  const auto lower = [](double s) { return 1 - 0.999 * std::exp(-std::pow((s - 0.41) / 0.08, 2)); };
  CHECK_FALSE(first_fall(lower).has_value());
  const auto fast = [](double s) { return 0.3 + 0.7 * s - std::exp(-60 * s) * 60 * s * 0.9; };
  REQUIRE(first_fall(fast).has_value());
  CHECK(fast(first_fall(fast)->high) <= 0);
}

TEST_CASE("a guard that is not a number ends the search") {
  CHECK_FALSE(first_fall([](double s) { return s > 0.2 && s < 0.9 ? std::nan("") : 1.0; }).has_value());
}

TEST_CASE_TEMPLATE("two crossings within one step are seen, wherever they lie between the stages", Scheme,
                   SCHEMES_WITH_DENSE_OUTPUT) {
  for (const bool squared : {false, true})
    for (const double level : {0.2, 0.249, 0.2499, 0.25 - 1e-6, 0.25 - 1e-9}) {
      CAPTURE(level);
      CAPTURE(squared);
      Hump system;
      system.level = level, system.squared = squared;
      Stepper<Hump, Scheme> stepper(system, start_at(system, 0.0), 0, {.fixed_step = 1.0});
      EventLog<double> log;
      REQUIRE(stepper.run_until(1.0, log) == Status::done);
      REQUIRE(log.events.size() == 1);
      const double wanted = 0.5 - std::sqrt(0.25 - level);
      CHECK(absolute_gap(log.events[0].time, wanted) < 4e-15 / std::sqrt(0.25 - level));
    }
}

TEST_CASE_TEMPLATE("a guard that misses zero by a billionth does not fall", Scheme, SCHEMES_WITH_DENSE_OUTPUT) {
  for (const double above : {1e-9, 1e-7, 1e-3}) {
    CAPTURE(above);
    Hump system;
    system.level = 0.25 + above;
    Stepper<Hump, Scheme> stepper(system, start_at(system, 0.0), 0, {.fixed_step = 1.0});
    EventLog<double> log;
    REQUIRE(stepper.run_until(1.0, log) == Status::done);
    CHECK(log.events.empty());
    CHECK(stepper.steps() <= 3);
  }
}

TEST_CASE_TEMPLATE("an oscillator's short excursions are seen at steps longer than they are", Scheme, Esdirk4, Rodas4,
                   Rodas5P) {
  // below the level for 2 arccos(0.999) = 0.0895 s of each turn, by 1e-3; steps are longer than that
  const Swing system;
  Stepper<Swing, Scheme> stepper(system, start_at(system, 1.0, 0.0), 0,
                                 {.relative = 1e-7, .absolute = 1e-7, .first_step = 0.05});
  EventLog<double> log;
  REQUIRE(stepper.run_until(60.0, log) == Status::done);
  const double pi = std::acos(-1.0), half = std::acos(0.999);
  REQUIRE(log.events.size() == 20);
  for (std::size_t k = 0; k < log.events.size(); ++k) {
    const double wanted = pi * double(2 * (k / 2) + 1) + (k % 2 == 0 ? -half : half);
    CHECK(absolute_gap(log.events[k].time, wanted) < 2e-3);
  }
}

TEST_CASE_TEMPLATE("a narrow pulse inside steps that would be long is met, at its very corner", Scheme, TrBdf2, Esdirk4,
                   Rodas4, Rodas4P, Rodas5P) {
  const Pulsed system;
  Stepper<Pulsed, Scheme> stepper(system, start_at(system, 0.0), 0L);
  EventLog<double> log;
  REQUIRE(stepper.run_until(0.1, log) == Status::done);
  REQUIRE(log.events.size() == 1);
  CHECK(absolute_gap(log.events[0].time, 1e-3 + 1e-7 * std::log(10.0)) < 1e-10);
}

TEST_CASE_TEMPLATE("followers on dense output decay and do not ring", Scheme, TrBdf2, Rodas4, Rodas4P, Rodas5P) {
  struct Leaving : QuietSystem<double, 1, 1> {
    void write(const Instant<double>&, int, Equations<double>& eq) const {
      eq.store(0, 0, 1.0);
      eq.flow(0, -1.0);
    }
    void follow(const Instant<double>&, int, FollowRate<double>* rates) const { rates[0] = {0.0, 50.0}; }
  };
  const Leaving system;
  typename detail::EngineOf<Leaving, Scheme>::type engine(system);
  DenseOutput<Leaving> dense(system);
  auto start = start_at(system, 0.0);
  start.y[0] = 1.0;
  engine.evaluate_currents(system, 0, start);
  REQUIRE(engine.attempt(system, 0, start, 1.0, {}) == StageStatus::solved);
  for (double share = 0.01; share < 1; share += 0.03) {
    const auto& at = dense.at(system, 0, engine, 1.0, share);
    CHECK(absolute_gap(at.x[0], share) < 1e-13);
    CHECK(absolute_gap(at.y[0], std::exp(-50 * share)) < 1e-13);
  }
}
