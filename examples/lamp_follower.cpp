// SPDX-License-Identifier: MIT
// A ferry's gangway lamp is to be lit by a weak signal, from its batteries of 34 V. A vacuum tube as a cathode
// follower and a gas tube are tried side by side, each with the same lamp. Why does the lamp stay dark at the one and
// light at the other, and what would the vacuum tube need?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/vacuum_pentode.hpp>
#include <gastube/circuit/vacuum_triode.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/crossing.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::engineering, examples::fact;
enum Nodes : Node { ground, supply, signal, valve_grid, follower, tube_signal, tube_grid, plate, node_count };

constexpr std::array triode_list{triodes::type_12au7, triodes::type_12ax7, triodes::type_6sn7};
constexpr std::array pentode_list{pentodes::type_ef80, pentodes::type_ef86};

struct Scenario {
  std::string valve = "12AU7", tube = "5727";
  double volts = 34, lamp_volts = 28, lamp_amperes = 0.04, bias = -6, drive = 12, pulse = 20e-3, source = 1e6;
  examples::OutputFiles files{.picture = "lamp_follower.png", .table = ""};
  examples::OutputFiles run{.picture = "lamp_follower_run.png", .table = ""};

  [[nodiscard]] FilamentRating<double> rating() const { return {.voltage = lamp_volts, .current = lamp_amperes}; }
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::xenon_tubes, tube); }
  [[nodiscard]] bool triode_chosen() const {
    return std::ranges::any_of(triode_list, [&](const auto& one) { return one.type == valve; });
  }
};

/// Calls f with the chosen vacuum tube as a follower: plate (and screen) at the supply.
template <class Function>
auto with_valve(const Scenario& s, Function&& f) {
  if (s.triode_chosen()) return f(triode(supply, valve_grid, follower, examples::type_in(triode_list, s.valve)));
  return f(pentode(supply, valve_grid, supply, follower, examples::type_in(pentode_list, s.valve)));
}

/// The signal lifts the follower's grid up to the supply, and gives the gas tube's grid one pulse above its bias.
template <class Valve>
auto circuit_of(const Scenario& s, const Valve& valve) {
  return wire<node_count>(
      DcSource{supply, ground, s.volts},
      PulseSource<double>{signal, ground, {.low = 0, .high = s.volts, .delay = 0.1, .width = 0.4}},
      Resistor{signal, valve_grid, s.source}, named("vacuum tube", valve),
      named("its lamp", FilamentLamp{follower, ground, s.rating()}),
      PulseSource<double>{tube_signal, ground, {.low = s.bias, .high = s.drive, .delay = 0.1, .width = s.pulse}},
      Resistor{tube_signal, tube_grid, s.source}, named("lamp", FilamentLamp{supply, plate, s.rating()}),
      named("gas tube", wired(catalogue::build(s.data()), {.plate = plate, .grid = tube_grid, .cathode = ground})));
}

examples::Observed observed(const Scenario& s) {
  return with_valve(s, [&](const auto& valve) {
    const auto circuit = circuit_of(s, valve);
    auto run = start(circuit);
    examples::require_done(run, run.run_until(0.05));  // what charges the tubes' capacitances as the supply comes
    const FilamentLamp model{0, 1, s.rating()};
    using Run = decltype(run);
    const auto light = [&](const char* label) {
      return [part = circuit.find(label), model](const Run& now) { return model.light(own_unknown(now, part)); };
    };
    auto seen = examples::observe(
        run, 0.6,
        {{"grids",
          "V",
          {{"vacuum tube", VoltageProbe{valve_grid}}, {"gas tube", VoltageProbe{tube_grid}}},
          {{"critical, gas tube", catalogue::build(s.data()).critical_grid({s.volts, 0, 0}, 0.0)}}},
         {"lamps' currents",
          "A",
          {{"vacuum tube", CurrentProbe{circuit.find("its lamp")}}, {"gas tube", CurrentProbe{circuit.find("lamp")}}},
          {{"rated", s.lamp_amperes}}},
         {"across the lamps",
          "V",
          {{"vacuum tube", VoltageProbe{follower}}, {"gas tube", VoltageProbe{supply, plate}}},
          {{"rated", s.lamp_volts}}},
         {"light, share of rated", "", {{"vacuum tube", light("its lamp")}, {"gas tube", light("lamp")}}, {}}});
    seen.sheet.title = fmt::format("Gangway lamp on {} V: {} as a follower, and {}", s.volts, s.valve, s.tube);
    seen.sheet.events = {
        {0.1, "signal comes"}, {0.1 + s.pulse, "ends for the gas tube"}, {0.5, "ends for the vacuum tube"}};
    seen.mark_lit("gas tube", "gas tube fires");
    return seen;
  });
}

