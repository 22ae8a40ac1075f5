// SPDX-License-Identifier: MIT
// The engine under the schemes: jumps that conserve charge, followers, Newton's method, what it refuses, what a port
// shows.
#include <gastube/stepping/stages.hpp>
#include <gastube/stepping/stepper.hpp>
#include <gastube/support/root.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <limits>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

/// Two capacitors, each with a resistor (the first's from a source), and a contact without resistance between them:
/// unknowns are both voltages and the contact's current. Mode: true while the contact is closed.
template <class S>
struct ShortedPair : QuietSystem<S, 3, 0, bool> {
  S first = S(1e-6), second = S(2.2e-7);              // F
  S supply = S(300), feed = S(1e5), leak = S(4.7e4);  // V, ohm, ohm

  void write(const Instant<S>& at, bool closed, Equations<S>& eq) const {
    eq.store(0, 0, first);
    eq.flow(0, S((at.x[0] - supply) / feed + at.x[2]));
    eq.flow_slope(0, 0, S(S(1) / feed));
    eq.flow_slope(0, 2, S(1));
    eq.store(1, 1, second);
    eq.flow(1, S(at.x[1] / leak - at.x[2]));
    eq.flow_slope(1, 1, S(S(1) / leak));
    eq.flow_slope(1, 2, S(-1));
    if (closed) {
      eq.flow(2, S(at.x[0] - at.x[1]));
      eq.flow_slope(2, 0, S(1));
      eq.flow_slope(2, 1, S(-1));
    } else {
      eq.flow(2, at.x[2]);
      eq.flow_slope(2, 2, S(1));
    }
  }
  /// Both voltages once charges have shared; closed form.
  [[nodiscard]] S shared(S v1, S v2) const { return S((first * v1 + second * v2) / (first + second)); }
  /// The contact's current while both voltages move together from v; closed form, worked here from both nodes.
  [[nodiscard]] S current(S v) const {
    const S rate = S(((supply - v) / feed - v / leak) / (first + second));
    return S(second * rate + v / leak);
  }
};

/// Jumps twice, as a stepper does: the second jump sees charges that agree and finds the currents that flow on.
template <class System>
Position<System> settled(const System& system, const typename System::Mode& mode, const Position<System>& from,
                         const Settings<typename System::Scalar>& settings = {}) {
  Stages<System, BackwardEuler> stages(system);
  Position<System> once = from, twice = from;
  REQUIRE(stages.jump(system, mode, from, settings, once) == StageStatus::solved);
  REQUIRE(stages.jump(system, mode, once, settings, twice) == StageStatus::solved);
  return twice;
}

/// A capacitor between two nodes that are otherwise held by resistors only; the first resistor's source is the mode.
struct Coupled : QuietSystem<double, 2, 0, double> {
  double capacitance = 1e-6, resistance = 1e4;
  void write(const Instant<double>& at, double source, Equations<double>& eq) const {
    eq.store(0, 0, capacitance), eq.store(0, 1, -capacitance);
    eq.store(1, 0, -capacitance), eq.store(1, 1, capacitance);
    eq.flow(0, (at.x[0] - source) / resistance);
    eq.flow(1, at.x[1] / resistance);
    eq.flow_slope(0, 0, 1 / resistance);
    eq.flow_slope(1, 1, 1 / resistance);
  }
};

/// One unknown at rest and two followers: the first decays at a rate that moves with time, the second is driven by it.
struct Followed : QuietSystem<double, 1, 2> {
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.flow(0, at.x[0] - std::sin(at.time));
    eq.flow_slope(0, 0, 1.0);
  }
  void follow(const Instant<double>& at, int, FollowRate<double>* rates) const {
    // dy/dt = source - decay y with decay 2; the source makes y = 1 + sin(3t)/2 exact
    const double t = at.time, y = exact(t)[0], dy = 1.5 * std::cos(3 * t), decay = 2;
    rates[0] = {dy + decay * y, decay};
    // an integral of the unknown itself: dy/dt = sin t
    rates[1] = {at.x[0], 0.0};
  }
  static std::array<double, 2> exact(double t) { return {1 + 0.5 * std::sin(3 * t), 1 - std::cos(t)}; }
};

template <class Scheme>
std::array<double, 2> follower_errors(int steps) {
  const Followed system;
  Stages<Followed, Scheme> stages(system);
  Position<Followed> at = start_at(system, 0.0);
  at.y = Followed::exact(0.0);
  const Settings<double> settings = {.relative = 1e-13, .absolute = 1e-13};
  for (int k = 0; k < steps; ++k) {
    REQUIRE(stages.attempt(system, 0, at, 2.0 / steps, settings) == StageStatus::solved);
    at = stages.end();
  }
  const auto wanted = Followed::exact(2.0);
  return {absolute_gap(at.y[0], wanted[0]), absolute_gap(at.y[1], wanted[1])};
}

