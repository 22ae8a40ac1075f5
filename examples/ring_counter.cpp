// SPDX-License-Identifier: MIT
// The wheel of a village lottery is a ring of lamps: one is lit, and each click of the wheel hands the light to the
// next. Every lamp hangs on a xenon tetrode, and the tube that strikes puts its forerunner out. How fast may the wheel
// turn?
//
// Two ways of doing it: star, each cathode coupled by a capacitor to one floating node (the common plate resistor only
// limits the current); common, a capacitor across each cathode resistor and a large common plate resistor.
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/deionisation.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/ring_hold_off.hpp"
#include "support/search.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace gastube;

namespace {

using examples::at_least, examples::at_most, examples::fact;
enum Nodes : Node { ground, supply, plates, bias, reset, click, star_point, first_free };

struct Scenario {
  std::string form = "common";
  int tubes = 5;
  double volts = 0, load = 2200, plate_resistor = 0, capacitor = 0.33e-6, bias = -20, pulse = 10, rate = 150;
  double grid_resistor = 8.2e6, priming = 39e6, coupling = 22e-12;
  double slowness = 1;  ///< times the recovery of a 5727
  examples::OutputFiles files{.picture = "ring_counter.png", .table = ""};
  examples::OutputFiles limit{.picture = "ring_counter_limit.png", .table = ""};
  std::vector<std::string> names{};

