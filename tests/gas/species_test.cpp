// SPDX-License-Identifier: MIT
// Energies and masses of the fill gases.
#include <gastube/gas/species.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <cstring>
#include <set>
#include <string>

using namespace gastube;
using closeness::absolute_gap;

TEST_CASE("ionisation potentials agree with the textbooks") {
  // First ionisation potentials to two decimals as printed in handbooks of chemistry and physics, from memory.
  const auto off = [](const Gas& gas, double expected) { return absolute_gap(gas.ionisation.value, expected); };
  CHECK(off(gas::helium, 24.59) < 0.0051);
  CHECK(off(gas::neon, 21.56) < 0.0051);
  CHECK(off(gas::argon, 15.76) < 0.0051);
  CHECK(off(gas::krypton, 14.00) < 0.0051);
  CHECK(off(gas::xenon, 12.13) < 0.0051);
  CHECK(off(gas::mercury, 10.44) < 0.0051);
  CHECK(off(gas::hydrogen, 15.43) < 0.0051);
}

TEST_CASE("the lowest metastable levels agree with what discharge experiments show") {
  // Mercury: the excitation step of the experiment of Franck and Hertz, 4.9 V, lies at the next level, 0.22 V higher.
  CHECK(gas::mercury.metastable < 4.9);
  CHECK(gas::mercury.metastable > 4.6);
  for (const Gas& gas : gas::all) {
    CAPTURE(gas.name);
    CHECK(gas.metastable < gas.ionisation);
    // In rare gases the first excited level takes more than half the ionisation energy, from memory of the term
    // schemes.
    const std::set<std::string> rare{"He", "Ne", "Ar", "Kr", "Xe"};
    if (rare.count(gas.symbol) != 0) CHECK(gas.metastable > 0.5 * gas.ionisation);
  }
  CHECK(gas::hydrogen.metastable == 0.0);
}

TEST_CASE("heavier gases of the rare series are ionised more easily") {
  CHECK(gas::helium.ionisation > gas::neon.ionisation);
  CHECK(gas::neon.ionisation > gas::argon.ionisation);
  CHECK(gas::argon.ionisation > gas::krypton.ionisation);
  CHECK(gas::krypton.ionisation > gas::xenon.ionisation);
  CHECK(gas::xenon.ionisation > gas::mercury.ionisation);
}

TEST_CASE("masses are those of the atoms, of the molecule for hydrogen") {
  // Square roots of the masses, by which ion speeds scale, worked by hand from IUPAC masses: H2 1.42, Ne 4.5, Ar 6.3,
  // Xe 11.5, Hg 14.2.
  CHECK(absolute_gap(std::sqrt(gas::hydrogen.mass.value), 1.42) < 0.005);
  CHECK(absolute_gap(std::sqrt(gas::neon.mass.value), 4.5) < 0.05);
  CHECK(absolute_gap(std::sqrt(gas::argon.mass.value), 6.3) < 0.05);
  CHECK(absolute_gap(std::sqrt(gas::xenon.mass.value), 11.5) < 0.05);
  CHECK(absolute_gap(std::sqrt(gas::mercury.mass.value), 14.2) < 0.05);
  CHECK(absolute_gap(gas::helium.mass.value, 4.0026) < 1e-4);  // IUPAC, from memory
  CHECK(absolute_gap(gas::krypton.mass.value, 83.80) < 0.005);
}

TEST_CASE("a level that gives its energy back as light lies between metastable level and ionisation") {
  // 8.4 V of xenon is the line at 147 nm, 11.6 V of argon that at 107 nm, 16.7 V of neon that at 74 nm; h c / e is
  // 1239.84 V nm (CODATA, from memory).
  CHECK(absolute_gap(1239.84 / gas::xenon.resonance.value, 147.0) < 0.1);
  CHECK(absolute_gap(1239.84 / gas::argon.resonance.value, 106.7) < 0.1);
  CHECK(absolute_gap(1239.84 / gas::neon.resonance.value, 74.4) < 0.1);
  CHECK(absolute_gap(1239.84 / gas::mercury.resonance.value, 253.7) < 0.1);  // the germicidal line
  for (const Gas& gas : gas::all) {
    CAPTURE(gas.name);
    CHECK(gas.resonance.value > gas.metastable.value);
    CHECK(gas.resonance.value < gas.ionisation.value);
  }
}

TEST_CASE("below half the ionisation potential no hot-cathode discharge can be ignited") {
  // Xe 6.1, Ar 7.9, Hg 5.2, Ne 10.8 eV: half the potentials, rule of "Ignition of a thermionic cathode arc",
  // J. Appl. Phys. 33, 2731 (1962), abstract.
  CHECK(absolute_gap(gas::least_ignition_voltage(gas::xenon), 6.1) < 0.05);
  CHECK(absolute_gap(gas::least_ignition_voltage(gas::argon), 7.9) < 0.05);
  CHECK(absolute_gap(gas::least_ignition_voltage(gas::mercury), 5.2) < 0.05);
  CHECK(absolute_gap(gas::least_ignition_voltage(gas::neon), 10.8) < 0.05);
}

