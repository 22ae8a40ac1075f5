// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/vacuum_pentode.hpp>
#include <gastube/circuit/wired_tube.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, plate, grid, screen, node_count };

struct Reading {
  double plate, screen;
};
[[nodiscard]] Reading read(const PentodeData& data, double va, double vg, double vs) {
  auto run = shared_start(wire<node_count>(DcSource{plate, ground, va}, DcSource{grid, ground, vg},
                                           DcSource{screen, ground, vs}, pentode(plate, grid, screen, ground, data)));
  REQUIRE(succeeded(run.start_status()));
  Reading reading{};
  run.system().look(run.instant(), run.mode(), [&](const auto& part, const auto& view, const auto& memory) {
    if constexpr (requires { part.screen_current(view); })
      reading = {part.current(view, memory), part.screen_current(view)};
  });
  return reading;
}
}  // namespace

TEST_CASE("each listed pentode has its published currents, transconductance and plate resistance") {
  for (const PentodeData& data : {pentodes::type_ef86, pentodes::type_ef80}) {
    CAPTURE(data.type);
    const PentodePoint& p = data.point;
    const Reading here = read(data, p.plate, p.grid, p.screen);
    CHECK(relative_gap(here.plate, p.current) < 1e-9);
    CHECK(relative_gap(here.screen, p.screen_current) < 1e-9);
    const double swing =
        read(data, p.plate, p.grid + 1e-3, p.screen).plate - read(data, p.plate, p.grid - 1e-3, p.screen).plate;
    CHECK(relative_gap(swing / 2e-3, p.conductance) < 1e-5);
    const double rise =
        read(data, p.plate + 1, p.grid, p.screen).plate - read(data, p.plate - 1, p.grid, p.screen).plate;
    CHECK(relative_gap(2 / rise, p.resistance) < 0.02);  // the knee's last share counts too
  }
}

TEST_CASE("below the knee the screen takes what the plate leaves, all of it at a plate without voltage") {
  const PentodePoint& p = pentodes::type_ef80.point;
  const Reading none = read(pentodes::type_ef80, 0, p.grid, p.screen),
                some = read(pentodes::type_ef80, 15, p.grid, p.screen),
                full = read(pentodes::type_ef80, p.plate, p.grid, p.screen);
  CHECK(none.plate == 0.0);
  CHECK(some.plate > 0.5 * full.plate);
  CHECK(some.plate < 0.8 * full.plate);
  CHECK(relative_gap(none.screen, full.plate + full.screen) < 1e-12);
  CHECK(relative_gap(some.plate + some.screen, full.plate + full.screen) < 1e-12);
}

TEST_CASE("a grid below cut-off, or a screen without voltage, stops both") {
  const Reading cut = read(pentodes::type_ef86, 250, -20, 140), off = read(pentodes::type_ef86, 250, 0, 0);
  CHECK(cut.plate == 0.0);
  CHECK(cut.screen == 0.0);
  CHECK(off.plate == 0.0);
}

TEST_CASE("a pentode charges a time base's capacitor evenly: (Vs - Ve) C / I within the bend of its plate resistance") {
  // constant-current charging of a relaxation oscillator, T = C (Vs - Ve) / I (textbook form, from memory); here from
  // 16 to 120 V with the pentode's plate staying far above its knee
  enum { gnd, high, sweep, g, s, count };
  auto run =
      shared_start(wire<count>(DcSource{high, gnd, 300.0}, Capacitor{high, sweep, 10e-9, 16.0}, DcSource{g, gnd, -2.0},
                               DcSource{s, gnd, 140.0}, pentode(sweep, g, s, gnd, pentodes::type_ef86)),
                   tight<double>());
  const auto charged = [&] { return 300 - voltage(run, sweep); };
  CHECK(relative_gap(charged(), 16.0) < 0.02);  // the tube's own capacitance takes its share of the start
  const double begun = charged(), current_then = current(run, "EF86");
  const double even = (120 - begun) * 10e-9 / current_then;
  REQUIRE(run.run_until(even) == Status::done);
  CHECK(relative_gap(charged(), 120) < 0.01);
  CHECK(charged() < 120);
}

TEST_CASE("a plate resistance below that of a resistor, and shares of more than all, are refused") {
  CHECK_THROWS_WITH_AS(static_cast<void>(pentode_through<double>({100, 100, -2, 0.01, 0.002, 5e-3, 9e3, 40}, 15)),
                       "pentode point: resistance = 9000 ohm, allowed: above 10000 ohm", InvalidParameter);
  CHECK_THROWS_WITH_AS(
      (VacuumPentode<double>{plate, grid, screen, ground, {.perveance = 1e-3, .screen_mu = 30, .plate_share = 1.1}}),
      "pentode: plate_share = 1.1, allowed: at most 1", InvalidParameter);
}
