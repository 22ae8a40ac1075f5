// SPDX-License-Identifier: MIT
// Tubes lit or let go exactly where a guard stands on its edge: what is left there are digits that are none.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

const double turn = 2 * std::numbers::pi;

}  // namespace

TEST_CASE("a grid that holds nothing: lit where the plate comes to the drop, without and with a coil and a battery") {
  enum { ground, line, plate, grid, middle, node_count };
  const auto tube = [](double drop) { return IdealTube<double>{.control_ratio = 25, .arc_drop = drop}.build(); };
  const double peak = 117 * std::numbers::sqrt2;
  for (const double volts : {0.0, 1.0}) {
    worked::Circuit plain{.nodes = middle,
                          .sources = {{grid, ground, volts}},
                          .sines = {{line, ground, {peak, 60}}},
                          .resistors = {{line, plate, 500.0}},
                          .tubes = {named("tube", wired(tube(12), {.plate = plate, .grid = grid, .cathode = ground}))}};
    const auto run = worked::start(plain, worked::exact);
    REQUIRE(succeeded(run->run_until(1.0 / 60)));
    REQUIRE(run->count("tube", "conducting") == 1);
    CHECK(relative_gap(run->times("tube", "conducting")[0], std::asin(12 / peak) / (60 * turn))
          < 1e-10);  // a nanovolt of leeway
  }
  const double printed = 120 * std::numbers::sqrt2;
  worked::Circuit coil{.nodes = node_count,
                       .sources = {{grid, ground, 0.0}, {middle, plate, 100.0}},
                       .sines = {{line, ground, {printed, 60}}},
                       .inductors = {{line, middle, 20e-3}},
                       .tubes = {named("tube", wired(tube(1e-7), {.plate = plate, .grid = grid, .cathode = ground}))}};
  coil.inductors[0].resistance = 2.0;
  const auto run = worked::start(coil, worked::exact);
  REQUIRE(succeeded(run->run_until(1.0 / 60)));
  REQUIRE(run->count("tube", "conducting") == 1);
  REQUIRE(run->count("tube", "recovering") == 1);
  CHECK(relative_gap(run->times("tube", "recovering")[0] * 21600, 193.141279) < 1e-8);
}

TEST_CASE("a reservoir lets its tube go near the crest with the grid positive: it does not flicker") {
  enum { ground, output, plate, grid, node_count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15}.build();
  const double ohms = 840.83, farads = 2.82482e-6, hertz = 206.198, w = turn * hertz;
  worked::Circuit c{.nodes = node_count,
                    .sines = {{plate, ground, {69.235, hertz}}, {grid, output, {7.50761, hertz, -0.85845}}},
                    .resistors = {{output, ground, ohms}},
                    .capacitors = {{output, ground, farads}},
                    .tubes = {named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = output}))}};
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(c, way, 1e-5);
    REQUIRE(succeeded(run->run_until(2.5e-3)));
    REQUIRE(run->count("tube", "conducting") == 1);
    REQUIRE(run->count("tube", "recovering") >= 1);
    // C dv/dt + v / R = 0 for v = peak sin(w t) - drop
    const double out = run->times("tube", "recovering")[0];
    CHECK(std::fabs(farads * 69.235 * w * std::cos(w * out) + (69.235 * std::sin(w * out) - 15) / ohms)
          < 0.1 * way.digits);
  }
}

TEST_CASE("two tubes lit at once, tied by a capacitor: the one with a resistance takes its current from nothing") {
  enum { ground, line, plate_1, plate_2, grid_1, grid_2, node_count };
  const auto ideal = IdealTube<double>{.control_ratio = 20, .arc_drop = 15}.build();
  const auto real = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .arc_resistance = 0.245}.build();
  worked::Circuit c{.nodes = node_count,
                    .sources = {{line, ground, 245.0}, {grid_1, ground, -5.15}},
                    .sines = {{grid_2, ground, {2.386, 244.7, 1.255}}},
                    .resistors = {{line, plate_1, 3770.0}, {line, plate_2, 1961.0}},
                    .capacitors = {{plate_1, plate_2, 1.1e-8}},
                    .tubes = {named("1", wired(ideal, {.plate = plate_1, .grid = grid_1, .cathode = ground})),
                              named("2", wired(real, {.plate = plate_2, .grid = grid_2, .cathode = ground}))}};
  const auto run = worked::start(c, worked::exact);
  REQUIRE(succeeded(run->run_until(1e-3)));
  CHECK(run->count("2", "recovering") == 0);
  CHECK(relative_gap(run->current("1"), 230.0 / 3770) < 1e-9);
  CHECK(relative_gap(run->current("2"), 230.0 / (1961 + 0.245)) < 1e-9);
}

