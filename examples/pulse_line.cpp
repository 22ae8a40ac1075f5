// SPDX-License-Identifier: MIT
// A demonstration of echoes at a harbour museum wants short, square pulses. A choke charges an artificial line to twice
// the supply, and a hydrogen tube discharges the line into its load. How long, how high and how flat is the pulse, what
// does it ask of the tube, and is the tube out before the line is charged again?
#include <gastube/catalogue/hydrogen.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support/artificial_line.hpp"
#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/deionisation.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/pulse_shape.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::engineering, examples::fact;
enum Nodes : Node { ground, supply, choke_end, plate, load, trigger, grid, despiked, first_section };

struct Scenario {
  std::string tube = "4C35";
  double volts = 3200, choke = 2, choke_ohms = 150, impedance = 50, length = 1.25e-6, load = 46, rate = 800;
  double pulse = 250, driver = 500, end_coil = 1.15;
  double stray = 20e-12, damper = 100e-12, damping = 470;
  int sections = 6;
  examples::OutputFiles files{.picture = "pulse_line.png", .table = ""};
  examples::OutputFiles charging{.picture = "pulse_line_charging.png", .table = ""};

  [[nodiscard]] const catalogue::HydrogenData& data() const {
    return examples::type_in(catalogue::hydrogen_tubes, tube);
  }
  [[nodiscard]] examples::ArtificialLine line() const { return {sections, impedance, length}; }
  [[nodiscard]] double drop() const { return data().tube.arc_drop.value; }
  /// When the tube is fired for the n-th time.
  [[nodiscard]] double fired(int n) const { return (n + 0.9) / rate; }
  [[nodiscard]] double end() const { return fired(1) + 0.7 / rate; }
};

/// The line's one end is the plate; what its capacitors stand on is the load, the other end of which is ground.
auto circuit_of(const Scenario& s) {
  constexpr double quality = 100;  // of the coils, at the rate of a section
  std::vector<Inductor<double>> coils;
  std::vector<Capacitor<double>> capacitors;
  for (Node k = 0; k < s.sections; ++k) {
    coils.push_back({k == 0 ? Node(plate) : first_section + k - 1, first_section + k,
                     s.line().section_inductance() * (k == 0 ? s.end_coil : 1), s.impedance / quality});
    capacitors.push_back({first_section + k, load, s.line().section_capacitance()});
  }
  return wire_dynamic(
      std::size_t(first_section + s.sections), DcSource{supply, ground, s.volts},
      named("choke", Inductor{supply, choke_end, s.choke, s.choke_ohms}),
      named("charging diode", Diode<double>{choke_end, plate, {.drop = 1, .slope = 10, .leakage = 1e-9}}), coils,
      capacitors, named("load", Resistor{ground, load, s.load}), Capacitor{plate, ground, s.stray},
      Resistor{plate, despiked, s.damping}, Capacitor{despiked, ground, s.damper},
      PulseSource<double>{
          trigger, ground, {.low = 0, .high = s.pulse, .delay = s.fired(0), .width = 1e-6, .period = 1 / s.rate}},
      Resistor{trigger, grid, s.driver},
      named("tube", wired(catalogue::build(s.data()), {.plate = plate, .grid = grid, .cathode = ground})));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("pulse_line", "A line discharged by a hydrogen tube: how long, how high, how flat?");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::hydrogen_tubes));
  line.option("supply", s.volts, "V", "that charges the line to twice as much", {100, 10e3});
  line.option("choke", s.choke, "H", "that charges the line", {1e-3, 100});
  line.option("sections", s.sections, "of the line", {1, 30});
  line.option("impedance", s.impedance, "ohm", "of the line", {1, 1e3});
  line.option("length", s.length, "s", "of the pulse, by the closed form", {1e-7, 1e-4});
  line.option("end-coil", s.end_coil, "", "coil next to the tube, as many times as large as the others", {0.5, 3});
  line.option("load", s.load, "ohm", "load", {1, 1e3});
  line.option("rate", s.rate, "Hz", "pulses per second", {1, 1e5});
  line.option("pulse", s.pulse, "V", "of the grid, unloaded", {10, 1000});
  line.option("driver", s.driver, "ohm", "of the grid pulse's source", {1, 5000});
  examples::add_output_options(line, s.files);
  line.option("charging-picture", s.charging.picture, "file for the picture of the charging, or none");
  const auto exit = line.parse(argc, argv);
  if (!exit && s.rate * (s.length + 100e-6) > 1)
    throw std::invalid_argument("--rate leaves no time to charge the line");
  return exit;
}

