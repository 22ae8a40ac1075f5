// SPDX-License-Identifier: MIT
// Heater against cathode, for a heater supply as it is wired.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/cathode/heater_connection.hpp>

#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {
template <class S>
const HeaterConnection<S> centre{S(6.3L)};
/// 25 V positive, 100 V negative: data sheet 2050-A, ET-T1686, dated 4-63, read from OCR text.
template <class S>
Ratings<S> rated() {
  Ratings<S> ratings;
  ratings.heater_positive = S(25);
  ratings.heater_negative = S(100);
  return ratings;
}
constexpr long double root2 = 1.41421356237309504880L;
}  // namespace

TEST_CASE_TEMPLATE("a heater tied in its middle swings half its peak either way, tied at an end all of it", S, float,
                   double, long double) {
  const double close = 8 * rounded<S>;
  CHECK(relative_gap(centre<S>.positive(), 3.15L * root2) < close);
  CHECK(relative_gap(centre<S>.negative(), 3.15L * root2) < close);
  for (const S tap : {S(0), S(1)}) {
    HeaterConnection<S> end = centre<S>;
    end.tap = tap;
    CHECK(relative_gap(end.positive(), 6.3L * root2) < close);
    CHECK(relative_gap(end.negative(), 6.3L * root2) < close);
  }
}

TEST_CASE_TEMPLATE("dc heating has no crest, and an offset shifts both ends", S, float, double, long double) {
  HeaterConnection<S> supply{S(6), S(0.5), S(20), S(0), S(1)};
  CHECK(supply.positive() == S(23));
  CHECK(supply.negative() == S(0));  // never below the cathode
  supply.offset = S(-50);
  CHECK(supply.positive() == S(0));
  CHECK(supply.negative() == S(53));
  supply.common = S(10);  // and the heater circuit's own swing comes on top
  CHECK(supply.negative() == S(63));
}

TEST_CASE_TEMPLATE("the margins are what the ratings leave", S, float, double, long double) {
  const HeaterConnection<S> supply{S(6), S(0.5), S(20), S(0), S(1)};
  const HeaterMargin<S> margin = heater_margin(supply, rated<S>());
  CHECK(margin.positive == S(2));
  CHECK(margin.negative == S(100));
  CHECK(margin.kept());
  // 18 V rms in common: 25.5 V peak, beyond what the positive side stands but not the negative.
  const HeaterMargin<S> beyond = heater_margin(HeaterConnection<S>{S(0), S(0.5), S(0), S(18)}, rated<S>());
  CHECK(relative_gap(beyond.positive, 25 - 18 * root2) < 1e2 * rounded<S>);
  CHECK(beyond.negative > S(74));
  CHECK_FALSE(beyond.kept());
  CHECK_FALSE(heater_margin(HeaterConnection<S>{S(0), S(0.5), S(-101)}, rated<S>()).kept());
  CHECK(heater_margin(HeaterConnection<S>{S(0), S(0.5), S(-100)}, rated<S>()).kept());
  const HeaterMargin<S> unrated = heater_margin(supply, Ratings<S>{});
  CHECK(unrated.positive == unlimited<S>());
  CHECK(unrated.negative == unlimited<S>());
}

TEST_CASE("the peaks are those of the waveforms, sampled") {
  const unsigned seed = 907;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int k = 0; k < 100; ++k) {
    const HeaterConnection<double> supply{10 * share(random), share(random), 60 * share(random) - 30,
                                          20 * share(random)};
    supply.check();
    double above = 0.0, below = 0.0;
    // Both ends of the heater, its supply in phase and in antiphase with the common voltage.
    for (int step = 0; step < 2000; ++step) {
      const double wave = std::sqrt(2.0) * std::sin(step * 2e-3 * std::acos(-1.0));
      for (const double phase : {1.0, -1.0})
        for (const double end : {-supply.tap, 1.0 - supply.tap}) {
          const double heater = supply.offset + wave * (supply.common + phase * end * supply.heater);
          above = std::max(above, heater);
          below = std::max(below, -heater);
        }
    }
    CAPTURE(supply.offset);
    CHECK(std::fabs(above - supply.positive()) < 1e-3);
    CHECK(std::fabs(below - supply.negative()) < 1e-3);
  }
}

TEST_CASE("derivatives stay finite for wild input") {
  using D = Dual<double, 1>;
  for (const double offset : {1e6, -1e6, 0.0, -0.0, 1e-300}) {
    const HeaterConnection<D> supply{D(6.3), D(0.5), D::variable(offset, 0)};
    CHECK(std::isfinite(supply.positive().partial(0)));
    CHECK(std::isfinite(supply.negative().partial(0)));
    CHECK(std::isfinite(supply.negative().value()));
  }
}

TEST_CASE_TEMPLATE("a heater connection refuses fields out of range", S, float, double, long double) {
  using L = HeaterConnection<S>;
  refusal::check_field(centre<S>, &L::heater, "heater connection: heater", S(0), S(-1));
  refusal::check_field(centre<S>, &L::tap, "heater connection: tap", S(0), S(-0.1));
  refusal::check_field(centre<S>, &L::tap, "heater connection: tap", S(1), S(1.1));
  refusal::check_finite_field(centre<S>, &L::offset, "heater connection: offset");
  refusal::check_field(centre<S>, &L::common, "heater connection: common", S(0), S(-1));
  refusal::check_field(centre<S>, &L::crest, "heater connection: crest", S(1), S(0.9));
  L bad = centre<S>;
  bad.tap = S(2);
  CHECK(refusal::of([&] { static_cast<void>(heater_margin(bad, Ratings<S>{})); }) == "heater connection: tap");
}
