// SPDX-License-Identifier: MIT
// The firing delay as a distribution.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/delay/jitter.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/delay_rows.hpp"
#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

template <class S>
constexpr FiringJitter<S> both{S(1e-6L), S(0.1e-6L), S(0.3e-6L)};
template <class S>
constexpr FiringJitter<S> formative{S(1e-6L), S(0.1e-6L), S(0)};
template <class S>
constexpr FiringJitter<S> laue{S(1e-6L), S(0), S(3e-6L)};
template <class S>
constexpr FiringJitter<S> fixed{S(1e-6L), S(0), S(0)};

/// Greatest distance between the law and the share of n samples, times root n.
double kolmogorov(const FiringJitter<double>& law, std::uint64_t seed, int n) {
  std::mt19937_64 random(seed);
  std::vector<double> delays;
  for (int k = 0; k < n; ++k) delays.push_back(law.sample(random));
  std::sort(delays.begin(), delays.end());
  double most = 0.0;
  for (int k = 0; k < n; ++k) {
    const double share = law.share_fired_by(delays[static_cast<std::size_t>(k)]);
    most = std::max({most, std::fabs(share - double(k) / n), std::fabs(share - double(k + 1) / n)});
  }
  return most * std::sqrt(double(n));
}

/// The same share by adding up normal weights, by Simpson's rule: nothing in common with the closed form.
double added_up(const FiringJitter<double>& law, double time) {
  const int steps = 40000;
  double sum = 0.0;
  for (int k = 0; k <= steps; ++k) {
    const double z = -8.0 + 16.0 * k / steps, left = time - law.lag - law.spread * z;
    const double waited = left > 0 ? -std::expm1(-left / law.statistical) : 0.0;
    sum += (k == 0 || k == steps ? 1 : k % 2 ? 4 : 2) * std::exp(-0.5 * z * z) * waited;
  }
  return sum * 16.0 / steps / 3.0 / std::sqrt(std::atan(1.0) * 8.0);
}

}  // namespace

TEST_CASE("sampled lags have the mean and the 63.2 % of the exponential distribution") {
  check_rows(published::delays::jitter);
}

TEST_CASE_TEMPLATE("mean and deviation are those of the two parts", S, float, double, long double) {
  CHECK(relative_gap(both<S>.mean(), 1.3e-6L) < 4 * double(round_off<S>));
  CHECK(relative_gap(both<S>.deviation(), 0.1e-6L * std::sqrt(10.0L)) < 4 * double(round_off<S>));
  CHECK(formative<S>.deviation() == formative<S>.spread);
  CHECK(laue<S>.deviation() == laue<S>.statistical);
  CHECK(fixed<S>.deviation() == S(0));
  CHECK(fixed<S>.mean() == fixed<S>.lag);
}

TEST_CASE_TEMPLATE("without statistical lag the share is the normal distribution's", S, float, double, long double) {
  const double close = 64 * double(round_off<S>);
  CHECK(formative<S>.share_fired_by(S(1e-6L)) == S(0.5));
  // Normal shares below 1, -1 and 2 deviations: mathematical tables.
  CHECK(relative_gap(formative<S>.share_fired_by(S(1.1e-6L)), 0.841344746068542948585L) < close);
  CHECK(relative_gap(formative<S>.share_fired_by(S(0.9e-6L)), 0.158655253931457051415L) < close);
  CHECK(relative_gap(formative<S>.share_fired_by(S(1.2e-6L)), 0.977249868051820792799L) < close);
}

TEST_CASE_TEMPLATE("without spread the share is exactly the exponential distribution's", S, float, double,
                   long double) {
  CHECK(laue<S>.share_fired_by(S(0.999e-6L)) == S(0));
  CHECK(laue<S>.share_fired_by(S(1e-6L)) == S(0));
  for (const S waited : {S(1e-7L), S(1e-6L), S(3e-6L), S(30e-6L)})
    CHECK(laue<S>.share_fired_by(S(S(1e-6L) + waited))
          == S(1) - math::exp(S(-(S(S(1e-6L) + waited) - S(1e-6L)) / S(3e-6L))));
}

TEST_CASE_TEMPLATE("without either every pulse fires after the lag", S, float, double, long double) {
  CHECK(fixed<S>.share_fired_by(S(0.9999e-6L)) == S(0));
  CHECK(fixed<S>.share_fired_by(S(1e-6L)) == S(1));
  for (const S share : {S(0), S(0.3), S(1)}) CHECK(fixed<S>.quantile(share) == S(1e-6L));
  CHECK(FiringJitter<S>{S(0), S(0), S(0)}.share_fired_by(S(0)) == S(1));
}

TEST_CASE("the closed form is the convolution of the two distributions") {
  for (const double statistical : {1e-9, 1e-8, 0.1e-6, 0.3e-6, 5e-6})
    for (const double time : {0.6e-6, 0.8e-6, 0.9e-6, 1e-6, 1.05e-6, 1.3e-6, 2e-6, 9e-6}) {
      CAPTURE(statistical);
      CAPTURE(time);
      const FiringJitter<double> law{1e-6, 0.1e-6, statistical};
      // Simpson's rule stumbles over the kink where the waiting begins, the more the shorter the wait.
      CHECK(absolute_gap(law.share_fired_by(time), added_up(law, time)) < 1e-5);
    }
}

