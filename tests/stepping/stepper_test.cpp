// SPDX-License-Identifier: MIT
// A run: how it ends, what a failure leaves behind, breakpoints, lengths of steps, saved states, changes from outside.
#include <gastube/stepping/stepper.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

/// A clock whose source has corners: x rises by 1 per second, a pulse adds to it; mode counts the corners passed.
struct Pulsed : QuietSystem<double, 1> {
  std::vector<double> corners{0.1, 0.3, 0.3 + 1e-6, 0.9};
  double height = 1000;
  void write(const Instant<double>&, int passed, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, passed == 2 ? -height : -1.0);
  }
  [[nodiscard]] double next_breakpoint(double time, int) const {
    for (const double corner : corners)
      if (corner > time) return corner;
    return unlimited<double>();
  }
  void pass_breakpoint(double time, int& passed) const {
    if (time == corners[std::size_t(passed)]) ++passed;  // exactly, or the pulse never begins
  }
};

/// Solvable until t = 1 and never after: there its equation yields what it is told to.
struct Cliff : QuietSystem<double, 1> {
  double beyond = std::numeric_limits<double>::quiet_NaN();
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, at.time > 1 ? beyond : -1.0);
  }
};

/// x^2 = 1 - t without charge: the root is gone after t = 1.
struct Fold : QuietSystem<double, 1> {
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.flow(0, at.x[0] * at.x[0] - (1 - at.time));
    eq.flow_slope(0, 0, 2 * at.x[0]);
  }
};

/// A conductance that vanishes with the mode: then nothing says what x is.
struct Loose : QuietSystem<double, 1> {
  double conductance = 1, source = 5;
  void write(const Instant<double>& at, int open, Equations<double>& eq) const {
    eq.flow(0, open != 0 ? 0.0 : conductance * (at.x[0] - source));
    eq.flow_slope(0, 0, open != 0 ? 0.0 : conductance);
  }
  [[nodiscard]] double next_breakpoint(double time, int) const { return time < 0.5 ? 0.5 : unlimited<double>(); }
  void pass_breakpoint(double, int& open) const { open = 1; }
};

}  // namespace

TEST_CASE("breakpoints are hit exactly, and what begins at them begins there") {
  const Pulsed system;
  Stepper<Pulsed> stepper(system, start_at(system, 0.0), 0);
  struct Times {
    std::vector<double> at;
    void step(const Stepper<Pulsed>& stepper) { at.push_back(stepper.time()); }
  } times;
  REQUIRE(stepper.run_until(2.0, times) == Status::done);
  CHECK(stepper.mode() == 4);
  for (const double corner : system.corners) CHECK(std::count(times.at.begin(), times.at.end(), corner) == 1);
  // closed form: 2 s at 1 per second, but 1e-6 s of them at 1000 per second
  CHECK(relative_gap(stepper.instant().x[0], 2 + 999e-6) < 1e-12);
}

TEST_CASE("a breakpoint at the limit of a run is passed before the run ends") {
  const Pulsed system;
  Stepper<Pulsed> stepper(system, start_at(system, 0.0), 0);
  REQUIRE(stepper.run_until(0.3) == Status::done);
  CHECK(stepper.mode() == 2);
  REQUIRE(stepper.next_event(0.35) == Status::event);
  CHECK(stepper.time() == 0.3 + 1e-6);
}

TEST_CASE("an observer sees arrivals before anything jumps, changes as they happen and steps when they are done") {
  const Pulsed system;
  struct Diary {
    std::string text;
    void arrive(const Stepper<Pulsed>& stepper) { text += stepper.mode() == 0 ? 'a' : 'A'; }
    void step(const Stepper<Pulsed>& stepper) {
      if (stepper.time() == 0.1) text += stepper.mode() == 1 ? 's' : '?';
    }
  } diary;
  Stepper<Pulsed> stepper(system, start_at(system, 0.0), 0);
  REQUIRE(stepper.run_until(0.2, diary) == Status::done);
  CHECK(diary.text == "as");
}

