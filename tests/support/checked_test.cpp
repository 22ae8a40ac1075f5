// SPDX-License-Identifier: MIT
// A refused parameter is named: part, field, value with unit, allowed range.
#include <gastube/adapt/dual.hpp>
#include <gastube/support/checked.hpp>

#include <doctest/doctest.h>

#include <limits>
#include <string>

using namespace gastube;

namespace {

const Check resistor{"resistor"};

/// The text of the refusal, or nothing if f() refuses nothing.
template <class Function>
std::string refusal(Function&& f) {
  try {
    f();
  } catch (const InvalidParameter& error) { return error.what(); }
  return "";
}

template <class S>
void check_refused_everywhere(S value) {
  CAPTURE(value);
  CHECK_THROWS_AS(resistor.above("resistance", value, 0.0, "ohm"), InvalidParameter);
  CHECK_THROWS_AS(resistor.at_least("resistance", value, -1e300, "ohm"), InvalidParameter);
  CHECK_THROWS_AS(resistor.at_most("resistance", value, 1e300, "ohm"), InvalidParameter);
  CHECK_THROWS_AS(resistor.between("resistance", value, -1e300, 1e300, "ohm"), InvalidParameter);
  CHECK_THROWS_AS(resistor.finite("resistance", value, "ohm"), InvalidParameter);
}

}  // namespace

TEST_CASE("a refusal names part, field, value, unit and range") {
  CHECK(refusal([] { resistor.above("resistance", -5.0, 0.0, "ohm"); })
        == "resistor: resistance = -5 ohm, allowed: above 0 ohm");
  CHECK(refusal([] { resistor.at_least("resistance", 1.5, 2.5, "ohm"); })
        == "resistor: resistance = 1.5 ohm, allowed: at least 2.5 ohm");
  CHECK(refusal([] { resistor.at_most("resistance", 1e7, 1e6, "ohm"); })
        == "resistor: resistance = 1e+07 ohm, allowed: at most 1e+06 ohm");
  CHECK(refusal([] { Check{"tube"}.between("share", 1.5, 0.0, 1.0, ""); }) == "tube: share = 1.5, allowed: 0 to 1");
  CHECK(refusal([] { Check{"source"}.between("voltage", -300.0, -250.0, 250.0, "V"); })
        == "source: voltage = -300 V, allowed: -250 to 250 V");
  CHECK(refusal([] { resistor.finite("resistance", std::numeric_limits<double>::infinity(), "ohm"); })
        == "resistor: resistance = inf ohm, allowed: a finite number");
  CHECK(refusal([] { resistor.that(false, "resistance", 3.0, "ohm", "below the load's"); })
        == "resistor: resistance = 3 ohm, allowed: below the load's");
}

TEST_CASE("a refusal can be read field by field") {
  try {
    Check{"capacitor"}.above("capacitance", -1e-6, 0.0, "F");
    FAIL("not refused");
  } catch (const InvalidParameter& error) {
    CHECK(error.part() == "capacitor");
    CHECK(error.field() == "capacitance");
    CHECK(error.range() == "above 0 F");
    CHECK(error.value() == -1e-6);
  }
}

TEST_CASE("a value just beyond its limit is not written as the limit") {
  const std::string text = refusal([] { Check{"tube"}.at_most("share", 1.0000001, 1.0, ""); });
  CHECK(text == "tube: share = 1.0000001, allowed: at most 1");
}

TEST_CASE("limits themselves belong to the range but for 'above'") {
  CHECK_THROWS_AS(resistor.above("resistance", 0.0, 0.0, "ohm"), InvalidParameter);
  CHECK_NOTHROW(resistor.above("resistance", std::numeric_limits<double>::denorm_min(), 0.0, "ohm"));
  CHECK_NOTHROW(resistor.at_least("resistance", 2.0, 2.0, "ohm").at_most("resistance", 2.0, 2.0, "ohm"));
  CHECK_THROWS_AS(resistor.at_least("resistance", 1.9999999, 2.0, "ohm"), InvalidParameter);
  CHECK_THROWS_AS(resistor.at_most("resistance", 2.0000001, 2.0, "ohm"), InvalidParameter);
  CHECK_NOTHROW(resistor.between("resistance", 1.0, 1.0, 2.0, "ohm").between("resistance", 2.0, 1.0, 2.0, "ohm"));
  CHECK_THROWS_AS(resistor.between("resistance", 0.9999999, 1.0, 2.0, "ohm"), InvalidParameter);
  CHECK_THROWS_AS(resistor.between("resistance", 2.0000001, 1.0, 2.0, "ohm"), InvalidParameter);
  CHECK_NOTHROW(resistor.finite("resistance", std::numeric_limits<double>::max(), "ohm"));
  CHECK_NOTHROW(resistor.finite("resistance", std::numeric_limits<double>::lowest(), "ohm"));
  CHECK_NOTHROW(resistor.that(true, "resistance", 3.0, "ohm", "below the load's"));
}

TEST_CASE_TEMPLATE("NaN and both infinities are refused by every check", S, float, double, long double) {
  check_refused_everywhere(std::numeric_limits<S>::quiet_NaN());
  check_refused_everywhere(std::numeric_limits<S>::infinity());
  check_refused_everywhere(-std::numeric_limits<S>::infinity());
}

TEST_CASE("a scalar with derivatives is checked by its value") {
  using D = Dual<double, 1>;
  CHECK_NOTHROW(resistor.above("resistance", D::variable(5.0, 0), 0.0, "ohm"));
  CHECK_THROWS_AS(resistor.above("resistance", D::variable(-5.0, 0), 0.0, "ohm"), InvalidParameter);
}

TEST_CASE("checks chain, and the first that fails is reported") {
  const std::string text = refusal([] {
    Check{"capacitor"}
        .above("capacitance", 1e-6, 0.0, "F")
        .finite("initial", std::numeric_limits<double>::quiet_NaN(), "V")
        .above("resistance", -1.0, 0.0, "ohm");
  });
  CHECK(text.find("capacitor: initial = ") == 0);
  CHECK(text.find("nan V") != std::string::npos);
}

TEST_CASE("a sound parameter is checked at compile time without a trace") {
  constexpr bool passed = [] {
    Check{"resistor"}.above("resistance", 5.0, 0.0, "ohm").between("share", 0.5, 0.0, 1.0, "").finite("value", 1.0, "");
    return true;
  }();
  CHECK(passed);
}

TEST_CASE("both refusals are invalid arguments to whoever knows only std") {
  CHECK_THROWS_AS(resistor.above("resistance", -5.0, 0.0, "ohm"), std::invalid_argument);
  CHECK_THROWS_WITH_AS(detail::raise(InvalidRequest("node 3 joins no part")), "node 3 joins no part",
                       std::invalid_argument);
}