TEST_CASE_TEMPLATE("either part fades into its limit", S, float, double, long double) {
  for (const S time : {S(0.7e-6L), S(0.95e-6L), S(1e-6L), S(1.1e-6L), S(2e-6L), S(20e-6L)}) {
    CAPTURE(time);
    // The wait shifts the normal distribution by itself; the slope of the share is at most 0.4 / spread.
    for (const S wait : {S(1e-12L), S(1e-20L), S(1e-30L)})
      CHECK(absolute_gap(FiringJitter<S>{S(1e-6L), S(0.1e-6L), wait}.share_fired_by(time),
                         formative<S>.share_fired_by(time))
            < double(wait) * 4e6 + 64 * double(round_off<S>));
    for (const S spread : {S(1e-12L), S(1e-20L), S(1e-30L)})
      CHECK(absolute_gap(FiringJitter<S>{S(1e-6L), spread, S(3e-6L)}.share_fired_by(time), laue<S>.share_fired_by(time))
            < double(spread) / 3e-6 + 64 * double(round_off<S>));
  }
}

TEST_CASE_TEMPLATE("the continued fraction joins the product", S, float, double, long double) {
  for (const S w : {S(3), S(4), S(6), S(8)})
    CHECK(relative_gap(normal::scaled_erfc(w), wide(math::exp(S(w * w))) * wide(std::erfc(w)))
          < (16 + 4 * double(w * w)) * double(round_off<S>));
  // Far out 1 / (w sqrt(pi)) (1 - 1 / (2 w^2) + 3 / (2 w^2)^2 - 15 / (2 w^2)^3): the asymptotic series, Abramowitz and
  // Stegun 7.1.23.
  CHECK(
      relative_gap(normal::scaled_erfc(S(1e3)), 0.56418958354775628695L / 1e3L * (1 - 0.5e-6L + 0.75e-12L - 1.875e-18L))
      < 8 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("a quantile is the inverse of the share", S, float, double, long double) {
  const unsigned seed = 853;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int k = 0; k < 300; ++k) {
    const FiringJitter<S> law{S(1e-6L), S(0.2e-6 * unit(random)), S(2e-6 * unit(random))};
    law.check();
    const S share = S(unit(random));
    CAPTURE(share);
    const S time = law.quantile(share);
    // Digits of the time are lost with its distance from zero, in deviations.
    CHECK(absolute_gap(law.share_fired_by(time), share) < 64 * double(round_off<S>) * double(time / law.deviation()));
  }
}

TEST_CASE_TEMPLATE("quantiles of the exponential distribution are logarithms", S, float, double, long double) {
  // By hand: 1 us + 3 us ln 2, and ln 10 for 90 %.
  CHECK(relative_gap(laue<S>.quantile(S(0.5)), 1e-6L + 3e-6L * 0.693147180559945309417L) < 32 * double(round_off<S>));
  CHECK(relative_gap(laue<S>.quantile(S(0.9L)), 1e-6L + 3e-6L * 2.30258509299404568402L) < 64 * double(round_off<S>));
  CHECK(laue<S>.quantile(S(1)) == unlimited<S>());
  CHECK(laue<S>.quantile(S(0)) <= S(1e-6L));
  CHECK(both<S>.quantile(S(0)) == S(0));
  CHECK(relative_gap(formative<S>.quantile(S(0.5)), 1e-6L) < 32 * double(round_off<S>));
}

TEST_CASE("later times have fired more, and nothing fires before the drive") {
  const unsigned seed = 857;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int k = 0; k < 2000; ++k) {
    const double lag = std::pow(10.0, -9 + 6 * unit(random));
    const FiringJitter<double> law{lag, 0.2 * lag * unit(random), lag * std::pow(10.0, 12 * unit(random) - 9)};
    law.check();
    const double time = law.mean() * 3 * unit(random), later = time + law.mean() * unit(random);
    CAPTURE(lag);
    CAPTURE(time);
    CHECK(law.share_fired_by(later) >= law.share_fired_by(time) - 1e-15);
    CHECK(law.share_fired_by(time) >= 0.0);
    CHECK(law.share_fired_by(later) <= 1.0);
    CHECK(law.share_fired_by(-time - 1e-300) == 0.0);
  }
}

TEST_CASE("samples are spread as the law says") {
  const std::uint64_t seed = 863;
  CAPTURE(seed);
  // Beyond 1.95 in one of a thousand sets of samples: A. N. Kolmogorov's distribution, mathematical tables.
  CHECK(kolmogorov(both<double>, seed, 10000) < 1.95);
  CHECK(kolmogorov(formative<double>, seed + 1, 10000) < 1.95);
  CHECK(kolmogorov(laue<double>, seed + 2, 10000) < 1.95);
  CHECK(kolmogorov({1e-6, 0.2e-6, 1e-9}, seed + 3, 10000) < 1.95);
}

