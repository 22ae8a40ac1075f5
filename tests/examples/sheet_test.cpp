// SPDX-License-Identifier: MIT
// Sheets: tables that read back exactly, faults that are named, and pictures that are drawn or excused.

#include "support/characteristic.hpp"
#include "support/csv.hpp"
#include "support/sheet.hpp"

#include <doctest/doctest.h>
#include <unistd.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>
#include <optional>
#include <string>
#include <vector>

using namespace gastube::examples;

namespace {

namespace fs = std::filesystem;

/// A folder of its own for each test.
class Folder {
 public:
  Folder()
      : path_(fs::temp_directory_path()
              / ("gastube-sheet-test-" + std::to_string(::getpid()) + "-" + std::to_string(count_++))) {
    fs::create_directories(path_);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }

 private:
  static inline int count_ = 0;
  fs::path path_;
};

/// Sets a variable of the environment and puts it back.
class Environment {
 public:
  Environment(const char* name, const std::string& value) : name_(name) {
    if (const char* before = std::getenv(name); before != nullptr) { before_ = before; }
    ::setenv(name, value.c_str(), 1);
  }
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;
  ~Environment() { before_ ? ::setenv(name_, before_->c_str(), 1) : ::unsetenv(name_); }

 private:
  const char* name_;
  std::optional<std::string> before_{};
};

std::string contents(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<std::string> split(const std::string& text, char mark) {
  std::vector<std::string> parts;
  std::size_t begin = 0;
  for (std::size_t end = text.find(mark); end != std::string::npos; end = text.find(mark, begin)) {
    parts.push_back(text.substr(begin, end - begin));
    begin = end + 1;
  }
  parts.push_back(text.substr(begin));
  return parts;
}

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

WaveformSheet latch() {
  WaveformSheet sheet;
  sheet.title = "latch";
  sheet.panels = {{"plate voltage",
                   "V",
                   {{"A", {0, 0.1, 0.1, 0.2}, {48, 1.0 / 3.0, 8, 0.1 + 0.2}}, {"B", {0, 0.15}, {1, 2}}},
                   {{"most", 53}}},
                  {"ionisation", "", {{"", {0, 0.2}, {0, 1}}}, {}}};
  sheet.bands = {{"tube A", {{0, 0.1, "blocked"}, {0.1, 0.2, "conducting"}}}};
  sheet.events = {{0.12, "second"}, {0.1, "first, with a comma"}, {0.1, "also first"}};
  return sheet;
}

}  // namespace

TEST_CASE("a waveform table reads back exactly") {
  const Folder folder;
  const std::string path = folder.file("latch.csv");
  REQUIRE(write_csv(latch(), path).written);
  const std::vector<std::string> lines = split(contents(path), '\n');
  REQUIRE(lines.size() == 8);
  CHECK(lines[0] == "time [s],plate voltage: A [V],plate voltage: B [V],ionisation,state of tube A,event");
  CHECK(lines[1] == "0,48,1,0,blocked,");
  CHECK(lines[2] == "0.1," + exact_text(1.0 / 3.0) + ",,,conducting,\"first, with a comma; also first\"");
  CHECK(lines[3] == "0.1,8,,,conducting,");
  CHECK(lines[4] == "0.12,,,,conducting,second");
  CHECK(lines[5] == "0.15,,2,,conducting,");
  CHECK(lines[6] == "0.2,0.30000000000000004,,1,conducting,");
  CHECK(std::strtod(split(lines[2], ',')[1].c_str(), nullptr) == 1.0 / 3.0);
}

TEST_CASE("numbers are written so that the same double is read") {
  for (const double value : {0.1 + 0.2, 1e-300, -2.5, 5e-324, 1.7976931348623157e308, 123456789.123456789}) {
    CHECK(std::strtod(exact_text(value).c_str(), nullptr) == value);
  }
  CHECK(exact_text(std::nan("")) == "nan");
}

TEST_CASE("cells are quoted where they must be") {
  CsvTable table;
  table.cell("plain");
  table.cell("a,b");
  table.cell("say \"so\"");
  table.cell("");
  table.cell(1.5);
  table.end_row();
  table.cell("");
  table.cell("x");
  table.end_row();
  CHECK(table.text() == "plain,\"a,b\",\"say \"\"so\"\"\",,1.5\n,x\n");
}

TEST_CASE("a characteristic's table names each kind of point") {
  const Folder folder;
  CharacteristicSheet sheet;
  sheet.x = {"plate voltage", "V"};
  sheet.y = {"grid voltage", "V"};
  sheet.curves = {{"bogey", {48, 60}, {-1, -1.5}}};
  sheet.bands = {{"spread", {48}, {-2}, {-0.5}}};
  sheet.markers = {{"rest", 48, -4}};
  sheet.x_limits = {{"supply", 53}};
  sheet.y_limits = {{"rated", -50}};
  REQUIRE(write_csv(sheet, folder.file("c.csv")).written);
  CHECK(contents(folder.file("c.csv"))
        == "kind,label,plate voltage [V],grid voltage [V],upper grid voltage [V]\n"
           "curve,bogey,48,-1,\ncurve,bogey,60,-1.5,\nband,spread,48,-2,-0.5\n"
           "marker,rest,48,-4,\nx limit,supply,53,,\ny limit,rated,,-50,\n");
}

TEST_CASE("a table that cannot be written says so") {
  const Folder folder;
  const WriteResult result = write_csv(latch(), folder.file("no/such/folder.csv"));
  CHECK_FALSE(result.written);
  CHECK(holds(result.message, "folder.csv"));
}

TEST_CASE("faulty sheets are refused by what is wrong") {
  WaveformSheet sheet = latch();
  sheet.panels[0].traces[0].value.pop_back();
  CHECK(holds(fault_in(sheet), "'A': 4 times and 3 values"));
  CHECK_FALSE(write_csv(sheet, "never-written.csv").written);
  CHECK_FALSE(draw(sheet, "never-drawn.png").drawn);
  sheet = latch();
  sheet.panels[0].traces[1].time = {1, 0};
  CHECK(holds(fault_in(sheet), "backwards"));
  sheet = latch();
  sheet.panels[0].traces[1].time[0] = std::nan("");
  CHECK(holds(fault_in(sheet), "not finite"));
  sheet = latch();
  sheet.bands[0].spans[1].from = 0.05;
  CHECK(holds(fault_in(sheet), "tube A"));
  sheet = latch();
  sheet.events[0].time = std::numeric_limits<double>::infinity();
  CHECK(holds(fault_in(sheet), "second"));
  sheet = latch();
  sheet.panels[0].limits[0].value = std::nan("");
  CHECK(holds(fault_in(sheet), "most"));
  CHECK(fault_in(latch()).empty());
}

TEST_CASE("faulty characteristics are refused by what is wrong") {
  CharacteristicSheet sheet;
  sheet.curves = {{"bogey", {1, 2}, {1}}};
  CHECK(holds(fault_in(sheet), "bogey"));
  sheet = {};
  sheet.bands = {{"spread", {1}, {1}, {}}};
  CHECK(holds(fault_in(sheet), "spread"));
  sheet = {};
  sheet.markers = {{"rest", std::nan(""), 1}};
  CHECK(holds(fault_in(sheet), "rest"));
  CHECK_FALSE(draw(sheet, "never-drawn.png").drawn);
}

TEST_CASE("without gnuplot a picture is excused and the program goes on") {
  const Folder folder;
  const Environment no_programs("PATH", folder.file(""));
  const DrawResult result = draw(latch(), folder.file("latch.png"));
  CHECK_FALSE(result.drawn);
  CHECK(holds(result.message, "gnuplot"));
  CHECK_FALSE(fs::exists(folder.file("latch.png")));
}

TEST_CASE("a gnuplot that fails is quoted, and leaves no picture") {
  const Folder folder;
  {
    std::ofstream script(folder.file("gnuplot"));
    script << "#!/bin/sh\necho 'out of ink' >&2\nexit 1\n";
  }
  fs::permissions(folder.file("gnuplot"), fs::perms::owner_all);
  const Environment only_that_one("PATH", folder.file(""));
  const DrawResult result = draw(latch(), folder.file("latch.png"));
  CHECK_FALSE(result.drawn);
  CHECK(holds(result.message, "out of ink"));
  CHECK_FALSE(fs::exists(folder.file("latch.png")));
}

TEST_CASE("names that are no pictures and windows without time are refused") {
  CHECK(holds(draw(latch(), "latch.pdf").message, ".png or .svg"));
  CHECK_FALSE(draw(latch(), "never-drawn.png", Window{0.1, 0.1}).drawn);
  CHECK_FALSE(draw(WaveformSheet{}, "never-drawn.png").drawn);
}

TEST_CASE("pictures are drawn in both formats, whatever the labels hold") {
  const Folder folder;
  const Environment own_temporary_folder("TMPDIR", folder.file(""));
  WaveformSheet sheet = latch();
  const std::string nasty = "it's 5 % `touch " + folder.file("touched") + "` \"q\" grid_1^2 {/Bold x} \\ @a";
  sheet.title = nasty;
  sheet.panels[0].traces[0].label = nasty;
  sheet.panels[0].limits[0].label = nasty;
  sheet.bands[0].tube = nasty;
  sheet.bands[0].spans[0].state = nasty;
  sheet.events[0].name = nasty;
  const DrawResult png = draw(sheet, folder.file("latch.png"));
  CHECK_MESSAGE(png.drawn, png.message);
  CHECK(contents(folder.file("latch.png")).substr(1, 3) == "PNG");
  const DrawResult svg = draw(sheet, folder.file("latch.svg"), Window{0.05, 0.15});
  CHECK_MESSAGE(svg.drawn, svg.message);
  const std::string text = contents(folder.file("latch.svg"));
  CHECK(holds(text, "grid_1^2 {/Bold x} \\ @a"));
  CHECK(holds(text, "</svg>"));
  CHECK_FALSE(fs::exists(folder.file("touched")));
  CHECK(std::distance(fs::directory_iterator(folder.file("")), fs::directory_iterator{})
        == 2);  // nothing temporary is left
}

TEST_CASE("labels, units, states and events appear in the picture") {
  const Folder folder;
  REQUIRE(draw(latch(), folder.file("latch.svg")).drawn);
  const std::string text = contents(folder.file("latch.svg"));
  for (const char* part : {"plate voltage [V]", "time [ms]", "tube A", "blocked", "conducting", "most", "53 V",
                           "first, with a comma, also first", "second"}) {
    CAPTURE(part);
    CHECK(holds(text, part));
  }
}

TEST_CASE("a logarithmic axis leaves out what it cannot show and counts it") {
  const Folder folder;
  CharacteristicSheet sheet;
  sheet.x = {"error", "", true};
  sheet.y = {"time", "s", true};
  sheet.curves = {{"exact", {1e-9, 0, 1e-3}, {1e-6, 1e-6, 1e-3}, CurveStyle::line_and_points}};
  const DrawResult result = draw(sheet, folder.file("work.svg"));
  CHECK(result.drawn);
  CHECK(holds(result.message, "1 values of zero or less"));
  CHECK(holds(contents(folder.file("work.svg")), "100 us"));
}

TEST_CASE("empty characteristics and lone points can be drawn") {
  const Folder folder;
  CHECK(draw(CharacteristicSheet{}, folder.file("empty.png")).drawn);
  CharacteristicSheet lone;
  lone.markers = {{"rest", 48, -4}};
  CHECK(draw(lone, folder.file("lone.png")).drawn);
  lone.x.logarithmic = true;
  CHECK(draw(lone, folder.file("lone.svg")).drawn);
}
