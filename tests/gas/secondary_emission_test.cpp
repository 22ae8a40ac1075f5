// SPDX-License-Identifier: MIT
// Electrons a cold cathode gives for each ion.
#include <gastube/gas/secondary_emission.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/gas_rows.hpp"
#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <limits>
#include <set>
#include <string>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("the rule of potential emission gives its published figures, and one older table disagrees on nickel") {
  check_rows(published::secondary_emission);
}

TEST_CASE("the table gives what was printed") {
  // A. Beroual and I. Fofana, 2016, as quoted by an open plasma-physics file.
  using secondary_emission::of;
  CHECK(of("air", "Fe") == 0.02);
  CHECK(of("N2", "Al") == 0.10);
  CHECK(of("H2", "C") == 0.014);
  CHECK(of("He", "Pt") == 0.010);
  CHECK(of("Ne", "W") == 0.045);
  CHECK(of("Ne", "Ni") == 0.031);
  CHECK(of("Ar", "Al") == 0.12);
  CHECK(of("N2", "Pt") == 0.059);  // printed as 0.59, a misprint: an older table, from memory, has 0.059
  CHECK(of("Ne", "W").confidence == Confidence::published);
}

TEST_CASE("each pair is listed once, with a yield such as cold metals have") {
  std::set<std::string> pairs;
  for (const SecondaryEmission& row : secondary_emission::published) {
    REQUIRE(row.gas != nullptr);
    CAPTURE(std::string(row.gas));
    CAPTURE(std::string(row.cathode));
    CHECK(pairs.insert(std::string(row.gas).append(" on ").append(row.cathode)).second);
    CHECK(row.yield >= 0.01);  // least and greatest of the printed table
    CHECK(row.yield <= 0.12);
    CHECK(row.yield < secondary_emission::activated_greatest);
  }
}

TEST_CASE("a pair that is not in the table is refused, not guessed") {
  using secondary_emission::of;
  CHECK_THROWS_AS(static_cast<void>(of("He", "Cu")), InvalidRequest);  // a gap in the table
  CHECK_THROWS_AS(static_cast<void>(of("Xe", "Fe")), InvalidRequest);
  CHECK_THROWS_AS(static_cast<void>(of("", "")), InvalidRequest);
}

TEST_CASE_TEMPLATE("an ion with less than twice the work function frees nothing", S, float, double, long double) {
  using secondary_emission::potential_yield;
  CHECK(potential_yield(S(gas::mercury.ionisation.value), S(4.3)) == S(0));  // 0.78 * 10.44 V = 8.1 V < 8.6 V
  CHECK(potential_yield(S(10), S(3.9)) == doctest::Approx(0.0).scale(1).epsilon(1e-6));
  CHECK(relative_gap(potential_yield(S(20), S(4)), 0.2432L) < 40 * rounded<S>);  // 0.032 * 7.6, by hand
  CHECK(potential_yield(S(20), S(3)) > potential_yield(S(20), S(4)));
  CHECK(potential_yield(S(21), S(4)) > potential_yield(S(20), S(4)));
}

TEST_CASE_TEMPLATE("impossible energies are refused by name", S, float, double, long double) {
  using secondary_emission::potential_yield;
  for (const S bad : {S(0), S(-1), std::numeric_limits<S>::quiet_NaN(), std::numeric_limits<S>::infinity()}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return potential_yield(bad, S(4)); }) == "secondary emission: ionisation potential");
    CHECK(refusal::of([&] { return potential_yield(S(20), bad); }) == "secondary emission: work function");
  }
}
