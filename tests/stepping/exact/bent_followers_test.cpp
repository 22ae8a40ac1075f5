// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/stepping/exact/bent_followers.hpp>
#include <gastube/tube/family/glow_tube.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// 200 V, 1 Mohm and 22 nF: strikes at 80 V, burns from 55 V with 1 kohm. What is left of a flash lowers the next
/// strike; while it lasts the residual follows the current up to 2 mA.
[[nodiscard]] auto flasher() {
  enum { ground, supply, anode, node_count };
  using Laws = StandardGlowLaws<double, NoDelay<double>, StrikeRecovery<double>>;
  const GlowTube<Laws> lamp(Laws{.ignition = {80, 80},
                                 .arc = {{55, 1e3}, 50e-3, 1e3, 0.1, 30, 0.02},
                                 .sustaining = {0.5e-3},
                                 .recovery = {3e-3, 2e-3}});
  return wire<node_count>(DcSource{supply, ground, 200.0}, Resistor{supply, anode, 1e6},
                          Capacitor{anode, ground, 22e-9}, wired(lamp, {.anode = anode, .cathode = ground}));
}

}  // namespace

TEST_CASE("the integral of a square, after a fast transient and over a long stretch") {
  // 10 V through two time constants: 10 ns across 1 pF, 0.1 s across 1 uF
  enum { ground, supply, fast, slow, node_count };
  auto run = start(wire<node_count>(DcSource{supply, ground, 10.0}, Resistor{supply, fast, 10e3},
                                    Capacitor{fast, ground, 1e-12}, Resistor{supply, slow, 100e3},
                                    Capacitor{slow, ground, 1e-6}, named("m", Voltmeter{supply, fast, 1e15}),
                                    named("n", Voltmeter{supply, slow, 1e15})));
  for (const double t : {0.05, 0.3, 2.0}) {
    REQUIRE(run.run_until(t) == Status::done);
    CHECK(relative_gap(follower(run, 5, 1), 100 * 5e-9) < 1e-7);  // the meter's own share is 1e-11 of 10 V
    CHECK(relative_gap(follower(run, 6, 1), 100 * 0.05 * (1 - std::exp(-t / 0.05))) < 1e-9);
  }
}

TEST_CASE("a source held within limits: a lamp flashes as in another scheme at its tightest") {
  auto exactly = start(flasher());
  static_assert(std::same_as<decltype(exactly), ExactStepper<decltype(flasher())>>);
  auto finely = start<Esdirk4>(flasher(), Settings<double>{.relative = 1e-11, .absolute = 1e-11});
  EventLog<double> one, other;
  REQUIRE(exactly.run_until(0.1, one) == Status::done);
  REQUIRE(finely.run_until(0.1, other) == Status::done);
  const auto a = one.times("glow tube", "glow"), b = other.times("glow tube", "glow");
  REQUIRE(a.size() > 5);
  REQUIRE(a.size() == b.size());
  for (std::size_t k = 0; k < a.size(); ++k) CHECK(relative_gap(a[k], b[k]) < 1e-7);
}

TEST_CASE("stopping on the way changes nothing but round-off") {
  auto whole = start(flasher()), parts = whole;
  REQUIRE(whole.run_until(0.03) == Status::done);
  for (int k = 1; k <= 300; ++k) REQUIRE(parts.run_until(1e-4 * k) == Status::done);
  CHECK(relative_gap(follower(parts, 3, 0), follower(whole, 3, 0)) < 1e-11);
  CHECK(relative_gap(voltage(parts, 2), voltage(whole, 2)) < 1e-11);
}
