// SPDX-License-Identifier: MIT
// The footlights of a puppet theatre are to be dimmed by a xenon tube that fires early or late in each cycle. A steady
// bias may set when, or an alternating grid voltage shifted in phase, or a pulse: which of them dims from full to dark
// without a jump, and which still does so after the tube has been changed?
#include "support/lamp_dimmer.hpp"

#include <gastube/catalogue/catalogue.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/search.hpp"
#include "support/text_table.hpp"
#include "support/trace_figures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace gastube;

namespace {

using examples::at_most, examples::engineering, examples::fact, examples::Figures, examples::within_rating;
using examples::Way;

struct Scenario {
  std::string tube = "3D22A";
  examples::DimmerParts parts{};
  double setting = 50;  // percent
  int points = 20;
  examples::OutputFiles files{.picture = "lamp_dimmer.png", .table = ""},
      run{.picture = "lamp_dimmer_run.png", .table = ""};
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::xenon_tubes, tube); }
  [[nodiscard]] double period() const { return 1 / parts.frequency; }
};
/// One way of control at one setting, in percent of the knob's travel.
struct Control {
  Way way;
  double setting;
  catalogue::TubeData data;
  double temperature;  ///< of the filament at the start, as a share of the rated
};

/// Panels: source, lamp, control; the fourth holds the filament's temperature and light.
examples::Observed observed(const Scenario& s, const Control& c, double periods) {
  const auto tube = catalogue::build(c.data);
  return examples::with_dimmer(s.parts, c.way, c.setting / 100, c.temperature, tube, [&](const auto& circuit) {
    auto run = start(circuit, Settings<double>{.longest_step = s.period() / 100});
    const auto critical = [&](const auto& now) {
      const double volts = tube.critical_grid({voltage(now, examples::dimmer_line), 0, 0}, 0.0);
      return volts < 20 ? volts : std::nan("");
    };
    const OwnProbe temperature{circuit.find("lamp")};
    const FilamentLamp<double> lamp{0, 1, s.parts.lamp};
    const auto light = [&](const auto& now) { return lamp.light(temperature(now)); };
    return examples::observe(
        run, periods * s.period(),
        {{"source", "V", {{"", VoltageProbe{examples::dimmer_line}}}, {}},
         {"lamp current", "A", {{examples::name(c.way), CurrentProbe{circuit.find("lamp")}}}, {}},
         {"control and critical grid voltage",
          "V",
          {{examples::name(c.way), VoltageProbe{examples::dimmer_control}}, {"critical, tube unlit", critical}},
          {}},
         {"filament", "", {{"temperature", temperature}, {"light", light}}, {}}});
  });
}

/// What the last of some cycles brings.
struct Point {
  double setting;
  Figures current;
  double light, fires;  ///< share of rated, degrees
};
/// The filament's temperature is taken on from point to point.
Point point_at(const Scenario& s, const Control& c, double& temperature) {
  const double cycles = 6, to = cycles * s.period(), from = to - s.period();
  const auto seen = observed(s, c, cycles);
  temperature = std::max(seen.trace(3).value.back(), 0.12);
  const auto lit = seen.events.lit(examples::name(c.way));
  const bool fires = !lit.empty() && lit.back() > from;
  return {c.setting, examples::figures_of(seen.trace(1), from, to),
          examples::figures_of(seen.trace(3, 1), from, to).mean,
          fires ? (lit.back() - from) / s.period() * 360 : std::nan("")};
}
/// From bright to dark.
std::vector<Point> sweep(const Scenario& s, Way way, const catalogue::TubeData& data) {
  std::vector<Point> all;
  double temperature = 1;
  for (int k = 0; k <= s.points; ++k)
    all.push_back(point_at(s, {way, 100.0 * k / s.points, data, temperature}, temperature));
  return all;
}
/// The farthest setting at which it still fires.
Point last_to_fire(const Scenario& s, Way way) {
  double temperature = 0.5;
  const auto at = [&](double setting) { return point_at(s, {way, setting, s.data(), temperature}, temperature); };
  const auto fires = [&](double setting) { return std::isfinite(at(setting).fires); };
  return at(examples::greatest_working(1, 100, 1e-3, fires).value_or(0));
}

