// SPDX-License-Identifier: MIT
// Two glow lamps with a resistor each and a capacitor between them. The lamp that strikes drops to its burning voltage
// and throws the other one as far below it; that one then charges through its resistor to its own strike. Common
// practice, no source; closed form worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/glow_tube.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, left, right, node_count };

[[nodiscard]] auto lamp(double strike) {
  using Lamp = GlowTube<StandardGlowLaws<double, NoDelay<double>, InstantRecovery<double>>>;
  return Lamp({.ignition = symmetrical_strike(strike),
               .arc = {{57.0, 1e-3}, 1e3, 1.0, 1e6, 1.0, 10.0},
               .sustaining = {20e-6},
               .electrons = {0.0}});
}

}  // namespace

TEST_CASE("each lamp is dark for RC ln((E - 2 Vb + Vs of the other) / (E - its own Vs))") {
  const double volts = 110, ohms = 470e3, farads = 0.1e-6, strike_left = 75, strike_right = 79;
  auto run = start(wire<node_count>(DcSource{supply, ground, volts}, Resistor{supply, left, ohms},
                                    Resistor{supply, right, ohms}, Capacitor{left, right, farads},
                                    named("left", wired(lamp(strike_left), {.anode = left, .cathode = ground})),
                                    named("right", wired(lamp(strike_right), {.anode = right, .cathode = ground}))),
                   tight<double>());
  EventLog<double> log;
  REQUIRE(run.run_until(0.5, log) == Status::done);
  const auto lit_left = log.times("left", "glow"), lit_right = log.times("right", "glow");
  REQUIRE(lit_left.size() >= 4);
  REQUIRE(lit_right.size() >= 4);
  const double dark_left = ohms * farads * std::log((volts - 2 * 57 + strike_right) / (volts - strike_left));
  const double dark_right = ohms * farads * std::log((volts - 2 * 57 + strike_left) / (volts - strike_right));
  CHECK(relative_gap(lit_left[3] - lit_left[2], dark_left + dark_right) < 1e-6);
  // A lamp is lit as long as the other is dark.
  const bool left_first = lit_left[2] < lit_right[2];
  CHECK(relative_gap(left_first ? lit_right[2] - lit_left[2] : lit_right[3] - lit_left[2], dark_right) < 1e-6);
}
