// SPDX-License-Identifier: MIT
// Half-wave tube into a battery through a resistor, 60 Hz: strikes at Vb + Vs, goes out at Vb + Vd. Closed forms and
// the numbers of the gas tube worked for this library; printed solid-state equivalents, found as solved problems:
// Introduction to Electric Drives, Ex. 2_2 and 2_3; "Controlled rectifiers 3.1". M. H. Rashid's charger from memory.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, source, cathode, battery, grid, node_count };

struct Charger {
  double peak, battery, ohms, drop = 1e-7, strike = 1e-7;  ///< drop: 0.1 uV stands for none
};
[[nodiscard]] worked::Circuit charger(const Charger& c) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = c.drop};
  return {.nodes = node_count,
          .sources = {{battery, ground, c.battery}, {grid, cathode, -c.strike / 20}},
          .sines = {{source, ground, {c.peak, 60}}},
          .resistors = {{cathode, battery, c.ohms}},
          .tubes = {named("tube", wired(tube.build(), {.plate = source, .grid = grid, .cathode = cathode}))},
          .meters = {named("charge", Voltmeter{cathode, battery, 1e15})}};
}
struct Cycle {
  double mean, rms, on, off, crest, inverse;  ///< A, degrees, V
};
[[nodiscard]] Cycle one_cycle(const worked::Way& way, const Charger& c) {
  const auto run = worked::start(charger(c), way, 50e-6);
  REQUIRE(run->run_until(0.25 / 60) == Status::done);
  const double crest = run->current("tube");
  REQUIRE(run->run_until(0.75 / 60) == Status::done);
  const double inverse = run->voltage(cathode) - run->voltage(source);
  REQUIRE(run->run_until(1.0 / 60) == Status::done);
  REQUIRE(run->count("tube", "conducting") == 1);
  worked::check_books(*run, way);
  return {run->area("charge") * 60 / c.ohms,
          std::sqrt(run->square("charge") * 60) / c.ohms,
          run->times("tube", "conducting")[0] * 21600,
          run->times("tube", "recovering")[0] * 21600,
          crest,
          inverse};
}

}  // namespace

TEST_CASE("117 V into 48 V through 200 ohm and a tube of 12 V that strikes at 20 V") {
  const double peak = 117 * std::numbers::sqrt2;
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const Cycle got = one_cycle(way, {peak, 48, 200, 12, 20});
    CHECK(relative_gap(got.mean, 0.130686443) < way.digits);
    CHECK(relative_gap(got.rms, 0.233701) < way.six);
    CHECK(relative_gap(got.on, 24.2657) < way.six);
    CHECK(relative_gap(got.off, 158.739) < way.six);
    CHECK(relative_gap(got.crest, 0.527315) < way.six);
    CHECK(relative_gap(got.inverse, 213.463) < way.six);
    const double into_battery = 48 * got.mean, into_tube = 12 * got.mean, into_resistor = 200 * got.rms * got.rms;
    CHECK(relative_gap(into_battery, 6.27295) < way.six);
    CHECK(relative_gap(into_tube, 1.56824) < way.six);
    CHECK(relative_gap(into_resistor, 10.9233) < 2 * way.six);
    const double input = into_battery + into_tube + into_resistor;
    CHECK(relative_gap(input, 18.7644) < 2 * way.six);
    CHECK(relative_gap(input / (117 * got.rms), 0.68626) < 2 * way.six);
  }
}

TEST_CASE("printed chargers without drop: 2.495 A, 1.09 A, 4.0 A with 6.58 A rms, and 5 A") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    CHECK(relative_gap(one_cycle(way, {110 * std::numbers::sqrt2, 55.5, 10}).mean, 2.49535409) < way.digits);
    CHECK(relative_gap(one_cycle(way, {100, 50, 10}).mean, 1.08997781) < way.digits);
    const Cycle third = one_cycle(way, {57.5 * std::numbers::sqrt2, 12, 5.04});
    CHECK(relative_gap(third.mean, 4.00128) < way.six);
    CHECK(relative_gap(third.rms, 6.58553706) < way.digits);
    CHECK(relative_gap(third.rms, 6.58) < 1e-3);
    CHECK(relative_gap(third.off - third.on, 163.03) < std::max(way.six, 3e-5));  // five digits are given
    CHECK(relative_gap(third.inverse, 93.3173) < way.six);
    const Cycle fourth = one_cycle(way, {84.853, 12, 4.25601});
    CHECK(relative_gap(fourth.mean, 5.0) < way.six);
    CHECK(relative_gap(fourth.off - fourth.on, 163.74) < std::max(way.six, 3e-5));
    CHECK(relative_gap(fourth.inverse, 96.8528) < way.six);
    const Cycle fifth = one_cycle(way, {230 * std::numbers::sqrt2, 150, 8});
    CHECK(relative_gap(fifth.mean, 4.96932) < way.six);
    CHECK(relative_gap((150 * fifth.mean + 8 * fifth.rms * fifth.rms) / (230 * fifth.rms), 0.67198) < way.six);
  }
}
