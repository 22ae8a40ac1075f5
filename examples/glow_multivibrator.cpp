// SPDX-License-Identifier: MIT
// The two eyes of a carnival mask wink in turn: two neon lamps, a resistor to each, and one capacitor between them. The
// lamp that strikes throws the other one below its extinction. How fast do they wink, and do they with every pair?
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

using examples::at_least, examples::at_most, examples::fact, examples::time_or_never;
enum Nodes : Node { ground, supply, left, right, node_count };

struct Scenario {
  std::string lamp = "NE-2";
  double volts = 110, resistor = 470e3, capacitor = 1e-6, unequal = 3;
  int winks = 8;
  examples::OutputFiles files{.picture = "glow_multivibrator.png", .table = ""};
  [[nodiscard]] const catalogue::GlowData& data() const { return examples::type_in(catalogue::glow_lamps, lamp); }
};

/// A lamp that strikes some volts later than the middle one: no two are alike.
auto lamp_of(const Scenario& s, double later) {
  auto data = s.data();
  data.strike.value += later;
  data.strike_inverse.value += later;
  return catalogue::build(data);
}

auto circuit_of(const Scenario& s) {
  return wire<node_count>(DcSource{supply, ground, s.volts}, Resistor{supply, left, s.resistor},
                          Resistor{supply, right, s.resistor}, Capacitor{left, right, s.capacitor},
                          named("left eye", wired(lamp_of(s, 0), {.anode = left, .cathode = ground})),
                          named("right eye", wired(lamp_of(s, s.unequal), {.anode = right, .cathode = ground})));
}

/// s that a lamp is dark: it is thrown below its burning voltage by as much as the other one strikes above it, and
/// charges to its own strike.
double dark_time(const Scenario& s, double burning, double strike, double other_strike) {
  return s.resistor * s.capacitor * std::log((s.volts - 2 * burning + other_strike) / (s.volts - strike));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("glow_multivibrator", "Two neon lamps that put each other out: how fast do they wink?");
  line.option("lamp", s.lamp, "type of both", examples::types_in(catalogue::glow_lamps));
  line.option("supply", s.volts, "V", "supply", {10, 500});
  line.option("resistor", s.resistor, "ohm", "to each lamp", {1e3, 1e9});
  line.option("capacitor", s.capacitor, "F", "between the lamps", {1e-11, 1e-3});
  line.option("unequal", s.unequal, "V", "by which the right lamp strikes later", {0, 15});
  line.option("winks", s.winks, "in the picture, of both eyes together", {2, 40});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

int answer(const Scenario& s) {
  const auto tube = lamp_of(s, 0);
  const double strike = tube.strike_voltage(0.0), later = strike + s.unequal, least = tube.least_current();
  const auto& glow = tube.laws().arc.normal;
  const double current = (s.volts - glow.voltage(0)) / (s.resistor + glow.resistance), burning = glow.voltage(current);
  const double left_dark = dark_time(s, burning, strike, later), right_dark = dark_time(s, burning, later, strike);
  const auto circuit = circuit_of(s);
  auto run = start(circuit);
  auto seen = examples::observe(run,
                                std::isfinite(left_dark + right_dark)
                                    ? (s.winks + 1) * 0.5 * (left_dark + right_dark) + s.resistor * s.capacitor
                                    : 1,
                                {{"lamps",
                                  "V",
                                  {{"left eye", VoltageProbe{left}}, {"right eye", VoltageProbe{right}}},
                                  {{"left strikes", strike}, {"goes out", tube.extinction_voltage()}}},
                                 {"currents",
                                  "A",
                                  {{"left eye", CurrentProbe{circuit.find("left eye")}},
                                   {"right eye", CurrentProbe{circuit.find("right eye")}}}}});
  const auto left_lit = seen.events.lit("left eye"), right_lit = seen.events.lit("right eye");
  const bool winks = left_lit.size() > 2 && right_lit.size() > 2;
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("How fast do the eyes wink, and for sure?"));
  examples::print(examples::answer_table({
      at_least("supply, to strike the later lamp", s.volts, "V", later),
      at_least("steady current of a lit lamp", current, "A", least),
      at_most("resistor", s.resistor, "ohm", (s.volts - tube.extinction_voltage()) / least),
      fact("voltage of the steadily lit lamp", burning, "V"),
      at_most("the other is thrown down to", 2 * burning - strike, "V", tube.extinction_voltage()),
      time_or_never("left eye dark for, by the closed form", left_dark),
      time_or_never("right eye dark for, by the closed form", right_dark),
      time_or_never("from wink to wink of one eye, closed form", left_dark + right_dark,
                    examples::engineering(1 / (left_dark + right_dark), "Hz")),
      time_or_never("the same in this run", winks ? left_lit[2] - left_lit[1] : std::nan("")),
      at_least("shorter dark time, against the lamp's recovery", std::fmin(left_dark, right_dark), "s",
               5 * s.data().deionisation_constant.value),
  }));
  examples::print(examples::paragraph(winks ? "They wink in turn. The closed form leaves out that the flash discharges "
                                              "the capacitor through the lamp's own "
                                              "resistance, and takes some of the throw."
                                            : "They do not wink: look at the margins above, and at the log below."));
  seen.sheet.title = fmt::format("Carnival mask: two {} on {}", s.lamp, examples::engineering(s.volts, "V"));
  seen.mark_lit("left eye", "left");
  seen.mark_lit("right eye", "right");
  examples::print(examples::log_of(seen, 30));
  const bool written = examples::deliver(seen.sheet, s.files, examples::Window{0.01 * seen.end, seen.end});
  examples::print(examples::what_to_change(
      {"--capacitor 10n: too fast to see; the lamps no longer recover in full, and the time is shorter than computed.",
       "--resistor 2.2M: the feed cannot keep a lamp alight, and both flash on their own.",
       "--unequal 12: one eye stays dark much longer than the other.",
       "--supply 85: close to the strike, slow and uneven."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("glow_multivibrator", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
