// SPDX-License-Identifier: MIT
// Saw-tooth of a gas triode across a capacitor, discharged in an instant. 300 V through 470 kohm into 10 nF; control
// ratio 20 and -6 V on the grid fire it at 120 V, it goes out at 16 V. Formulas: handbooks of the trade, from memory
// (H. J. Reich, Theory and Applications of Electron Tubes, 1944); numbers worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, plate, grid, node_count };

[[nodiscard]] auto tube() {
  return wired(IdealTube<double>{.control_ratio = 20, .arc_drop = 16, .sustaining_current = 5e-3}.build(),
               {.plate = plate, .grid = grid, .cathode = ground});
}

/// With this part between grid and ground.
template <class GridSource>
[[nodiscard]] auto oscillator(const GridSource& bias) {
  return shared_start(wire<node_count>(DcSource{supply, ground, 300.0}, Resistor{supply, plate, 470e3},
                                       Capacitor{plate, ground, 10e-9}, bias, tube(), Voltmeter{plate, ground, 1e15}),
                      tight<double>());
}
/// Times of firing in a run of `length` seconds.
template <class GridSource>
[[nodiscard]] std::vector<double> firings(const GridSource& bias, double length) {
  auto run = oscillator(bias);
  EventLog<double> log;
  REQUIRE(run.run_until(length, log) == Status::done);
  CHECK(log.events.size() <= 4 * log.count("ideal tube", "conducting") + 4);  // no chatter
  return log.times("ideal tube", "conducting");
}

/// Longest and shortest time between neighbours.
[[nodiscard]] std::pair<double, double> intervals(const std::vector<double>& times) {
  REQUIRE(times.size() > 2);
  double least = 1e30, greatest = 0;
  for (std::size_t k = 1; k < times.size(); ++k) {
    least = std::min(least, times[k] - times[k - 1]);
    greatest = std::max(greatest, times[k] - times[k - 1]);
  }
  return {least, greatest};
}

/// A pentode's plate: constant current. A part of this test's own.
struct ConstantCurrent {
  using Scalar = double;
  Node from, to;
  double amperes;
  const char* label = "constant current";
  [[nodiscard]] std::array<Node, 2> terminals() const { return {from, to}; }
  void write(PartEquations<double>& eq, const NoMemory&) const { eq.current(from, to, amperes); }
};

/// Greatest and least voltage of the plate.
struct Swing {
  double greatest = -1e9, least = 1e9;
  template <class Run>
  void step(const Run& run) {
    greatest = std::max(greatest, voltage(run, plate));
    least = std::min(least, voltage(run, plate));
  }
};

}  // namespace

TEST_CASE("the period is RC ln((E - Ve) / (E - Vs))") {
  const auto times = firings(DcSource{grid, ground, -6.0}, 12e-3);
  REQUIRE(times.size() == 5);
  const auto [least, greatest] = intervals(times);
  CHECK(relative_gap(least, 0.00214328172) < 1e-6);
  CHECK(relative_gap(greatest, 0.00214328172) < 1e-6);
}

TEST_CASE("over a whole cycle the capacitor's mean voltage is E - (Vs - Ve) RC / T, and its swing 104 V") {
  auto run = shared_start(wire<node_count>(DcSource{supply, ground, 300.0}, Resistor{supply, plate, 470e3},
                                           Capacitor{plate, ground, 10e-9, 16.0}, DcSource{grid, ground, -6.0}, tube(),
                                           Voltmeter{plate, ground, 1e15}),
                          tight<double>());
  const std::size_t meter = run.system().find("voltmeter");
  EventLog<double> log;
  REQUIRE(run.run_until(1e-3, log) == Status::done);
  while (log.count("ideal tube", "blocked") == 0) REQUIRE(succeeded(run.next_event(0.1, log)));
  const double from = run.time(), area = follower(run, meter, 0);
  Swing swing;
  REQUIRE(run.run_until(from + 0.00214328172, swing) == Status::done);
  CHECK(relative_gap((follower(run, meter, 0) - area) / 0.00214328172, 71.9385205) < 1e-6);
  // the last step before the firing ends at 120 V, less what the firing itself takes away within that step
  CHECK(swing.least >= 16.0 - 1e-6);
  CHECK(swing.greatest < 120.0 + 1e-6);
  CHECK(swing.greatest > 119.0);
}

