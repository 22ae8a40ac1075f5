// SPDX-License-Identifier: MIT
// Which scheme for my circuit, and at which tolerance? Every scheme of the library runs the same circuit; the times of
// its events are held against the exact scheme where the circuit has one, else against a run to a tight tolerance.
//
// Scenario: the sea buoy of a harbour model: a relaxation oscillator flashes, and its coil rings at each flash. Put
// your own circuit into circuit_of(): the rest of the program does not know it.
//
// bench/compare_steppers is the large comparison, with closed forms and other people's solvers.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/recovery/exponential_recovery.hpp>

#include "support/caution.hpp"
#include "support/characteristic.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/progress.hpp"
#include "support/report.hpp"
#include "support/text_table.hpp"

#include <fmt/format.h>

#include <cmath>
#include <ctime>
#include <initializer_list>
#include <limits>

using namespace gastube;

namespace {

constexpr double endless = std::numeric_limits<double>::infinity();

struct Scenario {
  double volts = 250, charging = 100e3, capacitor = 47e-9, lamp = 220, length = 0.1, wanted = 1e-6;
  examples::OutputFiles files{.picture = "scheme_comparison.png", .table = ""};
};

// ---- the circuit: yours goes here
// ------------------------------------------------------------------------------------

auto circuit_of(const Scenario& s) {
  enum Nodes : Node { ground, supply, top, plate, swell, node_count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 16, .sustaining_current = 5e-3}.build(
      ExponentialRecovery<double>{30e-6, 0.97});
  return wire<node_count>(DcSource{supply, ground, s.volts}, Resistor{supply, top, s.charging},
                          Capacitor{top, ground, s.capacitor}, named("lamp", Resistor{top, plate, s.lamp}),
                          SineSource<double>{swell, ground, {.amplitude = 2, .frequency = 30, .offset = -6}},
                          named("tube", wired(tube, {.plate = plate, .grid = swell, .cathode = ground})));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("scheme_comparison", "One circuit by every scheme: work against error.");
  line.option("supply", s.volts, "V", "supply", {170, 400});
  line.option("charging", s.charging, "ohm", "resistor that charges the capacitor", {85e3, 1e7});
  line.option("capacitor", s.capacitor, "F", "that lamp and tube discharge", {1e-9, 1e-5});
  line.option("lamp", s.lamp, "ohm", "in the plate lead", {10, 1e4});
  line.option("length", s.length, "s", "of the run", {1e-3, 10});
  line.option("wanted", s.wanted, "s", "error of an event that you can live with", {1e-12, 1e-2});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

// ---- measuring
// -------------------------------------------------------------------------------------------------------

/// Times of all events of a run, and what they cost.
struct Measured {
  std::string scheme{};
  double tolerance = 0;  ///< relative; 0 for none
  std::vector<examples::LogEntry> events{};
  long steps = 0;
  double seconds = 0;  ///< of processor time
  double error = 0;    ///< s, worst event; infinite where events are missing or too many
};

/// The quickest of five runs, or one where that takes long. Processor time, since other programs run too.
template <class Scheme, class Circuit>
Measured measure(const Circuit& circuit, double length, double tolerance) {
  Measured best{.scheme = Scheme::name, .tolerance = tolerance, .seconds = endless};
  for (int round = 0; round < 5 && (round == 0 || best.seconds < 0.1); ++round) {
    Settings<double> settings;
    if (tolerance > 0) settings.relative = tolerance, settings.absolute = 0.1 * tolerance;
    examples::EventTimes events;
    const std::clock_t begin = std::clock();
    auto run = start<Scheme>(circuit, settings);
    const Status status = run.run_until(length, events);
    const double seconds = double(std::clock() - begin) / CLOCKS_PER_SEC;
    examples::require_done(run, status);
    best.events = events.entries, best.steps = run.steps(), best.seconds = std::min(best.seconds, seconds);
  }
  return best;
}

double worst_event(const std::vector<examples::LogEntry>& found, const std::vector<examples::LogEntry>& right) {
  if (found.size() != right.size()) return endless;
  double worst = 0;
  for (std::size_t k = 0; k < found.size(); ++k) {
    if (found[k].tube != right[k].tube || found[k].to != right[k].to) return endless;
    worst = std::max(worst, std::fabs(found[k].time - right[k].time));
  }
  return worst;
}

/// All runs of one circuit.
template <class Circuit>
class Comparison {
 public:
  static constexpr bool has_exact = PiecewiseLinearSystem<Circuit>;

  Comparison(const Circuit& circuit, double length) : circuit_(circuit), length_(length) {
    if constexpr (has_exact)
      right_ = measure<Exact>(circuit, length, 0);
    else
      right_ = measure<Esdirk4>(circuit, length, 1e-12);
  }
  template <class Scheme>
  void to(std::initializer_list<double> tolerances) {
    for (const double tolerance : tolerances) {
      runs_.push_back(measure<Scheme>(circuit_, length_, tolerance));
      runs_.back().error = worst_event(runs_.back().events, right_.events);
      progress_.reach(double(runs_.size()) / 25);
    }
  }
  [[nodiscard]] const Measured& right() const { return right_; }
  [[nodiscard]] const std::vector<Measured>& runs() const { return runs_; }

 private:
  Circuit circuit_;
  double length_;
  Measured right_{};
  std::vector<Measured> runs_{};
  examples::Progress progress_{};
};

// ---- showing
// ---------------------------------------------------------------------------------------------------------

std::string table_of(const Measured& right, const std::vector<Measured>& runs) {
  std::vector<std::vector<std::string>> rows;
  const auto row = [&](const Measured& m, const std::string& error) {
    rows.push_back({m.scheme, m.tolerance > 0 ? fmt::format("{:.0e}", m.tolerance) : "", fmt::format("{}", m.steps),
                    examples::engineering(m.seconds, "s", 3), fmt::format("{}", m.events.size()), error});
  };
  row(right, "the measure of the others");
  for (const Measured& m : runs)
    row(m, std::isfinite(m.error) ? examples::engineering(m.error, "s", 2) : "other events");
  return examples::text_table(
      {{"scheme"}, {"tolerance", true}, {"steps", true}, {"time", true}, {"events", true}, {"worst event", true}},
      rows);
}

examples::CharacteristicSheet sheet_of(const Scenario& s, const Measured& right, const std::vector<Measured>& runs) {
  examples::CharacteristicSheet sheet{.title = fmt::format("Work against error: {} events in {}", right.events.size(),
                                                           examples::engineering(s.length, "s")),
                                      .x = {"processor time", "s", true},
                                      .y = {"error of the worst event", "s", true},
                                      .x_limits = {{right.scheme, right.seconds}},
                                      .y_limits = {{"wanted", s.wanted}}};
  for (const Measured& m : runs) {
    if (sheet.curves.empty() || sheet.curves.back().label != m.scheme)
      sheet.curves.push_back({m.scheme, {}, {}, examples::CurveStyle::line_and_points});
    if (!std::isfinite(m.error) || !(m.error > 0)) continue;
    sheet.curves.back().x.push_back(m.seconds), sheet.curves.back().y.push_back(m.error);
  }
  std::erase_if(sheet.curves, [](const examples::Curve& curve) { return curve.x.empty(); });
  return sheet;
}

/// The quickest run that is good enough; nothing if none is.
const Measured* cheapest(const std::vector<Measured>& runs, double wanted) {
  const Measured* best = nullptr;
  for (const Measured& m : runs)
    if (m.error <= wanted && (!best || m.seconds < best->seconds)) best = &m;
  return best;
}

int answer(const Scenario& s) {
  const auto circuit = circuit_of(s);
  Comparison comparison(circuit, s.length);
  comparison.to<BackwardEuler>({1e-3, 1e-4, 1e-5});
  comparison.to<Trapezoidal>({1e-3, 1e-4, 1e-5});
  comparison.to<TrBdf2>({1e-3, 1e-5, 1e-7});
  comparison.to<Esdirk4>({1e-3, 1e-5, 1e-7, 1e-9});
  comparison.to<Rodas4>({1e-3, 1e-5, 1e-7, 1e-9});
  comparison.to<Rodas4P>({1e-3, 1e-5, 1e-7, 1e-9});
  comparison.to<Rodas5P>({1e-3, 1e-5, 1e-7, 1e-9});
  const Measured& right = comparison.right();

  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("Which scheme, and at which tolerance?"));
  examples::print(table_of(right, comparison.runs()) + "\n");
  const Measured* best = cheapest(comparison.runs(), s.wanted);
  if (best)
    examples::print(examples::answer_table(
        {examples::remark("quickest that is good enough", fmt::format("{}, {:.0e}", best->scheme, best->tolerance)),
         examples::at_most("its worst event", best->error, "s", s.wanted),
         examples::fact("it takes", best->seconds, "s"), examples::fact(right.scheme + " takes", right.seconds, "s")}));
  else
    examples::print(examples::paragraph("No scheme is good enough at these tolerances."));
  examples::print(examples::paragraph(
      comparison.has_exact
          ? "Every part of this circuit is linear in every state, so start(circuit) takes the exact "
            "scheme by itself. Its cost goes with the events, that of the others with time and accuracy."
          : "A part of this circuit is curved, so start(circuit) takes TR-BDF2 by itself."));
  examples::print(examples::heading("What happened"));
  examples::print(examples::event_log(right.events, 12));
  const bool written = examples::deliver(sheet_of(s, right, comparison.runs()), s.files);
  examples::print(examples::what_to_change(
      {"--wanted 1e-9: what it costs to know events to a nanosecond.", "--coil 1m --capacitor 1n: many short flashes.",
       "--charging 5M: long pauses, in which steps grow long.",
       "The circuit itself: circuit_of() in examples/scheme_comparison.cpp. With a tube of the catalogue there is no "
       "exact scheme, and a run of ESDIRK4 to 1e-12 is the measure."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("scheme_comparison", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
