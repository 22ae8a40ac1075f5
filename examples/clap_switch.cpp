// SPDX-License-Identifier: MIT
// A clap lights a lamp, a button puts it out: does it fire at the clap and not at the murmurs, and does a button that
// bounces put it out for good?
//
// Scenario: the night light of a toy observatory. The microphone's amplifier was recorded; the recording is the source
// (clap_switch/clap.csv, columns seconds and volts; --recording takes yours). A tetrode lights the lamp and stays lit
// until a button holds its plate at the cathode.
#include <gastube/adapt/recording.hpp>
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/deionisation.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, plate, microphone, grid, bias, node_count };

constexpr double endless = std::numeric_limits<double>::infinity();

struct Scenario {
  std::string tube = "5727", recording = GASTUBE_EXAMPLE_DATA "/clap.csv";
  double volts = 48, lamp = 1.2e3, coupling = 100e-9, grid_resistor = 220e3, bias = -4, gain = 1.6, quiet = 0.05;
  double pressed = 0.2, press = 5e-3, bounce = 1.2e-3;
  int bounces = 6, seed = 3;
  examples::OutputFiles files{.picture = "clap_switch.png", .table = ""}, button{.picture = "clap_switch_button.png"};
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::xenon_tubes, tube); }
};
using Recording = std::vector<TimedValue<double>>;

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("clap_switch", "A recorded clap lights a lamp, a bouncing button puts it out.");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::xenon_tubes));
  line.option("supply", s.volts, "V", "supply", {20, 400});
  line.option("lamp", s.lamp, "ohm", "taken as a resistor", {50, 1e5});
  line.option("bias", s.bias, "V", "grid bias", {-100, -0.5});
  line.option("grid-resistor", s.grid_resistor, "ohm", "from bias to grid", {1e3, 1e7});
  line.option("coupling", s.coupling, "F", "from amplifier to grid", {1e-11, 1e-5});
  line.group("sound");
  line.option("recording", s.recording, "file with the columns seconds, volts");
  line.option("gain", s.gain, "", "the recording is multiplied by this", {1e-3, 1e3});
  line.option("quiet", s.quiet, "s", "up to then the recording holds murmurs only", {1e-4, 100});
  line.group("button");
  line.option("pressed", s.pressed, "s", "when", {1e-3, 100});
  line.option("press", s.press, "s", "from the first touch to the first opening", {1e-5, 10});
  line.option("bounces", s.bounces, "at each change", {0, 100});
  line.option("bounce", s.bounce, "s", "they last", {1e-6, 1});
  line.option("seed", s.seed, "of their intervals; 0 for equal ones", {0, 1e9});
  examples::add_output_options(line, s.files);
  line.option("button-picture", s.button.picture, "file for the picture of the button's bounces, or none");
  return line.parse(argc, argv);
}

Recording amplified(Recording samples, double gain) {
  for (TimedValue<double>& sample : samples) sample.value *= gain;
  return samples;
}
/// The greatest value up to a time.
double peak(const Recording& samples, double until) {
  double most = -endless;
  for (const TimedValue<double>& sample : samples)
    if (sample.time <= until) most = std::max(most, sample.value);
  return most;
}

auto circuit_of(const Scenario& s, const Recording& sound) {
  const std::array<Press<double>, 1> presses{{{s.pressed, s.press}}};
  const Bounce<double> bounce{.bounces = s.bounces, .time = s.bounce, .seed = std::uint32_t(s.seed)};
  return wire<node_count>(DcSource{supply, ground, s.volts}, named("lamp", Resistor{supply, plate, s.lamp}),
                          named("microphone", VoltageSource{microphone, ground, sampled<double>(sound)}),
                          Capacitor{microphone, grid, s.coupling}, Resistor{grid, bias, s.grid_resistor},
                          DcSource{bias, ground, s.bias},
                          named("button", PushButton{plate, ground, presses, bounce, 0.1}),
                          named("tube", wired(catalogue::build(s.data()),
                                              {.plate = plate, .grid = grid, .cathode = ground, .heater = ground})));
}

int answer(const Scenario& s) {
  const Recording sound = amplified(adapt::read_recording(s.recording), s.gain);
  const auto tube = catalogue::build(s.data());
  const double critical = tube.critical_grid({s.volts, 0, 0}, 0.0);
  const double half = catalogue::ignition_band(s.data()).half_width(s.volts, tube.laws().ignition.knee.lift(s.volts));
  const double drop = tube.laws().arc.voltage((s.volts - 8) / s.lamp), current = (s.volts - drop) / s.lamp;
  const double recovery = examples::deionisation_time(tube, {current, s.bias, s.grid_resistor, s.volts});
  const auto circuit = circuit_of(s, sound);
  auto run = start(circuit, Beginning::settled);
  const double end = std::max(sound.back().time, s.pressed + s.press + s.bounce) + 0.02;
  auto seen = examples::observe(run, end,
                                {{"amplifier", "V", {{"", VoltageProbe{microphone}}}},
                                 {"grid",
                                  "V",
                                  {{"", VoltageProbe{grid}}},
                                  {{"every tube fires", critical + half}, {"no tube fires", critical - half}}},
                                 {"plate", "V", {{"", VoltageProbe{plate}}}},
                                 {"lamp", "A", {{"", CurrentProbe{circuit.find("lamp")}}}}});
  const bool lit_by_clap = !seen.events.lit("tube").empty(), out = !is_lit(tube_state(run, "tube"));

  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("Does the clap light it, and the button put it out?"));
  examples::print(examples::answer_table({
      fact("samples in the recording", double(sound.size()), ""),
      at_least("peak of the clap, to fire every tube", peak(sound, endless), "V", critical + half - s.bias),
      at_most("peak of the murmurs, to fire none", peak(sound, s.quiet), "V", critical - half - s.bias),
      at_most("lamp current, lit for long", current, "A", s.data().average_current),
      at_least("lamp current, to hold the arc", current, "A", tube.laws().sustaining.current),
      at_least("button's last closure, for the tube to deionise", s.press - (s.bounces > 0 ? s.bounce : 0), "s",
               recovery),
      examples::remark("in this run", !lit_by_clap ? "the lamp stays dark"
                                      : out        ? "lit by the sound, out by the button"
                                                   : "lit at the end"),
  }));
  seen.sheet.title = "Night light: lit by a clap, put out by a button";
  seen.sheet.events.push_back({s.pressed, "button"});
  if (lit_by_clap) seen.sheet.events.push_back({seen.events.lit("tube").front(), "lit"});
  examples::print(examples::log_of(seen, 30));
  bool written = examples::deliver(seen.sheet, s.files);
  seen.sheet.title = "Night light: the button bounces";
  const double margin = 0.1 * (s.press + s.bounce);
  written = examples::deliver(seen.sheet, s.button,
                              examples::Window{s.pressed - margin, s.pressed + s.press + s.bounce + margin})
            && written;
  examples::print(examples::what_to_change({"--gain 0.4: the clap is too weak. --gain 30: the murmurs light it.",
                                            "--press 1.25m: the last closure is too short, the lamp lights again.",
                                            "--seed 4, --bounces 20: another finger.",
                                            "--recording yours.csv: any two columns named seconds and volts."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("clap_switch", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
