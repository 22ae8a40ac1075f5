// SPDX-License-Identifier: MIT
// At the door of a beehive a light beam is interrupted by every bee that leaves. A mechanical register cannot follow,
// so a chain of stages, each two xenon tetrodes that put each other out, hands on every second pulse. Does it divide as
// it should, and how many bees that leave at random go uncounted?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

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

using examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, bias, reset, beam, first_free };

struct Scenario {
  int stages = 3;
  double volts = 110, load = 1500, cathode_resistor = 330, capacitor = 0.1e-6, bias = -9, grid_resistor = 220e3;
  double coupling = 100e-12, pulse = 30, rate = 500, mean_rate = 20;
  examples::OutputFiles files{.picture = "scale_of_two.png", .table = ""};
  std::vector<std::string> names{};

  /// Nodes of stage s: plates of A and B, cathode of A, grids of A and B.
  [[nodiscard]] static Node node(int stage, int which) { return first_free + 5 * stage + which; }
  [[nodiscard]] const char* name_of(int stage, int which) const {
    return names[std::size_t(2 * stage + which)].c_str();
  }
  [[nodiscard]] double first_pulse() const { return 2e-3 + 20 * load * capacitor; }
};

/// The reset lights all tubes B. A pulse reaches both grids of a stage and strikes the tube that is out; where that is
/// A, its cathode's rise is the pulse of the next stage.
auto circuit_of(const Scenario& s, double rate) {
  const auto tube = catalogue::type_5727();
  std::vector<WiredTube<decltype(catalogue::type_5727())>> tubes;
  std::vector<Resistor<double>> resistors;
  std::vector<Capacitor<double>> capacitors;
  for (int k = 0; k < s.stages; ++k) {
    const Node plate_a = s.node(k, 0), plate_b = s.node(k, 1), cathode = s.node(k, 2), grid_a = s.node(k, 3),
               grid_b = s.node(k, 4), input = k == 0 ? Node(beam) : s.node(k - 1, 2);
    tubes.push_back(
        named(s.name_of(k, 0), wired(tube, {.plate = plate_a, .grid = grid_a, .cathode = cathode, .heater = ground})));
    tubes.push_back(
        named(s.name_of(k, 1), wired(tube, {.plate = plate_b, .grid = grid_b, .cathode = ground, .heater = ground})));
    for (const Resistor<double>& r : {Resistor<double>{supply, plate_a, s.load},
                                      {supply, plate_b, s.load},
                                      {cathode, ground, s.cathode_resistor},
                                      {bias, grid_a, s.grid_resistor},
                                      {reset, grid_b, s.grid_resistor}})
      resistors.push_back(r);
    for (const Capacitor<double>& c :
         {Capacitor<double>{plate_a, plate_b, s.capacitor}, {input, grid_a, s.coupling}, {input, grid_b, s.coupling}})
      capacitors.push_back(c);
  }
  return wire_dynamic(std::size_t(s.node(s.stages, 0)), DcSource{supply, ground, s.volts},
                      DcSource{bias, ground, s.bias},
                      PulseSource<double>{reset, ground, {.low = s.bias, .high = 15, .delay = 1e-3, .width = 0.5e-3}},
                      PulseSource<double>{beam,
                                          ground,
                                          {.low = 0,
                                           .high = s.pulse,
                                           .delay = s.first_pulse(),
                                           .width = 20e-6,
                                           .period = 1 / rate,
                                           .rise = 1e-6,
                                           .fall = 1e-6}},
                      tubes, resistors, capacitors);
}

