// SPDX-License-Identifier: MIT
// A light barrier at a garden gate fires a xenon tetrode, which pulls a relay and holds it; a contact in the supply
// lead resets it. The coil does not let its current be broken: where does the kick go, what does it do to tube and
// contact, and what does a cure cost in release time?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::engineering, examples::fact;
enum Nodes : Node { ground, supply, top, plate, middle, barrier, grid, node_count };

struct Scenario {
  double volts = 60, henries = 3, ohms = 1000, winding = 200e-12, stray = 30e-12, bias = -6, pulse = 3e-3;
  double pull_in = 25e-3, drop_out = 10e-3, resistor = 3300, capacitor = 0.47e-6, damping = 220;
  std::string cure = "snubber";
  examples::OutputFiles files{.picture = "relay_driver.png", .table = ""};
  [[nodiscard]] double opened() const { return 60e-3; }
};

auto circuit_of(const Scenario& s, const std::string& cure) {
  const bool resistor = cure == "resistor", snubber = cure == "snubber";
  return wire<node_count>(
      DcSource{supply, ground, s.volts},
      named("contact", PushButton{supply, top, std::array<Press<double>, 1>{{{0, s.opened()}}}}),
      named("coil", Inductor{top, plate, s.henries, s.ohms}), Capacitor{top, plate, s.winding},
      Capacitor{top, ground, s.stray, s.volts}, Resistor{top, plate, resistor ? s.resistor : 1e9},
      Resistor{top, middle, snubber ? s.damping : 1e9}, Capacitor{middle, plate, snubber ? s.capacitor : 1e-12},
      PulseSource<double>{barrier, ground, {.low = s.bias, .high = 12, .delay = 10e-3, .width = s.pulse}},
      Resistor{barrier, grid, 47e3},
      named("tube",
            wired(catalogue::type_5727(), {.plate = plate, .grid = grid, .cathode = ground, .heater = ground})));
}

examples::Observed observed(const Scenario& s, const std::string& cure) {
  const auto circuit = circuit_of(s, cure);
  auto run = start(circuit, Beginning::settled);
  const auto& ratings = catalogue::data_5727;
  return examples::observe(
      run, 120e-3,
      {{"coil current",
        "A",
        {{"", CurrentProbe{circuit.find("coil")}}},
        {{"pulls in", s.pull_in}, {"drops out", s.drop_out}}},
       {"plate",
        "V",
        {{"", VoltageProbe{plate}}},
        {{"peak forward", ratings.peak_forward.value}, {"peak inverse", -ratings.peak_inverse.value}}},
       {"across the contact", "V", {{"", VoltageProbe{supply, top}}}, {}}});
}

/// When the coil current first passes a level after `from`, upwards or downwards, for good; NaN if it does not.
double passes(const examples::Trace& coil, double from, double level, bool upwards) {
  double found = std::nan("");
  for (std::size_t k = coil.time.size(); k-- > 0 && coil.time[k] > from;) {
    const bool beyond = upwards ? coil.value[k] >= level : std::fabs(coil.value[k]) <= level;
    if (!upwards && !beyond) break;
    if (beyond) found = coil.time[k];
  }
  return found;
}

struct Outcome {
  double contact, forward, inverse, pull_in, release;
  bool relit;
};
Outcome outcome_of(const Scenario& s, const examples::Observed& seen) {
  const auto after = [&](std::size_t panel) { return examples::clip(seen.trace(panel), s.opened(), seen.end); };
  const auto& coil = seen.trace(0);
  const bool pulled = examples::clip(coil, s.opened(), s.opened()).value.front() > s.drop_out;
  return {.contact = std::max(seen.greatest(after(2)), -seen.least(after(2))),
          .forward = seen.greatest(after(1)),
          .inverse = std::max(0.0, -seen.least(after(1))),
          .pull_in = passes(examples::clip(coil, 0, s.opened()), 10e-3, s.pull_in, true) - 10e-3,
          .release = pulled ? passes(coil, s.opened(), s.drop_out, false) - s.opened() : std::nan(""),
          .relit = seen.events.lit("tube").size() > 1};
}

