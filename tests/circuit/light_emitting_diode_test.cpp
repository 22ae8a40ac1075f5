// SPDX-License-Identifier: MIT
#include <gastube/circuit/light_emitting_diode.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

namespace {
enum { ground, supply, out, node_count };

template <class Lamp>
[[nodiscard]] auto driven(const Lamp& lamp, double volts) {
  return shared_start(wire<node_count>(DcSource{supply, ground, volts}, Resistor{supply, out, 500.0}, lamp));
}
/// Light of the last part of a run's circuit.
template <class Run>
[[nodiscard]] double light(const Run& run) {
  double light = -1;
  run.system().look(run.instant(), run.mode(), [&](const auto& part, const auto& view, const auto& memory) {
    if constexpr (requires { part.light(view, memory); }) light = part.light(view, memory);
  });
  return light;
}
}  // namespace

TEST_CASE("of straight lines: dark below its drop and backwards, else as its current") {
  const LightEmittingDiode lamp(Diode<double>{out, ground, {.drop = 1.8, .slope = 10.0}}, 20e-3);
  CHECK(light(driven(lamp, 1.7)) == 0.0);
  CHECK(light(driven(lamp, -5.0)) == 0.0);
  CHECK(relative_gap(light(driven(lamp, 12.0)), (12 - 1.8) / 510 / 20e-3) < 1e-12);
}

TEST_CASE("of the exponential law: light as its current, none backwards") {
  const LightEmittingDiode lamp(ExponentialDiode<double>{out, ground, {.saturation_current = 1e-18, .emission = 2.0}},
                                20e-3);
  auto lit = driven(lamp, 12.0);
  CHECK(relative_gap(light(lit), (12 - voltage(lit, out)) / 500 / 20e-3) < 1e-9);
  CHECK(voltage(lit, out) > 1.7);
  CHECK(voltage(lit, out) < 2.2);
  CHECK(light(driven(lamp, -5.0)) == 0.0);
}

TEST_CASE("it bears its own name in the log and in errors, or the one it is given") {
  const LightEmittingDiode lamp(Diode<double>{out, ground, {.drop = 1.8}}, 20e-3);
  auto run = shared_start(
      wire<node_count>(PulseSource<double>{supply, ground, {.low = 0, .high = 5, .delay = 1e-3, .width = 1}},
                       Resistor{supply, out, 500.0}, named("ready light", lamp)));
  EventLog<double> log;
  REQUIRE(run.run_until(2e-3, log) == Status::done);
  CHECK(log.count("ready light", "conducting") == 1);
  CHECK_THROWS_WITH_AS((LightEmittingDiode<Diode<double>>{Diode<double>{out, ground}, 0.0}),
                       "light-emitting diode: rated_current = 0 A, allowed: above 0 A", InvalidParameter);
}
