// SPDX-License-Identifier: MIT
// A coil in the plate lead of a tube: the current that a contact breaks goes on through what lies across the coil.
// Closed forms and numbers worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, top, plate, grid, node_count };
const double henries = 3, ohms = 1e3, opened = 60e-3;

/// 60 V, relay and tube; the contact in the supply lead opens at 60 ms. Across the coil: a resistor and a capacitor.
[[nodiscard]] auto relay(double across, double winding, double longest_step = 1e30) {
  const auto tube = IdealTube<double>{.control_ratio = 100, .arc_drop = 8}.build();
  return shared_start(
      wire<node_count>(DcSource{supply, ground, 60.0},
                       PushButton{supply, top, std::array<Press<double>, 1>{{{0, opened}}}},
                       named("coil", Inductor{top, plate, henries, ohms}), Resistor{top, plate, across},
                       Capacitor{top, plate, winding}, Resistor{top, ground, 1e9},
                       PulseSource<double>{grid, ground, {.low = -10, .high = 0, .delay = 1e-3, .width = 1e-3}},
                       named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = ground}))),
      Settings<double>{.relative = 1e-7, .absolute = 1e-7, .longest_step = longest_step});
}
struct Kick {
  double volts = 0;
  template <class Run>
  void step(const Run& run) {
    volts = std::max(volts, voltage(run, plate) - voltage(run, top));
  }
};
/// A, when the contact opens.
const double broken = (60 - 8) / ohms * (1 - std::exp(-(opened - 1e-3) * ohms / henries));

}  // namespace

TEST_CASE("with a resistor across the coil the kick is I R, and both die away with L / (R + Rc)") {
  auto run = relay(3300, 1e-12);
  REQUIRE(run.run_until(opened - 1e-6) == Status::done);
  CHECK(relative_gap(current(run, "coil"), broken) < 1e-6);
  for (const double after : {1e-6, 1e-3}) {
    CAPTURE(after);
    REQUIRE(run.run_until(opened + after) == Status::done);
    const double left = broken * std::exp(-after * (ohms + 3300) / henries);
    CHECK(relative_gap(current(run, "coil"), left) < 1e-5);
    CHECK(relative_gap(voltage(run, plate) - voltage(run, top), left * 3300) < 1e-5);
  }
  CHECK(tube_state(run, "tube") == TubeState::blocked);
}

TEST_CASE("with only a capacitance across the coil the kick is the first crest of the damped ring") {
  const double farads = 10e-9;
  auto run = relay(1e9, farads, 2e-6);  // short enough for the crest to be seen
  Kick kick;
  REQUIRE(run.run_until(opened + 0.5e-3, kick) == Status::done);
  // C dv/dt = i, L di/dt = -v - Rc i, from v = -(60 V - 8 V) and i = I: v = e^(-a t) (v0 cos wt + b sin wt) with
  // a = Rc / 2L, b = (I / C + a v0) / w; its crest is where tan wt = (b w - a v0) / (v0 w + a b).
  const double a = ohms / (2 * henries), w = std::sqrt(1 / (henries * farads) - a * a), v0 = -52;
  const double b = (broken / farads + a * v0) / w;
  const double angle = std::atan2(b * w - a * v0, v0 * w + a * b);
  const double crest = std::exp(-a * angle / w) * (v0 * std::cos(angle) + b * std::sin(angle));
  CHECK(relative_gap(kick.volts, crest) < 1e-4);
}
