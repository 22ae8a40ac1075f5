// SPDX-License-Identifier: MIT
// In-rush of a filament whose resistance comes up exponentially: 28 V, 700 ohm hot, a twelfth cold, 8 ms. Closed forms
// worked for this library. (The library's own lamp heats by its power; its laws are tested in circuit/.)
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// R(t) = hot - (hot - cold) exp(-t / tau). Its followers are charge and integral of the square of its current; it says
/// when the current falls below two levels.
struct Filament {
  using Scalar = double;
  static constexpr std::size_t followers = 2, guards = 1;
  struct Memory {
    int passed = 0;
  };
  static constexpr double hot = 700, cold = hot / 12, tau = 8e-3, levels[] = {0.08, 0.044};
  Node a, b;
  const char* label = "filament";

  [[nodiscard]] static double ohms(double time) { return hot - (hot - cold) * std::exp(-time / tau); }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  void write(PartEquations<double>& eq, const Memory&) const {
    eq.conduct(a, b, eq.across(a, b) / ohms(eq.time()), 1 / ohms(eq.time()));
  }
  [[nodiscard]] double current(const PartView<double>& at, const Memory&) const {
    return at.across(a, b) / ohms(at.time());
  }
  void follow(const PartView<double>& at, const Memory& memory, FollowRate<double>* rates) const {
    const double amperes = current(at, memory);
    rates[0].source = amperes;
    rates[1].source = amperes * amperes;
  }
  [[nodiscard]] double guard(std::size_t, const PartView<double>& at, const Memory& memory) const {
    return memory.passed == 2 ? 1 : current(at, memory) / levels[memory.passed] - 1;
  }
  Change fire(std::size_t, const PartView<double>&, Memory& memory, double*) const {
    return {label, "", ++memory.passed == 1 ? "twice" : "a tenth above", "current"};
  }
};

}  // namespace

TEST_CASE_TEMPLATE(
    "a lamp's in-rush: 0.48 A, to twice the hot 0.04 A in 4.849 ms, 2.7946 mC and 0.25256 mA^2 s to 50 ms", Scheme,
    TrBdf2, Esdirk4, Rodas5P) {
  auto run = start<Scheme>(wire<3>(DcSource{1, 0, 28.0}, Resistor{1, 2, 1e-6}, Filament{2, 0}),
                           Settings<double>{.relative = 1e-8, .absolute = 1e-8, .longest_step = 10e-6});
  CHECK(relative_gap(current(run, "filament"), 0.48) < 1e-7);
  EventLog<double> log;
  REQUIRE(run.run_until(50e-3, log) == Status::done);
  REQUIRE(log.events.size() == 2);
  CHECK(relative_gap(log.times("filament", "twice")[0], 0.00484908643) < 1e-6);
  CHECK(relative_gap(log.times("filament", "a tenth above")[0], 0.0184871) < 3e-6);
  const std::size_t lamp = run.system().find("filament");
  const double charge = follower(run, lamp, 0);
  CHECK(relative_gap(charge, 0.0027946) < 2e-5);
  CHECK(relative_gap(follower(run, lamp, 1), 0.000252561) < 2e-5);
  // over the steady current, for ever: tau I ln k and tau I^2 (ln k + k - 1)
  REQUIRE(run.run_until(0.2) == Status::done);
  CHECK(relative_gap(follower(run, lamp, 0) - 0.2 * 0.04, 0.00079517) < 1e-4);
  CHECK(relative_gap(follower(run, lamp, 1) - 0.2 * 0.04 * 0.04, 0.000172606805) < 1e-4);
}