TEST_CASE("the mean and the deviation of samples are those stated") {
  const std::uint64_t seed = 877;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  const int n = 20000;
  double sum = 0.0, squares = 0.0;
  for (int k = 0; k < n; ++k) {
    const double delay = both<double>.sample(random);
    sum += delay;
    squares += delay * delay;
  }
  const double mean = sum / n, deviation = std::sqrt(squares / n - mean * mean);
  // Three standard errors: of the mean deviation / sqrt(n), of the deviation about 1.4 times that for such a tail.
  CHECK(absolute_gap(mean, both<double>.mean()) < 3 * both<double>.deviation() / std::sqrt(double(n)));
  CHECK(relative_gap(deviation, both<double>.deviation()) < 3 * 1.4 / std::sqrt(double(n)));
}

namespace {
/// Counts up: not random, so that the numbers made of it are known.
struct Counter {
  std::uint32_t next = 0;
  std::uint32_t operator()() { return next++; }
  static constexpr std::uint32_t min() { return 0; }
  static constexpr std::uint32_t max() { return 0xffffffffu; }
};
/// Always the same number out of 1 to 6.
struct Die {
  unsigned face;
  unsigned operator()() const { return face; }
  static constexpr unsigned min() { return 1; }
  static constexpr unsigned max() { return 6; }
};
}  // namespace

TEST_CASE_TEMPLATE("uniform numbers come from any generator, strictly between 0 and 1", S, float, double, long double) {
  Counter counter;
  const S first = open_unit<S>(counter);
  CHECK(first > S(0));
  CHECK(first < S(1e-7));  // 0 from one draw, or 0 and 1 from two
  CHECK(counter.next == (sizeof(S) == sizeof(float) ? 1u : 2u));
  Die ones{1}, sixes{6}, threes{3};
  CHECK(open_unit<S>(ones) > S(0));
  CHECK(open_unit<S>(sixes) < S(1));
  CHECK(open_unit<S>(sixes) > S(0.999L));
  // 2/6 + 2/36 + ... = 2/5
  CHECK(relative_gap(open_unit<S>(threes), 0.4L) < 4 * double(round_off<S>));
}

TEST_CASE("the same generator gives the same delay everywhere") {
  // The generator's first number is fixed by the language's standard (14514284786278117030); the quantile was worked by
  // hand: 1 us - 3 us ln(1 - 14514284786278117030 / 2^64).
  std::mt19937_64 random;
  CHECK(relative_gap(laue<double>.sample(random),
                     1e-6 - 3e-6 * std::log1p(-14514284786278117030.0 / 18446744073709551616.0))
        < 1e-13);
}

TEST_CASE("derivatives follow the distribution") {
  using D = Dual<double, 4>;
  const auto law = [](double lag, double spread, double statistical) {
    return FiringJitter<D>{D::variable(lag, 1), D::variable(spread, 2), D::variable(statistical, 3)};
  };
  for (const double time : {0.8, 0.95, 1.0, 1.2, 2.0}) {
    CAPTURE(time);
    const D share = law(1.0, 0.1, 0.3).share_fired_by(D::variable(time, 0));
    using J = FiringJitter<double>;
    CHECK(slopes::agrees([](double t) { return J{1.0, 0.1, 0.3}.share_fired_by(t); }, time, share.partial(0)));
    CHECK(slopes::agrees([&](double x) { return J{x, 0.1, 0.3}.share_fired_by(time); }, 1.0, share.partial(1)));
    CHECK(slopes::agrees([&](double x) { return J{1.0, x, 0.3}.share_fired_by(time); }, 0.1, share.partial(2)));
    CHECK(slopes::agrees([&](double x) { return J{1.0, 0.1, x}.share_fired_by(time); }, 0.3, share.partial(3)));
  }
  for (const double time : {1e6, -1e6, 0.0, -0.0, 1e-300, 1e-6})
    for (const double statistical : {0.0, 1e-300, 1e-9, 1e6}) {
      CAPTURE(time);
      CAPTURE(statistical);
      const D share = law(1e-6, 1e-7, statistical).share_fired_by(D::variable(time, 0));
      CHECK(std::isfinite(share.value()));
      for (std::size_t k = 0; k < 4; ++k) CHECK(std::isfinite(share.partial(k)));
    }
}

TEST_CASE_TEMPLATE("a firing jitter refuses fields out of range", S, float, double, long double) {
  using L = FiringJitter<S>;
  refusal::check_field(fixed<S>, &L::lag, "firing jitter: lag", S(0), S(-1e-9));
  refusal::check_field(fixed<S>, &L::spread, "firing jitter: spread", S(0.2e-6L), S(-1e-9));
  refusal::check_field(fixed<S>, &L::spread, "firing jitter: spread", S(0.19e-6L), S(0.21e-6L));
  refusal::check_field(fixed<S>, &L::statistical, "firing jitter: statistical", S(0), S(-1e-9));
  for (const S share : {S(-1e-9), S(1.001), std::numeric_limits<S>::quiet_NaN()})
    CHECK(refusal::of([&] { return both<S>.quantile(share); }) == "firing jitter: share");
}