/// A source, a resistor and an element whose current grows exponentially with its voltage, no capacitance.
struct Exponential : QuietSystem<double, 1, 0, double> {
  double saturation = 1e-12, spread = 0.1, resistance = 1e3;  // A, V, ohm
  void write(const Instant<double>& at, double source, Equations<double>& eq) const {
    const double current = saturation * std::exp(at.x[0] / spread);
    eq.flow(0, (at.x[0] - source) / resistance + current - saturation);
    eq.flow_slope(0, 0, 1 / resistance + current / spread);
  }
};

/// A system whose equations are given by numbers: q = c x, f = g x - s.
struct Given : QuietSystem<double, 2> {
  std::array<double, 4> c{}, g{};
  std::array<double, 2> s{};
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    for (std::size_t i = 0; i < 2; ++i) {
      for (std::size_t j = 0; j < 2; ++j) {
        eq.store(i, j, c[2 * i + j]);
        eq.flow(i, g[2 * i + j] * at.x[j]);
        eq.flow_slope(i, j, g[2 * i + j]);
      }
      eq.flow(i, -s[i]);
    }
  }
};

StageStatus attempt(const Given& system, double h) {
  Stages<Given, TrBdf2> stages(system);
  return stages.attempt(system, 0, start_at(system, 1.0, 2.0), h, Settings<double>{});
}

/// Source - feed - node 0 with capacitance - series - node 1, where a part hangs whose own current is unknown 2;
/// unknown 3 is slow (a temperature) and would pull node 1 if it were let go.
struct Looked : QuietSystem<double, 4> {
  double supply = 50, feed = 1000, capacitance = 1e-6, series = 200, load = 3000, part = 77;
  [[nodiscard]] bool slow(std::size_t k) const { return k == 3; }
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    const double* x = at.x;
    eq.store(0, 0, capacitance);
    eq.flow(0, (x[0] - supply) / feed + (x[0] - x[1]) / series);
    eq.flow_slope(0, 0, 1 / feed + 1 / series), eq.flow_slope(0, 1, -1 / series);
    eq.flow(1, (x[1] - x[0]) / series + x[1] / load + x[2] + 1e-3 * (x[3] - 20));
    eq.flow_slope(1, 1, 1 / series + 1 / load), eq.flow_slope(1, 0, -1 / series);
    eq.flow_slope(1, 2, 1.0), eq.flow_slope(1, 3, 1e-3);
    eq.flow(2, x[1] - part * x[2]);
    eq.flow_slope(2, 1, 1.0), eq.flow_slope(2, 2, -part);
    eq.store(3, 3, 1.0);
    eq.flow(3, x[3] - 20 - 5 * x[1]);
    eq.flow_slope(3, 3, 1.0), eq.flow_slope(3, 1, -5.0);
  }
};

}  // namespace

TEST_CASE_TEMPLATE("two capacitors shorted together share their charge, and no time passes", S, float, double,
                   long double) {
  const ShortedPair<S> system;
  const auto from = start_at(system, 200.0, -80.0, 0.0);
  Stages<ShortedPair<S>, BackwardEuler> stages(system);
  auto after = from;
  REQUIRE(stages.jump(system, true, from, Settings<S>{}, after) == StageStatus::solved);
  const double few = 8 * double(round_off<S>);
  CHECK(relative_gap(after.x[0], system.shared(S(200), S(-80))) < few);
  CHECK(relative_gap(after.x[1], system.shared(S(200), S(-80))) < few);
  const S charge = S(system.first * S(200) + system.second * S(-80));  // closed form
  CHECK(relative_gap(system.first * after.x[0] + system.second * after.x[1], charge) < few);
  CHECK(after.time == from.time);
  CHECK(after.x[2] == from.x[2]);        // an impulse leaves no current behind
  CHECK(stages.stage(1).x[2] > S(1e7));  // but it was there, with its sign
}

TEST_CASE("an impulse shows the sign of the charge it moves") {
  const ShortedPair<double> system;
  Stages<ShortedPair<double>, BackwardEuler> stages(system);
  const auto from = start_at(system, -5.0, 10.0, 0.0);
  auto after = from;
  REQUIRE(stages.jump(system, true, from, Settings<double>{}, after) == StageStatus::solved);
  CHECK(stages.stage(1).x[2] < -1e6);
}

