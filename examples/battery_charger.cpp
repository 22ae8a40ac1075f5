// SPDX-License-Identifier: MIT
// A mountain hut is lit from a battery of 24 lead cells, and its water wheel turns a small alternator. A xenon triode
// lets the current pass one way. What current flows, for how much of each cycle, how does it fall as the battery rises,
// and does charging end by itself?
#include "support/battery_charger.hpp"

#include <gastube/catalogue/catalogue.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/text_table.hpp"
#include "support/trace_figures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::engineering, examples::fact, examples::Figures,
    examples::within_rating;

struct Scenario {
  std::string tube = "5684";
  double flat = 44, full = 62, capacity = 30, choke = 0;
  examples::ChargerParts parts{.volts = 80, .resistor = 10};
  examples::OutputFiles files{.picture = "battery_charger.png", .table = ""},
      run{.picture = "battery_charger_run.png", .table = ""};
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::xenon_tubes, tube); }
  [[nodiscard]] double coulombs() const { return capacity * 3600; }
  [[nodiscard]] double crest() const { return parts.volts * std::numbers::sqrt2; }
};

/// Some periods with the battery at this voltage.
examples::Observed observed(const Scenario& s, double battery, double periods) {
  auto parts = s.parts;
  parts.battery = battery;
  const auto circuit = examples::battery_charger(parts, catalogue::build(s.data()));
  auto run = start(circuit, Settings<double>{.longest_step = 1 / parts.frequency / 400});
  return examples::observe(
      run, periods / parts.frequency,
      {{"alternator and battery",
        "V",
        {{"alternator", VoltageProbe{examples::charger_line}}, {"battery", VoltageProbe{examples::charger_battery}}},
        {}},
       {"charging current", "A", {{"", CurrentProbe{circuit.find("tube")}}}, {{"peak rating", s.data().peak_current}}},
       {"plate above the cathode",
        "V",
        {{"", VoltageProbe{examples::charger_plate, examples::charger_battery}}},
        {{"inverse rating", -s.data().peak_inverse}}}});
}

/// What one cycle brings, the last of three.
struct Cycle {
  double battery;
  Figures current;
  double inverse, degrees;
};
Cycle cycle_at(const Scenario& s, double battery) {
  const double period = 1 / s.parts.frequency, to = 2.75 * period, from = to - period;
  const auto seen = observed(s, battery, 2.75);
  return {battery, examples::figures_of(seen.trace(1), from, to), -examples::figures_of(seen.trace(2), from, to).least,
          360 * examples::time_in(seen.sheet.bands[0], "conducting", from, to) / period};
}
/// The first of them flat, number `steps` full, and as many beyond as it takes to see the end.
std::vector<Cycle> rising(const Scenario& s, int steps, double stops) {
  std::vector<Cycle> all;
  for (int k = 0; k <= steps || all.back().battery < stops; ++k)
    all.push_back(cycle_at(s, s.flat + (s.full - s.flat) * k / steps));
  return all;
}

examples::CharacteristicSheet characteristic(const Scenario& s, const std::vector<Cycle>& cycles, double stops) {
  examples::Curve mean{"mean", {}, {}}, rms{"r.m.s.", {}, {}};
  for (const Cycle& c : cycles) {
    mean.x.push_back(c.battery), mean.y.push_back(c.current.mean);
    rms.x.push_back(c.battery), rms.y.push_back(c.current.rms);
  }
  examples::CharacteristicSheet sheet{.title = fmt::format("Charging through a {} from {} and {}", s.tube,
                                                           engineering(s.parts.volts, "V"),
                                                           engineering(s.parts.resistor, "ohm")),
                                      .x = {"battery without current", "V"},
                                      .y = {"charging current", "A"},
                                      .curves = {mean, rms},
                                      .x_limits = {{"flat", s.flat}, {"full", s.full}, {"fires no longer", stops}},
                                      .y_limits = {}};
  if (is_limited(s.data().average_current.value)) sheet.y_limits = {{"rated mean", s.data().average_current}};
  return sheet;
}