examples::Observed observed(const Scenario& s) {
  const auto& d = s.data();
  const auto circuit = circuit_of(s);
  auto run = start(circuit);
  auto seen = examples::observe(
      run, s.end(),
      {{"load", "V", {{"", VoltageProbe{ground, load}}}, {}},
       {"tube current", "A", {{"", CurrentProbe{circuit.find("tube")}}}, {{"peak rating", d.tube.peak_current.value}}},
       {"plate",
        "V",
        {{"", VoltageProbe{plate}}},
        {{"peak forward", d.tube.peak_forward.value}, {"inverse, 25 us", -d.inverse_after.value}}},
       {"grid", "V", {{"", VoltageProbe{grid}}}, {}},
       {"choke current", "A", {{"", CurrentProbe{circuit.find("choke")}}}, {}}});
  for (int n = 0; n < 2; ++n) seen.sheet.events.push_back({s.fired(n), "grid pulse"});
  seen.mark("tube", "conducting", "tube fires");
  seen.sheet.title =
      fmt::format("Echo pulser: {} sections of {}, {}", s.sections, engineering(s.impedance, "ohm"), s.tube);
  return seen;
}

/// What the second pulse asks of the tube.
struct Outcome {
  examples::PulseShape shape;
  PulseDuty<double> duty;
  double charged = 0, residue = 0, held = 0;
};
/// s after `from` until a trace is above `level` for the first time.
double time_above(const examples::Trace& t, double from, double level) {
  for (std::size_t k = 0; k < t.time.size(); ++k)
    if (t.time[k] > from && t.value[k] > level) return t.time[k] - from;
  return std::nan("");
}
Outcome outcome_of(const Scenario& s, const examples::Observed& seen) {
  Outcome o;
  const auto lit = seen.events.of("tube", "conducting");
  const auto out = lit.size() < 2 ? lit : seen.events.of("tube", "recovering");
  const auto ended = std::find_if(out.begin(), out.end(), [&](double time) { return time > lit.back(); });
  if (lit.size() != 2 || ended == out.end()) return o;
  const double end = *ended;
  const auto& plate_volts = seen.trace(2);
  o.shape = examples::shape_of(examples::clip(seen.trace(0), s.fired(1), s.fired(1) + 4 * s.length));
  const double peak = seen.greatest(examples::clip(seen.trace(1), s.fired(1), seen.end));
  o.charged = examples::clip(plate_volts, s.fired(0) + 0.5 * s.length, s.fired(1)).value.back();
  const auto after = examples::clip(plate_volts, end, seen.end);
  o.residue = examples::mean_of(examples::clip(plate_volts, end + s.length, end + 9 * s.length));
  o.held = time_above(after, end, s.data().least_plate.value);
  o.duty = {.plate = o.charged,
            .current = peak,
            .width = o.shape.width,
            .rate = s.rate,
            .current_rise = o.shape.steepest / s.load,
            .inverse_after = std::max(0.0, -seen.least(after))};
  return o;
}

