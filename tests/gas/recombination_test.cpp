// SPDX-License-Identifier: MIT
// Recombination in the volume, and the molecular ions it needs.
#include <gastube/adapt/dual.hpp>
#include <gastube/gas/recombination.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/gas_rows.hpp"
#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("coefficients agree with later ones within a third, but for xenon and cold H3+") {
  check_rows(published::recombination);
}

TEST_CASE_TEMPLATE("at 300 K the coefficient is the tabled one, and hot electrons are caught less", S, float, double,
                   long double) {
  for (const Recombination& ion : {recombination::neon, recombination::argon, recombination::krypton,
                                   recombination::xenon, recombination::hydrogen}) {
    CAPTURE(std::string(ion.ion));
    ion.check();
    CHECK(relative_gap(ion.coefficient(S(300)), ion.at_300.value) < 2 * rounded<S>);
    CHECK(relative_gap(ion.coefficient(S(1200)), ion.at_300 / 2) < 8 * rounded<S>);  // square root, by hand
    CHECK(ion.coefficient(S(11600)) < ion.coefficient(S(3000)));
    CHECK(ion.coefficient(S(77)) > ion.coefficient(S(300)));
  }
}

TEST_CASE("heavier molecular ions recombine faster") {
  // Phys. Rev. 132, 1445 (1963), abstract; the later values keep the order.
  CHECK(recombination::helium_bound.at_300 < recombination::neon.at_300);
  CHECK(recombination::neon.at_300 < recombination::argon.at_300);
  CHECK(recombination::argon.at_300 < recombination::krypton.at_300);
  CHECK(recombination::krypton.at_300 < recombination::xenon.at_300);
  for (std::size_t k = 1; k < recombination::later.size(); ++k)
    CHECK(recombination::later[k].at_300 > recombination::later[k - 1].at_300);
  CHECK(recombination::radiative < recombination::helium_bound.at_300);  // without a molecule hardly any
}

TEST_CASE("volume recombination is nothing in thyratrons and everything in glow lamps") {
  const double thin = number_density(0.1 * constants::torr, 300.0), dense = number_density(60 * constants::torr, 300.0);
  const double xenon_waits = 1 / recombination::xenon_conversion.rate(thin);
  CHECK(relative_gap(xenon_waits, 0.39) < 0.02);  // s, worked here
  CHECK(xenon_waits > 1e3 * 40e-6);               // against 40 us of diffusion
  const double neon_waits = 1 / recombination::neon_conversion.rate(dense);
  CHECK(relative_gap(neon_waits, 6.1e-6) < 0.005);                          // s, worked here
  CHECK(neon_waits < 1 / (recombination::neon.coefficient(300.0) * 1e17));  // no bottleneck at 1e11 /cm3
}

TEST_CASE_TEMPLATE("conversion goes as the square of the gas density, in every scalar", S, float, double, long double) {
  const IonConversion& neon = recombination::neon_conversion;
  CHECK(neon.rate(S(0)) == S(0));
  CHECK(relative_gap(neon.rate(S(2e24)) / neon.rate(S(1e24)), 4.0) < 8 * rounded<S>);
  // 4.4e-44 m^6/s by 1e48 /m^6, by hand: as float the constant alone would be no number of use.
  CHECK(relative_gap(neon.rate(S(1e24)), 4.4e4) < 16 * rounded<S>);
}

TEST_CASE_TEMPLATE("two electrons and an ion recombine the faster the colder and denser they are", S, float, double,
                   long double) {
  CHECK(three_body_recombination(S(1), S(0)) == S(0));
  CHECK(relative_gap(three_body_recombination(S(1), S(1e20)), 8.75e-19) < 8 * rounded<S>);
  // 8.75e-39 * 0.1^-4.5 * 1e20, worked here.
  CHECK(relative_gap(three_body_recombination(S(0.1L), S(1e20)), 2.76699295e-14) < 1e-6);
  CHECK(relative_gap(three_body_recombination(S(0.2L), S(1e20)) / three_body_recombination(S(0.1L), S(1e20)),
                     std::pow(2.0, -4.5))
        < 32 * rounded<S>);
  CHECK(three_body_recombination(S(0.3L), S(1e12)) > S(0));  // as float too
}

TEST_CASE("slopes follow the powers") {
  using D = Dual<double, 1>;
  const D coefficient = recombination::argon.coefficient(D::variable(900.0, 0));
  CHECK(relative_gap(coefficient.partial(0), -0.5 * coefficient.value() / 900) < 1e-14);
  const D rate = recombination::argon_conversion.rate(D::variable(1e24, 0));
  CHECK(relative_gap(rate.partial(0), 2 * rate.value() / 1e24) < 1e-14);
}

TEST_CASE_TEMPLATE("impossible values are refused by name", S, float, double, long double) {
  const S nan = std::numeric_limits<S>::quiet_NaN(), infinite = std::numeric_limits<S>::infinity();
  for (const S bad : {S(0), S(-1), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return recombination::neon.coefficient(bad); }) == "recombination: electron temperature");
    CHECK(refusal::of([&] { return three_body_recombination(bad, S(1)); })
          == "three-body recombination: electron temperature");
  }
  for (const S bad : {S(-1), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return three_body_recombination(S(1), bad); }) == "three-body recombination: density");
    CHECK(refusal::of([&] { return recombination::neon_conversion.rate(bad); }) == "ion conversion: gas density");
  }
}

TEST_CASE("coefficients that are none are refused by name") {
  Recombination spoilt = recombination::neon;
  spoilt.at_300.value = 0.0;
  CHECK(refusal::of([&] { spoilt.check(); }) == "recombination: at_300");
  spoilt = recombination::neon;
  spoilt.exponent.value = -0.1;
  CHECK(refusal::of([&] { spoilt.check(); }) == "recombination: exponent");
}