void print_rise(const std::vector<Cycle>& cycles, std::size_t every) {
  std::vector<std::vector<std::string>> rows;
  for (std::size_t k = 0; k < cycles.size(); k += every) {
    const Cycle& c = cycles[k];
    rows.push_back({engineering(c.battery, "V", 3), engineering(c.current.mean, "A", 3),
                    engineering(c.current.rms, "A", 3), engineering(c.current.greatest, "A", 3),
                    fmt::format("{:.0f} deg", c.degrees), engineering(c.inverse, "V", 3)});
  }
  examples::print(examples::text_table(
      {{"battery", true}, {"mean", true}, {"r.m.s.", true}, {"peak", true}, {"lit for", true}, {"inverse", true}},
      rows));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  auto& p = s.parts;
  examples::CommandLine line("battery_charger", "A battery charged through a gas tube: current, angle, and the end.");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::xenon_tubes));
  line.option("volts", p.volts, "V", "r.m.s. of the alternator", {5, 500});
  line.option("frequency", p.frequency, "Hz", "of the alternator", {10, 1000});
  line.option("resistor", p.resistor, "ohm", "in series, with that of the windings", {0.1, 1e4});
  line.option("choke", s.choke, "H", "in series, or 0 for none", {0, 10});
  line.option("flat", s.flat, "V", "battery when flat", {1, 500});
  line.option("full", s.full, "V", "battery when full", {1, 500});
  line.option("capacity", s.capacity, "Ah", "put in from flat to full", {0.01, 1e4});
  line.option("cells", p.battery_resistance, "ohm", "resistance of the battery", {1e-3, 100});
  examples::add_output_options(line, s.files);
  line.option("run", s.run.picture, "file for the picture of three cycles, or none");
  line.option("run-csv", s.run.table, "file for the numbers of that run, or none");
  const auto exit = line.parse(argc, argv);
  if (!exit && s.full <= s.flat) throw std::invalid_argument("--full is not above --flat");
  if (s.choke > 0) p.choke = s.choke;
  p.rise = (s.full - s.flat) / s.coulombs();
  return exit;
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  const auto tube = catalogue::build(d);
  const double fires = critical_plate(tube.laws().ignition, 0.0);
  const double held = tube.laws().arc.voltage(tube.least_current())
                      + tube.least_current() * (s.parts.resistor + s.parts.battery_resistance);
  const double needed = std::max(fires, held), stops = s.crest() - needed;
  constexpr std::size_t steps = 36;
  const auto cycles = rising(s, int(steps), stops);
  std::vector<double> currents;
  for (std::size_t k = 0; k <= steps; ++k) currents.push_back(cycles[k].degrees > 0 ? cycles[k].current.mean : 0);
  const double seconds = examples::charging_time(s.coulombs(), currents);
  const Cycle& flat = cycles.front();
  examples::print(examples::caution(s.crest() + s.full,
                                    "A battery gives a short circuit hundreds of amperes, and an "
                                    "explosive gas while it is charged: fuse it and air the room."));
  examples::print(examples::heading("What current flows, and does charging end by itself?"));
  examples::print(examples::answer_table({
      within_rating("mean current, battery flat", flat.current.mean, "A", d.average_current),
      within_rating("peak current, battery flat", flat.current.greatest, "A", d.peak_current),
      within_rating("inverse voltage, battery full", cycles[steps].inverse, "V", d.peak_inverse),
      fact("heat in the resistor, battery flat", flat.current.rms * flat.current.rms * s.parts.resistor, "W"),
      fact("tube fires at, grid at its cathode", fires, "V"),
      fact("least current wants across tube and resistor", held, "V"),
      at_most("battery when full, against where charging ends", s.full, "V", stops),
      at_least("alternator, to fill it", s.parts.volts, "V", (s.full + needed) / std::numbers::sqrt2),
      std::isfinite(seconds) ? fact("time from flat to full", seconds / 3600, "h")
                             : examples::remark("time from flat to full", "never"),
  }));
  print_rise(cycles, 9);
  examples::print(examples::paragraph(
      stops > s.full ? fmt::format("Charging does not end at {}: it goes on, ever weaker, to {}. Switch it off.",
                                   engineering(s.full, "V"), engineering(stops, "V"))
                     : std::string("Charging ends by itself before the battery is full: the tube no longer fires.")));
  auto seen = observed(s, s.flat, 3);
  seen.sheet.title = fmt::format("Hut's battery, flat at {}: three cycles", engineering(s.flat, "V"));
  seen.mark("tube", "conducting", "fires");
  for (const auto& entry : seen.events.entries)
    if (entry.from == "conducting") seen.sheet.events.push_back({entry.time, "goes out"});
  examples::print(examples::log_of(seen, 24));
  bool written = examples::deliver(characteristic(s, cycles, stops), s.files);
  written = examples::deliver(seen.sheet, s.run) && written;
  examples::print(examples::what_to_change(
      {"--volts 68: charging ends by itself, but before the battery is full.",
       "--volts 110 --resistor 22: the current falls less as the battery rises, and the resistor turns more into heat.",
       "--choke 50m: current for longer in each cycle, lower peaks, and less heat for the same charge.",
       "--tube 6012: a smaller tube, which asks for less to fire; its average rating goes first."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("battery_charger", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
