// SPDX-License-Identifier: MIT
// A feeder over a goldfish pond is knocked once by a solenoid at every press of a button, however long the press. A
// capacitor empties through the solenoid and a xenon tetrode, which then goes out by itself. Does it always stop, how
// hard is the knock, and how soon may the button be pressed again?
//
// The load stands in the plate lead: in the cathode lead, as usually drawn, it would lift the cathode far above what
// the heater's insulation may have.
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

#include <fmt/format.h>

#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, top, plate, button, grid, node_count };

struct Scenario {
  std::string tube = "2050-A";
  double volts = 250, charging = 330e3, capacitor = 2e-6, load = 600, bias = -8, drive = 12, press = 5e-3, every = 4;
  examples::OutputFiles files{.picture = "self_stopping_pulse.png", .table = ""};
  examples::OutputFiles knock{.picture = "self_stopping_pulse_knock.png", .table = ""};
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::xenon_tubes, tube); }
};

auto circuit_of(const Scenario& s) {
  return wire<node_count>(
      DcSource{supply, ground, s.volts}, Resistor{supply, top, s.charging},
      Capacitor{top, ground, s.capacitor, s.volts}, named("solenoid", Resistor{top, plate, s.load}),
      PulseSource<double>{
          button,
          ground,
          {.low = s.bias, .high = s.drive, .delay = 0.1 * s.every, .width = s.press, .period = s.every}},
      Resistor{button, grid, 100e3},
      named("tube",
            wired(catalogue::build(s.data()), {.plate = plate, .grid = grid, .cathode = ground, .heater = ground})));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("self_stopping_pulse", "One discharge of a capacitor at every press, and then it stops.");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::xenon_tubes));
  line.option("supply", s.volts, "V", "supply", {30, 600});
  line.option("charging", s.charging, "ohm", "resistor that charges the capacitor", {1e3, 1e8});
  line.option("capacitor", s.capacitor, "F", "emptied at every press", {1e-9, 1e-2});
  line.option("load", s.load, "ohm", "solenoid, taken as a resistor", {1, 1e5});
  line.option("bias", s.bias, "V", "grid at rest", {-100, -1});
  line.option("press", s.press, "s", "how long the button is pressed", {1e-5, 100});
  line.option("every", s.every, "s", "from press to press", {1e-3, 1e3});
  examples::add_output_options(line, s.files);
  line.option("knock", s.knock.picture, "file for the picture of the first knock alone, or none");
  const auto exit = line.parse(argc, argv);
  if (!exit && s.press >= 0.9 * s.every) throw std::invalid_argument("--press must be shorter than 0.9 times --every");
  return exit;
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  const auto tube = catalogue::build(d);
  const double drop = tube.laws().arc.voltage(0), least = tube.least_current(), out = drop + least * s.load;
  const auto hold = design::holding(s.volts, drop, s.charging + s.load, least);
  const double both = s.charging + s.load, tau = s.capacitor * s.charging * s.load / both;
  const double towards = (s.volts * s.load + drop * s.charging) / both;
  const double lit = tau * std::log((s.volts - towards) / (out - towards));
  const double recharge = s.charging * s.capacitor * std::log((s.volts - out) / (0.01 * s.volts));
  const auto circuit = circuit_of(s);
  auto run = start(circuit, Beginning::settled);
  auto seen = examples::observe(run, 3 * s.every,
                                {{"capacitor", "V", {{"", VoltageProbe{top}}}, {{"99 % charged", 0.99 * s.volts}}},
                                 {"grid", "V", {{"", VoltageProbe{grid}}}, {}},
                                 {"solenoid current",
                                  "A",
                                  {{"", CurrentProbe{circuit.find("solenoid")}}},
                                  {{"peak rating", d.peak_current.value}}}});
  const auto fired = seen.events.of("tube", "conducting"), stopped = seen.events.of("tube", "recovering");
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("Does it stop, how hard is the knock, and how soon again?"));
  examples::print(examples::answer_table({
      at_most("current the supply keeps feeding, middle tube", hold.available, "A", least),
      at_most("the same, tube that holds longest", hold.available, "A", d.sustaining_least.value),
      at_least("charging resistor", s.charging, "ohm", (s.volts - drop) / d.sustaining_least.value - s.load),
      at_most("peak current", (s.volts - drop) / s.load, "A", d.peak_current.value),
      fact("energy of a knock, from the capacitor", 0.5 * s.capacitor * (s.volts * s.volts - out * out), "J"),
      fact("tube is lit for, by the closed form", lit, "s"),
      fact("tube is lit for, in this run", fired.empty() || stopped.empty() ? std::nan("") : stopped[0] - fired[0],
           "s"),
      at_least("from press to press", s.every, "s", lit + recharge),
      fact("presses and knocks in this run", double(fired.size()), ""),
  }));
  examples::print(examples::paragraph(
      hold.margin >= 0   ? "It does not stop: the supply feeds the arc through the charging resistor."
      : fired.size() > 3 ? "It knocks more than once at a press: press more briefly, or charge more slowly."
                         : "It stops by itself, after one knock at a press."));
  seen.sheet.title = fmt::format("Goldfish feeder: a {} empties {}", s.tube, examples::engineering(s.capacitor, "F"));
  seen.mark("tube", "conducting", "knock");
  examples::print(examples::log_of(seen, 30));
  bool written = examples::deliver(seen.sheet, s.files);
  if (!fired.empty()) {
    seen.sheet.title += ": one knock";
    const examples::Window around{fired[0] - 0.2 * lit, fired[0] + 1.4 * lit};
    written =
        examples::deliver(seen.sheet, s.knock, std::isfinite(lit) ? around : examples::Window{0, s.every}) && written;
  }
  examples::print(examples::what_to_change(
      {"--charging 50k: it never stops, for the supply can feed the arc.",
       "--every 1: pressed before the capacitor is full, the knocks become weaker.",
       "--press 3: as long as the button is held the tube strikes again and again, at low voltage.",
       "--load 200: a harder knock, and the peak current rises beyond the rating."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("self_stopping_pulse", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
