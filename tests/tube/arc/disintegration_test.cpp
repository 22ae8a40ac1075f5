// SPDX-License-Identifier: MIT
// The drops that destroy cathodes.
#include <gastube/tube/arc/disintegration.hpp>

#include "fidelity/arc_rows.hpp"
#include "fidelity/check_rows.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;

TEST_CASE("disintegration voltages lie in the published range, neon's above it") {
  check_rows(published::arcs::disintegration_voltage);
  CHECK(disintegration::least.value == 20.0);
  CHECK(disintegration::greatest.value == 25.0);
}

TEST_CASE("each gas is in the table once, with its source") {
  for (const auto& row : disintegration::published) {
    CAPTURE(std::string(row.gas->name));
    CHECK(disintegration::of(row.gas->symbol).value == row.voltage.value);
    CHECK(row.voltage.value >= disintegration::least);
    CHECK(!std::string(row.voltage.source).empty());
    // Above the ionisation potential: an arc may always have that much.
    CHECK(row.voltage.value > row.gas->ionisation.value);
  }
  CHECK(disintegration::of("Xe").confidence == Confidence::unverified);
  CHECK(disintegration::of("Hg").confidence == Confidence::handbook);
}

TEST_CASE("a gas without a known voltage is refused") {
  CHECK_THROWS_WITH_AS(static_cast<void>(disintegration::of("H2")), "disintegration voltage: none known for this gas",
                       InvalidRequest);
  static_assert(disintegration::of("Ne").value == 27.0);  // also at compile time
}
