// SPDX-License-Identifier: MIT
// The tube that guards a hen-house door fires whenever its supply is switched on, though its bias should hold it: the
// plate's jump reaches the grid through the capacitance between them. By how much, and which cure is enough?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/grid/pick_up.hpp>

#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::engineering, examples::fact;
enum Nodes : Node { ground, source, bias, plate_1, grid_1, loose_1, plate_2, grid_2, loose_2, node_count };

struct Scenario {
  double volts = 300, rise = 0.2e-6, bias = -6, grid_resistor = 2.2e6, load = 2200, wiring = 1e-12;
  std::string cure = "shield";
  examples::OutputFiles files{.picture = "false_firing.png", .table = ""};
};

/// How one tube is wired.
struct Wiring {
  std::string name;
  ShieldTie shield = ShieldTie::to_grid;
  double grid_resistor;
  double bypass = 0;    ///< F, grid to cathode
  double at_plate = 0;  ///< F, plate to cathode
};
std::vector<Wiring> wirings(const Scenario& s) {
  const Wiring built{.name = "none", .grid_resistor = s.grid_resistor};
  std::vector<Wiring> all(5, built);
  all[1].name = "shield", all[1].shield = ShieldTie::to_cathode;
  all[2].name = "resistor", all[2].grid_resistor = s.grid_resistor / 50;
  all[3].name = "bypass", all[3].bypass = 220e-12;
  all[4].name = "slow", all[4].at_plate = 0.1e-6;
  return all;
}
Wiring wiring_of(const Scenario& s, const std::string& cure) {
  const auto all = wirings(s);
  return *std::find_if(all.begin(), all.end(), [&](const Wiring& w) { return w.name == cure; });
}

/// As built and cured, side by side on one supply that is switched on after 20 us.
auto circuit_of(const Scenario& s, const Wiring& cured) {
  const Wiring built = wirings(s).front();
  const auto tube = [](const char* label, const Wiring& w, Node plate, Node grid, Node loose) {
    const Node shield = w.shield == ShieldTie::to_cathode ? Node(ground)
                        : w.shield == ShieldTie::to_grid  ? grid
                                                          : loose;
    return named(label, wired(catalogue::type_5727(),
                              {.plate = plate, .grid = grid, .shield = shield, .cathode = ground, .heater = ground}));
  };
  return wire<node_count>(
      PulseSource<double>{source, ground, {.low = 0, .high = s.volts, .delay = 20e-6, .width = 1, .rise = s.rise}},
      DcSource{bias, ground, s.bias}, Resistor{source, plate_1, s.load}, Resistor{source, plate_2, s.load},
      Resistor{bias, grid_1, built.grid_resistor}, Resistor{bias, grid_2, cured.grid_resistor},
      Capacitor{grid_1, ground, s.wiring + built.bypass}, Capacitor{grid_2, ground, s.wiring + cured.bypass},
      Capacitor{plate_1, ground, 1e-12 + built.at_plate}, Capacitor{plate_2, ground, 1e-12 + cured.at_plate},
      Resistor{loose_1, ground, 1e9}, Resistor{loose_2, ground, 1e9}, tube("as built", built, plate_1, grid_1, loose_1),
      tube("cured", cured, plate_2, grid_2, loose_2));
}

examples::Observed observed(const Scenario& s, const Wiring& cured) {
  const auto circuit = circuit_of(s, cured);
  auto run = start_unchecked(circuit, {}, Beginning::settled);  // a shield that is tied leaves its loose node alone
  const double critical = catalogue::type_5727().critical_grid({s.volts, 0, 0}, 0.0);
  auto seen =
      examples::observe(run, 20e-6 + 60e-6,
                        {{"plates", "V", {{"as built", VoltageProbe{plate_1}}, {"cured", VoltageProbe{plate_2}}}, {}},
                         {"grids",
                          "V",
                          {{"as built", VoltageProbe{grid_1}}, {"cured", VoltageProbe{grid_2}}},
                          {{"critical, whole supply", critical}}}});
  seen.sheet.events = {{20e-6, "supply switched on"}};
  seen.mark_lit("as built", "fires, as built");
  seen.mark_lit("cured", "fires, cured");
  return seen;
}