TEST_CASE_TEMPLATE("a whole number of fixed steps leaves no sliver", S, float, double, long double) {
  struct Idle : QuietSystem<S, 1> {
    void write(const Instant<S>&, int, Equations<S>& eq) const { eq.store(0, 0, S(1)); }
  };
  const Idle system;
  int slivers = 0;
  for (int whole = 1; whole <= 300; ++whole) {
    Stepper<Idle> stepper(system, start_at(system, 0.0), 0, {.fixed_step = S(0.001)});
    REQUIRE(stepper.run_until(S(0.001 * whole)) == Status::done);
    slivers += stepper.steps() != whole ? 1 : 0;
  }
  CHECK(slivers == 0);
}

TEST_CASE("steps shorter than the clock can show are counted all the same") {
  struct Idle : QuietSystem<double, 1> {
    void write(const Instant<double>&, int, Equations<double>& eq) const { eq.store(0, 0, 1.0), eq.flow(0, -1.0); }
  };
  const Idle system;
  auto start = start_at(system, 0.0);
  start.time = 1e6;  // where the last digit of a double is worth 1.2e-10 s
  Stepper<Idle> stepper(system, start, 0, {.fixed_step = 1e-11});
  const double limit = 1e6 + 1e-8;
  while (stepper.time() < limit && stepper.steps() < 2000) REQUIRE(succeeded(stepper.step(limit)));
  CHECK(relative_gap(stepper.steps(), 1000) < 0.02);
  CHECK(absolute_gap(stepper.instant().x[0], limit - 1e6) < 1.2e-10);
}

TEST_CASE("no step is longer than the longest allowed") {
  struct Longest {
    double before = 0, length = 0;
    void step(const Stepper<Pulsed>& stepper) {
      length = std::max(length, stepper.time() - before);
      before = stepper.time();
    }
  };
  for (double limit = 0.9; limit < 1; limit += 0.0013) {
    CAPTURE(limit);
    Pulsed system;
    system.corners = {3.0};
    Longest observer;
    Stepper<Pulsed> stepper(system, start_at(system, 0.0), 0, {.longest_step = 0.01});
    REQUIRE(stepper.run_until(limit, observer) == Status::done);
    CHECK(observer.length <= 0.01 * (1 + 1e-8));
    CHECK(observer.length > 0.0099);
    CHECK(stepper.steps() < 120);  // and none is wasted
  }
}

TEST_CASE("no step is longer than the system itself allows in its mode") {
  struct Hasty : Pulsed {
    [[nodiscard]] double longest_step(int passed) const { return passed == 0 ? 0.003 : 0.02; }
  };
  struct Lengths {
    double before = 0, early = 0, late = 0;
    void step(const Stepper<Hasty>& stepper) {
      double& longest = before < 0.1 ? early : late;
      longest = std::max(longest, stepper.time() - before);
      before = stepper.time();
    }
  } lengths;
  const Hasty system;
  Stepper<Hasty> stepper(system, start_at(system, 0.0), 0, {.longest_step = 0.01});
  REQUIRE(stepper.run_until(1.0, lengths) == Status::done);
  CHECK(relative_gap(lengths.early, 0.003) < 1e-8);
  CHECK(relative_gap(lengths.late, 0.01) < 1e-8);
}

TEST_CASE("an event that cannot be stepped up to leaves the state as it was") {
  // the guard falls inside a step of 1 s; a step that ends where it falls has its own inner stage where nothing solves
  struct Trap : QuietSystem<double, 1> {
    double inner = TrBdf2::gamma;
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      const bool solvable = std::abs(at.time - inner * (inner - 0.05)) > 0.01;
      eq.store(0, 0, 1.0);
      eq.flow(0, solvable ? -1.0 : std::numeric_limits<double>::quiet_NaN());
    }
    [[nodiscard]] std::size_t guards() const { return 1; }
    [[nodiscard]] double guard(std::size_t, const Instant<double>& at, int) const {
      return std::abs(at.x[0] - inner) - 0.05;
    }
  };
  const Trap system;
  Stepper<Trap> stepper(system, start_at(system, 0.0), 0, {.fixed_step = 1.0});
  const auto before = stepper.state();
  CHECK(stepper.step(3.0) == Status::no_convergence);
  CHECK(same_state(before, stepper.state()));
}

