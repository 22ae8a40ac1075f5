// SPDX-License-Identifier: MIT
#pragma once
/// Measured points from comma-separated files, by the column names in their first line. SI units, decimal points; lines
/// that begin with # are skipped, further columns ignored.
///
///   const auto points = read_ignition("plate_grid.csv");  // columns plate_volts, grid_volts
///
/// Needs the header-only library Fast C++ CSV Parser (Debian: libfccp-dev); no other header of gastube does.

#include "gastube/adapt/fit_arc.hpp"
#include "gastube/adapt/fit_ignition.hpp"
#include "gastube/adapt/fit_recovery.hpp"

#if !__has_include(<libfccp/csv.h>)
#error "gastube/adapt/measurements.hpp needs Fast C++ CSV Parser (Debian: libfccp-dev)"
#endif
#ifndef CSV_IO_NO_THREAD
#define CSV_IO_NO_THREAD  // a file of measurements needs no thread of its own
#endif
#include <libfccp/csv.h>

#include <locale>
#include <sstream>
#include <string>
#include <vector>

namespace gastube::adapt {

namespace detail {
/// One file with two columns of numbers.
class TwoColumns {
 public:
  TwoColumns(std::string file, const char* first, const char* second) : file_(std::move(file)), names_{first, second} {}

  /// Calls f(first, second) for each row.
  template <class Function>
  void for_each_row(Function&& f) const {
    try {
      io::CSVReader<2, io::trim_chars<' ', '\t', '\r'>, io::no_quote_escape<','>, io::throw_on_overflow,
                    io::single_and_empty_line_comment<'#'>>
          reader(file_);
      reader.read_header(io::ignore_extra_column, names_[0], names_[1]);
      std::string first, second;
      while (reader.read_row(first, second))
        f(number(first, names_[0], reader.get_file_line()), number(second, names_[1], reader.get_file_line()));
    } catch (const io::error::can_not_open_file&) {
      refuse(file_ + ": cannot be opened");
    } catch (const io::error::missing_column_in_header& error) {
      refuse(text("%s: its first line names no column %s; names are separated by commas", file_.c_str(),
                  error.column_name));
    } catch (const io::error::header_missing&) {
      refuse(text("%s is empty: its first line names the columns %s, %s", file_.c_str(), names_[0], names_[1]));
    } catch (const io::error::too_few_columns& error) {
      refuse(text("%s, line %d: fewer columns than the first line names", file_.c_str(), error.file_line));
    } catch (const io::error::too_many_columns& error) {
      refuse(text("%s, line %d: more columns than the first line names", file_.c_str(), error.file_line));
    } catch (const io::error::base& error) { refuse(error.what()); }
  }

 private:
  // Not by the library's own conversion: that one rounds, and takes no text such as 1e-6.
  [[nodiscard]] double number(const std::string& cell, const char* column, unsigned line) const {
    std::istringstream stream(cell);
    stream.imbue(std::locale::classic());
    double value = 0;
    if (stream >> value && stream.peek() == std::istringstream::traits_type::eof()) return value;
    refuse(text("%s, line %u, column %s: '%s' is not a number", file_.c_str(), line, column, cell.c_str()));
  }

  std::string file_;
  const char* names_[2];
};

template <class Point>
[[nodiscard]] std::vector<Point> read_points(const std::string& file, const char* first, const char* second) {
  std::vector<Point> points;
  TwoColumns(file, first, second).for_each_row([&](double x, double y) { points.push_back({x, y}); });
  return points;
}
}  // namespace detail

/// Firing points. Columns: plate_volts, grid_volts. @throws InvalidRequest naming file, line and column
[[nodiscard]] inline std::vector<IgnitionPoint> read_ignition(const std::string& file) {
  return detail::read_points<IgnitionPoint>(file, "plate_volts", "grid_volts");
}
/// Arc points. Columns: plate_amperes, drop_volts. @throws InvalidRequest naming file, line and column
[[nodiscard]] inline std::vector<ArcPoint> read_arc(const std::string& file) {
  return detail::read_points<ArcPoint>(file, "plate_amperes", "drop_volts");
}
/// Restrike trials. Columns: delay_seconds, restrike_volts. @throws InvalidRequest naming file, line and column
[[nodiscard]] inline std::vector<RecoveryPoint> read_recovery(const std::string& file) {
  return detail::read_points<RecoveryPoint>(file, "delay_seconds", "restrike_volts");
}

}  // namespace gastube::adapt
