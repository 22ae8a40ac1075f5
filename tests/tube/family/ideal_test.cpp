// SPDX-License-Identifier: MIT
// The tube of textbook circuits.
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <limits>
#include <string>

using namespace gastube;
using closeness::relative_gap;

namespace {
template <class Tube>
typename Tube::Memory lit(const Tube& tube) {
  auto memory = tube.warm(typename Tube::S(0));
  memory.state = TubeState::conducting;
  return memory;
}
}  // namespace

TEST_CASE_TEMPLATE("an ideal tube is what its six numbers say", S, float, double, long double) {
  const auto tube = IdealTube<S>{.control_ratio = S(40),
                                 .arc_drop = S(15),
                                 .sustaining_current = S(0.01L),
                                 .arc_resistance = S(3),
                                 .lowest_plate = S(20),
                                 .leakage = S(1e-8L)}
                        .build();
  CHECK(tube.type() == std::string("ideal tube"));
  CHECK(relative_gap(tube.critical_grid({S(200), S(0), S(0)}, S(0)), -5.0L) < 8 * double(round_off<S>));
  CHECK(tube.critical_grid({S(19), S(0), S(0)}, S(0)) == S(never_fires<S>));
  CHECK(relative_gap(tube.arc(S(0.5), lit(tube)).voltage, 16.5L) < 8 * double(round_off<S>));
  CHECK(tube.laws().sustaining.current == S(0.01L));
  CHECK(relative_gap(tube.dark_current({S(0), {S(100), S(5), S(0)}, S(0)}, tube.warm(S(0))).current, 1e-6L)
        < 8 * double(round_off<S>));
}

TEST_CASE("three numbers are enough") {
  const auto tube = IdealTube{40.0, 15.0, 0.01}.build();
  CHECK(relative_gap(tube.critical_grid({1e-8, 0.0, 0.0}, 0.0), -2.5e-10) < 1e-12);
  CHECK(tube.arc(7.0, lit(tube)).voltage == 15.0);
  CHECK(tube.dark_current({0.0, {100.0, 5.0, 0.0}, 0.0}, tube.warm(0.0)).current == 0.0);
}

TEST_CASE("an ideal tube has no shield effect, no grid current, no warm-up and fires at once") {
  const auto tube = IdealTube{40.0, 15.0, 0.01}.build();
  CHECK(tube.critical_grid({100.0, 0.0, 30.0}, 0.0) == tube.critical_grid({100.0, 0.0, 0.0}, 0.0));
  const auto paths = tube.grid_paths({0.0, {100.0, 20.0, 0.0}, 1.0, 1.0}, tube.warm(0.0));
  CHECK(paths.to_cathode == 0.0);
  CHECK(paths.from_plate == 0.0);
  TubeMemory<double> memory = tube.switched_on(0.0);
  CHECK(tube.guard(0, {}, memory) <= 0.0);  // cathode ready
  double residual = 0.0, formation = 0.0;
  memory.state = TubeState::blocked;
  tube.leave(0, {}, memory, residual, formation);
  CHECK(formation == 1.0);
  const auto* row = exit_of(tube.transitions, memory.state, 1);
  REQUIRE(row);
  CHECK(row->cause == Cause::arc_formed);
  CHECK(tube.guard(1, {0.0, {100.0, 0.0, 0.0}, 0.0, residual, formation}, memory) <= 0.0);
}

TEST_CASE_TEMPLATE("an ideal tube recovers by the law it is built with", S, float, double, long double) {
  const IdealTube<S> ideal{.control_ratio = S(40), .arc_drop = S(15), .sustaining_current = S(0.01L)};
  const Conditions<S> held{S(100), S(-50), S(0)};
  CHECK(ideal.build().critical_grid(held, S(1)) == ideal.build().critical_grid(held, S(0)));
  const auto fixed = ideal.build(FixedDeionisation<S>{S(200e-6L)});
  CHECK(fixed.critical_grid(held, S(1)) == S(-never_fires<S>));
  CHECK(fixed.critical_grid(held, S(0)) == ideal.build().critical_grid(held, S(0)));
  CHECK(fixed.laws().recovery.time == S(200e-6L));
}

TEST_CASE_TEMPLATE("an ideal tube refuses numbers out of range by the law they go to", S, float, double, long double) {
  const IdealTube<S> good{.control_ratio = S(40), .arc_drop = S(15), .sustaining_current = S(0.01L)};
  const auto with = [&](S IdealTube<S>::*field, S value) {
    IdealTube<S> tube = good;
    tube.*field = value;
    return refusal::of([&] { static_cast<void>(tube.build()); });
  };
  const S nan = std::numeric_limits<S>::quiet_NaN();
  CHECK(with(&IdealTube<S>::control_ratio, S(40)) == "accepted");
  for (const S bad : {S(-1), nan}) {
    CHECK(with(&IdealTube<S>::control_ratio, bad) == "control line: control_ratio");
    CHECK(with(&IdealTube<S>::arc_drop, bad) == "linear drop: drop");
    CHECK(with(&IdealTube<S>::sustaining_current, bad) == "sustaining current: current");
    CHECK(with(&IdealTube<S>::lowest_plate, bad) == "control line: lowest_plate");
    CHECK(with(&IdealTube<S>::leakage, bad) == "plate leakage: conductance");
  }
  CHECK(with(&IdealTube<S>::arc_resistance, S(-1)) == "accepted");  // a falling arc
  CHECK(with(&IdealTube<S>::arc_resistance, nan) == "linear drop: resistance");
  CHECK(refusal::of([&] { static_cast<void>(good.build(FixedDeionisation<S>{S(0)})); }) == "fixed deionisation: time");
}
