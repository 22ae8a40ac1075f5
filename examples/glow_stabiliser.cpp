// SPDX-License-Identifier: MIT
// The local oscillator of a home-built receiver drifts with the mains, so its supply is to be held by a stabiliser
// tube. Does the tube strike with the load on, does it stay within its range of currents at every supply and load, and
// how steady is the voltage?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/load_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, top, load_top, node_count };

struct Scenario {
  std::string tube = "0A2";
  double volts = 280, swing = 10, resistor = 5000, load_least = 3e-3, load_greatest = 10e-3, capacitor = 10e-9;
  examples::OutputFiles files{.picture = "glow_stabiliser.png", .table = ""},
      run{.picture = "glow_stabiliser_run.png", .table = ""};
  [[nodiscard]] const catalogue::GlowData& data() const { return examples::type_in(catalogue::stabilisers, tube); }
  [[nodiscard]] double high() const { return volts * (1 + swing / 100); }
  [[nodiscard]] double low() const { return volts * (1 - swing / 100); }
};

/// Where a load line meets the lit tube's: its current and voltage.
struct Working {
  double current, voltage;
};
Working meet(const Scenario& s, double volts, double load) {
  const LinearDrop<double> line = catalogue::build(s.data()).laws().arc.normal;
  const double current = (volts - s.resistor * load - line.voltage(0)) / (s.resistor + line.resistance);
  return {current, line.voltage(current)};
}

examples::CharacteristicSheet characteristic(const Scenario& s, const Working& most, const Working& least) {
  const auto& d = s.data();
  const auto arc = catalogue::build(d).laws().arc;
  examples::Curve lit{"lit tube", {}, {}};
  const double top_current = std::max(1.3 * most.current, d.greatest_current.value);
  for (int k = 0; k <= 200; ++k) {
    const double amperes = d.extinction_current.value + top_current * k / 200;
    const TubeState state = amperes > arc.covered_from ? TubeState::abnormal_glow : TubeState::glow;
    lit.x.push_back(arc.voltage(amperes, state)), lit.y.push_back(amperes);
  }
  // What is left for the tube: the load takes its current off the line.
  const auto feed = [&](const char* label, double volts, double load) {
    auto line = examples::load_line(label, volts - s.resistor * load, s.resistor);
    for (std::size_t k = line.x.size(); k-- > 0;)
      if (line.x[k] < 0.85 * d.maintaining.value)
        line.x.erase(line.x.begin() + long(k)), line.y.erase(line.y.begin() + long(k));
    return line;
  };
  return {.title = fmt::format("A {} and what its feed leaves it", s.tube),
          .x = {"voltage across the tube", "V"},
          .y = {"tube current", "A"},
          .curves = {lit, feed("highest supply, least load", s.high(), s.load_least),
                     feed("lowest supply, greatest load", s.low(), s.load_greatest)},
          .markers = {{"most", most.voltage, most.current}, {"least", least.voltage, least.current}},
          .x_limits = {{"every new tube strikes", d.strike_greatest.value}},
          .y_limits = {{"least current", d.least_current.value}, {"greatest current", d.greatest_current.value}}};
}