TEST_CASE("a step that cannot be solved says so and leaves the state as it was") {
  for (const double beyond : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    Cliff system;
    system.beyond = beyond;
    Stepper<Cliff> stepper(system, start_at(system, 0.0), 0);
    REQUIRE(stepper.run_until(0.5) == Status::done);
    Status status = Status::done;
    while (status == Status::done) {
      const auto before = stepper.state();
      const long steps = stepper.steps();
      status = stepper.step(3.0);
      if (status == Status::done) continue;
      CHECK(status == Status::no_convergence);
      CHECK(same_state(before, stepper.state()));
      CHECK(stepper.steps() == steps);
    }
    CHECK(relative_gap(stepper.time(), 1.0) < 1e-12);  // as far as it could be solved, and not a step further
    CHECK(stepper.time() <= 1.0);
    CHECK(relative_gap(stepper.instant().x[0], 1.0) < 1e-12);
    CHECK(stepper.run_until(3.0) == Status::no_convergence);
    CHECK(stepper.next_event(3.0) == Status::no_convergence);
  }
}

TEST_CASE("a solution that ends at a fold ends the run there") {
  const Fold system;
  Stepper<Fold> stepper(system, start_at(system, 1.0), 0, {.longest_step = 0.01});
  const Status status = stepper.run_until(2.0);
  CHECK((status == Status::no_convergence || status == Status::unsolvable));
  CHECK(relative_gap(stepper.time(), 1.0) < 1e-6);
  CHECK(absolute_gap(stepper.instant().x[0] * stepper.instant().x[0], 1 - stepper.time()) < 1e-9);
}

TEST_CASE("a start that cannot be solved is reported and does not step") {
  const Loose system;
  Stepper<Loose> stepper(system, start_at(system, 0.0), 1);
  CHECK(stepper.start_status() == Status::unsolvable);
  CHECK(stepper.step(1.0) == Status::unsolvable);
  CHECK(stepper.run_until(1.0) == Status::unsolvable);
  CHECK(stepper.next_event(1.0) == Status::unsolvable);
  CHECK(stepper.time() == 0.0);
  CHECK(stepper.steps() == 0);
}

TEST_CASE("a breakpoint that leaves the circuit without a solution is refused, and the state is as before the step") {
  const Loose system;
  Stepper<Loose> stepper(system, start_at(system, 0.0), 0);
  CHECK(stepper.instant().x[0] == 5.0);
  Status status = Status::done;
  while (status == Status::done) {
    const auto before = stepper.state();
    status = stepper.step(2.0);
    if (status != Status::done) CHECK(same_state(before, stepper.state()));
  }
  CHECK(status == Status::unsolvable);
  CHECK(stepper.mode() == 0);
  CHECK(stepper.time() < 0.5);
}

TEST_CASE("settings out of range are refused before anything is stepped") {
  const Pulsed system;
  CHECK_THROWS_AS((Stepper<Pulsed>(system, start_at(system, 0.0), 0, {.relative = 0.5})), InvalidParameter);
}

TEST_CASE("a change from outside takes effect at once, and the jump it makes is settled") {
  Loose system;
  Stepper<Loose> stepper(system, start_at(system, 0.0), 0);
  REQUIRE(stepper.run_until(0.25) == Status::done);
  REQUIRE(succeeded(stepper.alter([](Loose& s, int&) { s.source = 7; })));
  CHECK(stepper.instant().x[0] == 7.0);
  CHECK(stepper.time() == 0.25);
  CHECK(stepper.system().source == 7.0);
  REQUIRE(stepper.run_until(0.3) == Status::done);
  CHECK(stepper.instant().x[0] == 7.0);
}