/// Lift of the grid by the closed form, V: a ramp of the plate as fast as its source or its own capacitor lets it be.
double lift(const Scenario& s, const Wiring& w) {
  const double capacitance = 1e-12 + w.at_plate;
  const double ramp = std::max(s.rise, 2.2 * s.load * capacitance);
  return pick_up(catalogue::type_5727().capacitances(), w.shield, s.wiring + w.bypass, w.grid_resistor)
      .ramp_to(s.volts / ramp, s.volts);
}

void print_comparison(const Scenario& s, double margin) {
  std::vector<std::vector<std::string>> rows;
  for (const Wiring& w : wirings(s)) {
    const auto seen = observed(s, w);
    rows.push_back({w.name, engineering(lift(s, w), "V", 3), engineering(margin - lift(s, w), "V", 3),
                    seen.events.lit("cured").empty() ? "holds" : "fires"});
  }
  examples::print(
      examples::text_table({{"cure"}, {"grid is lifted by", true}, {"margin left", true}, {"in the run"}}, rows));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("false_firing",
                             "A tube fired by its own plate: by how much is the grid lifted, and the cures.");
  line.option("supply", s.volts, "V", "that is switched on", {20, 650});
  line.option("rise", s.rise, "s", "time in which it comes", {1e-9, 1e-3});
  line.option("bias", s.bias, "V", "grid bias", {-100, -1});
  line.option("grid-resistor", s.grid_resistor, "ohm", "in the grid lead", {1e3, 10e6});
  line.option("load", s.load, "ohm", "in the plate lead", {10, 1e6});
  line.option("cure", s.cure,
              "in the picture: shield grid at the cathode, a fiftieth of the grid resistor, 220 pF at the grid, or 0.1 "
              "uF at the plate",
              {"none", "shield", "resistor", "bypass", "slow"});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

int answer(const Scenario& s) {
  const auto tube = catalogue::type_5727();
  const Wiring built = wirings(s).front(), cured = wiring_of(s, s.cure);
  const double critical = tube.critical_grid({s.volts, 0, 0}, 0.0);
  const double rest = s.bias + catalogue::data_5727.critical_grid_current.value * s.grid_resistor;
  const auto seen_cured = observed(s, cured);
  const auto pick = pick_up(tube.capacitances(), built.shield, s.wiring, s.grid_resistor);
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("By how much is the grid lifted, and which cure is enough?"));
  examples::print(examples::answer_table({
      fact("critical grid voltage at the whole supply, shield at cathode", critical, "V"),
      fact("grid close to firing, with its critical current", rest, "V"),
      at_least("held off when all is at rest, by", critical - rest, "V", 0),
      at_most("grid is lifted, as built, until it draws current", lift(s, built), "V", critical - rest),
      at_most("grid is lifted, cure " + s.cure, lift(s, cured), "V", critical - rest),
      fact("time constant of the grid, as built", pick.time_constant(), "s"),
      at_least("rise of the supply, for the tube as built to hold", s.rise, "s",
               s.volts / pick.least_rate_to(std::max(critical - rest, 1e-6), s.volts)),
  }));
  print_comparison(s, critical - rest);
  auto seen = seen_cured;
  seen.sheet.title =
      fmt::format("Hen-house door: supply of {} switched on, cure {}", engineering(s.volts, "V"), s.cure);
  examples::print(examples::log_of(seen));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--cure bypass, --cure resistor or --cure slow: the same in the picture.",
       "The resistor cure holds though the grid rises far above critical: it is back before the discharge has formed.",
       "--rise 200u: a supply that comes slowly does no harm, for the grid has the time to follow.",
       "--bias -20: a stronger bias holds as well, but then the wanted pulse must be as much higher.",
       "--grid-resistor 10M --cure shield: even the screened grid is lifted, and its critical current counts."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("false_firing", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
