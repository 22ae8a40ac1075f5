// SPDX-License-Identifier: MIT
// I measured a tube of my own: what are its laws, how sure are they, and what is to be measured next?
//
// Reads firing points, arc drops and restrike trials from three files (by default invented ones for a xenon tetrode),
// fits the laws, and makes a tube of them that the verdicts of the library take like a catalogued one.
//
// Such measurements put hundreds of volts on the plate, and charge capacitors: a series resistor in the lead, one hand
// away, switched off and discharged before touching anything, and by the rules where you live.
#include <gastube/adapt/measurements.hpp>
#include <gastube/adapt/own_tube.hpp>
#include <gastube/catalogue/argon.hpp>
#include <gastube/catalogue/xenon.hpp>
#include <gastube/design/strike.hpp>

#include "support/catalogue_choice.hpp"
#include "support/characteristic.hpp"
#include "support/command_line.hpp"
#include "support/report.hpp"
#include "support/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

using namespace gastube;
using namespace gastube::adapt;
using examples::engineering;

namespace {

#define GASTUBE_DATA(name) GASTUBE_EXAMPLE_DATA "/" name
struct Scenario {
  std::string type = "5727", name = "own tube";
  std::string ignition = GASTUBE_DATA("firing_points.csv"), arc = GASTUBE_DATA("arc_drops.csv"),
              recovery = GASTUBE_DATA("restrike_trials.csv");
  double current = 0.1, bias = -10, full = 0;
  double plate = 48;
  bool no_pictures = false;
};

/// A fit, or why there is none.
template <class Fit>
struct Outcome {
  std::optional<Fit> fit{};
  std::string refused{};
};
template <class Function>
auto attempt(Function&& f) -> Outcome<decltype(f())> {
  try {
    return {f(), {}};
  } catch (const InvalidRequest& error) { return {{}, error.what()}; }
}

// ---- tables ---------------------------------------------------------------------------------------------------------

void print_parameters(const FitReport& fit, const char* value_unit) {
  std::vector<std::vector<std::string>> rows;
  for (const FittedParameter& p : fit.parameters)
    rows.push_back({p.name, engineering(p.value, p.unit), engineering(p.uncertainty, p.unit, 2),
                    engineering(fit.factor * p.uncertainty, p.unit, 2)});
  examples::print(
      examples::text_table({{"parameter"}, {"value", true}, {"standard error", true}, {"95 % within", true}}, rows));
  examples::print(examples::paragraph(
      fmt::format("Scatter of a single point {}, {} degrees of freedom. To know the {} better: {}.",
                  engineering(fit.scatter, value_unit, 2), fit.degrees_of_freedom, fit.next.parameter, fit.next.text)));
}
struct Row {
  double x, measured;
};
template <class Point>
std::vector<Row> rows_of(const std::vector<Point>& points, double Point::*x, double Point::*measured) {
  std::vector<Row> rows;
  rows.reserve(points.size());
  for (const Point& p : points) rows.push_back({p.*x, p.*measured});
  return rows;
}
void print_residuals(const std::vector<Row>& points, const FitReport& fit, const char* x_name, const char* x_unit) {
  std::vector<std::vector<std::string>> rows;
  for (std::size_t k = 0; k < points.size(); ++k)
    rows.push_back({std::to_string(k + 1), engineering(points[k].x, x_unit), engineering(points[k].measured, "V"),
                    engineering(points[k].measured - fit.residuals[k], "V"), engineering(fit.residuals[k], "V", 2)});
  examples::print(examples::text_table(
      {{"point", true}, {x_name, true}, {"measured", true}, {"fitted", true}, {"residual", true}}, rows));
}
void print_refusal(const std::string& why) { examples::print(examples::paragraph("No fit: " + why + ".")); }

// ---- pictures -------------------------------------------------------------------------------------------------------

/// Measured points, the fitted law and the band in which the next point lies with 95 %.
template <class Law, class HalfWidth>
examples::CharacteristicSheet sheet_of(const std::string& title, const std::vector<Row>& points, double from, double to,
                                       Law&& law, HalfWidth&& half_width) {
  examples::CharacteristicSheet sheet{.title = title};
  examples::Curve line{"fitted law", {}, {}}, measured{"measured", {}, {}, examples::CurveStyle::points};
  examples::Band band{"next point, 95 %", {}, {}, {}};
  for (int k = 0; k <= 300; ++k) {
    const double x = from + (to - from) * k / 300, y = law(x), half = half_width(x);
    line.x.push_back(x), line.y.push_back(y);
    band.x.push_back(x), band.lower.push_back(y - half), band.upper.push_back(y + half);
  }
  for (const Row& p : points) measured.x.push_back(p.x), measured.y.push_back(p.measured);
  sheet.curves = {line, measured};
  sheet.bands = {band};
  return sheet;
}
void draw(const Scenario& s, examples::CharacteristicSheet sheet, examples::Dimension x, examples::Dimension y,
          const char* file) {
  if (s.no_pictures) return;
  sheet.x = std::move(x), sheet.y = std::move(y);
  const auto result = examples::draw(sheet, file);
  examples::print(examples::paragraph(result.drawn ? fmt::format("picture: {}", file) : result.message));
}

// ---- the three measurements -----------------------------------------------------------------------------------------

Outcome<IgnitionFit> fit_own_ignition(const Scenario& s, const catalogue::TubeData& start) {
  examples::print(examples::heading("Ignition"));
  const auto points = read_ignition(s.ignition);
  auto outcome = attempt([&] { return fit_ignition(points, *start.fill); });
  if (!outcome.fit) return print_refusal(outcome.refused), outcome;
  const IgnitionFit& fit = *outcome.fit;
  const auto rows = rows_of(points, &IgnitionPoint::plate, &IgnitionPoint::grid);
  examples::print(examples::paragraph("Control line with its low-voltage knee, the latter stated at 50 V of plate:"));
  print_parameters(fit, "V");
  print_residuals(rows, fit, "plate voltage", "V");
  draw(s,
       sheet_of(
           "Ignition as measured", rows, start.fill->ionisation + 4, 350,
           [&](double v) { return fit.law.critical_grid(v); }, [&](double v) { return fit.half_width(v); }),
       {"plate voltage", "V"}, {"critical grid voltage", "V"}, "own_tube_ignition.png");
  return outcome;
}
Outcome<ArcFit> fit_own_arc(const Scenario& s) {
  examples::print(examples::heading("Arc drop"));
  const auto points = read_arc(s.arc);
  auto outcome = attempt([&] { return fit_arc(points); });
  if (!outcome.fit) return print_refusal(outcome.refused), outcome;
  const ArcFit& fit = *outcome.fit;
  const auto rows = rows_of(points, &ArcPoint::current, &ArcPoint::drop);
  examples::print(examples::paragraph("Straight line:"));
  print_parameters(fit, "V");
  const FitReport& better = fit.falling ? static_cast<const FitReport&>(*fit.falling) : fit;
  if (fit.falling) {
    examples::print(examples::paragraph("A falling characteristic fits clearly better, and is what is shown:"));
    print_parameters(better, "V");
  }
  print_residuals(rows, better, "current", "A");
  const auto [low, high] =
      std::minmax_element(rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.x < b.x; });
  draw(s,
       sheet_of(
           "Arc drop as measured", rows, fit.falling ? low->x : 0, 1.1 * high->x,
           [&](double i) { return fit.falling ? fit.falling->law.voltage(i) : fit.law.voltage(i); },
           [&](double i) { return fit.falling ? fit.falling->half_width(i) : fit.half_width(i); }),
       {"plate current", "A"}, {"arc drop", "V"}, "own_tube_arc.png");
  return outcome;
}
Outcome<RecoveryFit> fit_own_recovery(const Scenario& s, const RestrikeSetup& conditions) {
  examples::print(examples::heading("Recovery"));
  const auto points = read_recovery(s.recovery);
  auto outcome = attempt([&] { return fit_recovery(points, conditions); });
  if (!outcome.fit) return print_refusal(outcome.refused), outcome;
  const RecoveryFit& fit = *outcome.fit;
  const auto rows = rows_of(points, &RecoveryPoint::delay, &RecoveryPoint::restrike);
  const auto [first, last] =
      std::minmax_element(rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.x < b.x; });
  examples::print(examples::paragraph(
      fmt::format("Exponential afterglow after {}, at {} of bias; full hold-off {}, arc's floor {}:",
                  engineering(conditions.current, "A"), engineering(conditions.bias, "V"),
                  engineering(conditions.full, "V"), engineering(conditions.floor, "V"))));
  print_parameters(fit, "V");
  print_residuals(rows, fit, "delay", "s");
  draw(s,
       sheet_of(
           "Restrike voltage as measured", rows, 0.99 * first->x, 1.01 * last->x,
           [&](double t) { return fit.restrike(t); }, [&](double t) { return fit.half_width(t); }),
       {"delay after extinction", "s"}, {"restrike voltage", "V"}, "own_tube_recovery.png");
  return outcome;
}