TEST_CASE("a change from outside that cannot be solved is taken back entirely") {
  Loose system;
  Stepper<Loose> stepper(system, start_at(system, 0.0), 0);
  REQUIRE(stepper.run_until(0.25) == Status::done);
  const auto before = stepper.state();
  CHECK(stepper.alter([](Loose& s, int&) { s.conductance = 0, s.source = 9; }) == Status::unsolvable);
  CHECK(same_state(before, stepper.state()));
  CHECK(stepper.system().conductance == 1.0);
  CHECK(stepper.system().source == 5.0);
  CHECK(stepper.alter([](Loose&, int& open) { open = 1; }) == Status::unsolvable);
  CHECK(stepper.mode() == 0);
  REQUIRE(stepper.run_until(0.3) == Status::done);  // and the run goes on as if nothing had been asked
  CHECK(stepper.instant().x[0] == 5.0);
}

TEST_CASE("a change from outside that throws is taken back as well") {
  Loose system;
  Stepper<Loose> stepper(system, start_at(system, 0.0), 0);
  REQUIRE(stepper.run_until(0.25) == Status::done);
  const auto before = stepper.state();
  CHECK_THROWS_AS(stepper.alter([](Loose& s, int& open) {
    s.source = 9, open = 1;
    Check{"part"}.above("source", -1.0, 0.0, "V");
  }),
                  InvalidParameter);
  CHECK(same_state(before, stepper.state()));
  CHECK(stepper.system().source == 5.0);
}

TEST_CASE("a start that could not be solved can be mended from outside") {
  Loose system;
  Stepper<Loose> stepper(system, start_at(system, 0.0), 1);
  REQUIRE(stepper.start_status() == Status::unsolvable);
  REQUIRE(succeeded(stepper.alter([](Loose&, int& open) { open = 0; })));
  CHECK(succeeded(stepper.start_status()));
  REQUIRE(stepper.run_until(0.25) == Status::done);
  CHECK(stepper.instant().x[0] == 5.0);
}

TEST_CASE("an exponential element out of reach of one step is reached through its capacitance") {
  /// A source, a resistor and an element whose current grows by e every 0.1 V, with a capacitance across it.
  struct Exponential : QuietSystem<double, 1> {
    double source = 48, resistance = 1e3, capacitance = 1e-9, saturation = 1e-12, spread = 0.1;
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      const double current = saturation * std::exp(at.x[0] / spread);
      eq.store(0, 0, capacitance);
      eq.flow(0, (at.x[0] - source) / resistance + current - saturation);
      eq.flow_slope(0, 0, 1 / resistance + current / spread);
    }
  };
  const Exponential system;
  Stepper<Exponential> stepper(system, start_at(system, 0.0), 0);
  REQUIRE(stepper.run_until(1e-4) == Status::done);
  const double v = stepper.instant().x[0];
  // at rest the resistor's current is the element's
  CHECK(relative_gap((48 - v) / 1e3, 1e-12 * (std::exp(v / 0.1) - 1)) < 1e-4);
}

TEST_CASE("a run may begin as if the sources had stood as they are for long") {
  /// A capacitor fed through 1 Mohm, and a follower of its voltage.
  struct Rested : QuietSystem<double, 1, 1> {
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      eq.store(0, 0, 1e-7);
      eq.flow(0, (at.x[0] - 48) / 1e6);
      eq.flow_slope(0, 0, 1e-6);
    }
    void follow(const Instant<double>& at, int, FollowRate<double>* rates) const { rates[0] = {3 * at.x[0], 6.0}; }
  };
  const Rested system;
  Stepper<Rested> as_given(system, start_at(system, 5.0), 0);
  CHECK(as_given.instant().x[0] == 5.0);
  CHECK(as_given.instant().y[0] == 0.0);
  Stepper<Rested> settled(system, start_at(system, 5.0), 0, {}, Beginning::settled);
  CHECK(settled.time() == 0.0);
  CHECK(relative_gap(settled.instant().x[0], 48.0) < 1e-6);
  CHECK(relative_gap(settled.instant().y[0], 24.0) < 1e-6);
  REQUIRE(settled.run_until(1.0) == Status::done);
  CHECK(relative_gap(settled.instant().x[0], 48.0) < 1e-6);
  CHECK(settled.steps() < 60);
}
