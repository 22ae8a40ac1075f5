// SPDX-License-Identifier: MIT
// Argon tubes against what handbooks say of them. All from memory; weak recollections are not asserted.
#include <gastube/catalogue/argon.hpp>

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using catalogue::argon_tubes;
using catalogue::of;

TEST_CASE("884: 300 V, 300 mA peak, 75 mA average, at most 0.5 Mohm in the grid, drop about 16 V") {
  const auto tube = catalogue::type_884();
  const auto& r = tube.laws().ratings;  // tube handbooks, from memory
  CHECK(r.peak_forward == 300.0);
  CHECK(r.peak_current == 0.3);
  CHECK(r.average_current == 0.075);
  CHECK(r.grid_resistance == 0.5e6);
  CHECK(std::fabs(tube.laws().arc.voltage(0.075) - 16.0) < 3.0);  // band 13 to 20 V
}

TEST_CASE("884: about -30 V at 300 V of plate, the little leverage of a triode") {
  // tube handbooks, from memory: -30 V within 15 %; control ratio about 10
  const auto tube = catalogue::type_884();
  const auto critical = [&](double plate) { return tube.critical_grid({plate, 0.0, 0.0}, 0.0); };
  CHECK(std::fabs(critical(300.0) + 30.0) < 4.5);
  CHECK(std::fabs((critical(200.0) - critical(300.0)) - 10.0) < 2.0);
}

TEST_CASE("885 differs from 884 in its heater only, and 6Q5G in nothing but its bulb") {
  // tube handbooks, from memory: 885 2.5 V 1.5 A; 6Q5G is the 884 in a G bulb
  CHECK(of(argon_tubes, "885").heater_voltage.value == 2.5);
  CHECK(of(argon_tubes, "885").heater_current.value == 1.5);
  for (const char* type : {"885", "6Q5G"}) {
    CHECK(of(argon_tubes, type).arc_drop.value == catalogue::data_884.arc_drop.value);
    CHECK(of(argon_tubes, type).peak_current.value == catalogue::data_884.peak_current.value);
  }
  CHECK(of(argon_tubes, "6Q5G").heater_voltage.value == 6.3);
}

TEST_CASE("2051: 350 and 700 V, 75 mA, drop 14 V: the drop that tells argon from xenon") {
  const auto& d = of(argon_tubes, "2051");  // tube handbooks, from memory
  CHECK(d.peak_forward.value == 350.0);
  CHECK(d.peak_inverse.value == 700.0);
  CHECK(d.average_current.value == 0.075);
  CHECK(d.arc_drop.value == 14.0);
  CHECK(d.fill == &gas::argon);
}

TEST_CASE("nothing strikes at or below the ionisation potential of argon") {
  // 15.76 V: NIST Atomic Spectra Database
  for (const auto& d : argon_tubes)
    for (const double plate : {5.0, 15.0, 15.7}) CHECK(catalogue::build(d).critical_grid({plate, 0, 0}, 0) >= 1e3);
}
