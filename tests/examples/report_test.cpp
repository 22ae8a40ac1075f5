// SPDX-License-Identifier: MIT
// How examples print quantities, tables and logs. Expected texts follow the rules stated in the headers.

#include "support/report.hpp"
#include "support/text_table.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

using namespace gastube::examples;

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

std::size_t longest_line(const std::string& text) {
  std::size_t longest = 0;
  std::size_t begin = 0;
  for (std::size_t end = text.find('\n'); end != std::string::npos; end = text.find('\n', begin)) {
    longest = std::max(longest, letters_in(std::string_view(text).substr(begin, end - begin)));
    begin = end + 1;
  }
  return longest;
}

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

std::vector<LogEntry> long_log(std::size_t count) {
  std::vector<LogEntry> entries;
  for (std::size_t index = 0; index < count; ++index) {
    entries.push_back({0.001 * static_cast<double>(index), "lamp", "dark", "glow", "entry " + std::to_string(index)});
  }
  return entries;
}

}  // namespace

TEST_CASE("engineering formatting chooses the prefix and drops trailing zeros") {
  CHECK(engineering(0.01234, "A") == "12.34 mA");
  CHECK(engineering(4700, "ohm") == "4.7 kohm");
  CHECK(engineering(35e-6, "s") == "35 us");
  CHECK(engineering(48, "V") == "48 V");
  CHECK(engineering(-0.0035, "V") == "-3.5 mV");
  CHECK(engineering(123456, "V", 2) == "120 kV");
  CHECK(engineering(1e-15, "F") == "1 fF");
  CHECK(engineering(2.5e12, "ohm") == "2.5 Tohm");
}

TEST_CASE("rounding up to a thousand takes the next prefix") {
  CHECK(engineering(999.95, "V") == "1 kV");
  CHECK(engineering(999.94, "V") == "999.9 V");
  CHECK(engineering(-999.99e-6, "A") == "-1 mA");
  CHECK(engineering(0.99999, "A", 3) == "1 A");
}

TEST_CASE("zero, infinities and NaN say what they are") {
  CHECK(engineering(0.0, "V") == "0 V");
  CHECK(engineering(-0.0, "V") == "0 V");
  CHECK(engineering(std::nan(""), "A") == "nan A");
  CHECK(engineering(infinity, "s") == "inf s");
  CHECK(engineering(-infinity, "s") == "-inf s");
}

TEST_CASE("beyond the prefixes powers of ten remain") {
  CHECK(engineering(1.6e-19, "A") == "1.6e-19 A");
  CHECK(engineering(3e15, "ohm") == "3e15 ohm");
}

TEST_CASE("units without prefixes stay as they are") {
  CHECK(engineering(12345.6, "") == "12346");
  CHECK(engineering(0.05, "") == "0.05");
  CHECK(engineering(66.6666, "%", 3) == "66.7 %");
  CHECK(engineering(1200, "degC") == "1200 degC");
  CHECK(engineering(1.5e-7, "") == "1.5e-7");
}

TEST_CASE("a scale brings a magnitude between 1 and 999") {
  CHECK(engineering_scale(0.2, "s").unit == "ms");
  CHECK(engineering_scale(0.2, "s").factor == closeness::relative(1e3));
  CHECK(engineering_scale(48, "V").unit == "V");
  CHECK(engineering_scale(0, "A").unit == "A");
  CHECK(engineering_scale(1e5, "").factor == 1.0);
}

TEST_CASE("what engineering prints, parse_quantity reads back") {
  for (const double value : {0.01234, 4700.0, 35e-6, -0.0035, 48.0, 2.2e-7, 1e12}) {
    CAPTURE(value);
    const auto read = parse_quantity(engineering(value, "ohm", 12), "ohm");
    REQUIRE(read.has_value());
    CHECK(*read == value);
  }
}

