// SPDX-License-Identifier: MIT
// I have a solver of my own: how do I put one tube of the library into it, and is it right?
//
// Scenario: the metronome of a puppet theatre is a relaxation oscillator with an argon triode whose bias is swung
// slowly, so that it hurries and drags. The host that steps it is own_solver/host.hpp, a Runge-Kutta loop that knows
// this one circuit; here it is held against the library's own stepper on the same circuit.
#include <gastube/catalogue/argon.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "own_solver/host.hpp"
#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/report.hpp"
#include "support/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, top, plate, bias, node_count };

struct Scenario {
  std::string tube = "884";
  own_solver::Circuit circuit{};
  double tolerance = 1e-9, length = 0.2;
  examples::OutputFiles files{.picture = "own_solver.png", .table = ""};
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::argon_tubes, tube); }
};

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("own_solver", "One tube in a solver of somebody's own, against the library's.");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::argon_tubes));
  line.option("supply", s.circuit.supply, "V", "supply", {30, 300});
  line.option("charging", s.circuit.charging, "ohm", "resistor that charges the capacitor", {1e3, 1e8});
  line.option("capacitor", s.circuit.capacitor, "F", "across lamp and tube", {1e-9, 1e-4});
  line.option("lamp", s.circuit.lamp, "ohm", "in the plate lead", {10, 1e5});
  line.option("bias", s.circuit.bias, "V", "of the grid", {-100, -1});
  line.option("swing", s.circuit.swing, "V", "of the bias", {0, 50});
  line.option("beat", s.circuit.beat, "Hz", "of the swing", {0.01, 1e4});
  line.option("tolerance", s.tolerance, "", "of the host's steps and of the library's", {1e-12, 1e-4});
  line.option("length", s.length, "s", "of the run", {1e-3, 10});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

/// The tube without its capacitances: the host has no equation for a plate with a charge of its own.
template <class Tube>
Tube without_capacitances(const Tube& tube) {
  auto laws = tube.laws();
  laws.capacitances = {};
  return Tube(laws, tube.type());
}

template <class Tube>
auto circuit_of(const own_solver::Circuit& c, const Tube& tube) {
  return wire<node_count>(
      DcSource{supply, ground, c.supply}, Resistor{supply, top, c.charging}, Capacitor{top, ground, c.capacitor},
      named("lamp", Resistor{top, plate, c.lamp}),
      SineSource<double>{bias, ground, {.amplitude = c.swing, .frequency = c.beat, .offset = c.bias}},
      named("library", wired(tube, {.plate = plate, .grid = bias, .cathode = ground, .heater = ground})));
}

/// A run by the host, as the examples keep runs.
struct HostRun {
  examples::EventTimes events{};
  examples::Trace volts{"host", {}, {}}, current{"host", {}, {}};
  long steps = 0;
};
template <class Tube>
HostRun run_host(const Scenario& s, const Tube& tube) {
  own_solver::Host<Tube> host(s.circuit, tube, s.tolerance);
  HostRun kept;
  host.run(
      s.length,
      [&](const auto& now) {
        kept.volts.time.push_back(now.time()), kept.volts.value.push_back(now.volts());
        kept.current.time.push_back(now.time()), kept.current.value.push_back(now.plate_current());
      },
      [&](double time, const Transition& row) {
        kept.events.change(time, Change{"host", name(row.from), name(row.to), name(row.cause)});
      });
  kept.steps = host.steps();
  return kept;
}

/// Adds the host's traces and states to what was seen of the library's run.
void join(examples::Observed& seen, const HostRun& host) {
  seen.sheet.panels[0].traces.insert(seen.sheet.panels[0].traces.begin(), host.volts);
  seen.sheet.panels[1].traces.insert(seen.sheet.panels[1].traces.begin(), host.current);
  examples::Observed ours{.events = host.events, .begin = seen.begin, .end = seen.end};
  ours.open_band("host", name(TubeState::blocked));
  ours.close_bands();
  seen.sheet.bands.insert(seen.sheet.bands.begin(), ours.sheet.bands.front());
}

