// SPDX-License-Identifier: MIT
// Rings of tubes: how long the tube that goes out is held off. 150 V, 10 kohm and 20 nF at each cathode, drop 15 V.
// Star-coupled cathodes: arrangement known in words only; closed forms and numbers worked for this library. Common
// plate resistor: common practice, no source; closed form worked here.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>
#include <numbers>
#include <utility>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, plates, bias, grid_1, grid_2, first_cathode };
const double ohms = 10e3, farads = 20e-9, fired = 4e-3;

/// The bias is strong: the cathodes of tubes that are not lit swing below ground on the way back.
/// @param star_coupled or a common plate resistor with a capacitor across each cathode resistor
[[nodiscard]] worked::Circuit ring(int tubes, bool star_coupled, double plate_resistor) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-4}.build();
  const auto pulse = [](Node grid, double at) {
    return PulseSource<double>{grid, ground, {.low = -60, .high = 0, .delay = at, .width = 1e-6}};
  };
  const Node star = star_coupled ? first_cathode + tubes : Node(ground);
  worked::Circuit circuit{.nodes = std::size_t(first_cathode + tubes + (star_coupled ? 1 : 0)),
                          .sources = {{supply, ground, 150.0}, {bias, ground, -60.0}},
                          .pulses = {pulse(grid_1, 1e-3), pulse(grid_2, fired)},
                          .resistors = {{supply, plates, plate_resistor}, {bias, ground, 1e6}},
                          .watches = {{plates, first_cathode, 15, "back"}}};
  for (int k = 0; k < tubes; ++k) {
    const Node cathode = first_cathode + k, grid = k == 0 ? Node(grid_1) : k == 1 ? Node(grid_2) : Node(bias);
    circuit.tubes.push_back(named(k == 0 ? "T1" : k == 1 ? "T2" : "T", wired(tube, {plates, grid, cathode, cathode})));
    circuit.resistors.push_back({cathode, ground, ohms});
    circuit.capacitors.push_back({cathode, star, farads});
  }
  return circuit;
}
/// From the firing of tube 2 until tube 1, lit for long before, has its cathode so low that its arc could burn again,
/// s.
[[nodiscard]] double hold_off(const worked::Circuit& circuit, const worked::Way& way) {
  const auto run = worked::start(circuit, way);
  REQUIRE(run->run_until(fired + 0.3e-3) == Status::done);
  REQUIRE(run->count("T2", "conducting") == 1);
  CHECK(run->count("T1", "conducting") == 1);
  CHECK(run->count("T", "conducting") == 0);
  CHECK(run->state("T2") == TubeState::conducting);
  REQUIRE(run->count("back", "above") >= 1);
  worked::check_books(*run, way);
  return run->times("back", "above").back() - run->times("T2", "conducting")[0];
}

}  // namespace

TEST_CASE("a ring with star-coupled cathodes holds off the shorter the more tubes it has") {
  // No resistor is meant at the plates; 1 mohm stands for none.
  for (const worked::Way& way : worked::ways)
    for (const auto& row : {std::pair{2, 6.93147e-05}, {3, 5.82269e-05}, {5, 4.53592e-05}, {10, 3.0814e-05}}) {
      const int tubes = row.first;
      CAPTURE(way);
      CAPTURE(tubes);
      CHECK(relative_gap(hold_off(ring(tubes, true, 1e-3), way), row.second) < way.six);
    }
}

TEST_CASE("a ring on a common plate resistor holds off until the cathodes meet, whatever the number of tubes") {
  // 1 - exp(-t / ((R || Rp) C)) = exp(-t / RC); with Rp = R its root is t = RC ln of the golden ratio
  for (const worked::Way& way : worked::ways)
    for (const int tubes : {2, 5}) {
      CAPTURE(way);
      CAPTURE(tubes);
      CHECK(relative_gap(hold_off(ring(tubes, false, ohms), way), ohms * farads * std::log(std::numbers::phi))
            < way.six);
    }
}
