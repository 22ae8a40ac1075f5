// SPDX-License-Identifier: MIT
// A lamp latch whose filament takes a tenth of a second to heat and whose drives take ten microseconds: what a scheme
// of order five reaches on it, and that cost follows events.
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/filament_latch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;

namespace {

struct Trace {
  std::vector<double> events, temperatures;
  long steps = 0;
};

/// Events of a run of two seconds and the temperature at each twentieth.
template <class Run>
Trace trace(Run run, std::size_t temperature_part) {
  Trace result;
  EventLog<double> log;
  for (int k = 1; k <= 40; ++k) {
    REQUIRE(run.run_until(0.05 * k + 0.003, log) == Status::done);
    result.temperatures.push_back(own_unknown(run, temperature_part));
  }
  for (const auto& event : log.events) result.events.push_back(event.time);
  result.steps = run.steps();
  return result;
}

void check_gaps(const Trace& one, const Trace& other, double time, double temperature) {
  REQUIRE(one.events.size() == other.events.size());
  for (std::size_t k = 0; k < one.events.size(); ++k) CHECK(absolute_gap(one.events[k], other.events[k]) < time);
  for (std::size_t k = 0; k < one.temperatures.size(); ++k)
    CHECK(absolute_gap(one.temperatures[k], other.temperatures[k]) < temperature);
}

constexpr Settings<double> tight{.relative = 1e-11, .absolute = 1e-11};

}  // namespace

TEST_CASE("events to 1e-10 s and the filament to 1e-6 of hot, in some sixty steps an event") {
  const auto circuit = filament_latch::circuit<>();
  const auto part = filament_latch::temperature_part;
  const Trace wanted = trace(start<Rodas5P>(circuit, tight), part);
  REQUIRE(wanted.events.size() == 4);
  // another family of schemes agrees
  check_gaps(trace(start<Esdirk4>(circuit, {.relative = 1e-9, .absolute = 1e-9}), part), wanted, 1e-12, 1e-7);
  const Trace reached = trace(start<Rodas5P>(circuit, {.relative = 5e-7, .absolute = 5e-5}), part);
  check_gaps(reached, wanted, 1e-10, 1e-6);
  check_gaps(trace(start<Rodas4P>(circuit, {.relative = 1e-6, .absolute = 1e-5}), part), wanted, 1e-10, 1e-6);
  CHECK(reached.steps < 4 * 75 + 40);
}

TEST_CASE("the same with lags as followers, whose events then are exact to the last digits") {
  const auto part = filament_latch::lagged::temperature_part;
  const Trace wanted = trace(filament_latch::lagged::start<Rodas5P>(tight), part);
  REQUIRE(wanted.events.size() == 4);
  const Trace reached = trace(filament_latch::lagged::start<Rodas5P>({.relative = 1e-6, .absolute = 1e-5}), part);
  check_gaps(reached, wanted, 1e-12, 1e-6);
  CHECK(reached.steps < 4 * 35 + 40);
  // closed forms of the lags: the grid rises from -5 V to where a tenth of what the plate has above 20 V is left, the
  // plate at 36 V less what 1 nS takes through 150 and 10 ohm; the supply lets go where 8 V and 150 + 100 x + 5 ohm
  // take 1 mA, x being nearly 1
  const double plate = 36 / (1 + 160e-9);
  CHECK(absolute_gap(reached.events[0], 0.25 + 1e-5 * std::log(5 / (0.1 * (plate - 20)))) < 1e-13);
  CHECK(absolute_gap(reached.events[1], 0.75 + 1e-5 * std::log(36 / 8.255)) < 1e-9);
}

TEST_CASE("steps grow where nothing happens: a thousand times the time costs a few steps more") {
  const auto steps_until = [](double end) {
    const auto wired = filament_latch::circuit<>();
    auto circuit = wired;
    circuit.template entry<0>().delay = 1e9;  // no supply pulse, and one grid pulse
    circuit.template entry<1>().period = 1e9;
    auto run = start<Rodas5P>(circuit, {.relative = 1e-6, .absolute = 1e-5});
    REQUIRE(run.run_until(end) == Status::done);
    return run.steps();
  };
  const long short_run = steps_until(10.0), long_run = steps_until(86400.0);
  CHECK(long_run < short_run + 25);
}
