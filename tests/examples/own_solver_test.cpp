// SPDX-License-Identifier: MIT
// The solver of example own_solver against closed forms, worked here: an ideal tube that fires at its control ratio
// times the bias, discharges a capacitor through a resistor, and goes out at its sustaining current.
#include <gastube/tube/family/ideal.hpp>

#include "own_solver/host.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {
const own_solver::Circuit circuit{
    .supply = 250, .charging = 220e3, .capacitor = 0.1e-6, .lamp = 1e3, .bias = -10, .swing = 0, .beat = 1};
const auto tube = IdealTube<double>{.control_ratio = 10, .arc_drop = 16, .sustaining_current = 3e-3}.build();

struct Times {
  std::vector<double> lit, out;
};
[[nodiscard]] Times events(const own_solver::Circuit& c, double length) {
  own_solver::Host host(c, tube, 1e-11);
  Times times;
  host.run(
      length, [](const auto&) {},
      [&](double time, const Transition& row) {
        if (row.to == TubeState::conducting) times.lit.push_back(time);
        if (row.from == TubeState::conducting) times.out.push_back(time);
      });
  return times;
}
}  // namespace

TEST_CASE("beats, and the length of each discharge, are those of the closed forms") {
  const Times times = events(circuit, 0.1);
  REQUIRE(times.lit.size() == 9);
  const double rc = 220e3 * 0.1e-6, fired = 100, out = 16 + 3e-3 * 1e3;
  CHECK(relative_gap(times.lit[0], rc * std::log(250 / (250 - fired))) < 1e-9);
  // while lit, both resistors pull at the capacitor
  const double both = 1 / (1 / 220e3 + 1 / 1e3), rest = both * (250 / 220e3 + 16 / 1e3);
  const double discharge = both * 0.1e-6 * std::log((fired - rest) / (out - rest));
  const double charge = rc * std::log((250 - out) / (250 - fired));
  for (std::size_t k = 0; k < 8; ++k) {
    CHECK(relative_gap(times.out[k] - times.lit[k], discharge) < 1e-8);
    CHECK(relative_gap(times.lit[k + 1] - times.out[k], charge) < 1e-8);
  }
}

TEST_CASE("a feed above the sustaining current keeps the tube alight") {
  own_solver::Circuit strong = circuit;
  strong.charging = 60e3;  // 4 mA, 3 are needed
  const Times times = events(strong, 0.1);
  CHECK(times.lit.size() == 1);
  CHECK(times.out.empty());
}

TEST_CASE("a swing of the bias moves the beats by the control ratio") {
  own_solver::Circuit swung = circuit;
  swung.swing = 2, swung.beat = 30;
  const Times times = events(swung, 0.02);
  REQUIRE(!times.lit.empty());
  const double at = times.lit[0], rc = 220e3 * 0.1e-6;
  const double grid = -10 + 2 * std::sin(2 * 3.14159265358979323846 * 30 * at);
  CHECK(relative_gap(250 * (1 - std::exp(-at / rc)), -10 * grid) < 1e-9);
}
