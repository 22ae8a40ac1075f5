// SPDX-License-Identifier: MIT
// A light barrier at a garden gate fires a xenon tetrode, which pulls a relay and holds it, and the relay's contact
// lights the lamp over the gate; a button in the supply lead resets it. The coil does not let its current be broken:
// where does the kick go, what does it do to tube and button, and what does a cure cost in release time?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/relay.hpp>
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
enum Nodes : Node { ground, supply, top, plate, middle, barrier, grid, lamp_supply, lamp, node_count };

struct Scenario {
  double volts = 60, henries = 3, ohms = 1000, winding = 200e-12, stray = 30e-12, bias = -6, pulse = 3e-3;
  double pull_in = 25e-3, drop_out = 10e-3, resistor = 3300, capacitor = 0.47e-6, damping = 2200;
  std::string cure = "snubber";
  examples::OutputFiles files{.picture = "relay_driver.png", .table = ""};
  [[nodiscard]] double light() const { return 10e-3; }   ///< s, when the barrier's pulse begins
  [[nodiscard]] double opened() const { return 60e-3; }  ///< s, when the button opens the supply lead
  /// With the armature pulled in the coil has half as much inductance again.
  [[nodiscard]] RelayCoil<double> coil() const { return {ohms, henries, 1.5 * henries, pull_in, drop_out}; }
};

auto circuit_of(const Scenario& s, const std::string& cure) {
  const bool resistor = cure == "resistor", snubber = cure == "snubber", diode = cure == "diode";
  const RelayTimes<double> times{.pull_in = 5e-3, .release = 3e-3, .flight = 2e-3, .bounce = {3, 1.5e-3}};
  const std::array<ChangeOver, 1> contacts{{{.common = lamp_supply, .work = lamp}}};
  return wire<node_count>(
      DcSource{supply, ground, s.volts},
      named("button", PushButton{supply, top, std::array<Press<double>, 1>{{{0, s.opened()}}}}),
      named("relay", Relay<double>{top, plate, contacts, s.coil(), times, 0.05}), Capacitor{top, plate, s.winding},
      Capacitor{top, ground, s.stray, s.volts}, Resistor{top, plate, resistor ? s.resistor : 1e9},
      Resistor{top, middle, snubber ? s.damping : 1e9}, Capacitor{middle, plate, snubber ? s.capacitor : 1e-12},
      Diode<double>{plate, top, {.drop = diode ? 0.7 : 1e6, .slope = 1, .leakage = 1e-9}},
      PulseSource<double>{barrier, ground, {.low = s.bias, .high = 12, .delay = s.light(), .width = s.pulse}},
      Resistor{barrier, grid, 47e3},
      named("tube", wired(catalogue::type_5727(), {.plate = plate, .grid = grid, .cathode = ground})),
      DcSource{lamp_supply, ground, 12.0}, Resistor{lamp, ground, 60.0});
}

examples::Observed observed(const Scenario& s, const std::string& cure) {
  const auto circuit = circuit_of(s, cure);
  auto run = start(circuit, Beginning::settled);
  const auto& ratings = catalogue::data_5727;
  auto seen = examples::observe(
      run, 120e-3,
      {{"coil current",
        "A",
        {{"", CurrentProbe{circuit.find("relay")}}},
        {{"pulls in", s.pull_in}, {"drops out", s.drop_out}}},
       {"plate",
        "V",
        {{"", VoltageProbe{plate}}},
        {{"peak forward", ratings.peak_forward.value}, {"peak inverse", -ratings.peak_inverse.value}}},
       {"across the button", "V", {{"", VoltageProbe{supply, top}}}, {}},
       {"gate lamp, on the relay's contact", "V", {{"", VoltageProbe{lamp}}}, {}}});
  seen.sheet.events = {{s.light(), "light barrier"}, {s.opened(), "button opens"}};
  return seen;
}

