// SPDX-License-Identifier: MIT
// Half-wave rectifiers of one tube at 60 Hz: what a meter reads, and what becomes of the power. Formulas of the loaded
// rectifier: handbooks of the trade, from memory (MIT E.E. staff, Applied Electronics, 1943); numbers worked for this
// library. 0.5940 A: printed for the solid-state equivalent (Solid State Electronics, chap. 9, Ex. 9.3), found as a
// solved problem.
#include "support_for_tests/worked_circuit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, source, cathode, grid, node_count };

struct HalfWave {
  double peak, ohms, drop, strike, sustaining = 0;
};
const HalfWave mains{117 * std::numbers::sqrt2, 1e3, 15, 25}, low{24 * std::numbers::sqrt2, 100, 10, 14};

/// The grid holds the tube off to where it is to strike. One ohm less or more of the meters' 1e15 is nothing.
[[nodiscard]] worked::Circuit rectifier(const HalfWave& c) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = c.drop, .sustaining_current = c.sustaining};
  return {.nodes = node_count,
          .sources = {{grid, cathode, -c.strike / 20}},
          .sines = {{source, ground, {c.peak, 60}}},
          .resistors = {{cathode, ground, c.ohms}},
          .tubes = {named("tube", wired(tube.build(), {.plate = source, .grid = grid, .cathode = cathode}))},
          .meters = {named("load", Voltmeter{cathode, ground, 1e15}),
                     named("across tube", Voltmeter{source, cathode, 1e15})}};
}

struct Reading {
  double mean, rms;  ///< V
  double on, off;    ///< degrees of the first conduction
  std::size_t conductions;
};
/// Two cycles.
[[nodiscard]] Reading read(const worked::Way& way, const HalfWave& c) {
  const auto run = worked::start(rectifier(c), way, 200e-6);
  REQUIRE(run->run_until(2.0 / 60) == Status::done);
  const auto on = run->times("tube", "conducting"), off = run->times("tube", "recovering");
  REQUIRE(on.size() >= 2);
  worked::check_books(*run, way);
  return {run->area("load") * 30, std::sqrt(run->square("load") * 30), on[0] * 360 * 60, off[0] * 360 * 60, on.size()};
}
/// Columns of the table of a rectifier without sustaining current.
struct Column {
  double on, delay, off, mean, rms, crest, tube_loss, load_loss, input, power_factor, ripple;
};
void check_column(const worked::Way& way, const HalfWave& c, const Column& want) {
  const Reading got = read(way, c);
  const double mean = got.mean / c.ohms, rms = got.rms / c.ohms;
  CHECK(relative_gap(mean, want.mean) < way.digits);
  CHECK(relative_gap(rms, want.rms) < way.six);
  CHECK(relative_gap(got.on, want.on) < way.six);
  CHECK(relative_gap(got.on / 21600, want.delay) < way.six);
  CHECK(relative_gap(got.off, want.off) < way.six);
  CHECK(got.conductions == 2);
  CHECK(relative_gap(c.drop * mean, want.tube_loss) < way.six);
  CHECK(relative_gap(rms * rms * c.ohms, want.load_loss) < 2 * way.six);
  CHECK(relative_gap(c.drop * mean + rms * rms * c.ohms, want.input) < 2 * way.six);
  const double volts = c.peak / std::numbers::sqrt2;
  CHECK(relative_gap((c.drop * mean + rms * rms * c.ohms) / (volts * rms), want.power_factor) < 2 * way.six);
  CHECK(relative_gap(std::sqrt(rms * rms / (mean * mean) - 1), want.ripple) < 3 * way.six);
}

}  // namespace

TEST_CASE("without a sustaining current: mean, rms, angles and powers of 117 V into 1 kohm and 24 V into 100 ohm") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    check_column(way, mains,
                 {8.69017, 0.000402323, 174.799, 0.0453365585, 0.073310682, 0.150463, 0.680048, 5.37446, 6.0545,
                  0.705871, 1.27075});
    check_column(way, low,
                 {24.3607, 0.00112781, 162.865, 0.0623573352, 0.108938, 0.239411, 0.623573, 1.18676, 1.81033, 0.692414,
                  1.43249});
  }
}