std::vector<examples::AnswerRow> rows_of(const Scenario& s, const Outcome& o) {
  const auto line = s.line();
  const double ideal = line.current(o.charged, s.drop(), s.load);
  const examples::ResonantCharging charging{s.volts, s.choke, line.capacitance(), o.residue};
  return {
      fact("each section", line.section_inductance(), "H", engineering(line.section_capacitance(), "F") + " each"),
      fact("line is charged in, by the closed form", charging.duration(), "s"),
      fact("line is charged to, by the closed form", charging.greatest(), "V"),
      fact("line is charged to, in this run", o.charged, "V"),
      fact("pulse length, 2 n sqrt(L C)", s.length, "s"),
      fact("pulse length at half height, in this run", o.shape.width, "s"),
      fact("rises from 10 to 90 % in", o.shape.rise, "s"),
      fact("current, (V - Vd) / (Z + R)", ideal, "A"),
      fact("current on the top, in this run", o.shape.top / s.load, "A",
           engineering(o.shape.top, "V", 3) + " at the load"),
      fact("top is even to", 100 * o.shape.unevenness, "%", "of its middle 60 %, either way"),
      fact("power while it lasts", o.shape.top * o.shape.top / s.load, "W"),
      fact("left on the line, by the closed form", line.residue(o.charged, s.drop(), s.load), "V"),
      fact("left on the line, in this run", o.residue, "V"),
  };
}

/// A rate of rise reads better in A/us.
examples::AnswerRow rating_row(const PulseLine<double>& rating) {
  const bool rise = std::string_view(rating.unit) == "A/s";
  const double scale = rise ? 1e-6 : 1;
  return at_most(rating.rating, scale * rating.value, rise ? "A/us" : rating.unit, scale * rating.limit);
}

/// s until the tube holds what the grid could fire.
double recovery_of(const Scenario& s, double current) {
  const auto& d = s.data();
  return examples::deionisation_time(catalogue::build(d), {current, 0, s.driver, d.least_plate.value});
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  auto seen = observed(s);
  const Outcome o = outcome_of(s, seen);
  examples::print(examples::caution(
      2 * s.volts,
      "The line and its choke reach twice the supply and stay charged: bleed and short them before touching "
      "anything. Above some 15 kV expect X-rays."));
  examples::print(examples::heading("How long, how high, how flat, and is the tube out in time?"));
  if (o.shape.width > 0) {
    auto rows = rows_of(s, o);
    rows.push_back(
        at_least("plate is back at what a grid can fire after", o.held, "s", recovery_of(s, o.shape.top / s.load)));
    const auto report = pulse_report(catalogue::pulse_ratings(d), o.duty);
    for (const auto& rating : report.lines)
      if (rating.use > 0) rows.push_back(rating_row(rating));
    rows.push_back(at_least("trigger, unloaded", s.pulse, "V", d.least_trigger.value));
    examples::print(examples::answer_table(rows));
    examples::print(examples::paragraph(
        report.all_kept()
            ? fmt::format("All ratings are kept. Nearest to its limit: {}, {:.0f} %. Up to {} pulses a second.",
                          report.worst().rating, 100 * report.worst().use,
                          engineering(greatest_repetition(catalogue::pulse_ratings(d), o.duty), "", 3))
            : fmt::format("Exceeded first: {}, {:.0f} % of its limit.", report.worst().rating,
                          100 * report.worst().use)));
  } else {
    examples::print(examples::paragraph(
        "It does not give two single pulses: the tube is not fired, or relights after its pulse and stays lit."));
  }
  examples::print(examples::log_of(seen, 24));
  const double fired = s.fired(1);
  bool written = examples::deliver(seen.sheet, s.files, examples::Window{fired - 0.3 * s.length, fired + 3 * s.length});
  written = examples::deliver(seen.sheet, s.charging) && written;
  examples::print(examples::what_to_change(
      {"--sections 2: a rounded top; 15: a flatter one, and a steeper rise than the tube may have.",
       "--end-coil 1: the first crest stands out, as in a line of equal coils.",
       "--load 40: more current, and what is left on the line is more negative, which helps the tube to recover.",
       "--load 65: what is left is positive, and the tube relights until the choke feeds it for good.",
       "--supply 4200: beyond the tube's forward rating.", "--rate 1100: beyond its average current."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("pulse_line", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
