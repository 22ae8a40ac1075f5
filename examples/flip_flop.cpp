// SPDX-License-Identifier: MIT
// The two red lamps at the level crossing of a garden railway take turns: each hangs on a xenon tetrode, and a
// capacitor between the plates lets each tube put the other out. Which capacitor does that take, and how fast may they
// alternate?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/design/commutation.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/deionisation.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/search.hpp"

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, plate_a, plate_b, cam_a, cam_b, grid_a, grid_b, node_count };

struct Scenario {
  std::string tube = "5727";
  double volts = 110, lamp = 1500, capacitor = 0.33e-6, bias = -9, grid_resistor = 47e3, trigger = 20, rate = 400;
  examples::OutputFiles files{.picture = "flip_flop.png", .table = ""};
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::xenon_tubes, tube); }
};

/// The cam gives a pulse to A and to B in turn, A first, one every `interval` seconds from one interval on.
auto circuit_of(const Scenario& s, double interval) {
  const auto tube = catalogue::build(s.data());
  const auto cam = [&](Node contact, int turn) {
    return PulseSource<double>{contact,
                               ground,
                               {.low = s.bias,
                                .high = s.trigger,
                                .delay = turn * interval,
                                .width = std::min(30e-6, interval / 10),
                                .period = 2 * interval}};
  };
  return wire<node_count>(
      DcSource{supply, ground, s.volts}, named("lamp A", Resistor{supply, plate_a, s.lamp}),
      named("lamp B", Resistor{supply, plate_b, s.lamp}), Capacitor{plate_b, plate_a, s.capacitor}, cam(cam_a, 1),
      cam(cam_b, 2), Resistor{cam_a, grid_a, s.grid_resistor}, Resistor{cam_b, grid_b, s.grid_resistor},
      named("tube A", wired(tube, {.plate = plate_a, .grid = grid_a, .cathode = ground, .heater = ground})),
      named("tube B", wired(tube, {.plate = plate_b, .grid = grid_b, .cathode = ground, .heater = ground})));
}

/// True if exactly the tube that was triggered last is lit before each of the next triggers.
bool alternates(const Scenario& s, double rate) {
  const double interval = 1 / rate;
  auto run = start(circuit_of(s, interval), Beginning::settled);
  for (int k = 1; k <= 12; ++k) {
    if (!examples::calm_until(run, (k + 0.98) * interval, 20)) return false;
    const bool a = tube_state(run, "tube A") == TubeState::conducting;
    const bool b = tube_state(run, "tube B") == TubeState::conducting;
    if (a == b || a != (k % 2 == 1)) return false;
  }
  return true;
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("flip_flop", "Two tubes that put each other out through a capacitor: how fast?");
  line.option("tube", s.tube, "type of both tubes", examples::types_in(catalogue::xenon_tubes));
  line.option("supply", s.volts, "V", "supply", {20, 600});
  line.option("lamp", s.lamp, "ohm", "each lamp, taken as a resistor", {50, 1e6});
  line.option("capacitor", s.capacitor, "F", "between the plates", {1e-10, 1e-3});
  line.option("bias", s.bias, "V", "grid bias at rest", {-100, -1});
  line.option("grid-resistor", s.grid_resistor, "ohm", "in each grid lead", {100, 10e6});
  line.option("trigger", s.trigger, "V", "height that the cam's pulse reaches", {0, 100});
  line.option("rate", s.rate, "Hz", "triggers per second, of both tubes together", {0.1, 1e5});
  examples::add_output_options(line, s.files);
  return line.parse(argc, argv);
}

int answer(const Scenario& s) {
  const auto tube = catalogue::build(s.data());
  const double drop = tube.laws().arc.voltage(s.volts / s.lamp), current = (s.volts - drop) / s.lamp;
  const design::Commutation<double> commutation{s.volts, drop, s.lamp, s.lamp, s.capacitor};
  const double recovery = examples::deionisation_time(tube, {current, s.bias, s.grid_resistor, s.volts});
  const double rc = s.lamp * s.capacitor, interval = 1 / s.rate;
  const double charge = 1 - 2 * std::exp(-interval / rc);  // of the second trigger after a rest, the worst
  const double highest =
      examples::greatest_working(0.1 / rc, 1e5, 0.01, [&](double r) { return alternates(s, r); }).value_or(0);

  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("Does each tube put the other out, and how fast?"));
  examples::print(examples::answer_table({
      fact("current of a lit lamp", current, "A"),
      at_most("peak when a tube takes over", commutating_peak(commutation), "A", tube.laws().ratings.peak_current),
      at_most("mean current of a tube", current / 2, "A", tube.laws().ratings.average_current),
      at_most("negative grid of a lit tube, at most", -s.bias, "V", tube.laws().ratings.grid_negative_during),
      fact("deionisation time here, of the middle tube", recovery, "s", "published +-30 %"),
      at_least("capacitor keeps a tube out, at leisure", hold_off(commutation, drop), "s", recovery),
      at_least("the same at this rate, second trigger", hold_off(commutation, drop, std::max(charge, -1.0)), "s",
               recovery),
      at_least("capacitor", s.capacitor, "F", least_capacitance(commutation, recovery, drop)),
      at_most("triggers per second", s.rate, "Hz", highest),
  }));
  examples::print(examples::paragraph(
      highest > 0
          ? "The highest rate was found by running the circuit from rest at one rate after another, with the middle "
            "tube. Leave a third for tubes that deionise more slowly."
          : "However slowly they are triggered, both tubes end up lit together, or none."));

  const auto circuit = circuit_of(s, interval);
  auto run = start(circuit, Beginning::settled);
  auto seen = examples::observe(
      run, 6.5 * interval,
      {{"plates", "V", {{"A", VoltageProbe{plate_a}}, {"B", VoltageProbe{plate_b}}}, {{"arc drop", drop}}},
       {"grids", "V", {{"A", VoltageProbe{grid_a}}, {"B", VoltageProbe{grid_b}}}},
       {"plate currents",
        "A",
        {{"A", CurrentProbe{circuit.find("tube A")}}, {"B", CurrentProbe{circuit.find("tube B")}}},
        {{"peak rating", tube.laws().ratings.peak_current}}}});
  seen.sheet.title = "Crossing lamps: two " + s.tube + " on " + examples::engineering(s.volts, "V");
  seen.mark("tube A", "conducting", "A fires");
  seen.mark("tube B", "conducting", "B fires");
  examples::print(examples::log_of(seen));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--capacitor 20n: too small, no rate is slow enough; the table says which value it takes.",
       "--rate 5k: the capacitor has no time to reverse its charge, and both tubes stay lit.",
       "--bias -30: a stronger bias closes the grid sooner and the rate rises, but a lit tube's grid may not have it.",
       "--lamp 500: more current, a slower recovery and a shorter time constant."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("flip_flop", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