TEST_CASE("after charges have been shared the contact carries what the resistors ask for") {
  const ShortedPair<double> system;
  const auto after = settled(system, true, start_at(system, 200.0, -80.0, 0.0));
  const double v = system.shared(200, -80);
  CHECK(relative_gap(after.x[0], v) < 1e-14);
  CHECK(relative_gap(after.x[2], system.current(v)) < 1e-6);
}

TEST_CASE("a jump changes nothing where nothing jumps") {
  const ShortedPair<double> system;
  const double v = 40.0;
  const auto from = start_at(system, v, v, system.current(v));
  const auto after = settled(system, true, from);
  CHECK(after.x[0] == v);
  CHECK(after.x[1] == v);
  CHECK(relative_gap(after.x[2], system.current(v)) < 1e-9);
  const auto open = settled(system, false, from);
  CHECK(open.x[0] == v);
  CHECK(open.x[1] == v);
  CHECK(absolute_gap(open.x[2], 0.0) < 1e-15);
}

TEST_CASE("a coupling capacitor passes a jump of the supply on to where nothing else holds the voltage") {
  for (const double capacitance : {1e-9, 1e-6, 1e-5}) {
    for (const double resistance : {1e3, 1e5}) {
      CAPTURE(capacitance);
      CAPTURE(resistance);
      Coupled system;
      system.capacitance = capacitance, system.resistance = resistance;
      const auto after = settled(system, 100.0, start_at(system, 0.0, 0.0));
      // closed form: the capacitor stays uncharged, so both nodes rise to half the supply
      CHECK(relative_gap(after.x[0], 50.0) < 1e-6);
      CHECK(relative_gap(after.x[1], 50.0) < 1e-6);
    }
  }
}

TEST_CASE_TEMPLATE("followers keep at least the order of their scheme", Scheme, BackwardEuler, Trapezoidal, TrBdf2,
                   Esdirk4) {
  const auto coarse = follower_errors<Scheme>(200), fine = follower_errors<Scheme>(400);
  for (std::size_t k = 0; k < 2; ++k) {
    CAPTURE(k);
    CHECK(std::log2(coarse[k] / fine[k]) > Scheme::order - 0.1);
  }
}

TEST_CASE("an error of a follower counts like one of an unknown") {
  const Followed system;
  Stages<Followed, TrBdf2> stages(system);
  Position<Followed> at = start_at(system, 0.0);
  at.y = Followed::exact(0.0);
  const Settings<double> settings = {.relative = 1e-13, .absolute = 1e-13};
  const auto estimate = [&](double h) {
    REQUIRE(stages.attempt(system, 0, at, h, settings) == StageStatus::solved);
    return stages.error(system, h, settings);
  };
  const double fine = estimate(1e-2);
  CHECK(relative_gap(estimate(2e-2) / fine, 8.0) < 0.1);
  const double truth = absolute_gap(stages.end().y[0], Followed::exact(2e-2)[0]);
  const double share = estimate(2e-2) * 1e-13 * (1 + std::abs(stages.end().y[0])) / truth;
  CHECK(share > 1.0);  // on the safe side
  CHECK(share < 2.5);
}

TEST_CASE_TEMPLATE("a follower that only dies away is followed to the tolerance of the run", Scheme, TrBdf2, Esdirk4) {
  // no unknown moves: the follower alone decides on the step. closed form: exp(-2)
  struct Fading : QuietSystem<double, 1, 1> {
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      eq.flow(0, at.x[0]);
      eq.flow_slope(0, 0, 1.0);
    }
    void follow(const Instant<double>&, int, FollowRate<double>* rates) const { rates[0] = {0.0, 2.0}; }
  };
  Position<Fading> at = start_at(Fading{}, 0.0);
  at.y[0] = 1.0;
  const Settings<double> settings{.relative = 1e-9, .absolute = 1e-9, .first_step = 0.1};
  Stepper<Fading, Scheme> stepper(Fading{}, at, 0, settings);
  REQUIRE(stepper.run_until(1.0) == Status::done);
  CHECK(relative_gap(stepper.instant().y[0], std::exp(-2.0)) < 1e-7);
}

TEST_CASE("Newton's method finds the voltage of an exponential element") {
  const Exponential system;
  const Settings<double> settings = {.relative = 1e-13, .absolute = 1e-13};
  Stages<Exponential, TrBdf2> stages(system);
  for (const double source : {-5.0, -0.1, 0.0, 0.3, 1.0, 3.0}) {
    CAPTURE(source);
    REQUIRE(stages.attempt(system, source, start_at(system, 0.0), 1e-6, settings) == StageStatus::solved);
    const auto balance = [&](double v) {
      return (v - source) / system.resistance + system.saturation * (std::exp(v / system.spread) - 1);
    };
    CHECK(absolute_gap(stages.end().x[0], find_root(balance, -50.0, 50.0, 1e-15)) < 1e-13);
  }
  // from 480 times its spread away the element is out of reach, and that is said
  CHECK(stages.attempt(system, 48.0, start_at(system, 0.0), 1e-6, settings) == StageStatus::no_convergence);
}