// ---- the tube made of them ------------------------------------------------------------------------------------------

void print_verdict(const Scenario& s, const OwnTube& own, const catalogue::TubeData& start) {
  const design::StrikeQuestion<double> asked{.plate = s.plate, .rest = {-6, 100e3}, .set = {5, 22e3}};
  const auto mine = design::strike<double>(own.data(), asked), any = design::strike<double>(start, asked);
  examples::print(examples::heading(fmt::format("On {}", engineering(s.plate, "V"))));
  const std::string type = fmt::format("any {}", start.type);
  const auto row = [&](const char* what, double own_value, double any_value) {
    return std::vector<std::string>{what, engineering(own_value, "V", 3), engineering(any_value, "V", 3)};
  };
  examples::print(examples::text_table({{"quantity"}, {own.data().type, true}, {type, true}},
                                       {row("critical grid voltage", mine.critical_grid, any.critical_grid),
                                        row("half of the band", mine.half_band, any.half_band),
                                        row("resting bias at most", mine.earliest_drive, any.earliest_drive),
                                        row("set drive at least", mine.latest_drive, any.latest_drive)}));
  examples::print(examples::paragraph("The band of the own tube is that of its next firing. It does not hold for "
                                      "another tube, nor for its whole life."));
}

const catalogue::TubeData& type_called(const std::string& type) {
  for (const catalogue::TubeData& data : catalogue::xenon_tubes)
    if (type == data.type) return data;
  return catalogue::of(catalogue::argon_tubes, type);
}
std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("own_tube", "Laws of a tube of one's own from measured points, and what to measure next.");
  line.group("Measurements, comma-separated with the columns named");
  line.option("ignition", s.ignition, "plate_volts, grid_volts");
  line.option("arc", s.arc, "plate_amperes, drop_volts");
  line.option("recovery", s.recovery, "delay_seconds, restrike_volts");
  line.group("Conditions");
  auto types = examples::types_in(catalogue::xenon_tubes);
  for (const std::string& type : examples::types_in(catalogue::argon_tubes)) types.push_back(type);
  line.option("type", s.type, "xenon or argon type that the tube is one of", types);
  line.option("name", s.name, "what to call it");
  line.option("current", s.current, "A", "before extinction, in the restrike trials", {1e-4, 100});
  line.option("bias", s.bias, "V", "of the grid, in the restrike trials", {-500, -1});
  line.option("full", s.full, "V", "plate voltage held at that bias, recovered; 0 for that of the fit", {0, 1e5});
  line.option("plate", s.plate, "V", "plate voltage of the verdict", {15, 5000});
  line.flag("no-pictures", s.no_pictures, "draw nothing");
  return line.parse(argc, argv);
}
int run(const Scenario& s) {
  const catalogue::TubeData& start = type_called(s.type);
  OwnTube own(start, s.name);
  const auto ignition = fit_own_ignition(s, start);
  if (ignition.fit) own.with(*ignition.fit, "firing points, " + s.ignition);
  const auto arc = fit_own_arc(s);
  if (arc.fit) own.with(*arc.fit, "arc drops, " + s.arc);
  // The floor and full hold-off are those of the tube as measured so far.
  const auto so_far = catalogue::build(own.data());
  const double full = s.full > 0 ? s.full : critical_plate(so_far.laws().ignition, s.bias);
  const auto recovery = fit_own_recovery(s, {.current = s.current,
                                             .bias = s.bias,
                                             .full = full,
                                             .floor = so_far.floor(),
                                             .highest_plate = std::min(full, start.peak_forward.value)});
  if (recovery.fit) own.with(*recovery.fit, "restrike trials, " + s.recovery);
  if (ignition.fit) print_verdict(s, own, start);
  return ignition.fit && arc.fit && recovery.fit ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) try {
  Scenario s;
  if (const auto exit = read(s, argc, argv)) return *exit;
  return run(s);
} catch (const std::exception& error) {
  std::fprintf(stderr, "own_tube: %s\n", error.what());
  return 2;
}
