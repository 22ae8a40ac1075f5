// SPDX-License-Identifier: MIT
// Emission against heater voltage, and warm-up with it.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/cathode/heater.hpp>

#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {
template <class S>
const HeaterEmission<S> oxide{emitting_surface<S>(emission::oxide_low), S(1100), S(0.5)};
template <class S>
const HeatedCathode<S> heated{{S(10), S(4)}, oxide<S>, S(1), S(0.1L)};
template <class S>
HeatedCathode<S> at(S ratio) {
  HeatedCathode<S> cathode = heated<S>;
  cathode.ratio = ratio;
  return cathode;
}
}  // namespace

TEST_CASE_TEMPLATE("temperature goes with a power of the heater voltage, emission by Richardson's law", S, float,
                   double, long double) {
  const double close = 64 * rounded<S>;
  CHECK(oxide<S>.temperature(S(1)) == S(1100));
  CHECK(relative_gap(oxide<S>.temperature(S(0.81L)), 990.0L) < close);  // by hand: root of 0.81 is 0.9
  CHECK(oxide<S>.share(S(1)) == S(1));
  // By hand: 0.81 exp(-11604.518 / 1100 (1/0.9 - 1)).
  CHECK(relative_gap(oxide<S>.share(S(0.81L)), 0.81L * std::exp(-11604.518121550082L / 9900)) < close);
  CHECK(oxide<S>.share(S(0)) == S(0));
  CHECK(oxide<S>.share(S(-1)) == S(0));
}

TEST_CASE("ten per cent of heater voltage nearly double or halve the emission") {
  // No data: the law's own slope, d ln share / d ln V = n (2 + e phi / kT), by hand, 5.2 to 7.6 for oxides; and that a
  // tenth either way is no small matter, as heater tolerances of 10 % suggest.
  for (const double exponent : {0.4, 0.5})
    for (const auto& constants : {emission::oxide_low, emission::oxide_high}) {
      const HeaterEmission<double> heater{emitting_surface<double>(constants), 1050.0, exponent};
      heater.check();
      CAPTURE(exponent);
      const double slope = exponent * (2 + constants.work_function * constants::kelvin_per_volt / 1050.0);
      CHECK(relative_gap(slopes::central([&](double ratio) { return heater.share(ratio); }, 1.0), slope) < 1e-8);
      CHECK(heater.share(0.9) > 0.4);
      CHECK(heater.share(0.9) < 0.6);
      CHECK(heater.share(1.1) > 1.6);
      CHECK(heater.share(1.1) < 2.2);
    }
}

TEST_CASE("more heater voltage never emits less, whatever the cathode") {
  const unsigned seed = 883;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int k = 0; k < 2000; ++k) {
    const HeaterEmission<double> heater{{std::pow(10.0, 2 + 4 * share(random)), 0.8 + 4 * share(random)},
                                        700 + 1800 * share(random),
                                        0.3 + 0.3 * share(random)};
    heater.check();
    const double ratio = 1.5 * share(random), more = ratio * (1 + share(random));
    CAPTURE(ratio);
    CAPTURE(more);
    CHECK(heater.share(more) >= heater.share(ratio));
    CHECK(heater.temperature(more) >= heater.temperature(ratio));
    CHECK((heater.share(more) > 1.0) == (more > 1.0));
  }
}

TEST_CASE_TEMPLATE("at rated heater voltage a heated cathode warms like a plain one", S, float, double, long double) {
  for (const S time : {S(-1), S(0), S(0.5), S(10), S(1000)})
    CHECK(heated<S>.emission(time) == heated<S>.warming.emission(time));
  CHECK(heated<S>.heating_time() == S(10));
  CHECK(heated<S>.within_tolerance());
}

