// SPDX-License-Identifier: MIT
// A school laboratory's oscilloscope gets its time base from an argon triode that empties a capacitor as often as it
// has charged to the critical plate voltage; a little of the signal on the grid holds the picture still. How fast does
// it sweep, how straight, and does the signal lock it?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/design/holding.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/search.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, top, plate, signal, grid, node_count };

struct Scenario {
  std::string tube = "884";
  double volts = 280, charging = 270e3, capacitor = 10e-9, limiter = 680, bias = -8, grid_resistor = 47e3;
  double sync_amplitude = 1.5, sync_frequency = 1750;
  int sweeps = 12;
  examples::OutputFiles files{.picture = "relaxation_oscillator.png", .table = ""};
};

auto circuit_of(const Scenario& s) {
  const auto tube = catalogue::build(examples::type_in(catalogue::argon_tubes, s.tube));
  return wire<node_count>(
      DcSource{supply, ground, s.volts}, Resistor{supply, top, s.charging}, Capacitor{top, ground, s.capacitor},
      named("limiter", Resistor{top, plate, s.limiter}),
      SineSource<double>{
          signal, ground, {.amplitude = s.sync_amplitude, .frequency = s.sync_frequency, .offset = s.bias}},
      Resistor{signal, grid, s.grid_resistor},
      named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = ground})));
}

/// Shortest and longest of the last half of the sweeps, which began at these times.
std::pair<double, double> settled_intervals(const std::vector<double>& fired) {
  std::pair<double, double> range{1e30, 0};
  for (std::size_t k = fired.size() / 2 + 1; k < fired.size(); ++k) {
    range.first = std::min(range.first, fired[k] - fired[k - 1]);
    range.second = std::max(range.second, fired[k] - fired[k - 1]);
  }
  return range;
}

/// Signal periods to a sweep, over which all settled sweeps agree; 0 if they do not.
double locked_periods(const Scenario& s, const std::vector<double>& fired) {
  if (fired.size() < 6 || !(s.sync_amplitude > 0)) return 0;
  const auto [shortest, longest] = settled_intervals(fired);
  const double share = shortest * s.sync_frequency, whole = std::round(share);
  return longest - shortest < 1e-3 * shortest && std::fabs(share - whole) < 1e-3 ? whole : 0;
}

/// Frequency up to (or down to) which the signal still locks that many periods to a sweep, Hz.
double edge_of_lock(const Scenario& s, double periods, double free_period, bool upwards) {
  const auto locks = [&](double ratio) {
    Scenario trial = s;
    trial.sync_frequency = upwards ? s.sync_frequency * ratio : s.sync_frequency / ratio;
    examples::EventTimes seen;
    auto run = start(circuit_of(trial));
    return examples::calm_until(run, 40 * free_period, 1000, seen)
           && locked_periods(trial, seen.of("tube", "conducting")) == periods;
  };
  const double ratio = examples::greatest_working(1.0, 3.0, 0.005, locks).value_or(1);
  return upwards ? s.sync_frequency * ratio : s.sync_frequency / ratio;
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("relaxation_oscillator", "A saw-tooth from a gas triode, and a signal that locks it.");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::argon_tubes));
  line.option("supply", s.volts, "V", "supply", {30, 600});
  line.option("charging", s.charging, "ohm", "resistor that charges the capacitor", {1e3, 1e8});
  line.option("capacitor", s.capacitor, "F", "across the tube", {1e-11, 1e-4});
  line.option("limiter", s.limiter, "ohm", "in the plate lead", {10, 1e5});
  line.option("bias", s.bias, "V", "grid bias, which sets the firing point", {-60, 0});
  line.option("sync", s.sync_amplitude, "V", "peak of the signal on the grid; 0 lets it run free", {0, 50});
  line.option("signal", s.sync_frequency, "Hz", "frequency of the signal", {0.1, 1e6});
  line.option("sweeps", s.sweeps, "in the picture", {3, 40});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

