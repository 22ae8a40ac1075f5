// SPDX-License-Identifier: MIT
// Thermionic emission.
#include <gastube/adapt/dual.hpp>
#include <gastube/gas/emission.hpp>

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

TEST_CASE("the formula's figures and tungsten's published emission come out") { check_rows(published::emission); }

TEST_CASE("both ends of the oxide's constants give what oxide cathodes give") {
  // 0.1 to 1 A/cm2 of direct current at 1000 to 1100 K, handbooks, from memory: a wide band. The ends of the range of
  // pairs are no pair for the same cathode, hence a temperature each.
  const double low = emitting_surface<double>(emission::oxide_low).saturated(1100.0);
  const double high = emitting_surface<double>(emission::oxide_high).saturated(1000.0);
  for (const double emitted : {low, high}) {
    CHECK(emitted > 0.1e4);
    CHECK(emitted < 1e4);
  }
}

TEST_CASE_TEMPLATE("a cold surface emits nothing, a hotter one more", S, float, double, long double) {
  for (const EmissionConstants& constants : emission::all) {
    CAPTURE(std::string(constants.surface));
    const auto surface = emitting_surface<S>(constants);
    surface.check();
    CHECK(surface.saturated(S(0)) == S(0));
    CHECK(surface.saturated(std::numeric_limits<S>::min()) == S(0));
    CHECK(surface.saturated(S(0.5)) == S(0));
    S last = S(0);
    for (S temperature = S(600); temperature < S(3600); temperature *= S(1.01)) {
      CHECK(surface.saturated(temperature) > last);
      last = surface.saturated(temperature);
    }
  }
}

TEST_CASE("tungsten emits least, thoriated tungsten more, oxides most") {
  // Why oxide took the place of tungsten: common practice.
  const auto emits = [](const EmissionConstants& surface) {
    return emitting_surface<double>(surface).saturated(1100.0);
  };
  CHECK(emits(emission::tungsten) < 1e-6 * emits(emission::thoriated_tungsten));
  CHECK(emits(emission::thoriated_tungsten) < emits(emission::oxide_low));
  CHECK(emits(emission::oxide_low) < emits(emission::oxide_high));
}

TEST_CASE_TEMPLATE("temperature and emission are each other's inverse", S, float, double, long double) {
  constexpr unsigned long long seed = 71;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> kelvin(400, 3500), volts(0.8, 5), decade(2, 7);
  for (int k = 0; k < 200; ++k) {
    const EmittingSurface<S> surface{S(std::pow(10.0, decade(random))), S(volts(random))};
    const S temperature = S(kelvin(random)), emitted = surface.saturated(temperature);
    if (emitted < S(1e-30)) continue;  // at and below the least float
    CAPTURE(temperature);
    CAPTURE(emitted);
    // The exponent, up to 80, loses as many digits in `emitted`; the temperature wins them back.
    CHECK(relative_gap(surface.temperature_for(emitted), temperature) < 64 * rounded<S>);
  }
  // Far outside anything that glows, both ways: still a finite temperature that leads back.
  const EmittingSurface<S> surface{S(1e4), S(4.5)};
  for (const S emitted : {S(1e-25), S(1e20)}) {
    CAPTURE(emitted);
    CHECK(relative_gap(surface.saturated(surface.temperature_for(emitted)), emitted) < 500 * rounded<S>);
  }
}

TEST_CASE("derivatives follow Richardson's law") {
  using D = Dual<double, 3>;
  const EmittingSurface<D> surface{D::variable(1e4, 0), D::variable(1.2, 1)};
  const D emitted = surface.saturated(D::variable(1050.0, 2));
  const double barrier = 1.2 * constants::kelvin_per_volt / 1050;
  CHECK(relative_gap(emitted.partial(0), emitted.value() / 1e4) < 1e-14);
  CHECK(relative_gap(emitted.partial(1), -emitted.value() * barrier / 1.2) < 1e-13);
  CHECK(relative_gap(emitted.partial(2), emitted.value() * (2 + barrier) / 1050) < 1e-13);
  const EmittingSurface<D> fixed{D(1e4), D(1.2)};
  CHECK(relative_gap(fixed.temperature_for(fixed.saturated(D::variable(1050.0, 2))).partial(2), 1.0) < 1e-10);
  CHECK(fixed.saturated(D::variable(1e-300, 2)).partial(2) == 0.0);
}

TEST_CASE_TEMPLATE("impossible values are refused by name", S, float, double, long double) {
  const S nan = std::numeric_limits<S>::quiet_NaN(), infinite = std::numeric_limits<S>::infinity();
  const EmittingSurface<S> surface{S(1e4), S(1)};
  refusal::check_field(surface, &EmittingSurface<S>::a, "emitting surface: a", S(1), S(0));
  refusal::check_field(surface, &EmittingSurface<S>::work_function, "emitting surface: work_function", S(1), S(-1));
  for (const S bad : {S(-1), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return surface.saturated(bad); }) == "emitting surface: temperature");
    CHECK(refusal::of([&] { return surface.temperature_for(bad); }) == "emitting surface: current density");
  }
  CHECK(refusal::of([&] { return surface.temperature_for(S(0)); }) == "emitting surface: current density");
}