/// A of cathode current of the vacuum tube with its grid at its cathode: all that a follower can have whose grid does
/// not go above its supply, and whose signal cannot feed the grid.
double valve_current(const Scenario& s, double volts) {
  if (s.triode_chosen()) return triode(0, 1, 2, examples::type_in(triode_list, s.valve)).static_current(volts, 0.0);
  const auto law = pentode_through<double>(examples::type_in(pentode_list, s.valve).point.value, 15);
  const double drive = volts / law.screen_mu + law.contact;
  return drive > 0 && volts > 0 ? law.perveance * math::three_halves_power(drive) : 0;
}
double lamp_current(const Scenario& s, double volts) {
  return volts > 0 ? FilamentLamp{0, 1, s.rating()}.steady_current(volts) : 0;
}

/// Volts across each tube, where it passes what the lamp takes from the rest of the supply.
struct Working {
  double volts, amperes;
};
Working valve_working(const Scenario& s) {
  const double volts =
      examples::crossing(0, s.volts, [&](double v) { return lamp_current(s, s.volts - v) - valve_current(s, v); });
  return {volts, valve_current(s, volts)};
}
Working tube_working(const Scenario& s) {
  const auto arc = catalogue::build(s.data()).laws().arc;
  const double volts =
      examples::crossing(0, s.volts, [&](double v) { return arc.voltage(lamp_current(s, s.volts - v)) - v; });
  return {volts, lamp_current(s, s.volts - volts)};
}