TEST_CASE("margins and verdicts follow from limits") {
  CHECK(at_most("current", 0.04, "A", 0.1).verdict == "within");
  CHECK(at_most("current", 0.1, "A", 0.1).verdict == "within");
  CHECK(at_most("current", 0.11, "A", 0.1).verdict == "exceeded");
  CHECK(at_least("current", 0.04, "A", 0.1).verdict == "too little");
  CHECK(*at_least("current", 0.04, "A", 0.1).margin == closeness::relative(-0.06));
  CHECK(*at_most("current", 0.04, "A", 0.1).margin == closeness::relative(0.06));
}

TEST_CASE("a value that is not a number never passes") {
  CHECK(at_most("current", std::nan(""), "A", 0.1).verdict == "unknown");
  CHECK(at_least("current", std::nan(""), "A", 0.1).verdict == "unknown");
}

TEST_CASE("an answer table aligns its columns") {
  const std::string table = answer_table({at_most("plate current", 0.04, "A", 0.1), fact("arc drop", 8, "V")});
  CHECK(table
        == "quantity       value      limit       margin  verdict\n"
           "-----------------------------------------------------\n"
           "plate current  40 mA  <= 100 mA  60 mA, 60 %  within\n"
           "arc drop         8 V\n");
}

TEST_CASE("columns without content are left out") {
  CHECK(answer_table({fact("arc drop", 8, "V")}) == "quantity  value\n---------------\narc drop    8 V\n");
  CHECK(answer_table({}).empty());
}

TEST_CASE("long cells wrap within the page and lose no word") {
  const std::string words =
      "the grid resistor is too large for the ion current that flows while the tube recovers from a full load, "
      "so the grid cannot hold the tube blocked when the plate rises again";
  const std::string table = answer_table({fact("a rather long name of a quantity that goes on and on", 1, "V", words)});
  CHECK(longest_line(table) <= page_columns);
  for (const std::string& line : wrapped(words, 10)) { CHECK(holds(table, line.substr(0, line.find(' ')))); }
}

TEST_CASE("wrapping breaks at spaces, and inside a word only where it must") {
  CHECK(wrapped("one two three", 7) == std::vector<std::string>{"one two", "three"});
  CHECK(wrapped("abcdefghij", 4) == std::vector<std::string>{"abcd", "efgh", "ij"});
  CHECK(wrapped("", 4) == std::vector<std::string>{""});
  CHECK(wrapped("\u03a9\u03a9\u03a9\u03a9", 2) == std::vector<std::string>{"\u03a9\u03a9", "\u03a9\u03a9"});
}

TEST_CASE("paragraphs keep line feeds and stay on the page") {
  CHECK(paragraph("one\ntwo") == "one\ntwo\n");
  CHECK(longest_line(paragraph(std::string(250, 'x'))) == page_columns);
  CHECK(heading("Will it strike?") == "\nWill it strike?\n===============\n");
}

TEST_CASE("the event log keeps instants apart that differ little") {
  const std::string log = event_log({{0.1, "A", "blocked", "striking", "grid over critical"},
                                     {0.1000001, "A", "striking", "conducting", "lag over"}});
  CHECK(holds(log, "time [ms]"));
  CHECK(holds(log, "100.0000 "));
  CHECK(holds(log, "100.0001 "));
  CHECK(event_log({}) == "no events\n");
}

TEST_CASE("a long event log leaves out its middle and counts it") {
  const std::string log = event_log(long_log(100), 10);
  CHECK(holds(log, "90 more changes left out"));
  CHECK(holds(log, "entry 4\n"));
  CHECK_FALSE(holds(log, "entry 5\n"));
  CHECK_FALSE(holds(log, "entry 94\n"));
  CHECK(holds(log, "entry 95\n"));
  CHECK(holds(event_log(long_log(3), 0), "1 more changes left out"));
}

TEST_CASE("a rating that is not published is no limit") {
  const AnswerRow kept = within_rating("peak", 0.3, "A", 0.5), unknown = within_rating("peak", 0.3, "A", 1e30);
  REQUIRE(kept.limit);
  CHECK(*kept.limit == 0.5);
  CHECK(kept.verdict == "within");
  CHECK_FALSE(unknown.limit);
  CHECK(unknown.verdict == "no rating published");
}
