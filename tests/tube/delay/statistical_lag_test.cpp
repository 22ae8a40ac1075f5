// SPDX-License-Identifier: MIT
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/delay/statistical_lag.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/glow_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
[[nodiscard]] OvervoltageLag<S> formative() {
  return {.scale = S(3e-6L), .exponent = S(1.5L), .least = S(1e-6L)};
}
/// Moments and quantiles of many samples.
struct Sample {
  double mean = 0, share_by_mean = 0;
  Sample(const LaueLag<double>& law, unsigned seed, int count) {
    std::mt19937_64 random(seed);
    for (int k = 0; k < count; ++k) {
      const double lag = law.sample(random);
      mean += lag / count;
      if (lag <= law.mean()) share_by_mean += 1.0 / count;
    }
  }
};

}  // namespace

TEST_CASE_TEMPLATE("the formative lag falls with the overvoltage by its power", S, float, double, long double) {
  const double close = 64 * double(round_off<S>);
  // Struck at 80 V; at 160 V the ratio is 1, at 100 V a quarter, and 0.25^1.5 is 1/8: by hand
  CHECK(relative_gap(formative<S>().delay(S(80), S(160)), 4e-6L) < close);
  CHECK(relative_gap(formative<S>().delay(S(20), S(100)), 25e-6L) < close);
  CHECK(relative_gap(formative<S>().rate(S(20), S(100)), 40e3L) < close);
  OvervoltageLag<S> waiting = formative<S>();
  waiting.wait = S(1e-3L);
  CHECK(relative_gap(waiting.delay(S(20), S(100)), 1025e-6L) < close);
  CHECK(relative_gap(S(S(1) / waiting.rate(S(20), S(100))), 1025e-6L) < close);
}

TEST_CASE_TEMPLATE("without overvoltage a gap never forms", S, float, double, long double) {
  for (const S over : {S(0), S(-0.0), S(-1e-8L), S(-50), S(-1e6)}) {
    CHECK(formative<S>().rate(over, S(80)) == S(0));
    CHECK_FALSE(is_limited(formative<S>().delay(over, S(80))));
  }
}

TEST_CASE("rates and their derivatives are finite at any voltage, and more overvoltage is never slower") {
  const unsigned seed = 83;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(-200, 500), more(0, 50);
  using D = Dual<double, 2>;
  const OvervoltageLag<D> law = formative<D>();
  for (const double over : {0.0, -0.0, 1e-300, 1e-20, 1e-8, 1e6, -1e6})
    for (const double plate : {0.0, 1e-300, -1e6, 1e6, 80.0}) {
      const D rate = law.rate(D::variable(over, 0), D::variable(plate, 1));
      CHECK(std::isfinite(rate.value()));
      CHECK(std::isfinite(rate.partial(0)));
      CHECK(std::isfinite(rate.partial(1)));
    }
  for (int k = 0; k < 2000; ++k) {
    const double strike = 90, plate = volts(random), up = plate + more(random);
    CHECK(formative<double>().rate(up - strike, up) >= formative<double>().rate(plate - strike, plate));
  }
}

TEST_CASE_TEMPLATE("the first electron comes sooner in light and soon after the last discharge", S, float, double,
                   long double) {
  const FirstElectron<S> law{.in_light = S(1e-3L), .light = S(0.01L), .afterglow = S(0.99L), .fading = S(2)};
  const double close = 16 * double(round_off<S>);
  CHECK(relative_gap(law.mean(S(0)), 1e-3L) < close);
  CHECK(relative_gap(law.mean(S(2)), 1e-3L / (0.01L + 0.495L)) < close);
  CHECK(relative_gap(law.mean(unlimited<S>()), 0.1L) < close);
  CHECK(law.mean(S(-1)) == law.mean(S(0)));
  CHECK(law.mean(S(1)) < law.mean(S(10)));
  const FirstElectron<S> lightless{.in_light = S(1e-3L), .light = S(0)};
  CHECK_FALSE(is_limited(lightless.mean(S(0))));
}