TEST_CASE("struck through a coil exactly where the grid lets go: it gets time to reach the current that keeps it") {
  enum { ground, plate, grid, cathode, middle, node_count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1.6e-5}.build();
  worked::Circuit c{.nodes = node_count,
                    .sources = {{grid, cathode, -3.23881}},
                    .sines = {{plate, ground, {169.214, 62.7804}}},
                    .resistors = {{cathode, middle, 105.39}},
                    .inductors = {{middle, ground, 0.0696026}},
                    .tubes = {named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = cathode}))}};
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(c, way, 1e-4);
    REQUIRE(succeeded(run->run_until(5e-3)));
    CHECK(run->count("tube", "striking") == 1);
    CHECK(run->count("tube", "starting") == 1);
    CHECK(relative_gap(run->times("tube", "striking")[0], std::asin(20 * 3.23881 / 169.214) / (turn * 62.7804))
          < way.digits);
    CHECK(run->state("tube") == TubeState::conducting);
  }
}

TEST_CASE("a steady current into a capacitor under a meter of 1e15 ohm comes to an end") {
  enum { ground, plate, grid, node_count };
  const auto tube = IdealTube<double>{20, 16, 5e-3}.build();
  worked::Circuit c{.nodes = node_count,
                    .sources = {{grid, ground, -6.0}},
                    .currents = {steady_current<double>(ground, plate, 1e-3)},
                    .capacitors = {{plate, ground, 10e-9, 16.0}},
                    .tubes = {named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = ground}))},
                    .meters = {{plate, ground, 1e15}}};
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(c, way);
    REQUIRE(succeeded(run->run_until(5e-3)));
    REQUIRE(run->count("tube", "conducting") == 4);
    CHECK(relative_gap(run->times("tube", "conducting")[3], 4 * 1.04e-3) < way.six);  // 104 V at 1e5 V/s
  }
}

TEST_CASE(
    "three phases through tubes without resistance that light at their very drop: each takes over from the last") {
  enum { ground, output, phase_1, phase_2, phase_3, node_count };
  const char* const names[] = {"1", "2", "3"};
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .lowest_plate = 15}.build();
  worked::Circuit c{.nodes = node_count,
                    .resistors = {{output, ground, 100.0}},
                    .meters = {named("load", Voltmeter{output, ground, 1e12})}};
  for (int k = 0; k < 3; ++k) {
    const Node phase = phase_1 + k;
    c.sines.push_back({phase, ground, {120 * std::numbers::sqrt2, 60, -k * turn / 3}});
    c.tubes.push_back(named(names[k], wired(tube, {.plate = phase, .grid = output, .cathode = output})));
  }
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(c, way, 100e-6);
    REQUIRE(succeeded(run->run_until(1.0 / 60)));
    const double area = run->area("load");
    REQUIRE(succeeded(run->run_until(3.0 / 60)));
    // three phases of rms voltage V without drop: 3 sqrt(3) sqrt(2) V / (2 pi)
    const double mean = 3 * std::numbers::sqrt3 * std::numbers::sqrt2 * 120 / turn - 15;
    CHECK(relative_gap((run->area("load") - area) * 30, mean) < 2 * way.six);
    CHECK(run->count("2", "conducting") == 3);
    CHECK(std::fabs(run->times("2", "conducting")[1] * 21600 - (360 + 150)) < 1e-3);
  }
}
