// SPDX-License-Identifier: MIT
// The rectifiers of the example with the tubes of textbooks and a transformer without losses. Closed forms: handbooks
// of the trade, from memory (MIT E.E. staff, Applied Electronics, 1943; Millman and Seely, Electronics, 1941), worked
// for this library where striking voltage and arc drop differ; 0.1827 is printed as 18.3 %.
#include <gastube/circuit/wiring_check.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support/observe.hpp"
#include "support/rectifier.hpp"
#include "support/trace_figures.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using namespace gastube::examples;
using closeness::relative_gap;

namespace {

struct TextbookTube {
  double drop, strikes;
};
struct Seen {
  Figures load, tube, across, heater;
  double lit;  ///< share of the period
};
/// The last of some periods, of the load and of tube `number`.
[[nodiscard]] Seen look(RectifierParts parts, const TextbookTube& textbook, int periods = 1, std::size_t number = 0) {
  const auto tube =
      IdealTube<double>{.control_ratio = 20, .arc_drop = textbook.drop, .lowest_plate = textbook.strikes}.build();
  const auto circuit = rectifier(parts, std::vector{tube});
  auto run = start<Exact>(circuit, Settings<double>{.longest_step = 1 / parts.frequency / 1000});
  const double end = (periods + 0.75) / parts.frequency, from = end - 1 / parts.frequency;  // no tube changes there
  const TubeTerminals at = terminals_of(parts, number);
  const auto seen = observe(run, end,
                            {{"", "V", {{"load", VoltageProbe{RectifierNodes::load}}}, {}},
                             {"", "A", {{"", CurrentProbe{circuit.find(rectifier_tubes[number])}}}, {}},
                             {"", "V", {{"", VoltageProbe{at.plate, at.cathode}}}, {}},
                             {"", "V", {{"", VoltageProbe{at.heater, at.cathode}}}, {}}});
  REQUIRE_FALSE(seen.cut_short);
  return {figures_of(seen.trace(0), from, end), figures_of(seen.trace(1), from, end),
          figures_of(seen.trace(2), from, end), figures_of(seen.trace(3), from, end),
          time_in(seen.sheet.bands[number], "conducting", from, end) * parts.frequency};
}

}  // namespace

TEST_CASE("half-wave without a filter: 45.3 mA mean, 73.3 mA r.m.s., 166.1 degrees") {
  const Seen seen =
      look({.kind = RectifierKind::half_wave, .mains = 117, .frequency = 60, .secondary = 117, .load = 1e3}, {15, 25});
  CHECK(relative_gap(seen.load.mean / 1e3, 0.0453365585) < 1e-5);
  CHECK(relative_gap(seen.tube.rms, 0.073310682) < 1e-5);
  CHECK(relative_gap(seen.tube.greatest, 0.150463) < 1e-5);
  CHECK(relative_gap(-seen.across.least, 165.463) < 1e-5);
  CHECK(relative_gap(seen.load.ripple() / seen.load.mean, 1.27075) < 1e-4);
  CHECK(relative_gap(360 * seen.lit, 174.799 - 8.69017) < 1e-4);
}

TEST_CASE("half-wave into a capacitor: 127.1 V mean, 46.8 V of ripple, 288 V inverse") {
  const Seen seen = look({.kind = RectifierKind::half_wave,
                          .mains = 117,
                          .frequency = 60,
                          .secondary = 117,
                          .load = 2e3,
                          .capacitor = 20e-6},
                         {15, 30}, 8);
  CHECK(relative_gap(seen.load.mean, 127.133) < 1e-4);
  CHECK(relative_gap(seen.load.greatest - seen.load.least, 46.8285) < 1e-4);
  CHECK(relative_gap(-seen.across.least, 288.074) < 1e-4);
}

TEST_CASE("centre tap: 90.7 mA, half of it in each tube, which stands twice the peak less a drop") {
  RectifierParts parts{.kind = RectifierKind::centre_tap, .mains = 117, .frequency = 60, .secondary = 117, .load = 1e3};
  const Seen seen = look(parts, {15, 25});
  CHECK(relative_gap(seen.load.mean / 1e3, 0.0906731) < 1e-5);
  CHECK(relative_gap(seen.load.rms / 1e3, 0.103677) < 1e-5);
  CHECK(relative_gap(seen.tube.mean, 0.0453366) < 1e-5);
  CHECK(relative_gap(-seen.across.least, 315.925974) < 1e-5);
  // A great choke keeps the current up: the incoming tube takes over where it sees its striking voltage.
  parts.choke = 20;
  CHECK(relative_gap(look(parts, {15, 25}, 20).load.mean, 90.2889) < 1e-5);
}

