// SPDX-License-Identifier: MIT
#include "gastube/design/holding.hpp"

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using namespace gastube::design;

TEST_CASE("a straight load line holds up to 9 kilohm at 100 V, 10 V drop and 10 mA") {
  // Closed form, worked for this library: (E - Vd) / Ih.
  const auto holds = holding(100.0, 10.0, 8.2e3, 10e-3);
  CHECK(holds.greatest_resistance == closeness::relative(9000.0).epsilon(1e-14));
  CHECK(holds.available == closeness::relative(0.0109756).epsilon(1e-5));
  CHECK(holds.margin > 0);
  CHECK(holding(100.0, 10.0, 10e3, 10e-3).margin < 0);
  CHECK(holding(100.0, 10.0, 9000.0, 10e-3).margin == doctest::Approx(0.0).scale(1e-3).epsilon(1e-12));
}

TEST_CASE("a falling supply lets go at the drop plus sustaining current times resistance") {
  // Printed solid-state example: drop 1.7 V, 5 mA, 30 ohm gives 1.85 V ("Power control devices", solved example 6.1).
  CHECK(holding(5.0, 1.7, 30.0, 5e-3).let_go_supply == closeness::relative(1.85).epsilon(1e-12));
}

TEST_CASE("without a sustaining current any resistance holds") {
  CHECK_FALSE(is_limited(holding(100.0, 10.0, 1e9, 0.0).greatest_resistance));
}

TEST_CASE("holding refuses what has no meaning, by name") {
  CHECK_THROWS_WITH_AS(static_cast<void>(holding(100.0, -1.0, 1e3, 1e-3)), doctest::Contains("arc_drop = -1 V"),
                       InvalidParameter);
  CHECK_THROWS_WITH_AS(static_cast<void>(holding(100.0, 10.0, 0.0, 1e-3)), doctest::Contains("resistance = 0 ohm"),
                       InvalidParameter);
  CHECK_THROWS_WITH_AS(static_cast<void>(holding(100.0, 10.0, 1e3, -1e-3)), doctest::Contains("sustaining"),
                       InvalidParameter);
  CHECK_THROWS_WITH_AS(static_cast<void>(holding(std::nan(""), 10.0, 1e3, 1e-3)), doctest::Contains("supply = nan"),
                       InvalidParameter);
}