struct Outcome {
  double button, forward, inverse, pull_in, release;
  bool relit;
};
/// When the relay first entered a state after `from`, s after it; NaN if it never did.
double first_after(const examples::Observed& seen, const char* state, double from) {
  for (const double time : seen.events.of("relay", state))
    if (time >= from) return time - from;
  return std::nan("");
}
Outcome outcome_of(const Scenario& s, const examples::Observed& seen) {
  const auto after = [&](std::size_t panel) { return examples::clip(seen.trace(panel), s.opened(), seen.end); };
  return {.button = std::max(seen.greatest(after(2)), -seen.least(after(2))),
          .forward = seen.greatest(after(1)),
          .inverse = std::max(0.0, -seen.least(after(1))),
          .pull_in = first_after(seen, "touching", s.light()),
          .release = first_after(seen, "opening", s.opened()),
          .relit = std::ranges::any_of(seen.events.lit("tube"), [&](double time) { return time > s.opened(); })};
}

void print_comparison(const Scenario& s) {
  std::vector<std::vector<std::string>> rows;
  for (const std::string cure : {"none", "resistor", "snubber", "diode"}) {
    const Outcome o = outcome_of(s, observed(s, cure));
    rows.push_back({cure, engineering(o.button, "V", 3), engineering(o.forward, "V", 3), engineering(o.inverse, "V", 3),
                    std::isnan(o.release) ? "never" : engineering(o.release, "s", 3), o.relit ? "yes" : "no"});
  }
  examples::print(examples::text_table({{"across the coil"},
                                        {"button", true},
                                        {"plate forward", true},
                                        {"plate inverse", true},
                                        {"contact opens after", true},
                                        {"tube relit"}},
                                       rows));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("relay_driver", "A tube pulls a relay, a button resets it: where does the kick go?");
  line.option("supply", s.volts, "V", "supply", {20, 300});
  line.option("inductance", s.henries, "H", "of the coil, armature at rest", {1e-3, 100});
  line.option("coil", s.ohms, "ohm", "resistance of the coil", {10, 1e5});
  line.option("pulse", s.pulse, "s", "length of the barrier's pulse", {1e-6, 40e-3});
  line.option("pull-in", s.pull_in, "A", "current at which the relay pulls in", {1e-4, 10});
  line.option("drop-out", s.drop_out, "A", "current at which it lets go", {1e-4, 10});
  line.option("cure", s.cure, "across the coil, in the picture", {"none", "resistor", "snubber", "diode"});
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
      examples::time_or_never("lamp's contact closes after", o.pull_in),
      fact("kick with nothing across the coil, I sqrt(L / C)",
           steady * std::sqrt(s.coil().inductance_closed / s.winding), "V"),
      fact("kick with the resistor, I R", steady * s.resistor, "V"),
      at_most("plate, forward, cure " + s.cure, o.forward, "V", d.peak_forward.value),
      at_most("plate, inverse, cure " + s.cure, o.inverse, "V", d.peak_inverse.value),
      fact("greatest voltage across the button", o.button, "V"),
      examples::time_or_never("lamp's contact opens after", o.release),
  }));
  print_comparison(s);
  seen.sheet.title = fmt::format("Gate relay: cure {}", s.cure);
  seen.mark_lit("tube", "tube fires");
  for (const auto& change : seen.events.entries)  // the first touch, without its bounces
    if (change.from == "closing") seen.sheet.events.push_back({change.time, "contact closes"});
  seen.mark("relay", "opening", "contact opens");
  examples::print(examples::log_of(seen, 30));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--cure none: kilovolts across button and tube, which strikes through again and again.",
       "--cure diode: no kick at all, and the slowest release.",
       "--cure resistor --resistor 1k: a third of the kick, twice the release time, and more current.",
       "--damping 220: a smaller kick, but coil and capacitor ring, and the armature comes back once more.",
       "--pulse 2u: over before the discharge has formed."}));
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
