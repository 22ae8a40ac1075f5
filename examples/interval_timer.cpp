// SPDX-License-Identifier: MIT
// The lamp of a darkroom enlarger is to burn for a few seconds: a capacitor charges slowly at the trigger of a
// cold-cathode tube, which strikes and pulls a relay that opens the lamp's circuit. How long, and how sure is that?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
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

using examples::at_least, examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, timing, anode, node_count };

struct Scenario {
  std::string tube = "5823";
  double volts = 170, resistor = 4.7e6, capacitor = 2.2e-6, leak = 1e9, relay = 5600, release = 0.5;
  examples::OutputFiles files{.picture = "interval_timer.png", .table = ""};
  [[nodiscard]] const catalogue::TriggerData& data() const { return examples::type_in(catalogue::trigger_tubes, tube); }
  /// V that the leaking capacitor would charge to.
  [[nodiscard]] double target() const { return volts * leak / (resistor + leak); }
  /// s from release to a trigger voltage; NaN if it is never reached.
  [[nodiscard]] double time_to(double trigger) const {
    return resistor * leak / (resistor + leak) * capacitor * std::log(target() / (target() - trigger));
  }
};

/// The button keeps the capacitor empty until it is released.
auto circuit_of(const Scenario& s) {
  return wire<node_count>(
      DcSource{supply, ground, s.volts}, Resistor{supply, timing, s.resistor}, Capacitor{timing, ground, s.capacitor},
      Resistor{timing, ground, s.leak},
      PushButton{timing, ground, std::array<Press<double>, 1>{{{0, s.release}}}, {}, 10.0},
      named("relay", Resistor{supply, anode, s.relay}),
      named("tube", wired(catalogue::build(s.data()), {.anode = anode, .trigger = timing, .cathode = ground})));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("interval_timer", "A trigger tube that strikes a few seconds after a button is released.");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::trigger_tubes));
  line.option("supply", s.volts, "V", "supply of timing and anode", {50, 500});
  line.option("resistor", s.resistor, "ohm", "timing resistor", {1e3, 1e9});
  line.option("capacitor", s.capacitor, "F", "timing capacitor", {1e-9, 1e-3});
  line.option("leak", s.leak, "ohm", "leakage across the capacitor", {1e5, 1e13});
  line.option("relay", s.relay, "ohm", "relay in the anode lead", {100, 1e6});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  const double middle = s.time_to(d.trigger_ignition.value);
  // The tubes' spread; where none is published, a tenth either way.
  const auto or_tenth = [&](const catalogue::Datum& datum, double sign) {
    return is_limited(datum.value) && datum.value > 0 ? datum.value : (1 + 0.1 * sign) * d.trigger_ignition.value;
  };
  const double low = or_tenth(d.trigger_ignition_least, -1), high = or_tenth(d.trigger_ignition_greatest, 1);
  const double ratio = s.target() / (s.target() - d.trigger_ignition.value);
  const double current = (s.volts - d.maintaining.value) / (s.relay + d.resistance.value);
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("How long does the lamp burn, and how sure is that?"));
  examples::print(examples::answer_table({
      examples::time_or_never("time, middle tube", middle),
      examples::time_or_never("time, tube that strikes first", s.time_to(low)),
      examples::time_or_never("time, tube that strikes last", s.time_to(high)),
      fact("change of the time for one per cent more supply",
           -d.trigger_ignition.value / (s.target() - d.trigger_ignition.value) / std::log(ratio), "%"),
      at_least("voltage the capacitor charges to", s.target(), "V", high),
      at_most("supply, for no tube to strike untriggered", s.volts, "V", d.breakdown_least.value),
      at_least("relay current", current, "A", d.sustaining_current.value),
      at_most("anode current", current, "A", d.average_current.value),
  }));
  if (!(s.target() > d.trigger_ignition.value)) {
    examples::print(
        examples::paragraph("The leak takes too much: the capacitor never reaches the trigger's ignition."));
    return 0;
  }
  const auto circuit = circuit_of(s);
  const double length = s.release + 1.25 * middle;
  auto run = start(circuit, Settings<double>{.longest_step = length / 200});  // for a smooth trace
  auto seen =
      examples::observe(run, length,
                        {{"timing capacitor",
                          "V",
                          {{"", VoltageProbe{timing}}},
                          {{"first tube", low}, {"middle", d.trigger_ignition.value}, {"last tube", high}}},
                         {"anode", "V", {{"", VoltageProbe{anode}}}, {{"main gap maintains", d.maintaining.value}}},
                         {"relay current",
                          "A",
                          {{"", CurrentProbe{circuit.find("relay")}}},
                          {{"average rating", d.average_current.value}}}});
  const auto fired = seen.events.of("tube", "conducting");
  examples::print(examples::paragraph(
      fired.empty() ? std::string("In the run the trigger strikes, but the main gap does not follow.")
                    : fmt::format("In the run the relay pulls {} after the button is released.",
                                  examples::engineering(fired[0] - s.release, "s", 6))));
  seen.sheet.title = fmt::format("Enlarger timer with a {}", s.tube);
  seen.sheet.events.push_back({s.release, "button released"});
  seen.mark("tube", "conducting", "tube strikes");
  examples::print(examples::log_of(seen));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--resistor 10M: longer; with --leak 8M as well it never ends.",
       "--supply 120: closer to the ignition, so the spread of tubes and a change of the supply count for more.",
       "--tube Z803U --supply 250: a primed tube with a narrow spread.",
       "--supply 210: above what every tube holds, so the worst strikes as soon as it is switched on."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("interval_timer", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