/// A way with a tube at the middle of its data, and with those at the ends of the band.
struct Dimming {
  Way way;
  std::vector<Point> middle, early, late;
  Point last;
  [[nodiscard]] double widest() const {
    double most = 0;
    for (std::size_t k = 0; k < middle.size(); ++k) most = std::max(most, early[k].current.rms - late[k].current.rms);
    return most;
  }
};
Dimming dimming(const Scenario& s, Way way) {
  catalogue::TubeData early = s.data(), late = s.data();
  early.line_intercept.value -= s.data().band_at_zero.value, late.line_intercept.value += s.data().band_at_zero.value;
  return {way, sweep(s, way, s.data()), sweep(s, way, early), sweep(s, way, late), last_to_fire(s, way)};
}

examples::CharacteristicSheet characteristic(const Scenario& s, const std::vector<Dimming>& all) {
  examples::CharacteristicSheet sheet{.title = fmt::format("Three ways to dim a lamp with a {}", s.tube),
                                      .x = {"setting, share of the knob's travel", "%"},
                                      .y = {"r.m.s. lamp current", "A"}};
  for (const Dimming& d : all) {
    examples::Curve curve{examples::name(d.way), {}, {}, examples::CurveStyle::line_and_points};
    examples::Band band{fmt::format("{}, other tubes", examples::name(d.way)), {}, {}, {}};
    bool before = true;
    for (std::size_t k = 0; k < d.middle.size(); ++k) {
      if (before && d.middle[k].setting > d.last.setting)
        curve.x.push_back(d.last.setting), curve.y.push_back(d.last.current.rms), before = false;
      curve.x.push_back(d.middle[k].setting), curve.y.push_back(d.middle[k].current.rms);
      band.x.push_back(d.middle[k].setting);
      band.lower.push_back(d.late[k].current.rms), band.upper.push_back(d.early[k].current.rms);
    }
    sheet.curves.push_back(curve), sheet.bands.push_back(band);
  }
  return sheet;
}

void print_ways(const std::vector<Dimming>& all) {
  std::vector<std::vector<std::string>> rows;
  for (const Dimming& d : all) {
    const double full = d.middle.front().current.rms;
    const bool dark = d.last.current.rms < 0.4 * full, steady = d.widest() < 0.2 * full;
    const char* dims = dark ? "smoothly" : d.last.setting < 99.9 ? "jumps to dark" : "never dark";
    rows.push_back({examples::name(d.way), engineering(full, "A", 3), engineering(d.last.current.rms, "A", 3),
                    fmt::format("{:.0f} deg", d.last.fires), engineering(d.widest(), "A", 2), dims,
                    steady ? "stays put" : "moves"});
  }
  examples::print(examples::text_table({{"control by"},
                                        {"full, r.m.s.", true},
                                        {"least", true},
                                        {"fires last at", true},
                                        {"tubes differ by up to", true},
                                        {"dims"},
                                        {"tube changed"}},
                                       rows));
  rows.clear();
  for (std::size_t k = 0; k < all[0].middle.size(); k += 5) {
    rows.push_back({fmt::format("{:.0f} %", all[0].middle[k].setting)});
    for (const Dimming& d : all) {
      const Point& p = d.middle[k];
      rows.back().push_back(std::isfinite(p.fires) ? fmt::format("{:.0f} deg", p.fires) : "dark");
      rows.back().push_back(engineering(p.current.rms, "A", 3));
      rows.back().push_back(fmt::format("{:.1f} %", 100 * p.light));
    }
  }
  examples::print(examples::text_table({{"setting", true},
                                        {"bias: fires", true},
                                        {"current", true},
                                        {"light", true},
                                        {"phase: fires", true},
                                        {"current", true},
                                        {"light", true},
                                        {"pulse: fires", true},
                                        {"current", true},
                                        {"light", true}},
                                       rows));
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("lamp_dimmer", "A lamp dimmed by a gas tube, its grid controlled in three ways.");
  line.option("tube", s.tube, "type", examples::types_in(catalogue::xenon_tubes));
  line.option("volts", s.parts.volts, "V", "r.m.s. of the supply", {40, 250});
  line.option("frequency", s.parts.frequency, "Hz", "of the supply", {20, 500});
  line.option("lamp-volts", s.parts.lamp.voltage, "V", "rated voltage of the lamps together", {5, 250});
  line.option("lamp-amperes", s.parts.lamp.current, "A", "their rated current", {0.01, 10});
  line.option("setting", s.setting, "%", "of the knob, for the picture of the run", {0, 100});
  line.option("points", s.points, "on each curve, a multiple of 5", {5, 100});
  line.group("control");
  line.option("bias-range", s.parts.bias_range, "V", "negative bias at the end of the knob's travel", {0.5, 100});
  line.option("grid-volts", s.parts.grid_volts, "V", "r.m.s. of each half of the grid winding", {1, 50});
  line.option("capacitor", s.parts.capacitor, "F", "of the phase shifter", {1e-9, 10e-6});
  line.option("variable", s.parts.variable, "ohm",
              "resistor of the phase shifter, which grows with the square of the travel", {1e3, 10e6});
  line.option("grid-resistor", s.parts.grid_resistor, "ohm", "in the grid lead", {1e3, 10e6});
  examples::add_output_options(line, s.files);
  line.option("run", s.run.picture, "file for the picture of two cycles at one setting, or none");
  line.option("run-csv", s.run.table, "file for the numbers of that run, or none");
  return line.parse(argc, argv);
}