TEST_CASE("equations without a single solution are refused as singular") {
  Given loose;
  loose.c = {1e-6, 0, 0, 0}, loose.g = {1, 0, 0, 0};  // nothing says what the second unknown is
  CHECK(attempt(loose, 1e-3) == StageStatus::singular);
  Given floating;
  floating.g = {1e-3, -1e-3, -1e-3, 1e-3};  // two nodes, joined to each other only
  CHECK(attempt(floating, 1e-3) == StageStatus::singular);
  floating.c = {1e-9, -1e-9, -1e-9, 1e-9};
  CHECK(attempt(floating, 1e-3) == StageStatus::singular);
  floating.c[0] += 1e-12;  // a stray capacitance to ground is a path
  CHECK(attempt(floating, 1e-3) == StageStatus::solved);
}

TEST_CASE("equations that yield NaN or no root end without convergence, not without end") {
  Given broken;
  broken.g = {1, 0, 0, 1}, broken.s = {std::numeric_limits<double>::quiet_NaN(), 0};
  CHECK(attempt(broken, 1e-3) == StageStatus::no_convergence);
  struct Rootless : QuietSystem<double, 1> {
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      eq.flow(0, at.x[0] * at.x[0] + 1);
      eq.flow_slope(0, 0, 2 * at.x[0]);
    }
  };
  const Rootless system;
  Stages<Rootless, BackwardEuler> stages(system);
  CHECK(stages.attempt(system, 0, start_at(system, 0.7), 1e-3, Settings<double>{}) == StageStatus::no_convergence);
}

TEST_CASE("a port shows what the rest of the system is, at once and steadily") {
  const Looked system;
  Stages<Looked, TrBdf2> stages(system);
  auto at = start_at(system, 31.0, 17.0, 0.005, 45.0);
  const Port port{1, Port::no_row, 2, true, false};
  const auto reading = stages.measure(system, 0, at, port, Settings<double>{});
  // closed forms, worked here: at once the capacitor holds node 0, so series and load are seen in parallel;
  // steadily feed and series together, in parallel with the load
  const auto parallel = [](double a, double b) { return a * b / (a + b); };
  CHECK(relative_gap(reading.resistance, parallel(200, 3000)) < 1e-6);
  CHECK(relative_gap(reading.steady_resistance, parallel(1200, 3000)) < 1e-6);
  // the voltage of the unloaded port: the part draws nothing; the slow unknown stays at 45 and draws 25 mA
  const double open = parallel(1200, 3000) * (50.0 / 1200 - 1e-3 * (45 - 20));
  CHECK(relative_gap(reading.steady_voltage, open) < 1e-6);
}

TEST_CASE("a port may lie between two nodes, and the part's way round") {
  const Looked system;
  Stages<Looked, TrBdf2> stages(system);
  const auto at = start_at(system, 31.0, 17.0, 0.005, 45.0);
  const Port port{1, 0, 2, true, false}, turned{0, 1, 2, true, false};
  const auto reading = stages.measure(system, 0, at, port, Settings<double>{});
  const auto other = stages.measure(system, 0, at, turned, Settings<double>{});
  // closed form: 1 A from node 0 into node 1; what does not return by 200 ohm does so by 1000 + 3000 ohm
  CHECK(relative_gap(reading.steady_resistance, 200.0 * 4000 / 4200) < 1e-6);
  CHECK(relative_gap(other.steady_resistance, reading.steady_resistance) < 1e-9);
  CHECK(relative_gap(other.steady_voltage, -reading.steady_voltage) < 1e-9);
}

TEST_CASE("a port with no path shows no limit instead of a wrong number") {
  struct Loose : QuietSystem<double, 2> {
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      eq.flow(0, at.x[1]);
      eq.flow_slope(0, 1, 1.0);
      eq.flow(1, at.x[0] - at.x[1]);
      eq.flow_slope(1, 0, 1.0), eq.flow_slope(1, 1, -1.0);
    }
  };
  const Loose system;
  Stages<Loose, TrBdf2> stages(system);
  const Port port{0, Port::no_row, 1, true, false};
  CHECK_FALSE(is_limited(stages.measure(system, 0, start_at(system, 0.0, 0.0), port, Settings<double>{}).resistance));
}