  [[nodiscard]] bool star() const { return form == "star"; }
  [[nodiscard]] Node cathode(int k) const { return first_free + 2 * ((k + tubes) % tubes); }
  [[nodiscard]] Node grid(int k) const { return cathode(k) + 1; }
  [[nodiscard]] double settling() const { return 10 * load * capacitor + 5 * grid_resistor * coupling; }
  [[nodiscard]] catalogue::RareGasTube<> tube() const {
    catalogue::TubeData data = catalogue::data_5727;
    data.deionisation_time.value *= slowness;
    data.deionisation_constant.value *= slowness;
    return catalogue::build(data);
  }
  /// V of a lit cathode.
  [[nodiscard]] double lit() const {
    return (volts - tube().laws().arc.voltage(20e-3)) * load / (load + plate_resistor);
  }
  /// How long the old tube is held off, in units of R C.
  [[nodiscard]] double hold_off() const {
    return star() ? examples::star_ring_hold_off(std::size_t(tubes))
                  : examples::common_plate_ring_hold_off(plate_resistor / load);
  }
  /// s of deionisation of the middle tube. The old cathode stands at the lit voltage or above, and so its grid is that
  /// far negative.
  [[nodiscard]] double recovery() const {
    return examples::deionisation_time(tube(), {lit() / load, bias - lit(), grid_resistor, volts});
  }
  void choose_form(const std::string& wanted) {
    form = wanted;
    volts = star() ? 55 : 110;
    plate_resistor = star() ? 100 : 2200;
  }
};

/// The reset lights tube 1; from then on each click primes nothing and strikes the tube after the lit one, whose grid
/// the lit cathode has raised.
auto circuit_of(const Scenario& s, double rate) {
  const auto tube = s.tube();
  std::vector<WiredTube<decltype(catalogue::type_5727())>> tubes;
  std::vector<Resistor<double>> resistors{{supply, plates, s.plate_resistor}};
  if (!s.star()) resistors.push_back({star_point, ground, 1e6});  // not in use
  std::vector<Capacitor<double>> capacitors;
  for (int k = 0; k < s.tubes; ++k) {
    const Node cathode = s.cathode(k), grid = s.grid(k);
    tubes.push_back(
        named(s.names[std::size_t(k)].c_str(), wired(tube, {.plate = plates, .grid = grid, .cathode = cathode})));
    resistors.push_back({cathode, ground, s.load});
    resistors.push_back({k == 0 ? reset : bias, grid, s.grid_resistor});
    resistors.push_back({s.cathode(k - 1), grid, s.priming});
    capacitors.push_back({cathode, s.star() ? star_point : ground, s.capacitor});
    capacitors.push_back({click, grid, s.coupling});
  }
  return wire_dynamic(std::size_t(s.cathode(s.tubes - 1) + 2), DcSource{supply, ground, s.volts},
                      DcSource{bias, ground, s.bias},
                      PulseSource<double>{reset, ground, {.low = s.bias, .high = 20, .delay = 1e-3, .width = 1e-3}},
                      PulseSource<double>{click,
                                          ground,
                                          {.low = 0,
                                           .high = s.pulse,
                                           .delay = 2e-3 + s.settling(),
                                           .width = 20e-6,
                                           .period = 1 / rate,
                                           .rise = 1e-6,
                                           .fall = 1e-6}},
                      tubes, resistors, capacitors);
}

/// True if after every click exactly the right tube is lit, once around the ring and on.
bool counts(const Scenario& s, double rate) {
  auto run = start(circuit_of(s, rate), Beginning::settled);
  const std::size_t first = run.system().find(s.names[0].c_str());
  for (int click_count = 0; click_count <= s.tubes + 2; ++click_count) {
    if (!examples::calm_until(run, 2e-3 + s.settling() + click_count / rate - std::min(0.02 / rate, 50e-6), 100))
      return false;
    for (int k = 0; k < s.tubes; ++k) {
      const bool lit = tube_state(run, first + std::size_t(k)) == TubeState::conducting;
      if (lit != (k == click_count % s.tubes)) return false;
    }
  }
  return true;
}

double highest_rate(const Scenario& s, double low, double high, double precision) {
  return examples::greatest_working(low, high, precision, [&](double rate) { return counts(s, rate); }).value_or(0);
}
double highest_rate(const Scenario& s) { return highest_rate(s, 0.1 / (s.load * s.capacitor), 2e4, 0.02); }

/// The highest rate of both forms with tubes that recover sooner or later than the 5727; 0 where they do not count.
examples::CharacteristicSheet limit_sheet(const Scenario& built, double highest) {
  examples::CharacteristicSheet sheet{
      .title = fmt::format("Ring of {}: how fast, against how soon its tubes recover", built.tubes),
      .x = {"recovery (deionisation) time", "s", true},
      .y = {"highest counting rate", "Hz"}};
  for (const std::string form : {"common", "star"}) {
    Scenario s = built;
    if (form != built.form) s.choose_form(form);
    const double with_5727 = form == built.form ? highest : highest_rate(s);
    examples::Curve curve{"form " + form, {}, {}, examples::CurveStyle::line_and_points};
    for (const double slowness : {0.3, 1.0, 3.0, 5.0, 7.0, 10.0}) {
      s.slowness = slowness;
      curve.x.push_back(s.recovery());
      curve.y.push_back(slowness == 1 ? with_5727 : highest_rate(s, 0.6 * with_5727, 1.2 * with_5727, 0.1));
    }
    sheet.curves.push_back(curve);
    sheet.markers.push_back({"held off that long, " + form, s.load * s.capacitor * s.hold_off(), 0});
  }
  sheet.markers.push_back({"a 5727, " + built.form, built.recovery(), highest});
  return sheet;
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("ring_counter", "A ring of tubes that hands one light around: how fast may it count?");
  line.option("form", s.form, "how the cathodes are coupled", {"star", "common"});
  line.option("tubes", s.tubes, "in the ring", {3, 12});
  line.option("supply", s.volts, "V", "supply; 0 for 55 V (star) or 110 V (common)", {0, 300});
  line.option("load", s.load, "ohm", "each cathode resistor", {100, 1e5});
  line.option("plate-resistor", s.plate_resistor, "ohm", "common to all; 0 for 100 ohm (star) or 2.2 kohm (common)",
              {0, 1e5});
  line.option("capacitor", s.capacitor, "F", "at each cathode", {1e-10, 1e-4});
  line.option("bias", s.bias, "V", "grid supply", {-100, -5});
  line.option("pulse", s.pulse, "V", "height of a click", {1, 100});
  line.option("grid-resistor", s.grid_resistor, "ohm", "from bias to each grid", {1e4, 10e6});
  line.option("priming", s.priming, "ohm", "from each cathode to the next grid", {1e4, 1e9});
  line.option("rate", s.rate, "Hz", "clicks per second in the picture", {1, 2e4});
  examples::add_output_options(line, s.files);
  line.option("limit-picture", s.limit.picture, "file for the picture of the highest rate, or none");
  const auto exit = line.parse(argc, argv);
  if (!(s.volts > 0)) s.volts = s.star() ? 55 : 110;
  if (!(s.plate_resistor > 0)) s.plate_resistor = s.star() ? 100 : 2200;
  for (int k = 1; k <= s.tubes; ++k) s.names.push_back("tube " + std::to_string(k));
  return exit;
}

int answer(const Scenario& s) {
  const auto ratings = s.tube().laws().ratings;
  const double lit = s.lit(), rc = s.load * s.capacitor, hold_off = rc * s.hold_off(), recovery = s.recovery();
  const double highest = highest_rate(s);
  const auto circuit = circuit_of(s, s.rate);
  auto run = start(circuit, Beginning::settled);
  using Run = decltype(run);
  std::vector<examples::Quantity<Run>> cathodes, currents;
  for (int k = 0; k < s.tubes; ++k) {
    cathodes.push_back({s.names[std::size_t(k)], VoltageProbe{s.cathode(k)}});
    currents.push_back({s.names[std::size_t(k)], CurrentProbe{circuit.find(s.names[std::size_t(k)].c_str())}});
  }
  auto seen =
      examples::observe(run, 2e-3 + s.settling() + (s.tubes + 1.5) / s.rate,
                        {{"cathodes", "V", cathodes, {}},
                         {"grid of tube 2 above its cathode", "V", {{"", VoltageProbe{s.grid(1), s.cathode(1)}}}, {}},
                         {"plate currents", "A", currents, {}}});
  const auto greatest = [&](std::size_t panel) {
    double most = 0;
    for (const auto& trace : seen.sheet.panels[panel].traces) most = std::max(most, seen.greatest(trace));
    return most;
  };
  examples::print(examples::caution(s.volts));
  examples::print(examples::heading("How fast may the ring count?"));
  examples::print(examples::answer_table({
      fact("current of the lit lamp", lit / s.load, "A"),
      at_most("peak when the light is handed on", greatest(2), "A", ratings.peak_current),
      at_most("highest cathode above its heater", greatest(0), "V", ratings.heater_negative),
      at_most("negative grid of a lit tube", -seen.least_while("tube 2", "conducting", seen.trace(1)), "V",
              ratings.grid_negative_during),
      fact("deionisation time, of the middle tube", recovery, "s", "published +-30 %"),
      at_least("old tube is held off for", hold_off, "s", recovery),
      fact("time constant of a cathode", rc, "s"),
      fact("time constant of a grid", s.grid_resistor * s.priming / (s.grid_resistor + s.priming) * s.coupling, "s"),
      at_most("clicks per second", s.rate, "Hz", highest),
  }));
  examples::print(examples::paragraph(
      highest > 0
          ? "The highest rate was found by counting once around the ring and on at one rate after another. It is the "
            "recharging of the capacitors that sets it, not the deionisation, as long as the hold-off is long enough; "
            "once it is not, the ring does not count at all."
          : "The ring does not count even slowly: it loses or doubles its light."));
  seen.sheet.title = "Lottery wheel: ring of " + std::to_string(s.tubes) + ", form " + s.form;
  for (const auto& tube_name : s.names) seen.mark(tube_name, "conducting", tube_name + " lights");
  examples::print(examples::log_of(seen, 40));
  bool written = examples::deliver(seen.sheet, s.files);
  if (examples::is_wanted(s.limit)) written = examples::deliver(limit_sheet(s, highest), s.limit) && written;
  examples::print(examples::what_to_change(
      {"--form star: no supply is lost in the plate resistor, but the old cathode is thrown above the lit voltage, and "
       "the "
       "grid of the new tube lags behind its cathode: for a moment it is more negative than a lit tube may have it.",
       "--tubes 10: in a star the hold-off becomes shorter with every tube; in the other form it does not.",
       "--capacitor 100n: counts faster; with 33n the hold-off falls below the deionisation time, and it does not "
       "count.",
       "--pulse 4: too low for the primed tube, and the light stays where it is."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("ring_counter", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
