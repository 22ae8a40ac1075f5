// SPDX-License-Identifier: MIT
// The charger of the example with the tubes of textbooks. Printed examples: Introduction to Electric Drives, Ex. 2_2
// and 2_3, found as solved problems; "Controlled rectifiers 3.1", found in a public collection; the charger with a
// choke: Hart, Power Electronics, from memory. The others were worked for this library.
#include <gastube/tube/family/ideal.hpp>

#include "support/battery_charger.hpp"
#include "support/observe.hpp"
#include "support/trace_figures.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using namespace gastube::examples;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

struct Seen {
  Figures current, across;
  double degrees;  ///< lit
};
/// One period, in steps so short that the leads (1 nH) do not blur the jump at striking; from a trough of the mains on.
[[nodiscard]] Seen look(ChargerParts parts, double drop, double strikes) {
  parts.frequency = 60, parts.battery_resistance = 0, parts.rise = 1e-12;
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = drop, .lowest_plate = strikes}.build();
  const auto circuit = battery_charger(parts, tube);
  auto run = start(circuit, Settings<double>{.longest_step = 5e-7});
  const double from = 0.75 / 60, to = 1.75 / 60;
  const auto seen = observe(run, to,
                            {{"", "A", {{"", CurrentProbe{circuit.find("tube")}}}, {}},
                             {"", "V", {{"", VoltageProbe{charger_plate, charger_battery}}}, {}}});
  return {figures_of(seen.trace(0), from, to), figures_of(seen.trace(1), from, to),
          360 * 60 * time_in(seen.sheet.bands[0], "conducting", from, to)};
}

}  // namespace

TEST_CASE("117 V through 200 ohm into 48 V: 0.1307 A mean, 0.2337 A r.m.s., 213 V inverse") {
  const Seen seen = look({.volts = 117, .resistor = 200, .choke = 1e-9, .choke_loss = 1e6, .battery = 48}, 12, 20);
  CHECK(relative_gap(seen.current.mean, 0.130686443) < 1e-5);
  CHECK(relative_gap(seen.current.rms, 0.233701) < 1e-5);
  CHECK(relative_gap(seen.current.greatest, 0.527315) < 1e-5);
  CHECK(relative_gap(-seen.across.least, 213.463) < 1e-5);
  CHECK(relative_gap(seen.degrees, 158.739 - 24.2657) < 1e-4);
}

TEST_CASE("printed chargers without a drop: 2.495 A, 1.09 A, and 6.58 A r.m.s. over 163 degrees") {
  const auto printed = [](double volts, double battery, double ohms) {
    return look({.volts = volts, .resistor = ohms, .choke = 1e-9, .choke_loss = 1e6, .battery = battery}, 1e-6, 1e-3);
  };
  CHECK(absolute_gap(printed(110, 55.5, 10).current.mean, 2.495) < 1e-3);
  CHECK(absolute_gap(printed(100 / std::numbers::sqrt2, 50, 10).current.mean, 1.09) < 1e-3);
  const Seen cells = printed(57.5, 12, 5.04);
  CHECK(relative_gap(cells.current.mean, 4.00128) < 1e-4);
  CHECK(relative_gap(cells.current.rms, 6.58) < 1e-3);
  CHECK(absolute_gap(cells.degrees, 163.02) < 0.03);
  CHECK(relative_gap(-cells.across.least, 93.3173) < 1e-5);
}

TEST_CASE("with a choke the current goes on past the battery's voltage: 2.25 A, to 193 degrees") {
  const Seen seen = look({.volts = 120, .resistor = 2, .choke = 20e-3, .choke_loss = 1e9, .battery = 100}, 1e-6, 1e-3);
  CHECK(relative_gap(seen.current.mean, 2.25149655) < 1e-4);
  CHECK(relative_gap(seen.current.rms, 3.98082) < 1e-4);
  const double fires = std::asin(100 / (120 * std::numbers::sqrt2)) * 180 / std::numbers::pi;
  CHECK(absolute_gap(seen.degrees, 193.141 - fires) < 0.02);
}

TEST_CASE("charging time") {
  CHECK(relative_gap(charging_time(100, {2, 2, 2}), 50) < 1e-12);
  // current falling in a straight line from 4 to 1 A over 3 C: dQ/dt = 4 - Q, ln 4 s, however many steps
  CHECK(relative_gap(charging_time(3, {4, 1}), std::log(4.0)) < 1e-12);
  CHECK(relative_gap(charging_time(3, {4, 3, 2, 1}), std::log(4.0)) < 1e-12);
  CHECK(std::isinf(charging_time(3, {4, 2, 0})));
}
