// SPDX-License-Identifier: MIT
// The signal box of a model railway runs on 48 V. A press on the set button lights a signal lamp through a miniature
// xenon tetrode, and it stays lit; a press on the clear button fires a second tube, which puts the first one out
// through a capacitor and then goes out by itself. Will it work with every tube in the box, and what does it cost?
//
// 48 V can hurt, and so can a charged capacitor and hot glass: work with the supply off, and follow local rules.

#include "gastube/gastube.hpp"

#include "support/characteristic.hpp"
#include "support/command_line.hpp"
#include "support/output_files.hpp"
#include "support/report.hpp"
#include "support/sheet.hpp"

#include <fmt/format.h>

#include <cstdio>

namespace {

using namespace gastube;
using namespace gastube::design;
using examples::engineering;

struct Scenario {
  std::string type = "5727";
  double supply = 48, series = 390, lamp_voltage = 24, lamp_current = 0.04;
  double bias = -6, grid_resistor = 100e3, pull_down = -10;
  double set_rail = 24, set_resistor = 22e3, coupling = 10e-9;
  double capacitor = 0.47e-6, reset_resistor = 56e3;
  double lit_for = 2, every = 5, warm_up = 12, ambient = 25, heater_supply = 0;
  bool no_run = false;
  examples::OutputFiles files{.picture = "lamp_latch.png", .table = ""};
  /// The file of another picture, named after that of the run.
  [[nodiscard]] examples::OutputFiles beside(const char* what) const {
    const std::size_t ending = files.picture.rfind('.');
    if (ending == std::string::npos) return {files.picture, ""};  // none
    return {files.picture.substr(0, ending) + what + files.picture.substr(ending), ""};
  }
};

const catalogue::TubeData& data_of(const std::string& type) {
  if (type == "2050-A") return catalogue::data_2050_a;
  return catalogue::data_5727;
}

// ---- the question, in the library's terms ---------------------------------------------------------------------------

LampLatch<double> latch_of(const Scenario& s) {
  // At the moment of the press the coupling capacitor is a short: the divider of set resistor and grid resistor.
  const double share = s.grid_resistor / (s.grid_resistor + s.set_resistor);
  return {.load = {s.supply, s.series, {.voltage = s.lamp_voltage, .current = s.lamp_current}},
          .rest = {s.bias, s.grid_resistor},
          .set = {s.bias + s.set_rail * share, s.set_resistor * share},
          .capacitance = s.capacitor,
          .reset_resistance = s.reset_resistor,
          .use = {s.lit_for, s.every},
          .heater_supply = s.heater_supply,
          .heating_time = s.warm_up,
          .ambient = s.ambient};
}

// ---- answers 1 to 5 -------------------------------------------------------------------------------------------------

using examples::AnswerRow, examples::at_least, examples::at_most, examples::fact;

void print_strike(const StrikeAnswer<double>& a, const LampLatch<double>& q) {
  examples::print(examples::heading("1. Will it strike?"));
  examples::print(examples::answer_table({
      fact("critical grid voltage, middle tube", a.critical_grid, "V"),
      fact("half of the band over tubes and life", a.half_band, "V"),
      at_most("resting bias, through its resistor", q.rest.voltage, "V", a.earliest_drive),
      at_least("set drive at the first moment", q.set.voltage, "V", a.latest_drive),
      at_least("supply, for every tube to strike", q.load.supply, "V", a.least_plate),
      at_most("supply, for every tube to be held off", q.load.supply, "V", a.greatest_plate),
  }));
}

void print_load(const LampLatchVerdict<double>& v, const LampLatch<double>& q, const Scenario& s) {
  examples::print(examples::heading("2. What does the lamp get?"));
  const auto& a = v.load;
  examples::print(examples::answer_table({
      fact("current, lamp hot", a.current, "A",
           fmt::format("{} to {} over tubes", engineering(v.load_dimmest.current, "A"),
                       engineering(v.load_brightest.current, "A"))),
      fact("arc drop", a.arc_drop, "V"),
      at_most("lamp voltage", v.load_brightest.lamp_voltage, "V", 1.1 * q.load.lamp.voltage),
      fact("light, share of rated", a.light, "",
           fmt::format("{:.2f} to {:.2f} over tubes", v.load_dimmest.light, v.load_brightest.light)),
      fact("lamp dissipates", a.lamp_power, "W"),
      fact("series resistor dissipates", a.resistor_power, "W"),
      fact("reset resistor dissipates at most", q.load.supply * q.load.supply / q.reset_resistance, "W"),
      fact("tube dissipates", a.tube_power, "W"),
      fact("supply gives", a.supply_power, "W"),
      fact("in-rush, lamp cold", a.inrush_current, "A"),
      examples::remark("cathode under the in-rush",
                       consequence(catalogue::build(data_of(s.type)).laws().arc.condition(a.inrush_current))),
  }));
}

void print_hold(const LampLatchVerdict<double>& v, const LampLatch<double>& q) {
  examples::print(examples::heading("3. Will it hold, and will it let go?"));
  const auto& r = v.release;
  examples::print(examples::answer_table({
      at_least("available current", v.hold.available, "A", v.hold.demand),
      fact("lit tube goes out if the supply falls to", v.hold.let_go_supply, "V"),
      fact("deionisation time at this bias and current", r.deionisation_time, "s", "published +-30 %"),
      fact("least reset pulse (plate held at cathode)", r.required_off_time, "s"),
      at_least("capacitor keeps the tube out, lamp hot", r.hold_off, "s", r.required_off_time),
      at_least("capacitor keeps the tube out, lamp cold", r.hold_off_cold, "s", r.required_off_time),
      at_least("commutating capacitor", q.capacitance, "F", r.least_capacitance),
      at_most("reset tube fed after the pulse", r.reset_tube_current, "A", r.reset_tube_current + r.self_stop_margin),
  }));
}

void print_repetition(const RepetitionAnswer<double>& a) {
  examples::print(examples::heading("4. How soon again?"));
  if (a.highest_rate > 0)
    examples::print(examples::answer_table({
        fact("from set to the next reset, at least", a.least_lit_time, "s"),
        fact("from reset to the next set, at least", a.least_out_time, "s"),
        fact("highest rate of set and reset", a.highest_rate, "Hz"),
    }));
  else
    examples::print(examples::paragraph("Only once the lamp is hot: with a cold lamp this capacitor is too small."));
}

void print_ratings(const char* whose, const RatingsReport<double>& report) {
  std::vector<AnswerRow> rows;
  for (const auto& line : report.lines) {
    if (!line.applies) continue;
    rows.push_back(line.is_least ? at_least(line.rating, line.value, line.unit, line.limit)
                                 : at_most(line.rating, line.value, line.unit, line.limit));
  }
  examples::print(examples::heading(std::string("5. Ratings of the ") + whose));
  examples::print(examples::answer_table(rows));
  const auto& worst = report.worst();
  examples::print(examples::paragraph(fmt::format("{}: {}, at {:.0f} % of its limit.",
                                                  report.all_kept() ? "Nearest to its limit" : "Violated first",
                                                  worst.rating, 100 * worst.use)));
}

void print_objections(const LampLatchVerdict<double>& v) {
  examples::print(examples::heading("This will not work as it stands"));
  for (std::size_t k = 0; k < v.objection_count; ++k) {
    const auto& o = v.objections[k];
    const std::string needed =
        o.needed < 1e29 ? engineering(o.needed, o.unit) : "no value: another gas or drive is needed";
    examples::print(examples::paragraph(
        fmt::format("- {} (now {}): {} {}.", o.matter, engineering(o.value, o.unit), o.change, needed)));
  }
}

// ---- answer 6: the run ----------------------------------------------------------------------------------------------

enum Nodes : Node {
  ground,
  supply,
  lamp_top,
  plate,
  reset_plate,
  bias,
  set_rail,
  set_contact,
  set_pulse,
  grid,
  clear_contact,
  clear_pulse,
  reset_grid,
  node_count
};

struct Times {
  double too_early = 5, set, pull_down, clear, set_again, end;
  explicit Times(const Scenario& s)
      : set(s.warm_up), pull_down(set + 0.4), clear(set + 0.9), set_again(set + 1.4), end(set + 2.0) {}
};

auto circuit_of(const Scenario& s, const Times& t) {
  const auto tube = catalogue::build(data_of(s.type));
  const Bounce<double> bounce{.bounces = 3, .time = 2e-3, .seed = 5};
  const std::array<Press<double>, 3> sets{{{t.too_early, 0.1}, {t.set, 0.1}, {t.set_again, 0.1}}};
  const std::array<Press<double>, 1> clears{{{t.clear, 0.1}}};
  return wire<node_count>(
      DcSource{supply, ground, s.supply}, Resistor{supply, lamp_top, s.series},
      named("lamp", FilamentLamp{lamp_top, plate, FilamentRating<double>{s.lamp_voltage, s.lamp_current}}),
      Resistor{supply, reset_plate, s.reset_resistor}, Capacitor{plate, reset_plate, s.capacitor},
      // The bias dips for a while, to show that the lit tube does not care.
      PulseSource<double>{bias, ground, {.low = s.bias, .high = s.pull_down, .delay = t.pull_down, .width = 0.2}},
      DcSource{set_rail, ground, s.set_rail},
      // Each button gives one short pulse through its coupling capacitor.
      PushButton{set_rail, set_contact, sets, bounce}, Resistor{set_contact, ground, 1e6},
      Capacitor{set_contact, set_pulse, s.coupling}, Resistor{set_pulse, grid, s.set_resistor},
      Resistor{bias, grid, s.grid_resistor},  //
      PushButton{set_rail, clear_contact, clears, bounce}, Resistor{clear_contact, ground, 1e6},
      Capacitor{clear_contact, clear_pulse, s.coupling}, Resistor{clear_pulse, reset_grid, s.set_resistor},
      Resistor{bias, reset_grid, s.grid_resistor},
      named("lamp tube",
            wired(tube, {.plate = plate, .grid = grid, .cathode = ground, .heater = ground}, CathodeStart::cold)),
      named("reset tube", wired(tube, {.plate = reset_plate, .grid = reset_grid, .cathode = ground, .heater = ground},
                                CathodeStart::cold)));
}

template <class Record>
examples::StateBand band_of(const char* tube, const Record& recorder, double end) {
  examples::StateBand band{tube, {{0, end, name(TubeState::cold)}}};
  for (const auto& logged : recorder.changes())
    if (std::string(logged.change.subject) == tube) {
      band.spans.back().to = logged.time;
      band.spans.push_back({logged.time, end, logged.change.to});
    }
  return band;
}

template <class Record>
examples::WaveformSheet sheet_of(const Record& recorder, const Times& t, const Scenario& s) {
  const auto trace = [&](const char* label, std::size_t probe) {
    return examples::Trace{label, recorder.times(), recorder.column(probe)};
  };
  const auto ratings = catalogue::build(data_of(s.type)).laws().ratings;
  return {.title = fmt::format("Lamp latch, {} on {} V", s.type, s.supply),
          .panels = {{"plates", "V", {trace("lamp tube", 0), trace("reset tube", 1)}, {}},
                     {"grids",
                      "V",
                      {trace("lamp tube", 2), trace("reset tube", 3)},
                      {{"rated, tube lit", -ratings.grid_negative_during}}},
                     {"plate currents",
                      "A",
                      {trace("lamp tube", 4), trace("reset tube", 5)},
                      {{"peak rating", ratings.peak_current}}},
                     {"light, share of rated", "", {trace("lamp", 6)}, {{"rated", 1}}}},
          .bands = {band_of("lamp tube", recorder, t.end), band_of("reset tube", recorder, t.end)},
          .events = {{t.too_early, "set too early"},
                     {t.set, "set"},
                     {t.pull_down, "grid down"},
                     {t.clear, "clear"},
                     {t.set_again, "set again"}}};
}

void draw_ignition(const Scenario& s, const LampLatch<double>& q) {
  const auto& data = data_of(s.type);
  const auto tube = catalogue::build(data);
  const auto spread = catalogue::ignition_band(data);
  examples::Curve middle{"middle tube", {}, {}};
  examples::Band band{"every tube", {}, {}, {}};
  for (double v = data.fill->ionisation + 2.5; v <= 200; v *= 1.01) {
    const double critical = tube.critical_grid({v, 0, 0}, 0);
    const double half = spread.half_width(v, tube.laws().ignition.knee.lift(v));
    middle.x.push_back(v), middle.y.push_back(critical);
    band.x.push_back(v), band.lower.push_back(critical - half), band.upper.push_back(critical + half);
  }
  const examples::CharacteristicSheet sheet{
      .title = fmt::format("Ignition of the {}, shield grid at cathode", s.type),
      .x = {"plate voltage", "V"},
      .y = {"critical grid voltage", "V"},
      .curves = {middle},
      .bands = {band},
      .markers = {{"at rest", s.supply, s.bias}, {"set", s.supply, q.set.voltage}},
      .x_limits = {{"ionisation potential", data.fill->ionisation}, {"supply", s.supply}},
      .y_limits = {}};
  static_cast<void>(examples::deliver(sheet, s.beside("_ignition")));  // no table is asked for
}

template <class Run, class Record>
int report_run(const Run& run, const Record& recorder, Status status, const Times& t, const Scenario& s) {
  std::vector<examples::LogEntry> log;
  for (const auto& [time, change] : recorder.changes())
    log.push_back({time, change.subject, change.from, change.to, change.why});
  examples::print(examples::event_log(log));
  if (!succeeded(status)) {
    examples::print(examples::paragraph(fmt::format("The run stopped at {} s: {}.", run.time(), name(status))));
    return 1;
  }
  examples::print(
      examples::paragraph(fmt::format("{} steps. At the end the lamp tube is {} and the reset tube {}.", run.steps(),
                                      name(tube_state(run, "lamp tube")), name(tube_state(run, "reset tube")))));
  auto sheet = sheet_of(recorder, t, s);
  const bool written = examples::deliver(sheet, s.files, examples::Window{t.set - 0.2, t.end});
  sheet.title += ": the reset";
  static_cast<void>(examples::deliver(sheet, s.beside("_reset"), examples::Window{t.clear - 2e-4, t.clear + 1.2e-3}));
  return written ? 0 : 1;
}

int simulate(const Scenario& s) {
  examples::print(examples::heading("6. The run"));
  const Times t(s);
  const auto circuit = circuit_of(s, t);
  auto run = start(circuit);
  const std::size_t lamp = circuit.find("lamp");
  const auto light = [lamp](const auto& r) { return r.system().template entry<2>().light(own_unknown(r, lamp)); };
  Recorder recorder{VoltageProbe{plate},
                    VoltageProbe{reset_plate},
                    VoltageProbe{grid},
                    VoltageProbe{reset_grid},
                    CurrentProbe{circuit.find("lamp tube")},
                    CurrentProbe{circuit.find("reset tube")},
                    light};
  const Status status = run.run_until(t.end, recorder);
  return report_run(run, recorder, status, t, s);
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("lamp_latch", "A signal lamp latched by a xenon tetrode and put out by a second one.");
  line.group("Tube and supply");
  line.option("tube", s.type, "type of both tubes", {"5727", "2050-A"});
  line.option("supply", s.supply, "V", "supply voltage", {1, 600});
  line.option("series", s.series, "ohm", "resistor in series with the lamp", {0, 1e6});
  line.option("lamp-voltage", s.lamp_voltage, "V", "rated lamp voltage", {0.5, 300});
  line.option("lamp-current", s.lamp_current, "A", "rated lamp current", {1e-3, 20});
  line.group("Grids");
  line.option("bias", s.bias, "V", "resting grid bias", {-250, 50});
  line.option("grid-resistor", s.grid_resistor, "ohm", "resistor from bias to grid", {1, 50e6});
  line.option("pull-down", s.pull_down, "V", "bias while the grid is pulled down", {-250, 50});
  line.option("set-rail", s.set_rail, "V", "supply of the buttons", {0, 300});
  line.option("set-resistor", s.set_resistor, "ohm", "resistor from button to grid", {1, 50e6});
  line.option("coupling", s.coupling, "F", "coupling capacitor of each button", {1e-12, 1e-3});
  line.group("Reset");
  line.option("capacitor", s.capacitor, "F", "commutating capacitor", {1e-12, 1e-2});
  line.option("reset-resistor", s.reset_resistor, "ohm", "plate resistor of the reset tube", {1, 50e6});
  line.group("Use");
  line.option("lit-for", s.lit_for, "s", "how long the lamp burns", {1e-6, 1e6});
  line.option("every", s.every, "s", "how often", {1e-6, 1e6});
  line.option("warm-up", s.warm_up, "s", "waiting time before the first set", {5.5, 1e4});
  line.option("ambient", s.ambient, "degC", "ambient temperature", {-100, 300});
  line.option("heater-supply", s.heater_supply, "V", "heater supply above the cathodes", {-1000, 1000});
  examples::add_output_options(line, s.files);
  line.flag("no-run", s.no_run, "answer without simulating");
  return line.parse(argc, argv);
}

}  // namespace

int main(int argc, char** argv) try {
  Scenario s;
  if (const auto exit = read(s, argc, argv)) return *exit;
  const auto latch = latch_of(s);
  const auto verdict = judge(data_of(s.type), latch);
  print_strike(verdict.strike, latch);
  if (verdict.load_dimmest.lights) {
    print_load(verdict, latch, s);
    print_hold(verdict, latch);
    print_repetition(verdict.repetition);
    print_ratings("lamp tube", verdict.lamp_tube);
    print_ratings("reset tube", verdict.reset_tube);
  }
  if (!verdict.sound()) print_objections(verdict);
  draw_ignition(s, latch);
  const bool strikes = verdict.strike.possible && verdict.strike.fire_margin >= 0 && verdict.load_dimmest.lights;
  const int code = s.no_run || !strikes ? 0 : simulate(s);
  examples::print(examples::what_to_change(
      {"--supply 24: how little is enough?", "--capacitor 100n: too small, and the table says what it takes.",
       "--lamp-current 0.3 --series 39: which rating gives way first, and by how much?",
       "--tube 2050-A: another tube in the same circuit."}));
  return code;
} catch (const std::invalid_argument& error) {
  std::fprintf(stderr, "lamp_latch: %s\n", error.what());
  return 2;
}
