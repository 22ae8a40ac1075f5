// SPDX-License-Identifier: MIT
#include "characteristic.hpp"

#include "csv.hpp"

#include <fmt/format.h>

#include <cmath>

namespace gastube::examples {
namespace {

std::string heading(const Dimension& dimension, std::string_view fallback) {
  const std::string name = dimension.label.empty() ? std::string(fallback) : dimension.label;
  return dimension.unit.empty() ? name : fmt::format("{} [{}]", name, dimension.unit);
}

void write_row(CsvTable& table, std::string_view kind, std::string_view label, double x, double y) {
  table.cell(kind);
  table.cell(label);
  table.cell(x);
  table.cell(y);
  table.empty_cell();
  table.end_row();
}

void write_band(CsvTable& table, const Band& band) {
  for (std::size_t index = 0; index < band.x.size(); ++index) {
    table.cell("band");
    table.cell(band.label);
    table.cell(band.x[index]);
    table.cell(band.lower[index]);
    table.cell(band.upper[index]);
    table.end_row();
  }
}

void write_limits(CsvTable& table, const CharacteristicSheet& sheet) {
  for (const AxisLimit& limit : sheet.x_limits) {
    table.cell("x limit");
    table.cell(limit.label);
    table.cell(limit.value);
    table.empty_cell();
    table.empty_cell();
    table.end_row();
  }
  for (const AxisLimit& limit : sheet.y_limits) {
    table.cell("y limit");
    table.cell(limit.label);
    table.empty_cell();
    table.cell(limit.value);
    table.empty_cell();
    table.end_row();
  }
}

std::string fault_in_markers(const CharacteristicSheet& sheet) {
  for (const Marker& marker : sheet.markers) {
    if (!std::isfinite(marker.x) || !std::isfinite(marker.y)) {
      return fmt::format("marker '{}' is not finite", marker.label);
    }
  }
  return {};
}

std::string fault_in(const std::vector<AxisLimit>& limits) {
  for (const AxisLimit& limit : limits) {
    if (!std::isfinite(limit.value)) { return fmt::format("limit '{}' is not finite", limit.label); }
  }
  return {};
}

}  // namespace

std::string fault_in(const CharacteristicSheet& sheet) {
  for (const Curve& curve : sheet.curves) {
    if (curve.x.size() != curve.y.size()) {
      return fmt::format("curve '{}': {} x and {} y", curve.label, curve.x.size(), curve.y.size());
    }
  }
  for (const Band& band : sheet.bands) {
    if (band.x.size() != band.lower.size() || band.x.size() != band.upper.size()) {
      return fmt::format("band '{}': {} x, {} lower and {} upper", band.label, band.x.size(), band.lower.size(),
                         band.upper.size());
    }
  }
  const std::string in_limits = fault_in(sheet.x_limits) + fault_in(sheet.y_limits);
  return in_limits.empty() ? fault_in_markers(sheet) : in_limits;
}

WriteResult write_csv(const CharacteristicSheet& sheet, const std::string& path) {
  if (const std::string fault = fault_in(sheet); !fault.empty()) {
    return {false, fmt::format("table {} not written: {}", path, fault)};
  }
  CsvTable table;
  for (const std::string_view name : {"kind", "label"}) { table.cell(name); }
  table.cell(heading(sheet.x, "x"));
  table.cell(heading(sheet.y, "y"));
  table.cell("upper " + heading(sheet.y, "y"));
  table.end_row();
  for (const Curve& curve : sheet.curves) {
    for (std::size_t index = 0; index < curve.x.size(); ++index) {
      write_row(table, "curve", curve.label, curve.x[index], curve.y[index]);
    }
  }
  for (const Band& band : sheet.bands) { write_band(table, band); }
  for (const Marker& marker : sheet.markers) { write_row(table, "marker", marker.label, marker.x, marker.y); }
  write_limits(table, sheet);
  return table.save(path);
}

}  // namespace gastube::examples
