// SPDX-License-Identifier: MIT
#include <gastube/catalogue/glow.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/relay.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support/observe.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace gastube;

namespace {

enum Nodes : Node { ground, supply, top, node_count };

/// A lamp that flashes every few milliseconds.
[[nodiscard]] auto flasher(double farads) {
  return start(wire<node_count>(DcSource{supply, ground, 120.0}, Resistor{supply, top, 2.2e6},
                                Capacitor{top, ground, farads},
                                named("lamp", wired(catalogue::type_ne2(), {.anode = top, .cathode = ground}))));
}

}  // namespace

TEST_CASE("what is seen of a run: traces of one length, bands without gaps that end with it, marks where it lit") {
  auto run = flasher(10e-9);
  auto seen = examples::observe(run, 0.1, {{"lamp", "V", {{"across", VoltageProbe{top}}}, {{"limit", 75}}}});
  CHECK_FALSE(seen.cut_short);
  CHECK(seen.end == 0.1);
  CHECK(examples::fault_in(seen.sheet).empty());
  REQUIRE(seen.sheet.panels.size() == 1);
  CHECK(seen.trace(0).time.size() == seen.trace(0).value.size());
  CHECK(seen.trace(0).time.size() > seen.steps);
  REQUIRE(seen.sheet.bands.size() == 1);
  const auto& spans = seen.sheet.bands[0].spans;
  CHECK(spans.front().from == 0.0);
  CHECK(spans.front().state == "dark");
  CHECK(spans.back().to == 0.1);
  for (std::size_t k = 1; k < spans.size(); ++k) CHECK(spans[k].from == spans[k - 1].to);
  const auto lit = seen.events.lit("lamp");
  CHECK(lit.size() >= 3);
  seen.mark_lit("lamp", "flash");
  CHECK(seen.sheet.events.size() == lit.size());
  seen.sheet.events.clear();
  seen.mark_lit("lamp", "flash", 0.5 * (lit[1] - lit[0]));  // dark for nearly all of that time
  CHECK(seen.sheet.events.size() == lit.size());
  seen.sheet.events.clear();
  seen.mark_lit("lamp", "flash", 1.0);
  REQUIRE(seen.sheet.events.size() == 1);
  CHECK(seen.sheet.events[0].time == lit[0]);
  CHECK(std::fabs(seen.least(seen.trace(0))) < 1e-12);
  CHECK(seen.greatest(seen.trace(0)) > 75.0);
  CHECK(std::fabs(seen.least_while("lamp", "dark", seen.trace(0))) < 1e-12);
  CHECK(std::isnan(seen.least_while("lamp", "arc", seen.trace(0))));
}

TEST_CASE("a run with more changes of state than anybody reads is cut short, and its log says so") {
  auto run = flasher(2e-12);
  const auto seen = examples::observe(run, 10.0, {{"lamp", "V", {{"across", VoltageProbe{top}}}, {}}});
  CHECK(seen.cut_short);
  CHECK(seen.end < 10.0);
  CHECK(examples::log_of(seen).find("was ended") != std::string::npos);
}

TEST_CASE("a relay has a band as tubes have, of the states of its armature") {
  const std::array<ChangeOver, 1> contact{{{.common = supply, .work = top}}};
  auto run = start(wire<node_count>(
      DcSource{supply, ground, 10.0}, Resistor{top, ground, 1e3},
      Relay<double>{supply, ground, contact, {100, 1, 1, 50e-3, 20e-3}, {.pull_in = 5e-3, .release = 2e-3}}));
  const auto seen = examples::observe(run, 0.1, {{"contact", "V", {{"", VoltageProbe{top}}}, {}}});
  REQUIRE(seen.sheet.bands.size() == 1);
  CHECK(seen.sheet.bands[0].tube == "relay");
  const auto& spans = seen.sheet.bands[0].spans;
  REQUIRE(spans.size() >= 3);
  CHECK(spans.front().state == "resting");
  CHECK(spans[1].state == "attracted");
  CHECK(spans.back().state == "held");
  CHECK(spans.back().to == 0.1);
}
