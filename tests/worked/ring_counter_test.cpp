// SPDX-License-Identifier: MIT
// Rings of tubes: how long the tube that goes out is held off. 150 V, 10 kohm and 20 nF at each cathode, drop 15 V.
// Star-coupled cathodes: arrangement known in words only; closed forms and numbers worked for this library. Common
// plate resistor: common practice, no source; closed form worked here.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/level_watch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, plates, star, bias, grid_1, grid_2, first_cathode };
const double ohms = 10e3, farads = 20e-9, fired = 4e-3;

/// The bias is strong: the cathodes of tubes that are not lit swing below ground on the way back.
/// From the firing of tube 2 until tube 1, lit for long before, has its cathode so low that its arc could burn again,
/// s.
/// @param star_coupled or a common plate resistor with a capacitor across each cathode resistor
[[nodiscard]] double hold_off(int tubes, bool star_coupled, double plate_resistor) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-4}.build();
  std::vector<WiredTube<std::decay_t<decltype(tube)>>> ring;
  std::vector<Resistor<double>> resistors{{supply, plates, plate_resistor}};
  std::vector<Capacitor<double>> capacitors;
  for (int k = 0; k < tubes; ++k) {
    const Node cathode = first_cathode + k, grid = k == 0 ? Node(grid_1) : k == 1 ? Node(grid_2) : Node(bias);
    ring.push_back(named(k == 0 ? "T1" : k == 1 ? "T2" : "T", wired(tube, {plates, grid, cathode, cathode})));
    resistors.push_back({cathode, ground, ohms});
    capacitors.push_back({cathode, star_coupled ? Node(star) : Node(ground), farads});
  }
  if (!star_coupled) resistors.push_back({star, ground, 1e6});  // not in use
  const auto pulse = [](Node grid, double at) {
    return PulseSource<double>{grid, ground, {.low = -60, .high = 0, .delay = at, .width = 1e-6}};
  };
  // unchecked: each form of the ring leaves out some of what stands ready for the other
  auto run =
      start_unchecked(wire_dynamic(std::size_t(first_cathode + tubes), DcSource{supply, ground, 150.0},
                                   DcSource{bias, ground, -60.0}, pulse(grid_1, 1e-3), pulse(grid_2, fired),
                                   LevelWatch<double>{plates, first_cathode, 15, "back"}, ring, resistors, capacitors),
                      Settings<double>{.relative = 1e-8, .absolute = 1e-8});
  EventLog<double> log;
  REQUIRE(run.run_until(fired + 0.3e-3, log) == Status::done);
  REQUIRE(log.count("T2", "conducting") == 1);
  CHECK(log.count("T1", "conducting") == 1);
  CHECK(log.count("T", "conducting") == 0);
  CHECK(tube_state(run, "T2") == TubeState::conducting);
  REQUIRE(log.count("back", "above") >= 1);
  return log.times("back", "above").back() - log.times("T2", "conducting")[0];
}

}  // namespace

TEST_CASE("a ring with star-coupled cathodes holds off the shorter the more tubes it has") {
  // No resistor is meant at the plates; 1 mohm stands for none.
  for (const auto& row : {std::pair{2, 6.93147e-05}, {3, 5.82269e-05}, {5, 4.53592e-05}, {10, 3.0814e-05}}) {
    const int tubes = row.first;
    CAPTURE(tubes);
    CHECK(relative_gap(hold_off(tubes, true, 1e-3), row.second) < 1e-5);
  }
}

TEST_CASE("a ring on a common plate resistor holds off until the cathodes meet, whatever the number of tubes") {
  // 1 - exp(-t / ((R || Rp) C)) = exp(-t / RC); with Rp = R its root is t = RC ln of the golden ratio
  for (const int tubes : {2, 5}) {
    CAPTURE(tubes);
    CHECK(relative_gap(hold_off(tubes, false, ohms), ohms * farads * std::log(std::numbers::phi)) < 1e-5);
  }
}