TEST_CASE("a choke of a third of the load keeps the current up; without ripple at the load 0.3307 of it is the limit") {
  CHECK(relative_gap(critical_choke(1000, 60), 1000.0 / 1131) < 1e-4);
  const auto least = [](double share) {
    const RectifierParts parts{.kind = RectifierKind::centre_tap,
                               .mains = 117,
                               .frequency = 60,
                               .secondary = 117,
                               .load = 1e3,
                               .choke = share * 1e3 / (2 * std::numbers::pi * 60),
                               .capacitor = 2e-3,
                               .equalising = 1e8};
    const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 1e-3, .lowest_plate = 2e-3}.build();
    const auto circuit = rectifier(parts, std::vector{tube});
    auto run = start<Exact>(circuit, Settings<double>{.longest_step = 1e-3});
    REQUIRE(run.run_until(12.0) == Status::done);
    const auto seen = observe(run, 12 + 1.0 / 60, {{"", "A", {{"", CurrentProbe{circuit.find("choke")}}}, {}}});
    return Observed::least(seen.trace(0));
  };
  CHECK(least(0.335) > 1e-4);
  CHECK(least(0.326) < 1e-5);
}

TEST_CASE("bridge whose tubes share the voltage before they strike: 46.3 mA, heaters 43.9 V and 55.9 V low") {
  RectifierParts parts{.kind = RectifierKind::bridge,
                       .heaters = HeaterWinding::one_at_negative,
                       .mains = 230,
                       .secondary = 48,
                       .load = 470,
                       .equalising = 1e9};
  const Seen seen = look(parts, {12, 16});
  CHECK(relative_gap(seen.load.mean / 470, 0.0463380099) < 1e-5);
  CHECK(relative_gap(seen.load.rms / 470, 0.0587051) < 1e-5);
  CHECK(relative_gap(seen.tube.mean, 0.023169) < 1e-5);
  CHECK(relative_gap(-seen.across.least, 55.882251) < 1e-5);
  CHECK(relative_gap(seen.load.ripple() / seen.load.mean, 0.777823) < 1e-4);
  CHECK(relative_gap(-seen.heater.least, 43.8823) < 1e-5);
  CHECK(relative_gap(-look(parts, {12, 16}, 1, 2).heater.least, 55.8823) < 1e-5);
}

TEST_CASE("three-phase half-wave: 125.3 V, and 124.8 V where the tubes take over late") {
  const RectifierParts parts{
      .kind = RectifierKind::three_phase, .mains = 120, .frequency = 60, .secondary = 120, .load = 100};
  // Firing at the very drop both tubes would carry any current there: a millivolt tells them apart.
  const Seen at_once = look(parts, {15, 15.001}), late = look(parts, {15, 40});
  CHECK(relative_gap(at_once.load.mean, 125.345424) < 1e-5);
  CHECK(relative_gap(-at_once.across.least, 278.939) < 1e-5);
  CHECK(relative_gap(late.load.mean, 124.836888) < 1e-5);
  CHECK(relative_gap(late.tube.mean, 0.416123) < 1e-5);
  CHECK(relative_gap(look(parts, {1e-6, 1e-3}).load.ripple() / 140.345, 0.1827066) < 1e-4);
}

TEST_CASE("cathodes that are one node") {
  const auto groups = [](RectifierKind kind) { return joined_cathodes({.kind = kind}); };
  using Groups = std::vector<std::vector<std::size_t>>;
  CHECK(groups(RectifierKind::half_wave) == Groups{{0}});
  CHECK(groups(RectifierKind::centre_tap) == Groups{{0, 1}});
  CHECK(groups(RectifierKind::bridge) == Groups{{0, 1}, {2}, {3}});
  CHECK(groups(RectifierKind::three_phase) == Groups{{0, 1, 2}});
}

TEST_CASE("every kind is wired without a mistake, with choke and dampers or without, and has its heaters fed") {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 10}.build();
  for (const RectifierKind kind :
       {RectifierKind::half_wave, RectifierKind::centre_tap, RectifierKind::bridge, RectifierKind::three_phase})
    for (const double choke : {0.0, 5.0})
      for (const double damper : {0.0, 1e-7}) {
        const RectifierParts parts{.kind = kind,
                                   .leakage = 10e-3,
                                   .resistance = 10,
                                   .choke = choke,
                                   .capacitor = 40e-6,
                                   .damper_capacitor = damper,
                                   .equalising = 1e6};
        const auto circuit = rectifier(parts, std::vector{tube});
        CHECK(circuit.nodes() == nodes_of(parts).count);
        CHECK(wiring_faults(circuit, {.heaters = true}).empty());
      }
}
