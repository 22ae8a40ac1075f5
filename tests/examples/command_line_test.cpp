// SPDX-License-Identifier: MIT
// The command line of the examples: suffixes, ranges, and messages that name option, value and range.

#include "support/command_line.hpp"
#include "support/quantity.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace gastube::examples;

namespace {

struct Settings {
  double resistance = 330;
  double bias = -4;
  int cycles = 10;
  std::string scheme = "exact";
  std::string picture{};
  std::vector<std::string> tubes{};
  bool quiet = false;
};

struct Outcome {
  std::optional<int> code{};
  std::string message{};
  Settings settings{};
};

Outcome run(std::vector<const char*> arguments) {
  Outcome outcome;
  CommandLine line("latch", "a latch of two tubes");
  line.group("circuit");
  line.option("plate-resistance", outcome.settings.resistance, "ohm", "plate resistor", {1, 1e6});
  line.option("bias", outcome.settings.bias, "V", "grid bias", {-50, 0});
  line.group("run");
  line.option("cycles", outcome.settings.cycles, "cycles to run", {1, 1e6});
  line.option("scheme", outcome.settings.scheme, "stepping scheme", {"exact", "trapezoidal"});
  line.option("picture", outcome.settings.picture, "file for the picture");
  line.option("tube", outcome.settings.tubes, "tube to show", {"left", "right"});
  line.flag("quiet", outcome.settings.quiet, "prints less");
  arguments.insert(arguments.begin(), "latch");
  outcome.code = line.parse(static_cast<int>(arguments.size()), arguments.data());
  outcome.message = line.message();
  return outcome;
}

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("without arguments the defaults stay") {
  const Outcome outcome = run({});
  CHECK_FALSE(outcome.code.has_value());
  CHECK(outcome.settings.resistance == 330);
  CHECK(outcome.settings.scheme == "exact");
  CHECK_FALSE(outcome.settings.quiet);
}

TEST_CASE("values are read with suffixes, units and signs") {
  const Outcome outcome =
      run({"--plate-resistance", "4.7k", "--bias", "-3.5", "--cycles=1k", "--scheme", "trapezoidal", "--quiet"});
  CHECK_FALSE(outcome.code.has_value());
  CHECK(outcome.settings.resistance == 4700);
  CHECK(outcome.settings.bias == -3.5);
  CHECK(outcome.settings.cycles == 1000);
  CHECK(outcome.settings.scheme == "trapezoidal");
  CHECK(outcome.settings.quiet);
  CHECK(run({"--plate-resistance=2.2kohm", "--bias=-100mV"}).settings.bias == -0.1);
}

TEST_CASE("a value outside its range is refused by option, value and range") {
  const Outcome outcome = run({"--bias", "-120"});
  CHECK(outcome.code == 2);
  CHECK(holds(outcome.message, "--bias"));
  CHECK(holds(outcome.message, "-120 V"));
  CHECK(holds(outcome.message, "-50 V to 0 V"));
  CHECK(outcome.settings.bias == -4);
  CHECK(run({"--plate-resistance", "1M"}).code == std::nullopt);
  CHECK(run({"--plate-resistance", "1.0001M"}).code == 2);
}

TEST_CASE("junk is refused by option and text") {
  for (const char* junk : {"", "k", "4.7x", "nan", "inf", "4,7", "1e999", "0x10", "4.7 kk", "12 V", "--"}) {
    CAPTURE(junk);
    const Outcome outcome = run({"--plate-resistance", junk});
    CHECK(outcome.code == 2);
    CHECK(holds(outcome.message, "--plate-resistance"));
    CHECK(outcome.settings.resistance == 330);
  }
}

TEST_CASE("a count must be whole") {
  CHECK(run({"--cycles", "2.5"}).code == 2);
  CHECK(holds(run({"--cycles", "2.5"}).message, "2.5 is not a whole number"));
  CHECK(run({"--cycles", "0"}).code == 2);
}

TEST_CASE("a choice outside the list names the list") {
  const Outcome outcome = run({"--scheme", "guess"});
  CHECK(outcome.code == 2);
  CHECK(holds(outcome.message, "'guess' is none of exact, trapezoidal"));
}

TEST_CASE("an option may be given again where it is a list, and nowhere else") {
  using Texts = std::vector<std::string>;
  CHECK(run({}).settings.tubes.empty());
  CHECK(run({"--tube", "right", "--quiet", "--tube=left"}).settings.tubes == Texts{"right", "left"});
  CHECK(run({"--tube", "left", "stray"}).code == 2);
  const Outcome outcome = run({"--tube", "left", "--tube", "middle"});
  CHECK(outcome.code == 2);
  CHECK(holds(outcome.message, "'middle' is none of left, right"));
  CHECK(run({"--cycles", "2", "--cycles", "3"}).code == 2);
}

TEST_CASE("unknown options, missing values and stray words are errors") {
  CHECK(run({"--voltage", "3"}).code == 2);
  CHECK(holds(run({"--voltage", "3"}).message, "--voltage"));
  CHECK(run({"--bias"}).code == 2);
  CHECK(run({"stray"}).code == 2);
}

TEST_CASE("help names options, units, defaults, ranges and groups, and ends well") {
  const Outcome outcome = run({"--help"});
  CHECK(outcome.code == 0);
  for (const char* part : {"a latch of two tubes", "circuit", "run", "--plate-resistance", "330 ohm", "1 ohm to 1 Mohm",
                           "--bias", "-4 V", "--cycles", "--scheme", "one of exact, trapezoidal", "--quiet"}) {
    CAPTURE(part);
    CHECK(holds(outcome.message, part));
  }
}

TEST_CASE("suffixes give the double nearest to the written number") {
  CHECK(parse_quantity("0.22u") == 0.22e-6);
  CHECK(parse_quantity("4.7k") == 4.7e3);
  CHECK(parse_quantity("100n") == 100e-9);
  CHECK(parse_quantity("330") == 330.0);
  CHECK(parse_quantity("+5") == 5.0);
  CHECK(parse_quantity("1e3k") == 1e6);
  CHECK(parse_quantity("0.22 uF", "F") == 0.22e-6);
  CHECK(parse_quantity("47\u00b5F", "F") == 47e-6);
  CHECK(parse_quantity("5m", "m") == 5.0);
  CHECK(parse_quantity("5M") == 5e6);
  CHECK(parse_quantity("5m") == 5e-3);
}

TEST_CASE("text around a number is not a number") {
  for (const char* junk : {"", " ", "+", "+-3", "--3", " 5", "5 ", "5kV", "5K", "five", "1e400", "1e300T", "infinity",
                           "nan", "5  k", "3..2", "1e"}) {
    CAPTURE(junk);
    CHECK_FALSE(parse_quantity(junk).has_value());
  }
}
