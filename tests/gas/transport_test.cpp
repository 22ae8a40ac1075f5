// SPDX-License-Identifier: MIT
// Mobility and diffusion of ions.
#include <gastube/adapt/dual.hpp>
#include <gastube/gas/transport.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/gas_rows.hpp"
#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("diffusion coefficients and repeated mobilities come out, but for one of the argon molecule") {
  check_rows(published::transport);
}

TEST_CASE("plasma leaves faster the lighter its gas: hydrogen, neon, argon, xenon, mercury") {
  // Da p of 479, 173, 69, 25, 10 cm2 Torr/s, worked from the mobilities; equal pressure, temperature and electron
  // ratio.
  const auto plasma = [](const IonMobility& ion) { return ambipolar_diffusion(ion, 10.0, 320.0, 5.0); };
  CHECK(plasma(transport::hydrogen) > plasma(transport::neon));
  CHECK(plasma(transport::neon) > plasma(transport::argon));
  CHECK(plasma(transport::argon) > plasma(transport::krypton));
  CHECK(plasma(transport::krypton) > plasma(transport::xenon));
  CHECK(plasma(transport::xenon) > plasma(transport::mercury));
  CHECK(plasma(transport::helium) > plasma(transport::neon));
}

TEST_CASE("mobilities of isotopes differ as the square root of the reduced mass") {
  // Two abstracts' values against each other: at equal density and temperature the mobility of an ion that only
  // polarises its gas goes as 1 / sqrt(reduced mass), hence sqrt(2) from hydrogen to deuterium. Stated error: 0.6/15.7
  // and 0.5/11.1.
  const auto& [light, heavy, light3, heavy3] =
      std::array{transport::proton, transport::deuteron, transport::hydrogen, transport::deuterium};
  CHECK(relative_gap(light.reduced / heavy.reduced, std::sqrt(2.0)) < 0.6 / 15.7);
  CHECK(relative_gap(light3.reduced / heavy3.reduced, std::sqrt(2.0)) < 0.5 / 11.1);
  CHECK(relative_gap(heavy.mass / light.mass, 2.0) < 2e-3);  // 2.0141 and 1.008 u
  CHECK(relative_gap(light3.mass, 3.024) < 1e-6);
}

TEST_CASE_TEMPLATE("mobility goes as temperature over pressure, and at Loschmidt's density is the reduced one", S,
                   float, double, long double) {
  constexpr unsigned long long seed = 43;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> decade(-3, 5), kelvin(200, 1000);
  const S reduced = S(transport::xenon.reduced.value);
  CHECK(relative_gap(mobility(reduced, S(constants::atmosphere), S(constants::ice_point)), reduced) < 8 * rounded<S>);
  for (int k = 0; k < 100; ++k) {
    const S p = S(std::pow(10.0, decade(random))), t = S(kelvin(random));
    CAPTURE(p);
    CAPTURE(t);
    const long double expected = wide(reduced) * wide(constants::atmosphere / constants::ice_point) / wide(p) * wide(t);
    CHECK(relative_gap(mobility(reduced, p, t), expected) < 8 * rounded<S>);
    // Einstein: D e / (mu k T) = 1.
    const S moving = mobility(reduced, p, t), spread = ion_diffusion(moving, t);
    CHECK(relative_gap(spread / moving, constants::boltzmann * double(t) / constants::elementary_charge)
          < 8 * rounded<S>);
    CHECK(relative_gap(ambipolar_diffusion(transport::xenon, p, t), S(2) * spread) < 8 * rounded<S>);
  }
}

TEST_CASE_TEMPLATE("hot electrons draw the ions after them", S, float, double, long double) {
  CHECK(ambipolar_diffusion(S(3), S(0)) == S(3));  // cold electrons leave the ions to themselves
  CHECK(ambipolar_diffusion(S(3), S(1)) == S(6));
  CHECK(ambipolar_diffusion(S(3), S(39)) == S(120));
  // Just after conduction the electrons have about 1 eV: a ratio of 39 to gas at 300 K, worked here.
  CHECK(relative_gap(S(1) / electron_volts(S(300)), 38.68) < 1e-4);
  CHECK(electron_volts(S(0)) == S(0));
}