void print_comparison(const Scenario& s) {
  std::vector<std::vector<std::string>> rows;
  for (const std::string cure : {"none", "resistor", "snubber"}) {
    const auto seen = observed(s, cure);
    const Outcome o = outcome_of(s, seen);
    rows.push_back({cure, engineering(o.contact, "V", 3), engineering(o.forward, "V", 3),
                    engineering(o.inverse, "V", 3), engineering(o.release, "s", 3), o.relit ? "yes" : "no"});
  }
  examples::print(examples::text_table({{"across the coil"},
                                        {"contact", true},
                                        {"plate forward", true},
                                        {"plate inverse", true},
                                        {"release after", true},
                                        {"tube relit"}},
                                       rows));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("relay_driver", "A tube pulls a relay, a contact resets it: where does the kick go?");
  line.option("supply", s.volts, "V", "supply", {20, 300});
  line.option("inductance", s.henries, "H", "of the coil", {1e-3, 100});
  line.option("coil", s.ohms, "ohm", "resistance of the coil", {10, 1e5});
  line.option("pulse", s.pulse, "s", "length of the barrier's pulse", {1e-6, 40e-3});
  line.option("pull-in", s.pull_in, "A", "current at which the relay pulls in", {1e-4, 10});
  line.option("drop-out", s.drop_out, "A", "current at which it lets go", {1e-4, 10});
  line.option("cure", s.cure, "across the coil, in the picture", {"none", "resistor", "snubber"});
  line.option("resistor", s.resistor, "ohm", "the cure by a resistor", {10, 1e7});
  line.option("capacitor", s.capacitor, "F", "the cure by a snubber: its capacitor", {1e-10, 1e-3});
  line.option("damping", s.damping, "ohm", "the cure by a snubber: its resistor", {1, 1e5});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

int answer(const Scenario& s) {
  const auto& d = catalogue::data_5727;
  auto seen = observed(s, s.cure);
  const Outcome o = outcome_of(s, seen);
  const double drop = d.arc_drop.value, steady = (s.volts - drop) / s.ohms;
  const double hold_ratio = 1 - d.sustaining_greatest.value * s.ohms / (s.volts - drop);
  examples::print(examples::caution(s.volts, "A coil whose current is broken makes kilovolts."));
  examples::print(examples::heading("Where does the kick go, and what does a cure cost?"));
  examples::print(examples::answer_table({
      at_least("current of the relay", steady, "A", s.pull_in),
      at_most("the same against the tube's average", steady, "A", d.average_current.value),
      at_least("pulse, for any tube, nothing across the coil", s.pulse, "s",
               -s.henries / s.ohms * std::log(hold_ratio)),
      examples::time_or_never("relay has pulled in after", o.pull_in),
      fact("kick with nothing across the coil, I sqrt(L / C)", steady * std::sqrt(s.henries / s.winding), "V"),
      fact("kick with the resistor, I R", steady * s.resistor, "V"),
      at_most("plate, forward, cure " + s.cure, o.forward, "V", d.peak_forward.value),
      at_most("plate, inverse, cure " + s.cure, o.inverse, "V", d.peak_inverse.value),
      fact("greatest voltage across the contact", o.contact, "V"),
      examples::time_or_never("relay lets go after", o.release),
  }));
  print_comparison(s);
  seen.sheet.title = fmt::format("Gate relay: cure {}", s.cure);
  seen.sheet.events = {{10e-3, "light barrier"}, {s.opened(), "contact opens"}};
  seen.mark_lit("tube", "tube fires");
  examples::print(examples::log_of(seen, 30));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--cure none: kilovolts across contact and tube, which strikes through again and again.",
       "--cure resistor --resistor 1k: a third of the kick, twice the release time, and more current.",
       "--capacitor 10n: a smaller snubber, a larger kick.", "--pulse 2u: over before the discharge has formed."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("relay_driver", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
