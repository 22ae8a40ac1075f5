// SPDX-License-Identifier: MIT
// In a small museum the lamps of the show-cases come on one after another along the round. Each hangs on a trigger tube
// without a heater; a lit tube charges a capacitor at the trigger of the next. How long does the round take, and does
// the light get to the end with every tube?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

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

using examples::at_least, examples::at_most;
enum Nodes : Node { ground, supply, button, first_free };

struct Scenario {
  std::string tube = "5823";
  int tubes = 4;
  double volts = 185, load = 8200, resistor = 2.2e6, capacitor = 0.47e-6, spread = 10;
  examples::OutputFiles files{.picture = "trigger_chain.png", .table = ""};
  std::vector<std::string> names{};
  [[nodiscard]] const catalogue::TriggerData& data() const { return examples::type_in(catalogue::trigger_tubes, tube); }
  /// Tube k's cathode and trigger; a resistor and a capacitor stand before each trigger but the first.
  [[nodiscard]] static Node cathode(int k) { return first_free + 2 * k; }
  [[nodiscard]] static Node trigger(int k) { return first_free + 2 * k + 1; }
  /// V of a lit cathode.
  [[nodiscard]] double lit() const {
    return (volts - data().maintaining.value) * load / (load + data().resistance.value);
  }
  [[nodiscard]] double ignition(int k) const {
    return data().trigger_ignition.value + (k % 2 == 0 ? spread : -spread) / 2;
  }
};

auto tube_of(const Scenario& s, int k) {
  auto data = s.data();
  data.trigger_ignition.value = s.ignition(k);
  return catalogue::build(data);
}

/// The lamp is in the cathode lead; its voltage charges the next trigger's capacitor.
auto circuit_of(const Scenario& s) {
  std::vector<WiredTube<catalogue::StandardTriggerTube<>>> tubes;
  std::vector<Resistor<double>> resistors;
  std::vector<Capacitor<double>> capacitors;
  for (int k = 0; k < s.tubes; ++k) {
    tubes.push_back(named(s.names[std::size_t(k)].c_str(),
                          wired(tube_of(s, k), {.anode = supply, .trigger = s.trigger(k), .cathode = s.cathode(k)})));
    resistors.push_back({s.cathode(k), ground, s.load});
    resistors.push_back({k == 0 ? Node(button) : s.cathode(k - 1), s.trigger(k), k == 0 ? 220e3 : s.resistor});
    if (k > 0) capacitors.push_back({s.trigger(k), ground, s.capacitor});
  }
  return wire_dynamic(std::size_t(s.trigger(s.tubes - 1) + 1), DcSource{supply, ground, s.volts},
                      PulseSource<double>{button, ground, {.low = 0, .high = 150, .delay = 0.1, .width = 50e-3}}, tubes,
                      resistors, capacitors);
}

double delay(const Scenario& s, double ignition) {
  return s.resistor * s.capacitor * std::log(s.lit() / (s.lit() - ignition));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("trigger_chain",
                             "Trigger tubes that light one another in turn: how long, and to the end?");
  line.option("tube", s.tube, "type of all", examples::types_in(catalogue::trigger_tubes));
  line.option("tubes", s.tubes, "in the chain", {2, 8});
  line.option("supply", s.volts, "V", "supply", {70, 400});
  line.option("load", s.load, "ohm", "lamp in each cathode lead, taken as a resistor", {500, 1e6});
  line.option("resistor", s.resistor, "ohm", "from each cathode to the next trigger", {1e4, 1e8});
  line.option("capacitor", s.capacitor, "F", "at each trigger", {1e-10, 1e-4});
  line.option("spread", s.spread, "V", "by which neighbours differ in ignition", {0, 30});
  examples::add_output_options(line, s.files);
  const auto exit = line.parse(argc, argv);
  for (int k = 1; k <= s.tubes; ++k) s.names.push_back("case " + std::to_string(k));
  return exit;
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  const auto known = [](const catalogue::Datum& datum, double otherwise) {
    return is_limited(datum.value) && datum.value > 0 ? datum.value : otherwise;
  };
  const double current = s.lit() / s.load, worst = known(d.trigger_ignition_greatest, 1.1 * d.trigger_ignition.value);
  double total = 0;
  for (int k = 1; k < s.tubes; ++k) total += delay(s, s.ignition(k));
  const auto circuit = circuit_of(s);
  const double length = 0.3 + 1.15 * (std::isfinite(total) ? total : 5 * s.resistor * s.capacitor);
  auto run = start(circuit, Settings<double>{.longest_step = length / 200});  // for smooth traces
  using Run = decltype(run);
  std::vector<examples::Quantity<Run>> cathodes, triggers;
  for (int k = 0; k < s.tubes; ++k) {
    cathodes.push_back({s.names[std::size_t(k)], VoltageProbe{s.cathode(k)}});
    if (k > 0) triggers.push_back({s.names[std::size_t(k)], VoltageProbe{s.trigger(k)}});
  }
  auto seen = examples::observe(
      run, length,
      {{"lamps", "V", cathodes, {}},
       {"triggers", "V", triggers, {{"last tube strikes", worst}, {"middle tube", d.trigger_ignition.value}}}});
  const auto first = seen.events.lit(s.names.front()), last = seen.events.lit(s.names.back());
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("How long does the round take, and does the light get to the end?"));
  examples::print(examples::answer_table({
      at_most("supply, for no tube to strike untriggered", s.volts, "V", d.breakdown_least.value),
      at_least("voltage of a lit lamp, to strike any next tube", s.lit(), "V", worst),
      at_least("current of a lit tube", current, "A", d.sustaining_current.value),
      at_most("the same against its rating", current, "A", d.average_current.value),
      examples::time_or_never("one step, middle tube", delay(s, d.trigger_ignition.value)),
      examples::time_or_never("one step, tube that strikes last", delay(s, worst)),
      examples::time_or_never("the round, by the closed form", total),
      examples::time_or_never("the round, in this run",
                              first.empty() || last.empty() ? std::nan("") : last[0] - first[0]),
  }));
  examples::print(examples::paragraph(last.empty() ? "In this run the light does not get to the end."
                                                   : "In this run the light gets to the end."));
  seen.sheet.title = fmt::format("Show-cases: {} tubes {} light one another", s.tubes, s.tube);
  for (const auto& each : s.names) seen.mark_lit(each, each);
  examples::print(examples::log_of(seen));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--supply 150: a lit lamp has too little voltage to strike the next tube.",
       "--spread 30: neighbours that differ much; the round is uneven, but its length changes little.",
       "--tube Z803U --supply 270: a tube with a narrow spread, for a supply of its own.",
       "--resistor 22M: ten times as long; a leaking capacitor would spoil it."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("trigger_chain", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