int answer(const Scenario& s) {
  const auto circuit = circuit_of(s);
  const auto tube = catalogue::build(examples::type_in(catalogue::argon_tubes, s.tube));
  const auto& ratings = tube.laws().ratings;
  const double strike = critical_plate(tube.laws().ignition, s.bias, 2 * s.volts);
  const double least = tube.least_current(), drop = tube.laws().arc.voltage(least);
  const double out = drop + least * s.limiter, rc = s.charging * s.capacitor;
  const auto hold = design::holding(s.volts, drop, s.charging + s.limiter, least);
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("How fast does it sweep, how straight, and does the signal lock it?"));
  if (strike >= s.volts || hold.margin >= 0) {
    examples::print(examples::answer_table(
        {fact("fires at", strike, "V"), at_most("current while lit", hold.available, "A", least)}));
    examples::print(examples::paragraph(strike >= s.volts
                                            ? "It never fires: the bias holds off the whole supply."
                                            : "It fires once and stays lit: the resistor feeds the arc."));
    return 0;
  }
  const double free_period = rc * std::log((s.volts - out) / (s.volts - strike));
  auto run = start(circuit);
  auto seen = examples::observe(
      run, (s.sweeps + 0.5) * free_period + rc,
      {{"capacitor", "V", {{"", VoltageProbe{top}}}, {{"critical, signal at rest", strike}, {"arc goes out", out}}},
       {"bias with the signal", "V", {{"", VoltageProbe{signal}}}, {{"bias", s.bias}}},
       {"plate current", "A", {{"", CurrentProbe{circuit.find("tube")}}}, {{"peak rating", ratings.peak_current}}}});
  const auto fired = seen.events.of("tube", "conducting");
  const auto [shortest, longest] = settled_intervals(fired);
  const double per_sweep = locked_periods(s, fired);
  const auto& height = seen.trace(0);
  std::vector<examples::AnswerRow> rows{
      fact("fires at, signal at rest", strike, "V"),
      fact("goes out at", out, "V"),
      fact("free sweep, R C ln((E - Ve) / (E - Vs))", free_period, "s", examples::engineering(1 / free_period, "Hz")),
      fact("sweep in this run, shortest", shortest, "s", examples::engineering(1 / shortest, "Hz")),
      fact("sweep in this run, longest", longest, "s"),
      fact("slope lost from start to end of a sweep", 100 * (strike - out) / (s.volts - out), "%"),
      fact("highest capacitor voltage", seen.greatest(height), "V"),
      at_most("peak plate current", seen.greatest(seen.trace(2)), "A", ratings.peak_current),
      at_most("current the resistor can feed", hold.available, "A", least),
      at_least("charging resistor", s.charging, "ohm", hold.greatest_resistance - s.limiter),
  };
  if (per_sweep > 0) {
    rows.push_back(at_least("signal, lowest that locks as many periods", s.sync_frequency, "Hz",
                            edge_of_lock(s, per_sweep, free_period, false)));
    rows.push_back(at_most("signal, highest that locks as many periods", s.sync_frequency, "Hz",
                           edge_of_lock(s, per_sweep, free_period, true)));
  }
  examples::print(examples::answer_table(rows));
  examples::print(examples::paragraph(
      per_sweep > 0
          ? fmt::format("Locked: one sweep to every {:.0f} period(s) of the signal; the picture stands still.",
                        per_sweep)
          : std::string("Not locked: the sweeps are no whole number of the signal's periods, or there is no signal.")));
  seen.sheet.title = fmt::format("Time base with a {} on {}", s.tube, examples::engineering(s.volts, "V"));
  seen.mark("tube", "conducting", "fires");
  examples::print(examples::log_of(seen, 24));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--sync 0: runs free, at its own rate.",
       "--signal 1900: out of lock, and the picture drifts; 1500 locks, and 2300 at one sweep to three periods.",
       "--bias -4: fires lower, sweeps faster and straighter, with less height.",
       "--charging 60k: more than the least current can be fed, and the tube stays lit.",
       "--limiter 100: a larger peak of current, and a shorter flyback."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("relaxation_oscillator", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
