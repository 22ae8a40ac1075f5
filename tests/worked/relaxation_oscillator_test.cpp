// SPDX-License-Identifier: MIT
// Saw-tooth of a gas triode across a capacitor, discharged in an instant. 300 V through 470 kohm into 10 nF; control
// ratio 20 and -6 V on the grid fire it at 120 V, it goes out at 16 V. Formulas: handbooks of the trade, from memory
// (H. J. Reich, Theory and Applications of Electron Tubes, 1944); numbers worked for this library.
#include "support_for_tests/worked_circuit.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, plate, grid, node_count };
const double period = 0.00214328172, rc = 470e3 * 10e-9;
const IdealTube<double> triode{.control_ratio = 20, .arc_drop = 16, .sustaining_current = 5e-3};

/// The grid is still without a source.
[[nodiscard]] worked::Circuit oscillator(double start = 0) {
  return {.nodes = node_count,
          .sources = {{supply, ground, 300.0}},
          .resistors = {named("supply lead", Resistor{supply, plate, 470e3})},
          .capacitors = {{plate, ground, 10e-9, start}},
          .tubes = {named("tube", wired(triode.build(), {.plate = plate, .grid = grid, .cathode = ground}))},
          .meters = {named("meter", Voltmeter{plate, ground, 1e15})}};
}
[[nodiscard]] worked::Circuit biased(double volts, double start = 0) {
  worked::Circuit circuit = oscillator(start);
  circuit.sources.push_back({grid, ground, volts});
  return circuit;
}
/// Longest and shortest time between firings but for the first `left_out`.
[[nodiscard]] std::pair<double, double> intervals(const worked::Run& run, std::size_t left_out = 0) {
  const auto times = run.times("tube", "conducting");
  REQUIRE(times.size() > left_out + 2);
  CHECK(run.log.events.size() <= 4 * times.size() + 4);  // no chatter
  double least = 1e30, greatest = 0;
  for (std::size_t k = left_out + 1; k < times.size(); ++k) {
    least = std::min(least, times[k] - times[k - 1]);
    greatest = std::max(greatest, times[k] - times[k - 1]);
  }
  return {least, greatest};
}

}  // namespace

TEST_CASE("the period is RC ln((E - Ve) / (E - Vs)), and one volt more on the grid shortens it") {
  for (const worked::Way& way : worked::ways)
    for (const auto& [bias, expected] : {std::pair{-6.0, period}, {-5.0, 0.0016480873}}) {
      CAPTURE(way);
      const auto run = worked::start(biased(bias), way);
      REQUIRE(run->run_until(12e-3) == Status::done);
      const auto [least, greatest] = intervals(*run);
      CHECK(relative_gap(least, expected) < way.digits);
      CHECK(relative_gap(greatest, expected) < way.digits);
      worked::check_books(*run, way);
    }
}

TEST_CASE("over a whole cycle: mean voltage, mean supply current, charge, and slope error") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(biased(-6, 16), way);
    const double from = run->until("tube", "blocked", 1.0), area = run->area("meter");
    const double first_slope = run->current("supply lead");
    CHECK(relative_gap(run->voltage(plate), 16.0) < way.digits);
    REQUIRE(run->run_until(from + period * (1 - way.digits / 10)) == Status::done);
    CHECK(relative_gap(run->voltage(plate), 120.0) < way.six);
    const double mean = (run->area("meter") - area) / period;
    CHECK(relative_gap(mean, 71.9385205) < way.digits);
    const double supply_current = (300 - mean) / 470e3;
    CHECK(relative_gap(supply_current, 0.000485237) < way.six);
    CHECK(relative_gap(supply_current * period, 1.04e-6) < way.six);  // what the tube takes, C (Vs - Ve)
    CHECK(relative_gap(1 - run->current("supply lead") / first_slope, 0.366197) < 2 * way.six);
    // a straight line at the slope of the middle: RC (Vs - Ve) / (E - (Vs + Ve) / 2), as the formulas have it
    CHECK(relative_gap(rc * (run->voltage(plate) - 16) / (300 - (run->voltage(plate) + 16) / 2), 0.0021069)
          < 2 * way.six);
  }
}

TEST_CASE("pulses of one volt lock the oscillator to any period above 1.648 ms, and to none below") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto pulsed = [&](double every) {
      worked::Circuit circuit = oscillator();
      circuit.pulses = {{grid, ground, {.low = -6, .high = -5, .delay = 1e-3, .width = 5e-6, .period = every}}};
      auto run = worked::start(circuit, way);
      REQUIRE(run->run_until(20e-3) == Status::done);
      return run;
    };
    const auto [least, greatest] = intervals(*pulsed(1.70e-3), 3);  // less those while it is pulled in
    CHECK(relative_gap(least, 1.70e-3) < way.digits);
    CHECK(relative_gap(greatest, 1.70e-3) < way.digits);
    CHECK(intervals(*pulsed(1.60e-3)).first > 0.0016480873 * (1 - way.digits));
  }
}

TEST_CASE("with a constant charging current the period is C (Vs - Ve) / I") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    worked::Circuit circuit = biased(-6, 16);
    circuit.sources = {{grid, ground, -6.0}, {supply, ground, 300.0}};
    circuit.resistors = {{supply, ground, 1e6}};
    circuit.currents = {steady_current(ground, plate, 1e-3)};
    circuit.meters.clear();
    const auto run = worked::start(circuit, way);
    REQUIRE(run->run_until(5e-3) == Status::done);
    const auto times = run->times("tube", "conducting");
    REQUIRE(times.size() == 4);
    for (std::size_t k = 0; k < times.size(); ++k) CHECK(relative_gap(times[k], double(k + 1) * 0.00104) < way.digits);
    worked::check_books(*run, way);
  }
}

TEST_CASE("a tube that recovers in 100 us oscillates from RC = 0.21929 ms on") {
  // closed form td / ln((E - Ve) / (E - Vs)): at the end of td the plate is back at what its grid holds
  for (const worked::Way& way : worked::ways)
    for (const double share : {0.98, 1.02}) {
      CAPTURE(way);
      CAPTURE(share);
      worked::Circuit circuit = biased(-6, 16);
      const auto slow = triode.build(FixedDeionisation<double>{100e-6});
      circuit.tubes.clear();
      circuit.timed_tubes = {named("tube", wired(slow, {.plate = plate, .grid = grid, .cathode = ground}))};
      circuit.resistors = {{supply, plate, 470e3}};
      circuit.capacitors = {{plate, ground, share * 0.00021929 / 470e3, 16.0}};
      const auto run = worked::start(circuit, way);
      REQUIRE(run->run_until(0.9e-3) == Status::done);
      const auto times = run->times("tube", "conducting");
      REQUIRE(times.size() >= 3);
      // shorter: the plate passes what is held before that is held, and a circuit that cannot feed the tube steadily
      // fires it as soon as it has recovered
      const double back = share * 0.00021929 * std::log(284.0 / 180);
      CHECK(relative_gap(times[2] - times[1], std::max(back, 100e-6)) < way.six);
    }
}
