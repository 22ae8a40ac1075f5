// SPDX-License-Identifier: MIT
// The tone coil of a museum's fog signal wants some 600 Hz, and the house has only 200 V d.c. Two xenon tubes, fired in
// turn, ring the coil with a capacitor: each half swing puts its own tube out. What comes out, what circulates, and how
// fast may the driver go before a tube has not recovered when the other fires?
//
// The driver is a pulse transformer: one winding for each grid, in series with that grid's bias. The upper tube stands
// on the swinging coil, so its grid, its bias and its heater have windings of their own. A resistor and a small
// capacitor across the coil feed a young arc until the coil does, and damp what rings when it goes out.
#include "support/series_inverter.hpp"

#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/current_end.hpp"
#include "support/deionisation.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/search.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::engineering, examples::fact;
enum Nodes : Node { ground, supply, fused, middle, coil, load, drive_1, grid_1, drive_2, grid_2, damper, node_count };

struct Scenario {
  std::string tube = "2050-A";
  double volts = 200, henries = 0.1, ohms = 400, farads = 0.25e-6, frequency = 600, bias = -30, pulse = 40;
  double grid_resistor = 10e3, bypass = 220e-12, wiring = 10, damping = 10e3, damper = 1e-9;
  int cycles = 6;
  examples::OutputFiles files{.picture = "series_inverter.png", .table = ""};
  examples::OutputFiles limit{.picture = "series_inverter_limit.png", .table = ""};
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::xenon_tubes, tube); }
  [[nodiscard]] examples::SeriesInverter closed_form() const {
    return {volts, data().arc_drop.value, henries, ohms, farads};
  }
  [[nodiscard]] double first() const { return 0.1 / frequency; }
};

auto circuit_of(const Scenario& s, const catalogue::TubeData& data) {
  const auto tube = catalogue::build(data);
  const auto drive = [&](Node plus, Node cathode, double delay) {
    return PulseSource<double>{
        plus, cathode, {.low = s.bias, .high = s.pulse, .delay = delay, .width = 20e-6, .period = 1 / s.frequency}};
  };
  return wire<node_count>(
      DcSource{supply, ground, s.volts}, named("supply lead", Resistor{supply, fused, s.wiring}),
      named("tube 1", wired(tube, {.plate = fused, .grid = grid_1, .cathode = middle, .heater = middle})),
      named("tube 2", wired(tube, {.plate = middle, .grid = grid_2, .cathode = ground, .heater = ground})),
      named("coil", Inductor{middle, coil, s.henries}), Resistor{coil, load, s.ohms}, Capacitor{load, ground, s.farads},
      Resistor{middle, damper, s.damping}, Capacitor{damper, coil, s.damper}, drive(drive_1, middle, s.first()),
      drive(drive_2, ground, s.first() + 0.5 / s.frequency), Resistor{drive_1, grid_1, s.grid_resistor},
      Resistor{drive_2, grid_2, s.grid_resistor}, Capacitor{grid_1, middle, s.bypass},
      Capacitor{grid_2, ground, s.bypass}, Resistor{middle, ground, 10e6});
}

/// True if for so many cycles each pulse gives one half swing, and no more.
bool works(Scenario s, const catalogue::TubeData& data, double frequency) {
  constexpr int cycles = 6;
  s.frequency = frequency;
  auto run = start(circuit_of(s, data), Beginning::settled);
  examples::EventTimes seen;
  if (!examples::calm_until(run, s.first() + (cycles - 0.05) / frequency, 200, seen)) return false;
  return seen.count("tube 1", "conducting") == cycles && seen.count("tube 2", "conducting") == cycles
         && tube_state(run, "tube 1") != TubeState::conducting;
}
/// Found between half and one and a half times what the closed form says.
double highest_in_runs(const Scenario& s, const catalogue::TubeData& data, double expected) {
  return examples::greatest_working(0.5 * expected, 1.5 * expected, 0.02, [&](double f) { return works(s, data, f); })
      .value_or(0);
}

/// The tube's type with a recovery so many times as long.
catalogue::TubeData slowed(catalogue::TubeData data, double times) {
  data.deionisation_time.value *= times;
  data.deionisation_constant.value *= times;
  return data;
}
/// s until the middle tube holds what is put on it at once: the current comes down in a ramp, and so the gas is as if
/// the current of one time constant before had lasted.
double recovery_of(const Scenario& s, const catalogue::TubeData& data) {
  const double last = s.closed_form().fall_at_zero() * data.deionisation_constant.value;
  return examples::deionisation_time(catalogue::build(data), {last, s.bias, s.grid_resistor, s.volts});
}

