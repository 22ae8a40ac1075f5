// SPDX-License-Identifier: MIT
// What does the catalogue know of a tube, where from, and how far is it to be trusted? Prints the data sheet and draws
// the ignition characteristic with its band, as well as its family over shield voltages or mercury temperatures.
#include <gastube/adapt/describe.hpp>
#include <gastube/catalogue/catalogue.hpp>

#include "support/characteristic.hpp"
#include "support/command_line.hpp"
#include "support/output_files.hpp"
#include "support/report.hpp"
#include "support/text_table.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <stdexcept>
#include <string>
#include <vector>

using namespace gastube;

namespace {

struct Scenario {
  std::string tube = "5727";
  bool list = false;
  double grid_resistor = 0, celsius = 40;
  examples::OutputFiles files{.picture = "data_sheet.png", .table = ""};
  std::string family = "data_sheet_family.png";
};

template <class Data>
bool is_called(const Data& data, const std::string& designation) {
  if (designation == data.type) return true;
  for (const char* other : data.also_known_as)
    if (other && designation == other) return true;
  return false;
}
template <class Data>
std::string equivalents_of(const Data& data) {
  std::string names;
  for (const char* other : data.also_known_as)
    if (other) names.append(names.empty() ? "" : ", ").append(other);
  return names;
}

void print_list() {
  std::vector<std::vector<std::string>> rows;
  catalogue::for_each_tube([&](const auto& data) {
    const Gas* fill = adapt::detail::fill_of(data);
    rows.push_back({data.type, equivalents_of(data), fill ? fill->name : ""});
  });
  examples::print(examples::text_table({{"tube"}, {"equivalents"}, {"fill"}}, rows));
}
std::string known_tubes() {
  std::string names;
  catalogue::for_each_tube([&](const auto& data) { names.append(names.empty() ? "" : "; ").append(data.type); });
  return names;
}

// ---- what the families of tubes have in common ----------------------------------------------------------------------

const catalogue::TubeData& hot_cathode_of(const catalogue::TubeData& data) { return data; }
const catalogue::TubeData& hot_cathode_of(const catalogue::MercuryData& data) { return data.tube; }
const catalogue::TubeData& hot_cathode_of(const catalogue::HydrogenData& data) { return data.tube; }

auto tube_of(const catalogue::TubeData& data, double) { return catalogue::build(data); }
auto tube_of(const catalogue::MercuryData& data, double celsius) { return catalogue::build(data, celsius); }
auto tube_of(const catalogue::HydrogenData& data, double) { return catalogue::build(data); }

double knee_lift(const KneedLine<double>& law, double plate) { return law.knee.lift(plate); }
double knee_lift(const VapourIgnition<double>& law, double plate) { return law.present().knee.lift(plate); }
double knee_lift(const PositiveGrid<double>&, double) { return 0; }

std::string title_of(const catalogue::MercuryData& data, const Scenario& s) {
  return fmt::format("Ignition of the {}, condensed mercury at {}", data.type,
                     examples::engineering(s.celsius, "degC"));
}
template <class Data>
std::string title_of(const Data& data, const Scenario&) {
  return fmt::format("Ignition of the {}", data.type);
}

/// Plate voltages in equal ratios, from where the law holds to the rating.
std::vector<double> plates_for(const catalogue::TubeData& d, double least) {
  const double high = is_limited(d.peak_forward.value) ? d.peak_forward.value : 500;
  constexpr int steps = 250;
  std::vector<double> plates(steps + 1);
  for (int k = 0; k <= steps; ++k) plates[std::size_t(k)] = least * std::pow(high / least, double(k) / steps);
  return plates;
}
double least_plate(const catalogue::TubeData& d) { return d.fill->ionisation.value + 2.5; }
double least_plate(const catalogue::MercuryData& d) { return least_plate(d.tube); }
double least_plate(const catalogue::HydrogenData& d) { return d.least_plate.value; }

template <class Function>
examples::Curve curve(std::string label, const std::vector<double>& x, Function&& f) {
  examples::Curve result{std::move(label), x, {}};
  for (const double v : x) result.y.push_back(f(v));
  return result;
}
examples::CharacteristicSheet sheet_for(std::string title, const catalogue::TubeData& d) {
  examples::CharacteristicSheet sheet{
      .title = std::move(title), .x = {"plate voltage", "V", true}, .y = {"critical grid voltage", "V"}};
  if (is_limited(d.peak_forward.value)) sheet.x_limits = {{"peak forward rating", d.peak_forward.value}};
  return sheet;
}

// ---- the pictures ---------------------------------------------------------------------------------------------------

template <class Data>
examples::CharacteristicSheet ignition_sheet(const Data& data, const Scenario& s) {
  const catalogue::TubeData& d = hot_cathode_of(data);
  const auto tube = tube_of(data, s.celsius);
  const auto spread = catalogue::ignition_band(d);
  const auto plates = plates_for(d, least_plate(data));
  const auto critical = [&](double v) { return tube.critical_grid({v, 0, 0}, 0); };
  auto sheet = sheet_for(title_of(data, s), d);
  examples::Band band{"every tube, through its life", plates, {}, {}};
  for (const double v : plates) {
    const double half = spread.half_width(v, knee_lift(tube.laws().ignition, v));
    band.lower.push_back(critical(v) - half), band.upper.push_back(critical(v) + half);
  }
  sheet.bands = {band};
  sheet.curves = {curve("middle tube", plates, critical)};
  const double current = d.critical_grid_current.value, rated = d.grid_resistance.value;
  const double resistor = s.grid_resistor > 0 ? s.grid_resistor : (rated < 1e6 ? rated : 1e6);
  if (current > 0)
    sheet.curves.push_back(curve(fmt::format("its grid supply, through {}", examples::engineering(resistor, "ohm")),
                                 plates, [&](double v) { return critical_bias(critical(v), current, resistor); }));
  return sheet;
}

/// One curve for each shield voltage or temperature; none for tubes that have no family.
examples::CharacteristicSheet family_sheet(const catalogue::TubeData& d) {
  auto sheet = sheet_for(fmt::format("Ignition of the {}, by its shield grid", d.type), d);
  if (!(d.shield_ratio.value > 0)) return sheet;
  const auto tube = catalogue::build(d);
  for (const double shield : {-2.0, -1.0, 0.0, 1.0, 2.0})
    sheet.curves.push_back(
        curve(fmt::format("shield at {:.0f} V", shield), plates_for(d, least_plate(d)), [&](double v) {
          return tube.critical_grid({v, 0, shield}, 0);
        }));
  return sheet;
}
examples::CharacteristicSheet family_sheet(const catalogue::MercuryData& data) {
  auto sheet = sheet_for(fmt::format("Ignition of the {}, by its condensed mercury", data.type), data.tube);
  for (const double celsius : {20.0, 40.0, 60.0, 80.0}) {
    const auto tube = catalogue::build(data, celsius);
    sheet.curves.push_back(
        curve(fmt::format("{:.0f} degrees Celsius", celsius), plates_for(data.tube, least_plate(data)), [&](double v) {
          return tube.critical_grid({v, 0, 0}, 0);
        }));
  }
  return sheet;
}
examples::CharacteristicSheet family_sheet(const catalogue::HydrogenData&) { return {}; }

template <class Data>
bool show(const Data& data, const Scenario& s) {
  examples::print(adapt::describe(data));
  examples::print("\n");
  if constexpr (requires { hot_cathode_of(data); }) {
    const auto family = family_sheet(data);
    const bool drawn = family.curves.empty() || examples::deliver(family, {.picture = s.family, .table = ""});
    return examples::deliver(ignition_sheet(data, s), s.files) && drawn;
  } else {
    return true;
  }
}

std::optional<int> read(Scenario& s, int argc, char** argv) {
  examples::CommandLine line("data_sheet", "What the catalogue knows of a tube, and how far it is to be trusted.");
  line.option("tube", s.tube, "designation of the tube or of an equivalent");
  line.flag("list", s.list, "list all tubes instead");
  line.option("grid-resistor", s.grid_resistor, "ohm", "in the grid lead; 0 for 1 Mohm or the rating", {0, 1e9});
  line.option("celsius", s.celsius, "degC", "condensed mercury, for the ignition of mercury tubes", {-30, 150});
  examples::add_output_options(line, s.files);
  line.option("family", s.family, "file for the picture of the family, or none");
  return line.parse(argc, argv);
}

}  // namespace

int main(int argc, char** argv) try {
  Scenario s;
  if (const auto exit = read(s, argc, argv)) return *exit;
  if (s.list) return print_list(), 0;
  bool found = false, delivered = true;
  catalogue::for_each_tube([&](const auto& data) {
    if (found || !is_called(data, s.tube)) return;
    found = true;
    delivered = show(data, s);
  });
  if (!found) throw std::invalid_argument(fmt::format("no tube {}; known are: {}", s.tube, known_tubes()));
  return delivered ? 0 : 1;
} catch (const std::exception& error) {
  std::fprintf(stderr, "data_sheet: %s\n", error.what());
  return 2;
}
