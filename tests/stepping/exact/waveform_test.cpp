// SPDX-License-Identifier: MIT
// Waveforms drawn at random against the same sums written out in complex long double, and bounds against samples.
#include <gastube/stepping/exact/waveform.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <random>

using namespace gastube::exact;
using closeness::absolute_gap;

namespace {

using Base = Timebase<double, 2, 2>;
using Wave = Waveform<double, 2, 2>;
using Number = std::complex<long double>;

[[nodiscard]] constexpr long double wide(double v) { return static_cast<long double>(v); }
/// The derivative of that order, term by term.
[[nodiscard]] long double by_hand(const Base& base, const Wave& w, long double t, int order) {
  const auto derivative = [&](Number a, std::size_t p, Number rate) {  // of a t^p exp(rate t)
    Number sum = 0;
    long double choose = 1, falling = 1;
    for (int k = 0; k <= order && k <= int(p); ++k) {
      sum += choose * falling * std::pow(t, static_cast<long double>(int(p) - k))
             * (k == order ? Number(1) : std::pow(rate, order - k));
      choose *= static_cast<long double>(order - k) / static_cast<long double>(k + 1);
      falling *= static_cast<long double>(int(p) - k);
    }
    return (a * std::exp(rate * t) * sum).real();
  };
  long double sum = 0;
  for (std::size_t p = 0; p <= top_power; ++p) sum += derivative(Number(wide(w.powers[p])), p, Number(0));
  for (std::size_t k = 0; k < base.rate_count; ++k)
    sum += derivative(Number(wide(w.amplitudes[k])), 0, Number(wide(base.rates[k])));
  for (std::size_t k = 0; k < base.swing_count; ++k)
    for (std::size_t p = 0; p <= base.swings[k].degree; ++p)
      sum += derivative(Number(wide(w.swings[k].along[p]), wide(w.swings[k].across[p])), p,
                        Number(wide(base.swings[k].growth), wide(base.swings[k].turn)));
  return sum;
}

/// Two rates, one of which may grow, a pair that turns, and one that stands in front of powers of time.
struct Draw {
  std::mt19937 random;
  double number(double from, double to) { return std::uniform_real_distribution(from, to)(random); }
  Base base() {
    Base b;
    b.rate_count = b.swing_count = 2;
    b.rates = {number(-3, 0), number(-1, 0.5)};
    b.swings = {{{number(-1, 0.2), number(1, 9), 0}, {number(-2, 0), random() % 2 ? 0.0 : number(0, 4), 3}}};
    return b;
  }
  Wave wave(const Base& b) {
    Wave w;
    w.clear(b);
    for (double& c : w.powers) c = number(-1, 1);
    for (double& a : w.amplitudes) a = number(-2, 2);
    for (std::size_t k = 0; k < 2; ++k)
      for (std::size_t p = 0; p <= b.swings[k].degree; ++p)
        w.swings[k].along[p] = number(-1, 1), w.swings[k].across[p] = number(-1, 1);
    return w;
  }
};

void check_within(const Range<double>& range, long double value) {
  const long double slack = 1e-12L * (1 + std::fabs(value));
  CHECK(value >= wide(range.low) - slack);
  CHECK(value <= wide(range.high) + slack);
}

}  // namespace

TEST_CASE("values, slopes and bounds of sums drawn at random") {
  constexpr unsigned seed = 20260;
  MESSAGE("seed " << seed);
  Draw draw{std::mt19937(seed)};
  for (int n = 0; n < 60; ++n) {
    const Base base = draw.base();
    const Wave w = draw.wave(base);
    const double t = n % 3 == 0 ? 0 : draw.number(0, 1), until = t + draw.number(0.01, 1.5);
    const auto seen = look(base, w, t, until);
    CHECK(absolute_gap(seen.value, by_hand(base, w, wide(t), 0)) < 1e-13);
    CHECK(absolute_gap(value_at(base, w, t), by_hand(base, w, wide(t), 0)) < 1e-13);
    CHECK(absolute_gap(seen.slope, by_hand(base, w, wide(t), 1)) < 1e-12);
    for (int k = 0; k <= 40; ++k) {
      const long double s = wide(t) + wide(until - t) * k / 40;
      check_within(seen.values, by_hand(base, w, s, 0));
      check_within(seen.slopes, by_hand(base, w, s, 1));
      check_within(seen.curvatures, by_hand(base, w, s, 2));
    }
    const Wave other = draw.wave(base);
    Wave sum = w;
    sum.add(base, -0.5, other);
    CHECK(absolute_gap(value_at(base, sum, t), by_hand(base, w, wide(t), 0) - by_hand(base, other, wide(t), 0) / 2)
          < 1e-13);
    Outlook<double> product;
    add_product(seen, look(base, other, t, until), product);
    const auto both = [&](long double s, int a, int b) { return by_hand(base, w, s, a) * by_hand(base, other, s, b); };
    CHECK(absolute_gap(product.slope, both(wide(t), 0, 1) + both(wide(t), 1, 0)) < 1e-11);
    for (int k = 0; k <= 10; ++k) {
      const long double s = wide(t) + wide(until - t) * k / 10;
      check_within(product.values, both(s, 0, 0));
      check_within(product.curvatures, both(s, 2, 0) + 2 * both(s, 1, 1) + both(s, 0, 2));
    }
  }
}

TEST_CASE("bounds are sharp on one exponential and on a straight line") {
  Base base;
  base.rate_count = 1;
  base.rates[0] = 2;
  Wave w;
  w.clear(base);
  w.powers = {1, -3, 0, 0};
  CHECK_FALSE(w.is_constant(base));
  CHECK(look(base, w, 1.0, 2.0).values.low == -5.0);
  CHECK(look(base, w, 1.0, 2.0).values.high == -2.0);
  CHECK(w.lasting_slope(base) == 3.0);
  Outlook<double> square;  // (1 - 3 t)^2
  add_product(look(base, w, 1.0, 2.0), look(base, w, 1.0, 2.0), square);
  CHECK((square.curvatures.low == 18.0 && square.curvatures.high == 18.0));
  CHECK((square.values.low == 4.0 && square.values.high == 25.0));
  w.powers = {};
  w.amplitudes[0] = -1;
  CHECK(absolute_gap(look(base, w, 0.0, 1.0).values.low, -std::exp(2.0)) < 1e-14);
  CHECK(look(base, w, 0.0, 1.0).values.high == -1.0);
  CHECK(w.size(base) == 1.0);
  w.amplitudes[0] = 0;
  CHECK(w.is_constant(base));
  const Range<double> product = Range<double>{-2, 3} * Range<double>{-5, 4};
  CHECK(product.low == -15.0);
  CHECK(product.high == 12.0);
}