/// Switched on at the lowest supply with the greatest load; then the supply rises; then the load falls.
examples::Observed observed(const Scenario& s) {
  const double nominal = s.data().maintaining.value;
  const double always = nominal / s.load_least, more = nominal / std::max(s.load_greatest - s.load_least, 1e-9);
  const auto circuit = wire<node_count>(
      PulseSource<double>{
          supply, ground, {.low = s.low(), .high = s.high(), .delay = 20e-3, .width = 1, .rise = 20e-3}},
      Resistor{supply, top, s.resistor}, Capacitor{top, ground, s.capacitor}, Resistor{top, ground, always},
      PushButton{top, load_top, std::array<Press<double>, 1>{{{0, 60e-3}}}}, Resistor{load_top, ground, more},
      named("stabiliser", wired(catalogue::build(s.data()), {.anode = top, .cathode = ground})));
  auto run = start(circuit);
  auto seen =
      examples::observe(run, 80e-3,
                        {{"supply", "V", {{"", VoltageProbe{supply}}}, {}},
                         {"load voltage", "V", {{"", VoltageProbe{top}}}, {{"strikes", s.data().strike.value}}},
                         {"tube current",
                          "A",
                          {{"", CurrentProbe{circuit.find("stabiliser")}}},
                          {{"least", s.data().least_current.value}, {"greatest", s.data().greatest_current.value}}}});
  seen.sheet.title = fmt::format("Receiver supply: a {} with supply up, load down", s.tube);
  seen.sheet.events = {{20e-3, "supply rises"}, {40e-3, "supply highest"}, {60e-3, "load falls"}};
  return seen;
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("glow_stabiliser", "A stabiliser tube: does it strike, and how steady does it hold?");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::stabilisers));
  line.option("supply", s.volts, "V", "unsteady supply, middle", {80, 1000});
  line.option("swing", s.swing, "%", "the supply's, either way", {0, 50});
  line.option("resistor", s.resistor, "ohm", "from supply to tube", {100, 1e6});
  line.option("load-least", s.load_least, "A", "least current of the load", {1e-6, 1});
  line.option("load-greatest", s.load_greatest, "A", "greatest current of the load", {1e-6, 1});
  line.option("capacitor", s.capacitor, "F", "across the tube", {1e-12, 1e-3});
  examples::add_output_options(line, s.files);
  line.option("run", s.run.picture, "file for the picture of the run, or none");
  const auto exit = line.parse(argc, argv);
  if (!exit && s.load_greatest < s.load_least) throw std::invalid_argument("--load-greatest is less than --load-least");
  return exit;
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  const Working most = meet(s, s.high(), s.load_least), least = meet(s, s.low(), s.load_greatest);
  // Before it strikes the load, taken as a resistor, divides the supply.
  const double load_ohms = d.maintaining.value / s.load_greatest,
               offered = s.low() * load_ohms / (load_ohms + s.resistor);
  const double from = (s.high() - most.voltage) / (d.greatest_current.value + s.load_least);
  const double to = std::min((s.low() - least.voltage) / (d.least_current.value + s.load_greatest),
                             load_ohms * (s.low() / d.strike_greatest.value - 1));
  examples::print(examples::caution(s.high()));
  examples::print(examples::heading("Does it strike, does it stay in its range, and how steady is it?"));
  examples::print(examples::answer_table({
      at_least("voltage offered before it strikes", offered, "V", d.strike_greatest.value),
      at_least("least tube current", least.current, "A", d.least_current.value),
      at_most("greatest tube current", most.current, "A", d.greatest_current.value),
      at_least("feed resistor", s.resistor, "ohm", from),
      at_most("feed resistor", s.resistor, "ohm", to),
      fact("load voltage, least", least.voltage, "V"),
      fact("load voltage, greatest", most.voltage, "V"),
      fact("regulation over supply and load together", most.voltage - least.voltage, "V",
           fmt::format("{:.2g} %", 100 * (most.voltage / least.voltage - 1))),
      fact("supply's swing is divided by", (s.resistor + d.resistance.value) / d.resistance.value, ""),
      at_most("capacitor across the tube", s.capacitor, "F", d.shunt_capacitance.value),
      at_most("feed resistor dissipates", (s.high() - most.voltage) * (s.high() - most.voltage) / s.resistor, "W", 10),
      fact("tubes differ in voltage, from", d.maintaining_least.value, "V",
           fmt::format("to {}", examples::engineering(d.maintaining_greatest.value, "V"))),
  }));
  examples::print(examples::paragraph(
      to > from ? fmt::format("Any feed resistor from {} to {} will do.", examples::engineering(from, "ohm", 3),
                              examples::engineering(to, "ohm", 3))
                : std::string(
                    "No feed resistor will do: the supply or the load changes too much, or the supply is too low.")));
  const auto seen = observed(s);
  examples::print(examples::log_of(seen));
  bool written = examples::deliver(characteristic(s, most, least), s.files);
  written = examples::deliver(seen.sheet, s.run, examples::Window{5e-3, 80e-3}) && written;
  examples::print(
      examples::what_to_change({"--supply 220: with the load on the tube may never strike; the table says by how much.",
                                "--swing 25: too much for any resistor.", "--tube 0B2 --resistor 7k: holds 108 V.",
                                "--load-greatest 20m: the load takes what the tube needs."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("glow_stabiliser", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