examples::CharacteristicSheet limit_sheet(const Scenario& s) {
  examples::Curve closed{"1 / (2 (conduction + recovery))", {}, {}},
      runs{"in runs", {}, {}, examples::CurveStyle::points};
  for (double recovery = 3e-6; recovery < 3e-3; recovery *= 1.05) {
    closed.x.push_back(recovery);
    closed.y.push_back(s.closed_form().highest_frequency(recovery));
  }
  for (const double times : {0.1, 0.3, 1.0, 3.0, 10.0}) {
    const auto data = slowed(s.data(), times);
    runs.x.push_back(recovery_of(s, data));
    runs.y.push_back(highest_in_runs(s, data, s.closed_form().highest_frequency(runs.x.back())));
  }
  return {.title = "Series inverter: how fast, against how soon its tubes recover",
          .x = {"recovery (deionisation) time", "s", true},
          .y = {"highest output frequency", "Hz", true},
          .curves = {closed, runs},
          .bands = {},
          .markers = {{s.tube + " as it runs", recovery_of(s, s.data()), s.frequency}},
          .x_limits = {},
          .y_limits = {{"ring of coil and capacitor", s.closed_form().ring_frequency()}}};
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("series_inverter", "Two tubes make alternating current: what comes out, and how fast?");
  line.option("tube", s.tube, "type of both tubes", examples::types_in(catalogue::xenon_tubes));
  line.option("supply", s.volts, "V", "supply, d.c.", {30, 600});
  line.option("coil", s.henries, "H", "inductance", {1e-5, 10});
  line.option("load", s.ohms, "ohm", "load, with the coil's own resistance", {0.1, 1e5});
  line.option("capacitor", s.farads, "F", "that rings with the coil", {1e-10, 1e-3});
  line.option("frequency", s.frequency, "Hz", "of the driver", {1, 1e5});
  line.option("bias", s.bias, "V", "of each grid", {-100, -5});
  line.option("pulse", s.pulse, "V", "of each grid, at its height", {5, 200});
  line.option("grid-resistor", s.grid_resistor, "ohm", "in each grid lead", {100, 1e6});
  line.option("bypass", s.bypass, "F", "from each grid to its cathode", {1e-12, 1e-7});
  line.option("damping", s.damping, "ohm", "across the coil, with the next", {10, 1e7});
  line.option("damper", s.damper, "F", "across the coil, in series with that resistor", {1e-12, 1e-6});
  line.option("supply-lead", s.wiring, "ohm", "all that limits a short circuit through both tubes", {0.1, 1e4});
  line.option("cycles", s.cycles, "in the picture", {2, 100});
  examples::add_output_options(line, s.files);
  line.option("limit-picture", s.limit.picture, "file for the picture of the highest frequency, or none");
  const auto exit = line.parse(argc, argv);
  if (!exit && !s.closed_form().rings())
    throw std::invalid_argument("--load must be below 2 sqrt(L / C), or the current never comes back to zero");
  return exit;
}

examples::Observed observed(const Scenario& s) {
  const auto& d = s.data();
  const auto circuit = circuit_of(s, d);
  auto run = start(circuit, Beginning::settled);
  auto seen = examples::observe(
      run, s.first() + s.cycles / s.frequency,
      {{"load and capacitor", "V", {{"load", VoltageProbe{coil, load}}, {"capacitor", VoltageProbe{load}}}, {}},
       {"plate to cathode",
        "V",
        {{"tube 1", VoltageProbe{fused, middle}}, {"tube 2", VoltageProbe{middle}}},
        {{"peak forward", d.peak_forward.value}}},
       {"plate currents",
        "A",
        {{"tube 1", CurrentProbe{circuit.find("tube 1")}}, {"tube 2", CurrentProbe{circuit.find("tube 2")}}},
        {{"peak rating", d.peak_current.value}}},
       {"grid to cathode",
        "V",
        {{"tube 1", VoltageProbe{grid_1, middle}}, {"tube 2", VoltageProbe{grid_2}}},
        {{"critical, whole supply", catalogue::build(d).critical_grid({s.volts, 0, 0}, 0.0)}}}});
  seen.mark("tube 1", "conducting", "1 fires");
  seen.mark("tube 2", "conducting", "2 fires");
  seen.sheet.title = fmt::format("Fog signal: {} Hz out of {} V d.c. with two {}", s.frequency, s.volts, s.tube);
  return seen;
}

