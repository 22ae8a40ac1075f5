// SPDX-License-Identifier: MIT
// The library has no varistor: how do I write one, and does it save the contact that breaks a coil's current?
//
// Scenario: the gong of a doll's house. A tetrode holds the gong's coil in; it is let go by a contact that bounces as
// it opens. Without anything across it the coil drives the contact and the tube to kilovolts. The part stands in
// own_part/varistor.hpp, outside the library.
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "own_part/varistor.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"

#include <fmt/format.h>

#include <cmath>

using namespace gastube;
using own_part::Varistor;

namespace {

using examples::at_least, examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, top, plate, grid, drive, node_count };

struct Scenario {
  double volts = 110, coil = 0.8, ohms = 1e3, bleeder = 22e3, wiring = 200e-12, contact = 300;
  own_part::VaristorData<double> varistor{.volts = 150, .steepness = 30, .joules = 0.5};
  double opened = 30e-3, bounce = 1e-3;
  int bounces = 3, seed = 1;
  examples::OutputFiles files{.picture = "own_part.png", .table = ""};
};

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("own_part", "A varistor, given to the library as a part of one's own, across a coil.");
  line.option("supply", s.volts, "V", "supply", {20, 400});
  line.option("coil", s.coil, "H", "inductance of the gong's coil", {1e-3, 100});
  line.option("coil-resistance", s.ohms, "ohm", "its resistance", {10, 1e5});
  line.option("bleeder", s.bleeder, "ohm", "across the coil: gives the tube its first current", {1e3, 1e7});
  line.option("wiring", s.wiring, "F", "capacitance of coil and wiring", {1e-12, 1e-6});
  line.option("contact", s.contact, "V", "that the contact may see", {10, 1e5});
  line.group("varistor");
  line.option("varistor", s.varistor.volts, "V", "at one milliampere", {10, 1e4});
  line.option("steepness", s.varistor.steepness, "", "exponent of its current", {2, 60});
  line.option("joules", s.varistor.joules, "J", "it stands at once", {1e-6, 1e3});
  line.group("contact that opens");
  line.option("bounces", s.bounces, "at the opening", {0, 100});
  line.option("bounce", s.bounce, "s", "they last", {1e-6, 0.02});
  line.option("seed", s.seed, "of their intervals; 0 for equal ones", {0, 1e9});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

/// With the varistor across the coil; one of a million volts is as good as none.
auto circuit_of(const Scenario& s, own_part::VaristorData<double> varistor) {
  const std::array<Press<double>, 1> closed{{{1e-3, s.opened - 1e-3}}};
  const Bounce<double> bounce{.bounces = s.bounces, .time = s.bounce, .seed = std::uint32_t(s.seed)};
  return wire<node_count>(DcSource{supply, ground, s.volts}, named("contact", PushButton{supply, top, closed, bounce}),
                          named("coil", Inductor{top, plate, s.coil, s.ohms}), Resistor{top, plate, s.bleeder},
                          Capacitor{top, ground, s.wiring}, Capacitor{plate, ground, s.wiring},
                          named("varistor", Varistor<double>{top, plate, varistor}),
                          PulseSource<double>{drive, ground, {.low = -6, .high = 10, .delay = 5e-3, .width = 5e-3}},
                          Resistor{drive, grid, 47e3},
                          named("tube", wired(catalogue::type_5727(),
                                              {.plate = plate, .grid = grid, .cathode = ground, .heater = ground})));
}

template <class Circuit>
examples::Observed watch(const Scenario& s, const Circuit& circuit, double* joules = nullptr) {
  auto run = start(circuit);
  auto seen =
      examples::observe(run, s.opened + 8e-3,
                        {{"across the contact", "V", {{"", VoltageProbe{supply, top}}}, {{"it may see", s.contact}}},
                         {"across the tube",
                          "V",
                          {{"", VoltageProbe{plate}}},
                          {{"peak forward rating", catalogue::data_5727.peak_forward.value}}},
                         {"coil current", "A", {{"", CurrentProbe{circuit.find("coil")}}}},
                         {"varistor current", "A", {{"", CurrentProbe{circuit.find("varistor")}}}}});
  if (joules) *joules = follower(run, circuit.find("varistor"));
  return seen;
}

int answer(const Scenario& s) {
  double joules = 0;
  auto bare_sheet = s.varistor;
  bare_sheet.volts = 1e6;
  const auto bare = watch(s, circuit_of(s, bare_sheet));
  auto seen = watch(s, circuit_of(s, s.varistor), &joules);
  const auto across = [](const examples::Observed& run, std::size_t panel) {
    return std::fmax(run.greatest(run.trace(panel)), -run.least(run.trace(panel)));
  };
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("Does the varistor save the contact?"));
  examples::print(examples::answer_table({
      at_most("across the contact, with nothing there", across(bare, 0), "V", s.contact),
      at_most("across the contact, with the varistor", across(seen, 0), "V", s.contact),
      at_most("plate driven down to, with nothing there", -bare.least(bare.trace(1)), "V",
              catalogue::data_5727.peak_inverse.value),
      at_most("plate driven up to, with the varistor", seen.greatest(seen.trace(1)), "V",
              catalogue::data_5727.peak_forward.value),
      at_least("bleeder's current, to keep the young arc", (s.volts - 8) / s.bleeder, "A",
               catalogue::data_5727.sustaining_current.value),
      at_least("varistor at a milliampere, to leave the supply alone", s.varistor.volts, "V", 1.2 * s.volts),
      at_most("heat in the varistor in this run", joules, "J", s.varistor.joules),
      fact("peak coil current", seen.greatest(seen.trace(2)), "A"),
  }));
  examples::print(examples::paragraph("The part is one header, examples/own_part/varistor.hpp: its terminals(), "
                                      "write() and what more it likes to offer. "
                                      "tests/laws/part_laws.hpp asks of it what is asked of the library's own."));
  seen.sheet.title =
      fmt::format("Gong: a varistor of {} across the coil", examples::engineering(s.varistor.volts, "V"));
  seen.sheet.events.push_back({s.opened, "contact opens"});
  examples::print(examples::log_of(seen, 30));
  const bool written = examples::deliver(seen.sheet, s.files, examples::Window{s.opened - 2e-3, s.opened + 8e-3});
  examples::print(
      examples::what_to_change({"--varistor 300: the contact sees more than it may.",
                                "--steepness 5: a softer part, and a higher voltage for the same current.",
                                "--bounces 0: a contact that opens once.",
                                "--bleeder 100k: the arc is lost again and again until the coil carries current.",
                                "--coil 5: more energy, and less in hand for the varistor."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("own_part", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