TEST_CASE_TEMPLATE("Bohm's speed squared times the mass is the electrons' energy", S, float, double, long double) {
  for (const Gas& gas : gas::all) {
    CAPTURE(std::string(gas.name));
    for (const S volts : {S(0.02586), S(1), S(5)}) {
      const long double speed = wide(bohm_speed(volts, S(gas.mass.value)));
      const long double energy = wide(constants::atomic_mass.value) * wide(gas.mass.value) * speed * speed;
      CHECK(relative_gap(energy / wide(constants::elementary_charge.value), volts) < 16 * rounded<S>);
    }
  }
  CHECK(bohm_speed(S(0), S(4)) == S(0));
}

TEST_CASE("diffusion has the slopes of its formula") {
  using D = Dual<double, 2>;
  const D spread = ambipolar_diffusion(transport::neon, D::variable(50.0, 0), D(300.0), D::variable(4.0, 1));
  CHECK(relative_gap(spread.partial(0), -spread.value() / 50) < 1e-13);
  CHECK(relative_gap(spread.partial(1), spread.value() / 5) < 1e-13);
}

TEST_CASE("every ion is heavier than nothing, moves, and belongs to a gas that it is made of") {
  const auto check_ion = [](const IonMobility& ion) {
    CAPTURE(std::string(ion.ion));
    CHECK(ion.reduced > 0.0);
    const double atoms = ion.mass / ion.gas.mass;
    CHECK((atoms == 0.5 || atoms == 1.0 || atoms == 1.5 || atoms == 2.0));
    CHECK(std::string(ion.ion).substr(0, 1) == std::string(ion.gas.symbol).substr(0, 1));
  };
  for (const IonMobility& ion : transport::molecular) check_ion(ion);
  for (const IonMobility& ion : transport::repeated) check_ion(ion);
  for (const IonMobility& ion :
       {transport::helium, transport::neon, transport::argon, transport::krypton, transport::xenon, transport::mercury,
        transport::proton, transport::hydrogen, transport::deuteron, transport::deuterium})
    check_ion(ion);
  // Measured: an atomic ion is slowed by changing charge with the atoms, its molecule is not (Biondi and Chanin 1954).
  CHECK(transport::molecular[1].reduced > transport::neon.reduced);
  CHECK(transport::molecular[4].reduced > transport::xenon.reduced);
  CHECK(transport::mercury.reduced.confidence == Confidence::unverified);
}

TEST_CASE_TEMPLATE("impossible values are refused by name", S, float, double, long double) {
  const S nan = std::numeric_limits<S>::quiet_NaN(), infinite = std::numeric_limits<S>::infinity();
  for (const S bad : {S(0), S(-1), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return mobility(bad, S(1), S(300)); }) == "mobility: reduced mobility");
    CHECK(refusal::of([&] { return mobility(S(1), bad, S(300)); }) == "mobility: pressure");
    CHECK(refusal::of([&] { return mobility(S(1), S(1), bad); }) == "ideal gas: temperature");
    CHECK(refusal::of([&] { return ion_diffusion(bad, S(300)); }) == "ion diffusion: mobility");
    CHECK(refusal::of([&] { return ion_diffusion(S(1), bad); }) == "ion diffusion: temperature");
    CHECK(refusal::of([&] { return ambipolar_diffusion(bad, S(1)); }) == "ambipolar diffusion: ion diffusion");
    CHECK(refusal::of([&] { return bohm_speed(S(1), bad); }) == "Bohm speed: mass");
  }
  for (const S bad : {S(-0.01), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return ambipolar_diffusion(S(1), bad); }) == "ambipolar diffusion: temperature ratio");
    CHECK(refusal::of([&] { return bohm_speed(bad, S(4)); }) == "Bohm speed: electron temperature");
    CHECK(refusal::of([&] { return electron_volts(bad); }) == "electron temperature: temperature");
  }
}