/// True if in one full count every stage fires A once for every second pulse it is given.
bool divides(const Scenario& s, double rate) {
  auto run = start(circuit_of(s, rate), Beginning::settled);
  const int pulses = 1 << s.stages;
  examples::EventTimes seen;
  const std::size_t most = std::size_t(40 * pulses);
  if (!examples::calm_until(run, s.first_pulse() + (pulses - 0.05) / rate, most, seen)) return false;
  for (int k = 0; k < s.stages; ++k)
    if (seen.count(s.name_of(k, 0), "conducting") != std::size_t(pulses >> (k + 1))) return false;
  return true;
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("scale_of_two",
                             "A chain of stages that divide by two: does it count, and what does it lose?");
  line.option("stages", s.stages, "in the chain", {1, 6});
  line.option("supply", s.volts, "V", "supply", {40, 600});
  line.option("load", s.load, "ohm", "plate resistors", {200, 1e5});
  line.option("capacitor", s.capacitor, "F", "between the plates of each stage", {1e-10, 1e-4});
  line.option("cathode-resistor", s.cathode_resistor, "ohm", "at each tube A", {10, 1e4});
  line.option("coupling", s.coupling, "F", "into each grid", {1e-12, 1e-6});
  line.option("bias", s.bias, "V", "grid supply", {-100, -2});
  line.option("pulse", s.pulse, "V", "height of the pulses counted", {1, 200});
  line.option("rate", s.rate, "Hz", "pulses per second in the picture", {1, 2e4});
  line.option("mean-rate", s.mean_rate, "Hz", "mean rate of pulses that come at random", {0.01, 1e4});
  examples::add_output_options(line, s.files);
  const auto exit = line.parse(argc, argv);
  for (int k = 1; k <= s.stages; ++k)
    for (const char* tube : {"A", "B"}) s.names.push_back(tube + std::to_string(k));
  return exit;
}

int answer(const Scenario& s) {
  const double rc = s.load * s.capacitor;
  const double highest =
      examples::greatest_working(0.05 / rc, 2e4, 0.1, [&](double r) { return divides(s, r); }).value_or(0);
  const auto circuit = circuit_of(s, s.rate);
  auto run = start(circuit, Beginning::settled);
  using Run = decltype(run);
  std::vector<examples::PanelPlan<Run>> plan{{"beam", "V", {{"", VoltageProbe{beam}}}, {}}};
  for (int k = 0; k < s.stages; ++k)
    plan.push_back({"cathode of " + s.names[std::size_t(2 * k)], "V", {{"", VoltageProbe{s.node(k, 2)}}}, {}});
  plan.push_back({"plate current of A1", "A", {{"", CurrentProbe{circuit.find("A1")}}}, {}});
  const int pulses = 1 << s.stages;
  auto seen = examples::observe(run, s.first_pulse() + (pulses + 1.5) / s.rate, plan);
  const auto outputs = seen.events.of(s.name_of(s.stages - 1, 0), "conducting");
  const auto& ratings = catalogue::data_5727;
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("Does the chain divide, and what does it lose?"));
  examples::print(examples::answer_table({
      fact("pulses for each one handed on", pulses, ""),
      fact("handed on in the first full count and a pulse", double(outputs.size()), "",
           outputs.size() == 2 ? "2, as it should" : "should be 2"),
      fact("hold-off at leisure, R C ln 2", rc * std::log(2.0), "s"),
      at_most("regular pulses per second", s.rate, "Hz", highest),
      at_most("peak current of A1", seen.greatest(seen.sheet.panels.back().traces[0]), "A", ratings.peak_current),
  }));
  if (highest > 0) {
    const double lost = s.mean_rate / highest / (1 + s.mean_rate / highest);
    examples::print(examples::paragraph(fmt::format(
        "Pulses that come at random at {} on average: {:.2g} % of them follow the one before by less than {} and are "
        "taken for one with it, if the first stage resolves what it counts regularly.",
        examples::engineering(s.mean_rate, "Hz"), 100 * lost, examples::engineering(1 / highest, "s", 3))));
  } else {
    examples::print(examples::paragraph("The chain does not count at any rate."));
  }
  seen.sheet.title = fmt::format("Bee counter: {} stages divide by {}", s.stages, pulses);
  seen.mark(s.name_of(s.stages - 1, 0), "conducting", "handed on");
  examples::print(examples::log_of(seen, 30));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--stages 4: divides by 16; the rate is still that of the first stage.",
       "--capacitor 47n: the tubes do not deionise in time, and the first pulse sets a pair swinging.",
       "--cathode-resistor 22: the pulse that is handed on becomes too small for the next stage.",
       "--mean-rate 130: 8000 bees a minute; the loss grows with the rate."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("scale_of_two", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
