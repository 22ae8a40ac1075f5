// SPDX-License-Identifier: MIT
#include <gastube/adapt/measurements.hpp>

#include "adapt/fits_for_tests.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using namespace gastube::adapt;
using fits_for_tests::refusal_of;
using fits_for_tests::Written;

namespace {

std::string refusal_for(const char* content) {
  const Written file(content);
  const std::string why = refusal_of([&] { (void)read_ignition(file.path()); });
  return why.find(file.path()) == 0 ? why.substr(file.path().size()) : why;
}

}  // namespace

TEST_CASE("columns are found by their names, in any order, among others and comments") {
  const Written file("# 5727, 3 May\n\n grid_volts , note,plate_volts\n-3.1,warm,300\n# again\n -2.05 ,,1.5e2\n");
  const auto points = read_ignition(file.path());
  REQUIRE(points.size() == 2);
  CHECK(points[0].plate == 300.0);
  CHECK(points[0].grid == -3.1);
  CHECK(points[1].plate == 150.0);
  CHECK(points[1].grid == -2.05);
}
TEST_CASE("arc and recovery points are read in SI units, to the last digit") {
  const Written arc("plate_amperes,drop_volts\n0.0123456789012345,8.1\n");
  CHECK(read_arc(arc.path()).at(0).current == 0.0123456789012345);
  CHECK(read_arc(arc.path()).at(0).drop == 8.1);
  const Written recovery("delay_seconds,restrike_volts\n65e-6,120\n0.00007,210.5");
  const auto trials = read_recovery(recovery.path());
  REQUIRE(trials.size() == 2);
  CHECK(trials[0].delay == 65e-6);
  CHECK(trials[1].restrike == 210.5);
}
TEST_CASE("files of other systems are read: carriage returns and a byte order mark") {
  const Written file("\xEF\xBB\xBFplate_volts,grid_volts\r\n100,-2\r\n200,-2.5\r\n");
  CHECK(read_ignition(file.path()).size() == 2);
  CHECK(read_ignition(file.path()).at(1).grid == -2.5);
}
TEST_CASE("a cell that is no number is refused with its file, line and column") {
  CHECK(refusal_for("plate_volts,grid_volts\n100,-2\n200,minus 3\n")
        == ", line 3, column grid_volts: 'minus 3' is not a number");
  CHECK(refusal_for("# a\nplate_volts,grid_volts\n100 V,-2\n")
        == ", line 3, column plate_volts: '100 V' is not a number");
  CHECK(refusal_for("plate_volts,grid_volts\n100,\n") == ", line 2, column grid_volts: '' is not a number");
  CHECK(refusal_for("plate_volts,grid_volts\n100,nan\n") == ", line 2, column grid_volts: 'nan' is not a number");
  CHECK(refusal_for("plate_volts,grid_volts\n1e999,1\n") == ", line 2, column plate_volts: '1e999' is not a number");
}
TEST_CASE("rows and headings that do not fit are refused by line or by the name that is missing") {
  CHECK(refusal_for("plate_volts,grid_volts\n100\n") == ", line 2: fewer columns than the first line names");
  CHECK(refusal_for("plate_volts,grid_volts\n100,-2\n1,2,3\n") == ", line 3: more columns than the first line names");
  CHECK(refusal_for("plate_volts;grid_volts\n100;-2\n")
        == ": its first line names no column plate_volts; names are separated by commas");
  CHECK(refusal_for("plate_volts,volts\n100,-2\n")
        == ": its first line names no column grid_volts; names are separated by commas");
  CHECK(refusal_for("") == " is empty: its first line names the columns plate_volts, grid_volts");
}
TEST_CASE("a file that is not there is refused by its name") {
  CHECK(refusal_of([] { (void)read_arc("no_such_folder/arc.csv"); }) == "no_such_folder/arc.csv: cannot be opened");
}
TEST_CASE("a heading without rows gives no points, which the fit refuses with where to begin") {
  const Written file("plate_volts,grid_volts\n");
  CHECK(read_ignition(file.path()).empty());
  CHECK(refusal_of([&] { (void)fit_ignition(read_ignition(file.path()), gas::xenon); }).find("0 firing points") == 0);
}
