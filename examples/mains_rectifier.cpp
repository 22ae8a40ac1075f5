// SPDX-License-Identifier: MIT
// The builders of a club's signal box have xenon tetrodes to spare and want a hundred volts of direct current for their
// relays. Half-wave, centre tap, bridge or three-phase, with a capacitor or a choke first: what does the load get, what
// must the tubes bear, and which of their heaters may share a winding?
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/circuit/heater_watch.hpp>
#include <gastube/circuit/wiring_check.hpp>

#include "support/catalogue_choice.hpp"
#include "support/caution.hpp"
#include "support/command_line.hpp"
#include "support/observe.hpp"
#include "support/output_files.hpp"
#include "support/program.hpp"
#include "support/rectifier.hpp"
#include "support/text_table.hpp"
#include "support/trace_figures.hpp"

#include <fmt/format.h>

#include <cmath>

using namespace gastube;

namespace {

using examples::engineering, examples::fact, examples::Figures, examples::HeaterWinding, examples::RectifierKind,
    examples::within_rating;

struct Scenario {
  std::string tube = "2050-A", kind = "bridge", filter = "choke", heaters = "negative";
  double choke = 5;
  int settling = 20;  // periods
  bool alike = false;
  examples::RectifierParts parts{.leakage = 10e-3,
                                 .resistance = 12,
                                 .choke_resistance = 80,
                                 .capacitor = 47e-6,
                                 .damper_capacitor = 0.1e-6,
                                 .damper_resistor = 330};
  examples::OutputFiles files{.picture = "mains_rectifier.png", .table = ""};
  [[nodiscard]] const catalogue::TubeData& data() const { return examples::type_in(catalogue::xenon_tubes, tube); }
};
const std::vector<std::string> kinds{"half-wave", "centre-tap", "bridge", "three-phase"}, filters{"capacitor", "choke"},
    windings{"own", "negative", "rectified"};

std::size_t place_in(const std::vector<std::string>& names, const std::string& name) {
  return std::size_t(std::find(names.begin(), names.end(), name) - names.begin());
}

/// T1 has the greatest arc drop of its type, the others the least, unless all are to be alike.
auto circuit_of(const Scenario& s) {
  catalogue::TubeData high = s.data(), low = s.data();
  if (!s.alike) high.arc_drop = high.arc_drop_greatest, low.arc_drop = low.arc_drop_least;
  return examples::rectifier(s.parts, std::vector{catalogue::build(high), catalogue::build(low)});
}
auto run_of(const Scenario& s) {
  const auto circuit = circuit_of(s);
  check_wiring(circuit, {.heaters = true});
  return start(circuit, Settings<double>{.longest_step = 1 / s.parts.frequency / 100});
}

/// What is only watched while the circuit is switched on: heaters, and the peak of the current.
struct SwitchingOn {
  std::vector<HeaterWatch<double>> heaters;
  double peak = 0;
  bool calm = true;  // but for a tube that relights without end
  template <class Run>
  void step(const Run& run) {
    for (std::size_t k = 0; k < heaters.size(); ++k) {
      heaters[k].step(run);
      peak = std::max(peak, current(run, examples::rectifier_tubes[k]));
    }
  }
  template <class Run>
  void arrive(const Run& run) {
    step(run);
  }
};
template <class Run>
SwitchingOn switch_on(const Scenario& s, Run& run, double until) {
  SwitchingOn watch;
  const std::size_t most = std::size_t(100 * until * s.parts.frequency);  // changes of state
  for (std::size_t k = 0; k < examples::nodes_of(s.parts).tubes; ++k)
    watch.heaters.push_back({run.system().find(examples::rectifier_tubes[k]), {.heater = s.data().heater_voltage}});
  watch.calm = examples::calm_until(run, until, most, watch);
  return watch;
}

template <class Run>
examples::Observed observed(const Scenario& s, Run& run, double periods) {
  const auto at = examples::nodes_of(s.parts);
  const auto& d = s.data();
  std::vector<examples::PanelPlan<Run>> plan{
      {"load", "V", {{"load", VoltageProbe{at.load}}}, {}},
      {"tube currents", "A", {}, {{"peak rating", d.peak_current}}},
      {"plates above their cathodes", "V", {}, {{"inverse rating", -d.peak_inverse}}},
      {"heaters' supply above cathodes", "V", {}, {{"positive", d.heater_positive}, {"negative", -d.heater_negative}}}};
  if (at.rectified != at.load) plan[0].quantities.push_back({"before the choke", VoltageProbe{at.rectified}});
  for (auto& panel : plan) std::erase_if(panel.limits, [](auto& limit) { return !is_limited(std::abs(limit.value)); });
  for (std::size_t k = 0; k < at.tubes; ++k) {
    const char* name = examples::rectifier_tubes[k];
    const TubeTerminals tube = examples::terminals_of(s.parts, k);
    plan[1].quantities.push_back({name, CurrentProbe{run.system().find(name)}});
    plan[2].quantities.push_back({name, VoltageProbe{tube.plate, tube.cathode}});
    plan[3].quantities.push_back({name, VoltageProbe{tube.heater, tube.cathode}});
  }
  return examples::observe(run, run.time() + periods / s.parts.frequency, plan);
}

/// One line for each way of feeding the heaters: what the worst tube sees.
void print_heaters(const Scenario& s) {
  std::vector<std::vector<std::string>> rows;
  const std::size_t own = examples::joined_cathodes(s.parts).size();
  std::string one_will_do;
  for (std::size_t k = 0; k < windings.size(); ++k) {
    Scenario other = s;
    other.parts.heaters = HeaterWinding(k);
    auto run = run_of(other);
    const auto watched = switch_on(other, run, 3 / s.parts.frequency).heaters;
    double above = 0, below = 0, left = unlimited<double>();
    const char* worst = "";
    for (std::size_t tube = 0; tube < watched.size(); ++tube) {
      const HeaterConnection<double> supply{.heater = s.data().heater_voltage};
      above = std::max(above, watched[tube].highest() + supply.swing());
      below = std::max(below, supply.swing() - watched[tube].lowest());
      const HeaterMargin<double> margin = watched[tube].margin(run);
      if (std::min(margin.positive, margin.negative) < left)
        left = std::min(margin.positive, margin.negative), worst = examples::rectifier_tubes[tube];
    }
    rows.push_back({windings[k], fmt::format("{}", k == 0 ? own : 1), engineering(above, "V", 3),
                    engineering(below, "V", 3), is_limited(left) ? engineering(left, "V", 3) : "no rating", worst,
                    !is_limited(left) ? "unknown"
                    : left >= 0       ? "kept"
                                      : "exceeded"});
    if (k > 0 && one_will_do.empty() && is_limited(left) && left >= 0) one_will_do = windings[k];
  }
  examples::print(examples::text_table({{"heaters fed from"},
                                        {"windings", true},
                                        {"above cathode", true},
                                        {"below cathode", true},
                                        {"margin to ratings", true},
                                        {"of"},
                                        {"verdict"}},
                                       rows));
  examples::print(examples::paragraph(one_will_do.empty()
                                          ? fmt::format("So it takes {} windings.", own)
                                          : fmt::format("One winding will do, tied to the {} side.", one_will_do)));
}

void print_tubes(const examples::Observed& seen, double from, double to) {
  std::vector<std::vector<std::string>> rows;
  double sum = 0;
  for (const auto& trace : seen.sheet.panels[1].traces) sum += examples::figures_of(trace, from, to).mean;
  for (std::size_t k = 0; k < seen.sheet.bands.size(); ++k) {
    const Figures amperes = examples::figures_of(seen.trace(1, k), from, to);
    const Figures volts = examples::figures_of(seen.trace(2, k), from, to);
    const double lit = examples::time_in(seen.sheet.bands[k], "conducting", from, to) / (to - from);
    rows.push_back({examples::rectifier_tubes[k], engineering(amperes.mean, "A", 3),
                    fmt::format("{:.1f} %", 100 * amperes.mean / sum), engineering(amperes.rms, "A", 3),
                    engineering(amperes.greatest, "A", 3), fmt::format("{:.0f} deg", 360 * lit),
                    engineering(volts.greatest, "V", 3), engineering(-volts.least, "V", 3)});
  }
  examples::print(examples::text_table({{"tube"},
                                        {"mean", true},
                                        {"share", true},
                                        {"r.m.s.", true},
                                        {"peak", true},
                                        {"lit for", true},
                                        {"fires at", true},
                                        {"inverse", true}},
                                       rows));
}

std::string groups_in_words(const Scenario& s) {
  std::string all;
  for (const auto& group : examples::joined_cathodes(s.parts)) {
    std::string names;
    for (const std::size_t k : group)
      names += (names.empty() ? "" : " and ") + std::string(examples::rectifier_tubes[k]);
    all += (all.empty() ? "" : "; ") + names;
  }
  return all;
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  auto& p = s.parts;
  examples::CommandLine line("mains_rectifier", "A rectifier with gas tubes: the load, the tubes, and their heaters.");
  line.option("kind", s.kind, "of rectifier", kinds);
  line.option("filter", s.filter, "what comes first after the tubes", filters);
  line.option("tube", s.tube, "type", examples::types_in(catalogue::xenon_tubes));
  line.flag("alike", s.alike, "all tubes alike, else T1 has the highest arc drop of its type and the others the least");
  line.option("heaters", s.heaters, "in the picture: a winding for each cathode, or one for all, tied to that side",
              windings);
  line.group("circuit");
  line.option("mains", p.mains, "V", "r.m.s., to neutral", {10, 400});
  line.option("frequency", p.frequency, "Hz", "of the mains", {10, 1000});
  line.option("secondary", p.secondary, "V", "r.m.s. without load; of each half, of each phase", {10, 1000});
  line.option("winding", p.resistance, "ohm", "secondary; the primary counts as much again", {0.1, 1000});
  line.option("leakage", p.leakage, "H", "of the transformer, seen from a secondary", {1e-5, 1});
  line.option("choke", s.choke, "H", "with filter choke", {1e-3, 100});
  line.option("choke-resistance", p.choke_resistance, "ohm", "its winding", {0, 1e4});
  line.option("capacitor", p.capacitor, "F", "across the load", {1e-9, 1e-2});
  line.option("damper", p.damper_capacitor, "F", "at each end of the windings and before the choke", {1e-10, 1e-6});
  line.option("damper-resistor", p.damper_resistor, "ohm", "in series with each", {1, 1e5});
  line.option("load", p.load, "ohm", "the relays", {10, 1e6});
  line.option("settling", s.settling, "periods before the figures are taken", {5, 1000});
  examples::add_output_options(line, s.files);
  const auto exit = line.parse(argc, argv);
  p.kind = RectifierKind(place_in(kinds, s.kind));
  p.heaters = HeaterWinding(place_in(windings, s.heaters));
  if (s.filter == "choke") p.choke = s.choke;
  return exit;
}

int answer(const Scenario& s) {
  const auto& d = s.data();
  auto run = run_of(s);
  const double period = 1 / s.parts.frequency, shown = 3;
  const SwitchingOn first = switch_on(s, run, s.settling * period);
  auto seen = observed(s, run, shown);
  const double to = seen.end, from = std::max(seen.begin, to - period);
  const Figures volts = examples::figures_of(seen.trace(0), from, to);
  const Figures before = examples::figures_of(seen.trace(0), seen.begin, std::min(to, seen.begin + period));
  Figures worst;
  double inverse = 0, apparent = 0;
  for (std::size_t k = 0; k < seen.sheet.bands.size(); ++k) {
    const Figures amperes = examples::figures_of(seen.trace(1, k), from, to);
    worst = {std::max(worst.mean, amperes.mean), std::max(worst.rms, amperes.rms), 0,
             std::max(worst.greatest, amperes.greatest)};
    inverse = std::max(inverse, -examples::figures_of(seen.trace(2, k), from, to).least);
    apparent += s.parts.secondary * amperes.rms;
  }
  // In a bridge two tubes take turns at each end of the one winding.
  if (s.parts.kind == RectifierKind::bridge) apparent = s.parts.secondary * std::numbers::sqrt2 * worst.rms;
  examples::print(examples::caution(std::max(s.parts.mains, 2 * s.parts.secondary) * std::numbers::sqrt2,
                                    "A heater winding stands at its cathode's voltage: it is as live as the plate."));
  examples::print(examples::heading("What does the load get, and what must the tubes bear?"));
  std::vector<examples::AnswerRow> rows{
      fact("load, mean", volts.mean, "V",
           fmt::format("{:+.2g} % in two periods", 100 * (volts.mean / before.mean - 1))),
      fact("load, mean", volts.mean / s.parts.load, "A"),
      fact("ripple, peak to peak", volts.greatest - volts.least, "V"),
      fact("ripple, r.m.s.", volts.ripple(), "V",
           fmt::format("{:.2g} % of the mean", 100 * volts.ripple() / volts.mean)),
      within_rating("tube, mean", worst.mean, "A", d.average_current),
      within_rating("tube, peak", worst.greatest, "A", d.peak_current),
      within_rating("tube, peak when switched on with the capacitor empty", first.peak, "A", d.peak_current),
      within_rating("tube, inverse voltage", inverse, "V", d.peak_inverse),
      fact("secondaries", apparent, "VA",
           fmt::format("for {} of load", engineering(volts.rms * volts.rms / s.parts.load, "W", 3))),
  };
  const bool full_wave = s.parts.kind == RectifierKind::centre_tap || s.parts.kind == RectifierKind::bridge;
  if (full_wave && s.parts.choke > 0)
    rows.push_back(examples::at_least("choke, for a current that never stops", s.parts.choke, "H",
                                      examples::critical_choke(s.parts.load, s.parts.frequency)));
  examples::print(examples::answer_table(rows));
  print_tubes(seen, from, to);
  if (!first.calm || seen.cut_short)
    examples::print(examples::paragraph("The tubes go out and relight without end: the figures mean little."));
  if (s.parts.kind == RectifierKind::half_wave || s.parts.kind == RectifierKind::three_phase)
    examples::print(examples::paragraph(fmt::format(
        "Each core is magnetised one way by {} in its secondary; this one does not saturate, a real one may.",
        engineering(worst.mean, "A", 3))));
  examples::print(examples::heading("Which heaters may share a winding?"));
  const auto rating = [](double limit) { return is_limited(limit) ? engineering(limit, "V") : "not published"; };
  examples::print(examples::paragraph(fmt::format(
      "Joined cathodes, and so on one winding: {}. Each further cathode wants a winding of its own, unless the ratings "
      "of the heater against the cathode ({} positive, {} negative) allow more; half the heater's voltage counts in.",
      groups_in_words(s), rating(d.heater_positive), rating(d.heater_negative))));
  print_heaters(s);
  seen.sheet.title =
      fmt::format("Relay supply: {}, {} first, {}, heaters fed from {}", s.kind, s.filter, s.tube,
                  s.heaters == "own" ? "their own windings" : "one winding at the " + s.heaters + " side");
  for (const char* name : examples::rectifier_tubes) seen.mark_lit(name, fmt::format("{} fires", name), period / 4);
  examples::print(examples::log_of(seen, 24));
  const bool written = examples::deliver(seen.sheet, s.files);
  examples::print(examples::what_to_change(
      {"--filter capacitor: more volts, but the empty capacitor takes more current at first than a tube may give.",
       "--kind centre-tap --secondary 130: one heater winding, one arc drop less, twice the inverse voltage.",
       "--kind half-wave --filter capacitor: the tube carries it all, and the core is magnetised one way.",
       "--kind three-phase: hardly any ripple; with --filter capacitor the tubes share unevenly, for T1 burns higher.",
       "--choke 0.2: too small; the current stops between the crests.",
       "--secondary 60: even then T3 and T4 refuse a common winding: before they fire their cathodes lie far below it.",
       "--damper 10n: too small; what the leakage holds relights tubes that have just gone out."}));
  return written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  return examples::run_program("mains_rectifier", [&] {
    Scenario s;
    if (const auto exit = read(s, argc, argv)) return *exit;
    return answer(s);
  });
}