TEST_CASE_TEMPLATE("share and quantile of Laue's law are each other's inverse", S, float, double, long double) {
  const LaueLag<S> law{S(2e-3L), S(5e-3L)};
  CHECK(law.share_fired_by(S(1.9e-3L)) == S(0));
  CHECK(law.share_fired_by(S(-1)) == S(0));
  CHECK(law.share_fired_by(S(1e6)) == S(1));
  CHECK(law.quantile(S(0)) == S(2e-3L));
  CHECK_FALSE(is_limited(law.quantile(S(1))));
  CHECK(relative_gap(law.quantile(S(0.5)), 2e-3L + 5e-3L * std::log(2.0L)) < 16 * double(round_off<S>));
  for (const S share : {S(0.01L), S(0.3L), S(0.9L), S(0.999L)})
    CHECK(relative_gap(law.share_fired_by(law.quantile(share)), share) < 1e3 * double(round_off<S>));
  const LaueLag<S> certain{S(2e-3L), S(0)};
  CHECK(certain.share_fired_by(S(1.99e-3L)) == S(0));
  CHECK(certain.share_fired_by(S(2.01e-3L)) == S(1));
  CHECK(certain.quantile(S(1)) == S(2e-3L));
}

TEST_CASE("500 sampled lags have the mean of the law and its share, and come again with the same seed") {
  // 500 trials suffice: M. K. Radovic et al., Bulg. J. Phys. 27 S3, 179 (2000), abstract. Four standard errors.
  const unsigned seed = 84;
  CAPTURE(seed);
  const LaueLag<double> law{2e-3, 5e-3};
  const Sample first(law, seed, 500), again(law, seed, 500);
  CHECK(std::fabs(first.mean - 7e-3) < 4 * 5e-3 / std::sqrt(500.0));
  CHECK(std::fabs(first.share_by_mean - (1 - std::exp(-1.0))) < 4 * 0.482 / std::sqrt(500.0));
  CHECK(first.mean == again.mean);
  CHECK(first.mean != Sample(law, seed + 1, 500).mean);
}

TEST_CASE("a sampled lag has the derivatives of its law") {
  using D = Dual<double, 2>;
  std::mt19937_64 random(85), same(85);
  const LaueLag<D> law{D::variable(2e-3, 0), D::variable(5e-3, 1)};
  const D lag = law.sample(random);
  CHECK(lag.partial(0) == 1.0);
  CHECK(relative_gap(lag.partial(1), (lag.value() - 2e-3) / 5e-3) < 1e-12);
  CHECK(lag.value() == LaueLag<double>{2e-3, 5e-3}.sample(same));
}

TEST_CASE("without a spread the jitter of hot cathodes is Laue's law") {
  const LaueLag<double> law{2e-3, 5e-3};
  const FiringJitter<double> jitter{2e-3, 0.0, 5e-3};
  for (const double time : {1e-3, 3e-3, 7e-3, 30e-3})
    CHECK(std::fabs(law.share_fired_by(time) - jitter.share_fired_by(time)) < 1e-14);
  for (const double share : {0.1, 0.5, 0.99}) CHECK(relative_gap(law.quantile(share), jitter.quantile(share)) < 1e-9);
}

TEST_CASE("flashes and lags beside the published") { check_rows(published::glow_tubes::flashes); }

TEST_CASE_TEMPLATE("lag laws refuse fields out of range", S, float, double, long double) {
  using Law = OvervoltageLag<S>;
  refusal::check_field(formative<S>(), &Law::scale, "overvoltage lag: scale", S(1e-9L), S(0));
  refusal::check_field(formative<S>(), &Law::exponent, "overvoltage lag: exponent", S(2), S(0.9L));
  refusal::check_field(formative<S>(), &Law::least, "overvoltage lag: least", S(0), S(-1e-9L));
  refusal::check_field(formative<S>(), &Law::wait, "overvoltage lag: wait", S(0), S(-1e-9L));
  using First = FirstElectron<S>;
  const First first{S(1), S(1), S(1), S(1)};
  refusal::check_field(first, &First::in_light, "first electron: in_light", S(1e-9L), S(0));
  refusal::check_field(first, &First::light, "first electron: light", S(0), S(-1e-9L));
  refusal::check_field(first, &First::afterglow, "first electron: afterglow", S(0), S(-1e-9L));
  refusal::check_field(first, &First::fading, "first electron: fading", S(1e-9L), S(0));
  using Laue = LaueLag<S>;
  refusal::check_field(Laue{S(1), S(1)}, &Laue::formative, "statistical lag: formative", S(0), S(-1e-9L));
  refusal::check_field(Laue{S(1), S(1)}, &Laue::statistical, "statistical lag: statistical", S(0), S(-1e-9L));
  const auto quantile = [](S share) {
    return refusal::of([&] { static_cast<void>(Laue{S(1), S(1)}.quantile(share)); });
  };
  CHECK(quantile(S(0.5)) == "accepted");
  CHECK(quantile(S(-0.01L)) == "statistical lag: share");
  CHECK(quantile(S(1.01L)) == "statistical lag: share");
}
