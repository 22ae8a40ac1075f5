// SPDX-License-Identifier: MIT
// The masthead light of a model lighthouse is a small neon lamp that flashes by itself: a resistor charges a capacitor,
// the lamp strikes, empties it, and goes out. How often does it flash, and does it with every lamp, or does it settle?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/relaxation.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/load_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"

#include <fmt/format.h>

#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::fact, examples::time_or_never;
enum Nodes : Node { ground, supply, lamp_top, node_count };

struct Scenario {
  std::string lamp = "NE-2";
  double volts = 120, resistor = 3.3e6, capacitor = 0.22e-6, darkness = 0;
  int flashes = 4;
  examples::OutputFiles files{.picture = "glow_flasher.png", .table = ""},
      path{.picture = "glow_flasher_path.png", .table = ""};
  [[nodiscard]] const catalogue::GlowData& data() const { return examples::type_in(catalogue::glow_lamps, lamp); }
  /// The closed forms, for a lamp that strikes at this voltage.
  [[nodiscard]] GlowRelaxation<double> relaxation(double strike) const {
    const auto tube = catalogue::build(data());
    return {.supply = volts,
            .resistance = resistor,
            .strike = strike,
            .extinction = tube.extinction_voltage(),
            .normal_from = tube.least_current(),
            .inertia = data().deionisation_constant.value,
            .rising_resistance = data().resistance.value,
            .least_current = tube.least_current()};
  }
};

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("glow_flasher", "A neon lamp that flashes across a capacitor: how often, and for sure?");
  line.option("lamp", s.lamp, "type", examples::types_in(catalogue::glow_lamps));
  line.option("supply", s.volts, "V", "supply", {10, 500});
  line.option("resistor", s.resistor, "ohm", "that charges the capacitor", {1e3, 1e10});
  line.option("capacitor", s.capacitor, "F", "across the lamp", {1e-11, 1e-3});
  line.option("darkness", s.darkness, "", "0 in daylight to 1 in complete darkness", {0, 1});
  line.option("flashes", s.flashes, "in the picture", {2, 20});
  examples::add_output_options(line, s.files);
  line.option("path", s.path.picture, "file for the picture of the lamp's path over its load line, or none");
  return line.parse(argc, argv);
}

/// Current against voltage: what the feed offers, what the lit lamp takes, and the way of one flash.
examples::CharacteristicSheet path_sheet(const Scenario& s, const examples::Observed& seen, double strike) {
  const auto tube = catalogue::build(s.data());
  const auto lit = seen.events.lit("lamp");
  examples::Curve glow{"lit lamp", {}, {}};
  for (double amperes = tube.least_current(); amperes < 3e-3; amperes *= 1.05)
    glow.x.push_back(tube.laws().arc.voltage(amperes, TubeState::glow)), glow.y.push_back(amperes);
  const std::size_t last = lit.size();
  return {.title = fmt::format("One flash of a {}, and what its feed could keep alight", s.lamp),
          .x = {"voltage across the lamp", "V"},
          .y = {"current", "A", true},
          .curves = {examples::operating_path("the lamp, from flash to flash", seen.trace(0), seen.trace(1),
                                              lit[last - 2] - 1e-5, lit[last - 1] - 1e-5, 1e-9),
                     glow, examples::load_line("feed: supply and resistor", s.volts, s.resistor)},
          .x_limits = {{"goes out", tube.extinction_voltage()}, {"strikes", strike}},
          .y_limits = {{"least current of the glow", tube.least_current()}}};
}

int answer(const Scenario& s) {
  const auto tube = catalogue::build(s.data(), s.darkness);
  const double strike = tube.strike_voltage(0.0), latest = s.data().strike_greatest.value;
  const auto middle = s.relaxation(strike), last = s.relaxation(latest);
  const auto circuit = wire<node_count>(DcSource{supply, ground, s.volts}, Resistor{supply, lamp_top, s.resistor},
                                        Capacitor{lamp_top, ground, s.capacitor},
                                        named("lamp", wired(tube, {.anode = lamp_top, .cathode = ground})));
  auto run = start(circuit);
  const double period = middle.period(s.capacitor);
  auto seen = examples::observe(
      run, (s.flashes - 0.5) * std::min(period, 20 * s.resistor * s.capacitor) + 2 * s.resistor * s.capacitor,
      {{"across the lamp",
        "V",
        {{"", VoltageProbe{lamp_top}}},
        {{"strikes", strike}, {"goes out", tube.extinction_voltage()}}},
       {"lamp current",
        "A",
        {{"", CurrentProbe{circuit.find("lamp")}}},
        {{"design current", s.data().design_current.value}}}});
  const auto lit = seen.events.lit("lamp"), out = seen.events.of("lamp", "recovering");
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("How often does it flash, and for sure?"));
  const double most_feed = (s.volts - middle.extinction) / middle.normal_from;
  examples::print(examples::answer_table({
      at_least("supply, to strike this lamp in this light", s.volts, "V", strike),
      at_least("supply, to strike any new lamp in the light", s.volts, "V", latest),
      at_most("current of the feed at extinction", (s.volts - middle.extinction) / s.resistor, "A", middle.normal_from),
      at_least("resistor, for the lamp not to stay lit", s.resistor, "ohm", most_feed),
      time_or_never("from flash to flash, middle lamp", period, examples::engineering(1 / period, "Hz")),
      time_or_never("from flash to flash, worst new lamp", last.period(s.capacitor)),
      time_or_never("length of a flash", middle.flash_time(s.capacitor)),
      time_or_never("in this run, from flash to flash", lit.size() > 2 ? lit[2] - lit[1] : std::nan("")),
      time_or_never("in this run, length of a flash",
                    lit.size() > 1 && out.size() > 1 ? out[1] - lit[1] : std::nan("")),
      fact("peak current", seen.greatest(seen.trace(1)), "A"),
  }));
  examples::print(examples::paragraph(lit.size() > 1                               ? "It flashes."
                                      : tube_state(run, "lamp") == TubeState::glow ? "It lights once and stays lit."
                                                                                   : "It stays dark."));
  seen.sheet.title = fmt::format("Lighthouse: a {} on {}", s.lamp, examples::engineering(s.volts, "V"));
  seen.mark_lit("lamp", "flash");
  examples::print(examples::log_of(seen, 30));
  bool written = examples::deliver(seen.sheet, s.files);
  if (lit.size() > 1) written = examples::deliver(path_sheet(s, seen, strike), s.path) && written;
  examples::print(examples::what_to_change(
      {"--darkness 1: in the dark a lamp strikes later, and the flashes are further apart.",
       "--supply 80: the worst new lamp stays dark, and this one takes its time.",
       "--resistor 560k: the feed keeps the lamp alight, and it does not flash.",
       "--capacitor 1n: hundreds of flashes a second look like a steady glow; the ions left cut them short."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("glow_flasher", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
