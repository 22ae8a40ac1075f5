// SPDX-License-Identifier: MIT
// Constants of nature and old units.
#include <gastube/gas/constants.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("the constants agree with one another") {
  using namespace constants;
  // CODATA recommended values, 2018, from memory; each ties two or three of our constants together.
  CHECK(relative_gap(elementary_charge * avogadro, 96485.33212) < 1e-10);   // C/mol, Faraday's
  CHECK(relative_gap(boltzmann * avogadro, 8.314462618) < 1e-10);           // J/(mol K), the gas constant
  CHECK(relative_gap(atomic_mass * avogadro, 1e-3) < 1e-9);                 // kg/mol
  CHECK(relative_gap(electron_mass, 9.1093837015e-31) < 1e-10);             // kg
  CHECK(relative_gap(electron_specific_charge, 1.75882001076e11) < 1e-10);  // C/kg
  CHECK(relative_gap(ion_specific_charge, 9.64853321e7) < 1e-8);            // C/kg
  CHECK(relative_gap(loschmidt, 2.686780111e25) < 4e-10);                   // 1/m^3, printed cut off
  CHECK(relative_gap(kelvin_per_volt, 11604.51812) < 1e-9);                 // K
  // Fine-structure constant e^2 / (2 eps0 h c) = 1/137.035999084: ties the permittivity to the rest.
  const double fine_structure =
      elementary_charge * elementary_charge / (2 * vacuum_permittivity * planck * 299792458.0);
  CHECK(relative_gap(fine_structure, 1 / 137.035999084) < 1e-9);
  CHECK(relative_gap(pi, std::acos(-1.0L)) < 1e-15);
}

TEST_CASE("old units convert as handbooks do") {
  using namespace constants;
  CHECK(relative_gap(torr, 133.322) < 3e-6);            // common practice
  CHECK(relative_gap(torr_cm(0.75), 1.0) < 2e-4);       // 1 Pa m = 0.75 Torr cm, common practice
  CHECK(relative_gap(per_torr_cm(12), 9.0) < 1e-4);     // argon's a: 12 /(cm Torr) are 9.0 /(Pa m), worked here
  CHECK(relative_gap(per_torr_cm(180), 135.0) < 1e-4);  // argon's b, worked here
  CHECK(torr_cm(1.0) * per_torr_cm(1.0) == closeness::relative(1.0).epsilon(1e-15));
  CHECK(square_cm(2.0) == closeness::relative(2e-4).epsilon(1e-15));
  CHECK(cubic_cm(2.0) == closeness::relative(2e-6).epsilon(1e-15));
}

TEST_CASE("what follows from exact constants is marked as derived, the rest as published") {
  CHECK(constants::elementary_charge.confidence == Confidence::published);
  CHECK(constants::atomic_mass.confidence == Confidence::published);
  CHECK(constants::loschmidt.confidence == Confidence::derived);
  CHECK(constants::kelvin_per_volt.confidence == Confidence::derived);
}
