// SPDX-License-Identifier: MIT
// My tube's drop was measured, and it is no straight line: what does that change?
//
// Mains voltages kill: behind an isolating transformer only, and by the rules where you live.
//
// Scenario: the footlights of a village theatre hang on an argon triode that rectifies 110 V at 50 Hz. Its drop was
// measured at three currents. The law for it stands in own_law/levelling_drop.hpp, outside the library.
#include <gastube/circuit/recorder.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "own_law/measured_tube.hpp"
#include "support/characteristic.hpp"
#include "support/command_line.hpp"
#include "support/output_files.hpp"
#include "support/report.hpp"

#include <algorithm>
#include <cstdio>
#include <numbers>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

using namespace gastube;
using own_law::LevellingDrop;

namespace {

struct Scenario {
  double supply = 110, load = 1200;
  LevellingDrop<double> drop{.least = 12.5, .swing = 9, .knee = 0.06};
  int cycles = 20;
  examples::OutputFiles files{.picture = "own_law.png", .table = ""};
};

/// What the load gets and what the tube keeps, as means over the run.
struct Yield {
  double current, tube_power, load_power;
  std::vector<examples::LogEntry> events;
};

/// Mean of a recorded quantity over time, by trapezia between the steps.
double mean(const std::vector<double>& times, const std::vector<double>& values) {
  double sum = 0;
  for (std::size_t k = 1; k < times.size(); ++k) sum += (times[k] - times[k - 1]) * (values[k] + values[k - 1]) / 2;
  return sum / (times.back() - times.front());
}
std::vector<double> product(std::vector<double> a, const std::vector<double>& b) {
  for (std::size_t k = 0; k < a.size(); ++k) a[k] *= b[k];
  return a;
}

/// The tube as a rectifier, its grid tied to the cathode through a resistor.
template <class Tube>
Yield rectify(const Tube& tube, const Scenario& s) {
  enum Nodes : Node { ground, line, plate, grid, node_count };
  const auto circuit =
      wire<node_count>(SineSource<double>{line, ground, {.amplitude = s.supply * std::numbers::sqrt2, .frequency = 50}},
                       named("footlights", Resistor{line, plate, s.load}), Resistor{grid, ground, 10e3},
                       named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = ground, .heater = ground})));
  auto run = start(circuit);
  Recorder recorder{CurrentProbe{circuit.find("footlights")}, VoltageProbe{plate}};
  const Status status = run.run_until(s.cycles / 50.0, recorder);
  if (!succeeded(status)) throw std::runtime_error(std::string("the run stopped: ") + name(status));
  const auto& times = recorder.times();
  const auto current = recorder.column(0), plate_volts = recorder.column(1);
  std::vector<examples::LogEntry> events;
  for (const auto& [time, change] : recorder.changes())
    events.push_back({time, change.subject, change.from, change.to, change.why});
  return {mean(times, current), mean(times, product(current, plate_volts)),
          s.load * mean(times, product(current, current)), events};
}

examples::CharacteristicSheet sheet_of(const Scenario& s, const LinearDrop<double>& straight, double peak) {
  examples::Curve levelling{"measured: a law of its own", {}, {}}, line{"handbook: straight line", {}, {}};
  const double rating = catalogue::data_884.peak_current;
  for (double i = 0; i <= 1.05 * std::max(peak, rating); i += peak / 200) {
    levelling.x.push_back(i), levelling.y.push_back(s.drop.voltage(i));
    line.x.push_back(i), line.y.push_back(straight.voltage(i));
  }
  return {.title = "Arc drop of the footlights' tube",
          .x = {"plate current", "A"},
          .y = {"arc drop", "V"},
          .curves = {levelling, line},
          .x_limits = {{"peak of the run", peak}, {"peak rating", rating}}};
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("own_law",
                             "An argon triode with a measured drop, given to the library as a law of its own.");
  line.option("supply", s.supply, "V", "rms supply voltage at 50 Hz", {40, 200});
  line.option("load", s.load, "ohm", "footlights", {500, 1e5});
  line.option("least", s.drop.least, "V", "measured drop at no current", {1, 100});
  line.option("swing", s.drop.swing, "V", "what it rises by at a great current", {0, 100});
  line.option("knee", s.drop.knee, "A", "current at which half of that is reached", {1e-4, 10});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

}  // namespace

int main(int argc, char** argv) try {
  Scenario s;
  if (const auto exit = read(s, argc, argv)) return *exit;
  const auto handbook_tube = catalogue::type_884();
  const auto own_tube = own_law::measured_tube(s.drop);
  const LinearDrop<double> straight = handbook_tube.laws().arc.inner;
  const Yield by_book = rectify(handbook_tube, s), by_own = rectify(own_tube, s);
  const double peak = (s.supply * std::numbers::sqrt2 - s.drop.least) / s.load;

  examples::print(examples::heading("What does the measured drop change?"));
  examples::print(examples::answer_table({
      examples::fact("mean current, handbook drop", by_book.current, "A"),
      examples::fact("mean current, measured drop", by_own.current, "A"),
      examples::at_most("peak current", peak, "A", catalogue::data_884.peak_current),
      examples::fact("heat in the tube, handbook drop", by_book.tube_power, "W"),
      examples::fact("heat in the tube, measured drop", by_own.tube_power, "W"),
      examples::fact("power in the footlights, measured drop", by_own.load_power, "W"),
  }));
  examples::print(examples::paragraph(
      "The law is one header, examples/own_law/levelling_drop.hpp: its parameters, check(), voltage() and slope(). One "
      "line of the tests' law harness asks of the tube that has it all that is asked of the library's own."));
  examples::print(examples::event_log(by_own.events, 12));
  const bool written = examples::deliver(sheet_of(s, straight, peak), s.files);
  examples::print(examples::what_to_change({"--load 3k: at small currents the measured drop is the smaller one.",
                                            "--supply 60: the drop counts for more.",
                                            "--swing 0: a drop that does not change, as in the textbook.",
                                            "The law itself: examples/own_law/levelling_drop.hpp."}));
  return written ? 0 : 1;
} catch (const std::exception& error) {
  std::fprintf(stderr, "own_law: %s\n", error.what());
  return 2;
}