TEST_CASE("the firing point and the point of extinction are 120 V and 16 V") {
  auto run = shared_start(wire<node_count>(DcSource{supply, ground, 300.0}, Resistor{supply, plate, 470e3},
                                           Capacitor{plate, ground, 10e-9, 16.0}, DcSource{grid, ground, -6.0}, tube(),
                                           Voltmeter{plate, ground, 1e15}),
                          tight<double>());
  REQUIRE(run.run_until(0.0021432) == Status::done);
  CHECK(relative_gap(voltage(run, plate), 300 - 284 * std::exp(-0.0021432 / 4.7e-3)) < 1e-7);
  struct Arrival {
    double volts = 0;
    void arrive(const decltype(run)& now) { volts = voltage(now, plate); }
  } arrival;
  // strikes, lights, empties the capacitor and goes out, all at one instant
  REQUIRE(run.next_event(0.1, arrival) == Status::event);
  CHECK(relative_gap(arrival.volts, 120.0) < 1e-9);
  CHECK(relative_gap(run.time(), 0.0021432817) < 1e-7);
  CHECK(tube_state(run, "ideal tube") == TubeState::blocked);
  CHECK(relative_gap(voltage(run, plate), 16.0) < 1e-9);
}

TEST_CASE("one volt more on the grid lowers the firing point by the control ratio: 0.001648 s") {
  const auto [least, greatest] = intervals(firings(DcSource{grid, ground, -5.0}, 12e-3));
  CHECK(relative_gap(least, 0.0016480873) < 1e-6);
  CHECK(relative_gap(greatest, 0.0016480873) < 1e-6);
}

TEST_CASE("pulses of one volt lock the oscillator to any period above that, and to none below") {
  const auto pulses = [](double period) {
    return PulseSource<double>{grid, ground, {.low = -6, .high = -5, .delay = 1e-3, .width = 5e-6, .period = period}};
  };
  auto locked = firings(pulses(1.70e-3), 30e-3);
  locked.erase(locked.begin(), locked.begin() + 3);  // pulling in
  const auto [least, greatest] = intervals(locked);
  CHECK(relative_gap(least, 1.70e-3) < 1e-6);
  CHECK(relative_gap(greatest, 1.70e-3) < 1e-6);
  CHECK(intervals(firings(pulses(1.60e-3), 30e-3)).first > 0.0016480873 - 1e-9);
}

TEST_CASE("with a constant charging current the period is C (Vs - Ve) / I") {
  enum { gnd, top, drive, count };
  const auto gas_triode =
      wired(IdealTube<double>{.control_ratio = 20, .arc_drop = 16, .sustaining_current = 5e-3}.build(),
            {.plate = top, .grid = drive, .cathode = gnd});
  auto run = shared_start(wire<count>(ConstantCurrent{gnd, top, 1e-3}, Capacitor{top, gnd, 10e-9, 16.0},
                                      DcSource{drive, gnd, -6.0}, gas_triode),
                          tight<double>());
  EventLog<double> log;
  REQUIRE(run.run_until(10e-3, log) == Status::done);
  const auto times = log.times("ideal tube", "conducting");
  REQUIRE(times.size() == 9);
  for (std::size_t k = 0; k < times.size(); ++k) CHECK(relative_gap(times[k], double(k + 1) * 0.00104) < 1e-9);
}

TEST_CASE("what its source delivers is dissipated, stored, or lost as the tube fires") {
  check_energy(oscillator(DcSource{grid, ground, -6.0}), 12e-3);
}