TEST_CASE("Penning mixtures are those of the literature") {
  // Neon with a trace of argon is the fill of glow lamps; argon with mercury starts fluorescent lamps. Common knowledge
  // of the trade. Argon's metastable atoms (11.55 V) cannot ionise xenon (12.13 V).
  CHECK(gas::penning_pair(gas::neon, gas::argon));
  CHECK(gas::penning_pair(gas::neon, gas::xenon));
  CHECK(gas::penning_pair(gas::argon, gas::mercury));
  CHECK_FALSE(gas::penning_pair(gas::argon, gas::xenon));
  CHECK_FALSE(gas::penning_pair(gas::argon, gas::neon));
  CHECK_FALSE(gas::penning_pair(gas::xenon, gas::mercury));
  CHECK_FALSE(gas::penning_pair(gas::hydrogen, gas::mercury));
  for (const Gas& gas : gas::all) CHECK_FALSE(gas::penning_pair(gas, gas));
}

TEST_CASE("a Penning mixture needs less energy than its main gas alone, and sets the rest free") {
  const PenningMixture& fill = gas::neon_argon;
  fill.check();
  gas::neon_xenon.check();
  CHECK(fill.threshold() == gas::neon.metastable.value);
  CHECK(fill.threshold() < gas::neon.ionisation.value);
  CHECK(absolute_gap(fill.surplus(), 0.86) < 0.005);  // 16.62 - 15.76, by hand
  CHECK(absolute_gap(fill.mass(), 20.2785) < 1e-3);   // 0.995 x 20.1797 + 0.005 x 39.948, by hand
  CHECK(absolute_gap(gas::neon_xenon.surplus(), 4.49) < 0.005);
}

TEST_CASE("a mixture that is none is refused") {
  const auto with = [](const Gas& main, const Gas& trace, double share) {
    const PenningMixture mixture{main, trace, {share, Confidence::unverified, "made up for this test"}};
    return refusal::of([&] { mixture.check(); });
  };
  CHECK(with(gas::neon, gas::argon, 0.1) == "accepted");
  CHECK(with(gas::neon, gas::argon, 0.1001) == "Penning mixture: share");
  CHECK(with(gas::neon, gas::argon, 0.0) == "Penning mixture: share");
  CHECK(with(gas::neon, gas::argon, std::nan("")) == "Penning mixture: share");
  CHECK(with(gas::argon, gas::xenon, 0.001) == "Penning mixture: metastable level of the main gas");
}

TEST_CASE("the list holds every gas once, lightest first, each value with a source") {
  std::set<std::string> names, symbols;
  double last = 0.0;
  for (const Gas& gas : gas::all) {
    CAPTURE(gas.name);
    CHECK(names.insert(gas.name).second);
    CHECK(symbols.insert(gas.symbol).second);
    CHECK(gas.mass.value > last);
    last = gas.mass.value;
    for (const auto& datum : {gas.ionisation, gas.metastable, gas.mass}) {
      CHECK(std::strlen(datum.source) > 0);
      CHECK(datum.confidence != Confidence::unverified);
    }
  }
  CHECK(names.count("xenon") == 1);
  CHECK(names.count("mercury") == 1);
}

TEST_CASE("deuterium is hydrogen twice as heavy, and bound deeper") {
  // The atom's 2.0141 u and the molecule's 15.47 V: handbooks, from memory. The difference to hydrogen is that of the
  // two molecules' least vibration, before and after ionisation.
  CHECK(absolute_gap(gas::deuterium.mass.value, 2 * 2.0141) < 1e-4);
  CHECK(absolute_gap(gas::deuterium.ionisation.value, 15.47) < 0.0051);
  CHECK(gas::deuterium.ionisation > gas::hydrogen.ionisation);
  CHECK(gas::deuterium.resonance > gas::hydrogen.resonance);
  CHECK(gas::deuterium.metastable == 0.0);
}

TEST_CASE("helium and krypton radiate the lines of the tables") {
  CHECK(absolute_gap(1239.84 / gas::helium.resonance.value, 58.43)
        < 0.01);  // nm, tables of resonance lines, from memory
  CHECK(absolute_gap(1239.84 / gas::krypton.resonance.value, 123.58) < 0.01);
}

TEST_CASE("a gas of the user's own needs no resonance level") {
  const Sourced<double> made_up{10.0, Confidence::derived, "made up for this test"};
  const Gas own{"mine", "X", made_up, made_up, made_up};
  CHECK(own.resonance == 0.0);
  CHECK(own.resonance.confidence == Confidence::unverified);
}