TEST_CASE_TEMPLATE("within the tolerance the rated heating time holds, below it more or no end of it", S, float, double,
                   long double) {
  for (const S ratio : {S(0.9L), S(0.95), S(1.1L), S(1.5)}) CHECK(at(ratio).heating_time() == S(10));
  CHECK(at(S(0.9L)).within_tolerance());
  CHECK(at(S(1.1L)).within_tolerance());
  CHECK_FALSE(at(S(0.89)).within_tolerance());
  CHECK_FALSE(at(S(1.11)).within_tolerance());
  const HeatedCathode<S> weak = at(S(0.895));
  CHECK(weak.heating_time() > S(10));
  CHECK(weak.heating_time() < S(15));
  // Ready means the emission of a tube at the lowest voltage in tolerance, after the rated time.
  CHECK(relative_gap(weak.emission(weak.heating_time()), at(S(0.9L)).emission(S(10))) < 1e3 * rounded<S>);
  for (const S ratio : {S(0), S(0.5), S(0.88)}) CHECK(at(ratio).heating_time() == unlimited<S>());
}

TEST_CASE("the heating time shortens with heater voltage, and emission grows with it and with time") {
  const unsigned seed = 887;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int k = 0; k < 1000; ++k) {
    HeatedCathode<double> cathode{{60 * share(random), 1 + 30 * share(random)},
                                  {{100.0, 0.9 + 0.5 * share(random)}, 900 + 300 * share(random), 0.45},
                                  0.7 + 0.4 * share(random),
                                  0.3 * share(random)};
    cathode.check();
    const double time = 60 * share(random), emitted = cathode.emission(time), wait = cathode.heating_time();
    CHECK(wait >= cathode.warming.heating);
    CHECK(cathode.emission(time + 1.0) >= emitted);
    cathode.ratio += 0.2 * share(random);
    CHECK(cathode.emission(time) >= emitted);
    CHECK(cathode.heating_time() <= wait);
  }
}

TEST_CASE("values and derivatives stay finite for wild input, and derivatives are slopes") {
  using D = Dual<double, 1>;
  const HeaterEmission<D> heater{{D(100), D(1)}, D(1100), D(0.45)};
  for (const double ratio : {1e6, -1e6, 0.0, -0.0, 1e-300, 0.2, 1.0}) {
    CAPTURE(ratio);
    const D share = heater.share(D::variable(ratio, 0));
    CHECK(std::isfinite(share.value()));
    CHECK(std::isfinite(share.partial(0)));
  }
  const HeaterEmission<double> plain{{100, 1}, 1100, 0.45};
  for (const double ratio : {0.5, 0.9, 1.0, 1.2})
    CHECK(slopes::agrees([&](double r) { return plain.share(r); }, ratio,
                         heater.share(D::variable(ratio, 0)).partial(0)));
  for (const double ratio : {0.0, 0.8, 0.895, 1.0, 2.0}) {
    const HeatedCathode<D> cathode{{D(10), D(4)}, heater, D::variable(ratio, 0), D(0.1)};
    for (const double time : {-1e6, -0.0, 0.0, 1e-300, 7.0, 1e6})
      CHECK(std::isfinite(cathode.emission(D(time)).partial(0)));
    CHECK(std::isfinite(cathode.heating_time().partial(0)));
  }
}

TEST_CASE_TEMPLATE("heater and heated cathode refuse fields out of range", S, float, double, long double) {
  using H = HeaterEmission<S>;
  refusal::check_field(oxide<S>, &H::operating_temperature, "heater: operating_temperature", S(1000), S(499));
  refusal::check_field(oxide<S>, &H::exponent, "heater: exponent", S(0.4), S(0.2));
  refusal::check_field(oxide<S>, &H::exponent, "heater: exponent", S(0.5), S(0.7));
  using C = HeatedCathode<S>;
  refusal::check_field(heated<S>, &C::ratio, "heated cathode: ratio", S(0), S(-0.1));
  refusal::check_field(heated<S>, &C::ratio, "heated cathode: ratio", S(2), S(2.1));
  refusal::check_field(heated<S>, &C::tolerance, "heated cathode: tolerance", S(0), S(-0.1));
  refusal::check_field(heated<S>, &C::tolerance, "heated cathode: tolerance", S(0.5), S(1));
  C bad = heated<S>;
  bad.warming.time_constant = S(0);
  CHECK(refusal::of([&] { bad.check(); }) == "cathode: time_constant");
  bad = heated<S>;
  bad.heater.surface.a = S(0);
  CHECK(refusal::of([&] { bad.check(); }) == "emitting surface: a");
}