/// s, the greatest difference of the times of beats, as far as both have them; NaN if there is none.
double greatest_gap(const std::vector<double>& one, const std::vector<double>& other) {
  double gap = std::nan("");
  for (std::size_t k = 0; k < std::min(one.size(), other.size()); ++k)
    gap = std::fmax(gap, std::fabs(one[k] - other[k]));
  return gap;
}

/// The events of the host, with what the library says of each.
std::string side_by_side(const HostRun& host, const examples::EventTimes& library) {
  std::vector<std::vector<std::string>> rows;
  for (std::size_t k = 0; k < std::min({host.events.entries.size(), library.entries.size(), std::size_t(12)}); ++k) {
    const auto &ours = host.events.entries[k], &theirs = library.entries[k];
    rows.push_back({fmt::format("{:.12f}", ours.time), fmt::format("{:.12f}", theirs.time),
                    examples::engineering(ours.time - theirs.time, "s", 2), ours.from, ours.to, theirs.to});
  }
  return examples::text_table(
      {{"host [s]", true}, {"library [s]", true}, {"host later by", true}, {"from"}, {"to, host"}, {"to, library"}},
      rows);
}

int answer(const Scenario& s) {
  const auto tube = without_capacitances(catalogue::build(s.data()));
  const HostRun host = run_host(s, tube);
  const Settings<double> settings{.relative = s.tolerance, .absolute = 0.1 * s.tolerance};
  auto run = start<Esdirk4>(circuit_of(s.circuit, tube), settings);
  auto seen = examples::observe(run, s.length,
                                {{"capacitor", "V", {{"library", VoltageProbe{top}}}},
                                 {"lamp current",
                                  "A",
                                  {{"library", CurrentProbe{run.system().find("lamp")}}},
                                  {{"peak rating", s.data().peak_current.value}}},
                                 {"bias", "V", {{"", VoltageProbe{bias}}}}});
  examples::EventTimes with_capacitances;
  auto whole = start<Esdirk4>(circuit_of(s.circuit, catalogue::build(s.data())), settings);
  examples::require_done(whole, whole.run_until(s.length, with_capacitances));

  examples::print(examples::caution(s.circuit.supply));
  examples::print(examples::heading("Is the host right?"));
  const auto beats = host.events.lit("host"), library_beats = seen.events.lit("library");
  examples::print(examples::answer_table({
      fact("beats of the host", double(beats.size()), ""),
      fact("beats of the library", double(library_beats.size()), "", seen.cut_short ? "run cut short, too many" : ""),
      at_most("beats differ by, at most", greatest_gap(beats, library_beats), "s", 1e-6),
      fact("the tube's capacitances shift them by", greatest_gap(with_capacitances.lit("library"), library_beats), "s",
           "left out by the host"),
      at_most("peak lamp current, host", examples::Observed::greatest(host.current), "A", s.data().peak_current.value),
      fact("peak lamp current, library", seen.greatest(seen.trace(1)), "A"),
      at_most("feed through the charging resistor, for the tube to go out", s.circuit.supply / s.circuit.charging, "A",
              tube.least_current()),
      fact("steps of the host", double(host.steps), "", "Runge-Kutta of order 4"),
      fact("steps of the library", double(seen.steps), "", Esdirk4::name),
  }));
  examples::print(examples::heading("How the events compare"));
  examples::print(side_by_side(host, seen.events));
  examples::print(examples::paragraph(
      "The host steps, looks at the guards of the tube's state at the end of the step, and where one has fallen halves "
      "the step until the fall is known to round-off; tube.leave() then makes the next state. All of it stands in "
      "examples/own_solver/host.hpp, and takes in nothing of the library but gastube/tube/machine.hpp."));
  seen.sheet.title = fmt::format("Metronome: a {} in a solver of one's own", s.tube);
  join(seen, host);
  for (const double time : beats) seen.sheet.events.push_back({time, "beat"});
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--tolerance 1e-5: host and library drift apart by some microseconds.",
       "--charging 60k: the feed keeps the tube alight, in both.", "--swing 0: an even beat.",
       "Another circuit: write its slopes() and view() in host.hpp. HostedTube (gastube/tube/hosted_tube.hpp) is the "
       "shorter way, for loops with steps so short that voltages may count as constant within one."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("own_solver", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
