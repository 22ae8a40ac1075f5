// SPDX-License-Identifier: MIT
// The dimmer's circuits with the tube of textbooks and a lamp that keeps its temperature, hence its resistance: 500 ohm
// on 117 V, 60 Hz, drop 12 V, control ratio 25. Closed forms worked for this library.
#include <gastube/tube/family/ideal.hpp>

#include "support/lamp_dimmer.hpp"
#include "support/observe.hpp"
#include "support/trace_figures.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using namespace gastube::examples;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

struct Seen {
  double degrees, mean, rms;
};
[[nodiscard]] DimmerParts textbook() {
  DimmerParts parts{.volts = 117, .frequency = 60};
  parts.lamp = {100, 0.2, 1e9};
  return parts;
}
/// The last of some periods.
[[nodiscard]] Seen look(const DimmerParts& parts, Way way, double share, int periods = 1) {
  const auto tube = IdealTube<double>{.control_ratio = 25, .arc_drop = 12}.build();
  return with_dimmer(parts, way, share, 1.0, tube, [&](const auto& circuit) {
    auto run = start(circuit, Settings<double>{.relative = 1e-8, .absolute = 1e-8, .longest_step = 1.0 / 60 / 1000});
    const double to = (periods + 0.75) / 60, from = to - 1.0 / 60;
    const auto seen = observe(run, to, {{"", "A", {{"", CurrentProbe{circuit.find("lamp")}}}, {}}});
    const auto lit = seen.events.lit(name(way));
    REQUIRE(lit.size() >= std::size_t(periods));
    const Figures amperes = figures_of(seen.trace(0), from, to);
    return Seen{std::fmod(lit.back() * 60 * 360, 360), amperes.mean, amperes.rms};
  });
}

}  // namespace

TEST_CASE("a bias of -4 V fires at 37.18 degrees, and the lamp gets 85.2 mA") {
  DimmerParts parts = textbook();
  parts.bias_range = 8;
  const Seen seen = look(parts, Way::bias, 0.5);
  CHECK(absolute_gap(seen.degrees, 37.1831451) < 1e-3);
  CHECK(relative_gap(seen.mean, 0.0852474) < 2e-5);
}

TEST_CASE("a pulse at 92.5 degrees fires there; the mean is that of a wave cut in") {
  const Seen seen = look(textbook(), Way::pulse, 0.5);
  const double at = 92.5 * std::numbers::pi / 180, peak = 117 * std::numbers::sqrt2, out = std::asin(12 / peak);
  CHECK(absolute_gap(seen.degrees, 92.5) < 1e-3);
  const double mean =
      (peak * (std::cos(at) + std::cos(out)) - 12 * (std::numbers::pi - out - at)) / (2 * std::numbers::pi * 500);
  CHECK(relative_gap(seen.mean, mean) < 2e-5);
}

TEST_CASE("the phase shifter: tan of the angle = Vg sin(lag) / (Vg cos(lag) + Vm / ratio), lag = 2 atan(w R C)") {
  DimmerParts parts = textbook();
  parts.grid_volts = 20 / std::numbers::sqrt2, parts.grid_resistor = 1e3, parts.variable = 200e3;
  const double peak = 117 * std::numbers::sqrt2;
  for (const double lag : {60.0, 120.0}) {
    const double radians = lag * std::numbers::pi / 180;
    const double ohms = std::tan(radians / 2) / (2 * std::numbers::pi * 60 * parts.capacitor);
    const Seen seen = look(parts, Way::phase, std::sqrt(ohms / parts.variable), 4);
    const double fires =
        std::atan2(20 * std::sin(radians), 20 * std::cos(radians) + peak / 25) * 180 / std::numbers::pi;
    CHECK(absolute_gap(seen.degrees, fires) < 0.01);
    CHECK(absolute_gap(fires, lag == 60 ? 46.1849 : 101.046897) < 1e-3);
    CHECK(relative_gap(seen.mean, lag == 60 ? 0.0803502 : 0.0374516) < 2e-4);
  }
}