TEST_CASE("its crest is (Vm - Vd) / R, and the tube bears Vm the other way round") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    for (const auto& [c, crest, inverse] : {std::tuple{mains, 0.150463, 165.463}, std::tuple{low, 0.239411, 33.9411}}) {
      const auto run = worked::start(rectifier(c), way, 200e-6);
      REQUIRE(run->run_until(0.25 / 60) == Status::done);
      CHECK(relative_gap(run->current("tube"), crest) < way.six);
      REQUIRE(run->run_until(0.75 / 60) == Status::done);
      CHECK(relative_gap(run->voltage(cathode) - run->voltage(source), inverse) < way.six);
    }
  }
}

TEST_CASE("printed: 200 V peak that breaks over at 100 V into 100 ohm, no drop: 30 degrees and 0.5940 A") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const Reading got = read(way, {200, 100, 1e-7, 100});  // drop: 0.1 uV stands for none
    CHECK(relative_gap(got.on, 30.0) < way.six);
    CHECK(relative_gap(got.off - got.on, 150.0) < way.six);
    CHECK(relative_gap(got.mean / 100, 0.593974334) < way.digits);
  }
}

TEST_CASE("with 5 mA to be sustained a meter reads 45.32 V across 1 kohm and 25.39 V across 25 kohm") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    HalfWave c = mains;
    c.sustaining = 5e-3;
    const Reading loaded = read(way, c);
    CHECK(relative_gap(loaded.mean, 45.3244602) < way.digits);
    CHECK(relative_gap(loaded.mean * std::numbers::pi / std::numbers::sqrt2, 100.686) < way.six);  // scaled for a sine
    CHECK(relative_gap(loaded.on, 8.69017) < way.six);
    CHECK(relative_gap(loaded.off, 173.058) < way.six);
    c.ohms = 10e3;
    const Reading less = read(way, c);
    CHECK(relative_gap(less.mean, 42.862) < way.six);
    CHECK(relative_gap(less.on, 23.1311) < way.six);
    CHECK(relative_gap(less.off, 156.869) < way.six);
    c.ohms = 25e3;
    const Reading light = read(way, c);
    CHECK(relative_gap(light.mean, 25.388622) < way.digits);
    CHECK(relative_gap(light.on, 57.7911) < way.six);
    CHECK(relative_gap(light.off, 122.209) < way.six);
    CHECK(light.conductions == 2);  // it does not light and drop out again and again while it cannot be fed
  }
}

TEST_CASE("there is no arc at all above (Vm - Vd) / Ih = 30092.6 ohm") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto lights = [&](double ohms) {
      HalfWave c = mains;
      c.sustaining = 5e-3;
      c.ohms = ohms;
      const auto run = worked::start(rectifier(c), way, 50e-6);
      REQUIRE(run->run_until(0.4 / 60) == Status::done);
      return run->count("tube", "conducting") > 0;
    };
    CHECK(lights(30092.5974 * (1 - way.six)));
    CHECK_FALSE(lights(30092.5974 * (1 + way.six)));
    CHECK_FALSE(lights(40e3));
    CHECK_FALSE(lights(5e6));
  }
}

TEST_CASE("unloaded: a perfect open reads nothing, and a meter's capacitance charges to the peak less the drop") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    HalfWave c = mains;
    c.sustaining = 5e-3;
    c.ohms = 5e6;
    const auto open = worked::start(rectifier(c), way, 200e-6);
    REQUIRE(open->run_until(2.0 / 60) == Status::done);
    CHECK(open->area("load") < 1e-12);
    c.sustaining = 0;
    c.ohms = 1e12;
    worked::Circuit leads = rectifier(c);
    leads.capacitors = {{cathode, ground, 100e-12}};
    const auto charged = worked::start(leads, way, 200e-6);
    REQUIRE(charged->run_until(2.0 / 60) == Status::done);
    const double left = std::exp(-(1.75 / 60) / (100e-12 / (1e-12 + 2e-15)));  // from the first crest on
    CHECK(relative_gap(charged->voltage(cathode), 150.463 * left) < way.six);
    worked::check_books(*charged, way);
  }
}
