// SPDX-License-Identifier: MIT
#include <gastube/adapt/describe.hpp>
#include <gastube/catalogue/catalogue.hpp>

#include <doctest/doctest.h>

#include <map>
#include <sstream>
#include <vector>

using namespace gastube;
using namespace gastube::adapt;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}
// The line of a field: its name after the mark's three letters, and blanks behind it.
std::vector<std::string> lines_for(const std::string& sheet, const std::string& name) {
  std::vector<std::string> found;
  for (const std::string& line : lines_of(sheet))
    if (line.size() > 3 + name.size() && line.compare(3, name.size(), name) == 0 && line[3 + name.size()] == ' '
        && line.compare(3 + name.size(), 2, "  ") == 0)
      found.push_back(line);
  return found;
}
bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }
std::string source_in(const std::string& sheet, const std::string& line) {
  const std::string note = line.substr(line.rfind('['));
  for (const std::string& candidate : lines_of(sheet))
    if (candidate.find("  " + note + " ") == 0) return candidate.substr(7);
  return "none";
}
template <class Data>
void check_sheet(const Data& data) {
  const std::string sheet = describe(data);
  CAPTURE(std::string(data.type));
  for_each_field(data, [&](const char* name, const char* unit, const catalogue::Datum& datum) {
    CAPTURE(std::string(name));
    const auto lines = lines_for(sheet, name);
    REQUIRE(lines.size() == 1);
    const std::string& line = lines[0];
    if (!is_limited(datum.value)) {
      CHECK(holds(line, "not published"));
      CHECK_FALSE(holds(line, "["));
      return;
    }
    CHECK(holds(line, " " + quantity_text(datum.value, unit, 4) + " "));
    CHECK(holds(line, gastube::name(datum.confidence)));
    CHECK((line[1] == '?') == (datum.confidence == Confidence::unverified));
    CHECK(source_in(sheet, line) == datum.source);
    CHECK(line.size() <= 100);
  });
}

/// Data as a user might keep for tubes of another kind.
struct NightLight {
  const char* type = "own lamp";
  std::array<const char*, 1> also_known_as{nullptr};
  catalogue::Datum strike{65.0, Confidence::published, "the box"};
};
template <class Function>
void for_each_field(const NightLight& d, Function&& f) {
  f("own strike voltage", "V", d.strike);
}

}  // namespace

TEST_CASE("every field of every catalogued tube is on its sheet once, with value, confidence and source") {
  int tubes = 0;
  catalogue::for_each_tube([&](const auto& data) { check_sheet(data), ++tubes; });
  CHECK(tubes > 10);
}
TEST_CASE("the closing line counts the values by what they can be trusted with") {
  const auto& data = catalogue::data_5727;
  std::map<Confidence, int> counts;
  int all = 0, missing = 0;
  for_each_field(data, [&](auto, auto, const catalogue::Datum& d) {
    ++all;
    is_limited(d.value) ? ++counts[d.confidence] : ++missing;
  });
  std::ostringstream expected;
  expected << counts[Confidence::published] + counts[Confidence::handbook] << " of " << all
           << " values published or handbook, " << counts[Confidence::unverified] << " unverified (marked ?).\nBesides "
           << counts[Confidence::plausible] << " plausible, " << counts[Confidence::derived] << " derived, " << missing
           << " not published.\n";
  CHECK(describe(data).ends_with("\n\n" + expected.str()));
}
TEST_CASE("the head gives designation, equivalents and fill, and the sections follow in order") {
  const auto lines = lines_of(describe(catalogue::data_5727));
  CHECK(lines[0] == "5727");
  CHECK(lines[1] == "====");
  CHECK(lines[2] == "equivalents  PL21, EN91");
  CHECK(lines[3] == "fill         xenon, ionisation potential 12.13 V");
  std::size_t at = 0;
  for (const char* title : {"Heater", "Ratings", "Arc", "Ignition", "Capacitances", "Sources"}) {
    const auto found = std::find(lines.begin() + std::ptrdiff_t(at), lines.end(), title);
    CAPTURE(title);
    REQUIRE(found != lines.end());
    at = std::size_t(found - lines.begin());
    CHECK(lines[at - 1].empty());
  }
  CHECK(holds(describe(catalogue::data_5557), "\nMercury\n"));
  CHECK_FALSE(holds(describe(catalogue::data_5727), "Mercury"));
  CHECK(holds(describe(catalogue::data_4c35), "\nPulse service\n"));
}
TEST_CASE("every section begins with a field that some catalogued tube has") {
  std::vector<std::string> names;
  catalogue::for_each_tube(
      [&](const auto& data) { for_each_field(data, [&](const char* name, auto, auto) { names.emplace_back(name); }); });
  for (const auto& section : adapt::detail::section_starts) {
    CAPTURE(std::string(section.field));
    CHECK(std::find(names.begin(), names.end(), std::string(section.field)) != names.end());
  }
}
TEST_CASE("no section comes twice") {
  catalogue::for_each_tube([](const auto& data) {
    const auto lines = lines_of(describe(data));
    for (const auto& section : adapt::detail::section_starts) {
      CAPTURE(section.title);
      CHECK(std::count(lines.begin(), lines.end(), section.title) <= 1);
    }
  });
}
TEST_CASE("values of one source share its number") {
  const std::string sheet = describe(catalogue::data_5727);
  const auto first = lines_for(sheet, "heater voltage").at(0), second = lines_for(sheet, "arc drop").at(0);
  CHECK(first.substr(first.rfind('[')) == second.substr(second.rfind('[')));
  const auto other = lines_for(sheet, "heating time").at(0);
  CHECK(first.substr(first.rfind('[')) != other.substr(other.rfind('[')));
}
TEST_CASE("data of a user's own are described as well, without a fill or sections") {
  const auto lines = lines_of(describe(NightLight{}));
  REQUIRE(lines.size() == 11);
  CHECK(lines[0] == "own lamp");
  CHECK(lines[3] == "Data");
  CHECK(lines_for(describe(NightLight{}), "own strike voltage").at(0) == lines[4]);
  CHECK(holds(lines[4], " 65 V "));
  CHECK(lines[6] == "Sources");
  CHECK(lines[7] == "  [1]  the box");
}