examples::CharacteristicSheet characteristic(const Scenario& s) {
  examples::Curve valve{s.valve + ", grid at its cathode", {}, {}}, lamp{"what the lamp takes, hot", {}, {}};
  examples::Curve arc{s.tube + ", lit", {}, {}};
  const auto tube_arc = catalogue::build(s.data()).laws().arc;
  for (int k = 0; k <= 300; ++k) {
    const double share = k / 300.0, volts = share * s.volts, amperes = share * 1.4 * s.lamp_amperes;
    valve.x.push_back(volts), valve.y.push_back(valve_current(s, volts));
    lamp.x.push_back(volts), lamp.y.push_back(lamp_current(s, s.volts - volts));
    arc.x.push_back(tube_arc.voltage(amperes)), arc.y.push_back(amperes);
  }
  const Working by_valve = valve_working(s), by_tube = tube_working(s);
  return {.title = fmt::format("One lamp of {} and {}, one supply of {}, two tubes", engineering(s.lamp_volts, "V"),
                               engineering(s.lamp_amperes, "A"), engineering(s.volts, "V")),
          .x = {"across the tube", "V"},
          .y = {"current", "A"},
          .curves = {lamp, valve, arc},
          .bands = {},
          .markers = {{"dark: " + s.valve, by_valve.volts, by_valve.amperes},
                      {"lit: " + s.tube, by_tube.volts, by_tube.amperes}},
          .x_limits = {{"supply", s.volts}},
          .y_limits = {{"rated lamp", s.lamp_amperes}}};
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("lamp_follower",
                             "A vacuum tube and a gas tube, each with the same lamp: which lights it?");
  line.option("valve", s.valve, "type of the vacuum tube", {"12AU7", "12AX7", "6SN7", "EF80", "EF86"});
  line.option("tube", s.tube, "type of the gas tube", examples::types_in(catalogue::xenon_tubes));
  line.option("supply", s.volts, "V", "supply of both", {15, 600});
  line.option("lamp-voltage", s.lamp_volts, "V", "rating of each lamp", {1, 300});
  line.option("lamp-current", s.lamp_amperes, "A", "rating of each lamp", {1e-4, 1});
  line.option("bias", s.bias, "V", "of the gas tube's grid, at rest", {-100, -1});
  line.option("drive", s.drive, "V", "of the gas tube's grid, with the signal", {-100, 100});
  line.option("source", s.source, "ohm", "resistance of the signal's source, for both", {1e3, 10e6});
  line.option("pulse", s.pulse, "s", "how long the gas tube gets the signal", {1e-6, 0.4});
  examples::add_output_options(line, s.files);
  line.option("run-picture", s.run.picture, "file for the picture of the waveforms, or none");
  line.option("run-csv", s.run.table, "file for the numbers of the waveforms, or none");
  return line.parse(argc, argv);
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  auto seen = observed(s);
  const Working by_valve = valve_working(s), by_tube = tube_working(s);
  const double enough = examples::crossing(0, 5000, [&](double v) { return s.lamp_amperes - valve_current(s, v); });
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("Why does the one lamp stay dark and the other light?"));
  const auto share = [&](const Working& at) { return 100 * at.amperes / s.lamp_amperes; };
  examples::print(examples::answer_table({
      at_least("lamp's current through the " + s.valve, by_valve.amperes, "A", s.lamp_amperes),
      fact("the same, of its rated current", share(by_valve), "%"),
      fact("the same in the run, lamp cold and grid a little positive", seen.greatest(seen.trace(1, 0)), "A"),
      fact("left across the " + s.valve, by_valve.volts, "V"),
      fact("plate voltage at which it would pass the rated current", enough, "V",
           fmt::format("and turn {} into heat", engineering(enough * s.lamp_amperes, "W", 3))),
      fact("lamp's current through the " + s.tube, by_tube.amperes, "A"),
      fact("the same, of its rated current", share(by_tube), "%"),
      fact("left across the " + s.tube, by_tube.volts, "V",
           fmt::format("{} as heat", engineering(by_tube.volts * by_tube.amperes, "W", 3))),
      fact("light, share of rated, vacuum tube, in the run", seen.greatest(seen.trace(3, 0)), ""),
      fact("light, share of rated, gas tube, in the run", seen.greatest(seen.trace(3, 1)), ""),
      at_most("in-rush through the gas tube", seen.greatest(seen.trace(1, 1)), "A", d.peak_current.value),
      at_most("steady, against the gas tube's average", by_tube.amperes, "A", d.average_current.value),
  }));
  const char* grade = share(by_valve) < 50 ? "far too weak" : share(by_valve) < 95 ? "too weak" : "enough here";
  const bool lit = !seen.events.lit("gas tube").empty();
  examples::print(examples::paragraph(
      fmt::format("The {} is {}: in a vacuum the electrons' own charge holds the current back, and {} across it draw "
                  "only so much. In the {} ions cancel that charge: lit, it takes {} and no more, at whatever current "
                  "the lamp takes. {}",
                  s.valve, grade, engineering(s.volts, "V"), s.tube, engineering(by_tube.volts, "V", 3),
                  lit ? "It stays lit when its signal has gone." : "Here it is not fired.")));
  examples::print(examples::log_of(seen));
  bool written = examples::deliver(characteristic(s), s.files);
  written = examples::deliver(seen.sheet, s.run) && written;
  examples::print(examples::what_to_change(
      {"--valve EF80: a pentode does better, and still leaves the lamp dark.",
       "--supply 300 --lamp-voltage 290: with a high supply the vacuum tube comes to half, and is heated by as much.",
       "--lamp-current 3m: a lamp that the vacuum tube can light.",
       "--bias -1: the gas tube fires without a signal."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("lamp_follower", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
