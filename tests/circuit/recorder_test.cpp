// SPDX-License-Identifier: MIT
#include "gastube/circuit/capacitor.hpp"
#include "gastube/circuit/contact.hpp"
#include "gastube/circuit/filament_lamp.hpp"
#include "gastube/circuit/recorder.hpp"
#include "gastube/circuit/resistor.hpp"
#include "gastube/circuit/sources.hpp"
#include "gastube/circuit/voltmeter.hpp"
#include "gastube/tube/family/ideal.hpp"

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;

namespace {
enum Nodes : Node { ground, supply, plate, grid, node_count };

auto relaxation_oscillator() {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 16, .sustaining_current = 5e-3}.build();
  return wire<node_count>(DcSource{supply, ground, 300.0}, named("charging", Resistor{supply, plate, 470e3}),
                          Capacitor{plate, ground, 10e-9}, DcSource{grid, ground, -6.0}, Voltmeter{plate, ground, 1e12},
                          named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = ground})));
}
}  // namespace

TEST_CASE("a recorder keeps both sides of a jump and the log of events in order") {
  const auto circuit = relaxation_oscillator();
  Recorder recorder{VoltageProbe{plate}, CurrentProbe{circuit.find("charging")}, VoltageProbe{supply, plate}};
  auto run = shared_start(circuit);
  REQUIRE(run.run_until(6e-3, recorder) == Status::done);

  REQUIRE(recorder.changes().size() >= 4);
  CHECK(std::string(recorder.changes()[0].change.from) == "blocked");
  CHECK(std::string(recorder.changes()[0].change.subject) == "tube");
  const double strike = recorder.changes()[0].time;
  bool before = false, after = false;
  for (std::size_t k = 0; k < recorder.times().size(); ++k) {
    if (k > 0) CHECK(recorder.times()[k] >= recorder.times()[k - 1]);
    if (recorder.times()[k] != strike) continue;
    before = before || recorder.rows()[k][0] > 119.9;
    after = after || recorder.rows()[k][0] < 16.1;
  }
  CHECK(before);
  CHECK(after);
}

TEST_CASE("probes agree with each other and with Ohm's law") {
  const auto circuit = relaxation_oscillator();
  const auto doubled = [](const auto& run) { return 2 * voltage(run, plate); };
  Recorder recorder{VoltageProbe{plate}, CurrentProbe{circuit.find("charging")}, VoltageProbe{supply, plate}, doubled,
                    FollowerProbe{4, 0}};
  auto run = shared_start(circuit, Settings<double>{.longest_step = 1e-4});
  REQUIRE(run.run_until(2e-3, recorder) == Status::done);
  REQUIRE(recorder.rows().size() > 10);
  for (const auto& row : recorder.rows()) {
    CHECK(row[2] == closeness::relative(300 - row[0]).epsilon(1e-12));
    CHECK(row[1] == closeness::relative(row[2] / 470e3).epsilon(1e-12));
    CHECK(row[3] == 2 * row[0]);
  }
  CHECK(recorder.column(4).back() > recorder.column(4).front());  // the meter's integral has grown
  CHECK(recorder.column(0).size() == recorder.times().size());
}

TEST_CASE("an own unknown is recorded: a lamp warms up") {
  const auto circuit = wire<2>(DcSource{1, 0, 24.0}, FilamentLamp{1, 0, FilamentRating<double>{24, 0.04}});
  Recorder recorder{OwnProbe{1}};
  auto run = shared_start(circuit);
  REQUIRE(run.run_until(1e-6, recorder) == Status::done);
  REQUIRE(run.run_until(1.0, recorder) == Status::done);
  CHECK(recorder.column(0).front() == closeness::relative(0.11).epsilon(0.01));
  CHECK(recorder.column(0).back() == closeness::relative(1.0).epsilon(1e-3));
}