constexpr double settling = 15;  // periods, of filament and phase shifter

/// The three ways at one setting in one picture.
examples::Observed compared(const Scenario& s, const std::vector<Dimming>& all) {
  examples::Observed joined;
  examples::Trace critical;
  for (const Dimming& d : all) {
    auto seen = observed(s, {d.way, s.setting, s.data(), 0.8}, settling + 2);
    seen.mark_lit(examples::name(d.way), fmt::format("{} fires", examples::name(d.way)));
    seen.sheet.panels.pop_back();
    if (joined.sheet.panels.empty()) {
      joined = seen;
      critical = seen.trace(2, 1);
      joined.sheet.panels[2].traces.pop_back();
      continue;
    }
    joined.sheet.panels[1].traces.push_back(seen.trace(1));
    joined.sheet.panels[2].traces.push_back(seen.trace(2));
    for (const auto& band : seen.sheet.bands) joined.sheet.bands.push_back(band);
    for (const auto& event : seen.sheet.events) joined.sheet.events.push_back(event);
    for (const auto& entry : seen.events.entries) joined.events.entries.push_back(entry);
  }
  joined.sheet.panels[2].traces.push_back(critical);
  const double from = settling * s.period();
  std::erase_if(joined.events.entries, [&](const auto& entry) { return entry.time < from; });
  std::sort(joined.events.entries.begin(), joined.events.entries.end(),
            [](const auto& a, const auto& b) { return a.time < b.time; });
  joined.sheet.title = fmt::format("Footlights: the three ways at {:.0f} % of the knob's travel", s.setting);
  return joined;
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  std::vector<Dimming> all;
  for (const Way way : examples::dimmer_ways) all.push_back(dimming(s, way));
  const Point& full = all[2].middle.front();
  const Control cold{Way::pulse, 50, d, s.parts.lamp.cold};
  const double inrush = examples::Observed::greatest(observed(s, cold, 1).trace(1));
  examples::print(examples::caution(s.parts.volts * std::numbers::sqrt2,
                                    "Feed it from a transformer with separate windings, never from the mains itself."));
  examples::print(
      examples::heading("Which control dims without a jump, and which stays put when the tube is changed?"));
  print_ways(all);
  examples::print(examples::answer_table({
      within_rating("tube, mean, full", full.current.mean, "A", d.average_current),
      within_rating("tube, peak, full", full.current.greatest, "A", d.peak_current),
      within_rating("tube, peak into the cold lamp, fired at the crest", inrush, "A", d.peak_current),
      at_most("lamp, r.m.s., full", full.current.rms, "A", 1.05 * s.parts.lamp.current),
      within_rating("grid resistor, with the whole phase shifter", s.parts.grid_resistor + s.parts.variable, "ohm",
                    d.grid_resistance),
  }));
  examples::print(examples::paragraph(
      "A steady bias fires the tube on the rising side of the wave only: past the crest it does not fire at all. Phase "
      "and pulse reach the falling side, and their grids pass the critical voltage steeply. Tubes differ as the band "
      "of "
      "the type has it."));
  auto seen = compared(s, all);
  examples::print(examples::log_of(seen, 24));
  bool written = examples::deliver(characteristic(s, all), s.files);
  written = examples::deliver(seen.sheet, s.run, examples::Window{settling * s.period(), (settling + 2) * s.period()})
            && written;
  examples::print(examples::what_to_change(
      {"--setting 70: the same in the picture of the run, later in the cycle.",
       "--grid-volts 3: a weak grid voltage passes the critical one slowly, and phase control moves with the tube.",
       "--variable 50k: the phase shifter stops short of dark.",
       "--lamp-amperes 0.8: a larger lamp, whose cold filament takes more than the peak rating: bring it up slowly.",
       "--tube 2050-A: a smaller tube, whose average rating goes first."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("lamp_dimmer", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