/// Of the last time that tube 1 went out, over 2 us before and after; NaN if it never did.
double factor_of(const examples::Observed& seen) {
  double last = std::nan("");
  for (const auto& change : seen.events.entries)
    if (change.tube == "tube 1" && change.from == "conducting") last = change.time;
  return examples::current_end(seen.trace(2, 0), seen.trace(1, 0), last, 2e-6).published_factor();
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  const auto form = s.closed_form();
  const double recovery = recovery_of(s, d), highest = highest_in_runs(s, d, form.highest_frequency(recovery));
  auto seen = observed(s);
  const double peak = std::max(seen.greatest(seen.trace(2, 0)), seen.greatest(seen.trace(2, 1)));
  const double forward = std::max(seen.greatest(seen.trace(1, 0)), seen.greatest(seen.trace(1, 1)));
  const double inverse = -std::min(seen.least(seen.trace(1, 0)), seen.least(seen.trace(1, 1)));
  const double factor = factor_of(seen);
  const double power = form.load_power(s.frequency), mean = form.mean_current(s.frequency);
  examples::print(examples::caution(s.volts, "The ring stands above the supply."));
  examples::print(examples::heading("What comes out, what circulates, and how fast may it go?"));
  examples::print(examples::answer_table({
      fact("ring of coil and capacitor", form.ring_frequency(), "Hz"),
      fact("each tube is lit for, pi / w", form.conduction(), "s"),
      fact("recovery time here, middle tube", recovery, "s", "published +-30 %"),
      at_least("left alone before the other fires", form.dead_time(s.frequency), "s", recovery),
      at_most("frequency, by the closed form", s.frequency, "Hz", form.highest_frequency(recovery)),
      at_most("frequency, found by running", s.frequency, "Hz", highest),
      fact("power in the load", power, "W",
           fmt::format("{:.0f} % of what the supply gives", 100 * power / (s.volts * mean))),
      fact("circulating current, r.m.s.", std::sqrt(power / s.ohms), "A",
           fmt::format("{} from the supply", engineering(mean, "A", 3))),
      fact("peak, by the closed form", form.peak_current(), "A"),
      at_most("peak, in this run", peak, "A", d.peak_current.value),
      at_most("average of each tube", mean, "A", d.average_current.value),
      at_most("plate, forward", forward, "V", d.peak_forward.value),
      at_most("plate, inverse", inverse, "V", d.peak_inverse.value),
      is_limited(d.commutation_factor.value)
          ? at_most("commutation factor, A/us V/us", factor, "", d.commutation_factor.value / per_square_microsecond)
          : fact("commutation factor, A/us V/us", factor, "", "no rating published"),
  }));
  const auto lit = [&](const char* tube) { return seen.events.count(tube, "conducting"); };
  const bool runs = lit("tube 1") == std::size_t(s.cycles) && lit("tube 2") == std::size_t(s.cycles);
  const bool shorted = peak > 2 * form.peak_current();
  examples::print(examples::paragraph(
      runs      ? "It runs: each pulse gives one half swing, and each tube is out before the other fires."
      : shorted ? fmt::format("It fails: both tubes are lit at once, and what is then a short circuit draws {}.",
                              engineering(peak, "A", 3))
                : "It fails: a pulse does not give one half swing. The arc may lack current until the coil feeds it."));
  examples::print(examples::log_of(seen, 24));
  bool written = examples::deliver(seen.sheet, s.files);
  if (examples::is_wanted(s.limit)) written = examples::deliver(limit_sheet(s), s.limit) && written;
  examples::print(examples::what_to_change(
      {"--frequency 900: the other tube fires before the first has recovered: a short circuit through both.",
       "--frequency 870 --bias -100: with stronger bias the grids take control sooner, and it may run faster.",
       "--load 200: rings longer and higher, with more current than the tubes may carry on average.",
       "--damper 1p: nothing feeds the young arc, and it goes out before the coil carries its current.",
       "--tube 5684 --load 40 --coil 10m --capacitor 2.5u --damping 500 --damper 20n --frequency 300: 50 W, and slower "
       "tubes."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("series_inverter", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
