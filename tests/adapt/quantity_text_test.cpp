// SPDX-License-Identifier: MIT
#include <gastube/adapt/quantity_text.hpp>

#include <doctest/doctest.h>

#include <limits>

using gastube::adapt::quantity_text;
using gastube::adapt::takes_prefix;

TEST_CASE("a quantity is written with the prefix that leaves 1 to 999 before it") {
  CHECK(quantity_text(75e-6, "s") == "75 us");
  CHECK(quantity_text(0.026e-12, "F") == "26 fF");
  CHECK(quantity_text(10e6, "ohm") == "10 Mohm");
  CHECK(quantity_text(1300.0, "V", 4) == "1.3 kV");
  CHECK(quantity_text(-4.25, "V") == "-4.25 V");
  CHECK(quantity_text(3.2e9, "V A/s") == "3.2 GV A/s");
  CHECK(quantity_text(1e-15, "A") == "1 fA");
  CHECK(quantity_text(2e-17, "A") == "0.02 fA");
  CHECK(quantity_text(5e15, "Hz") == "5000 THz");
}
TEST_CASE("rounding comes before the choice of the prefix, so that no 1000 mA appears") {
  CHECK(quantity_text(0.99996, "A", 4) == "1 A");
  CHECK(quantity_text(0.9994, "A", 4) == "999.4 mA");
  CHECK(quantity_text(999.7, "V", 3) == "1 kV");
  CHECK(quantity_text(123.456, "V", 2) == "120 V");
}
TEST_CASE("plain numbers and temperatures have no prefix, and keep their digits before the point") {
  CHECK(quantity_text(250.0, "") == "250");
  CHECK(quantity_text(1234567.0, "") == "1230000");
  CHECK(quantity_text(0.004, "") == "0.004");
  CHECK(quantity_text(-75.0, "degrees Celsius") == "-75 degrees Celsius");
  CHECK(quantity_text(2000.0, "K") == "2000 K");
  CHECK_FALSE(takes_prefix("%"));
  CHECK(takes_prefix("A/V^1.5"));
}
TEST_CASE("zero and what is no number are written as they are") {
  CHECK(quantity_text(0.0, "V") == "0 V");
  CHECK(quantity_text(1e30, "V") == "1e+18 TV");
  CHECK(quantity_text(std::numeric_limits<double>::infinity(), "V") == "inf V");
}
