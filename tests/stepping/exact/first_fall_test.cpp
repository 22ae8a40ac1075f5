// SPDX-License-Identifier: MIT
/// The first crossing on sums of exponentials, swings and products: against closed forms, and against a search with
/// very many samples on sums drawn at random.
#include <gastube/stepping/exact/first_fall.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <random>

namespace {

using namespace gastube::exact;

constexpr std::size_t rates = 4, swings = 2;
using Base = Timebase<double, rates, swings>;
using Guard = GuardWave<double, rates, swings>;
using Sum = GuardSum<double, rates, swings>;

/// One sum over a timebase, as the exact scheme makes it.
struct Case {
  Base base;
  Guard guard;

  Case() {
    guard.greatest = false;
    guard.sums = 0;
  }
  std::size_t rate(double r) {
    base.rates[base.rate_count] = r;
    return base.rate_count++;
  }
  std::size_t swing(double growth, double turn, std::size_t degree = 0) {
    base.swings[base.swing_count] = {growth, turn, degree};
    return base.swing_count++;
  }
  /// A sum to be filled; finish() lists its exponentials.
  Sum& sum(bool joined = false) {
    Sum& fresh = guard.sum[guard.sums++];
    fresh.joined = joined;
    fresh.products = fresh.fading = 0;
    fresh.smooth.clear(base);
    return fresh;
  }
  void finish() {
    for (std::size_t k = 0; k < guard.sums; ++k) guard.sum[k].list_fading(base);
  }
  [[nodiscard]] double value(std::size_t k, double t) const { return value_at(base, guard.sum[k], t); }
  [[nodiscard]] Fall<double> fall(double until) const {
    std::array<double, Guard::most_sums> noise{};
    for (std::size_t k = 0; k < guard.sums; ++k) noise[k] = 64 * 2.2e-16 * guard.sum[k].size(base);
    return first_fall(base, guard, until, noise);
  }
};

constexpr double for_ever = 1e30;

}  // namespace

TEST_CASE("one exponential: the logarithm") {
  Case c;
  const std::size_t k = c.rate(-1000);
  Sum& s = c.sum();
  s.smooth.powers[0] = -150;
  s.smooth.amplitudes[k] = 234;
  c.finish();
  const Fall<double> fall = c.fall(for_ever);
  REQUIRE(fall.status == FallStatus::found);
  const double expected = std::log(234.0 / 150.0) / 1000;
  CHECK(std::fabs(fall.time - expected) <= 4 * 2.2e-16 * expected);
  CHECK(c.fall(0.999 * expected).status == FallStatus::none);
  CHECK(c.fall(1.001 * expected).status == FallStatus::found);
}

TEST_CASE("a sine: its crossing to round-off, and none where it stays above") {
  Case c;
  const std::size_t k = c.swing(0, 2 * 3.14159265358979323846 * 50);
  Sum& s = c.sum();
  s.smooth.swings[k].across[0] = -1;  // + sin
  s.smooth.powers[0] = 0.5;
  c.finish();
  const Fall<double> fall = c.fall(1);
  REQUIRE(fall.status == FallStatus::found);
  CHECK(std::fabs(fall.time - 7.0 / 6.0 * 0.01) <= 1e-12 * 0.01);
  c.guard.sum[0].smooth.powers[0] = 1.0 + 1e-9;  // touches to within 1e-9
  CHECK(c.fall(1).status == FallStatus::none);
  c.guard.sum[0].smooth.powers[0] = 1.0 - 1e-9;
  const Fall<double> dip = c.fall(1);
  REQUIRE(dip.status == FallStatus::found);
  const double reach = std::acos(1 - 1e-9) / (2 * 3.14159265358979323846 * 50);
  CHECK(std::fabs(dip.time - (0.015 - reach)) <= 1e-9 * 0.015);
}

TEST_CASE("a dip of ten nanoseconds in a stretch of twenty milliseconds is found") {
  // exp(-a t) - exp(-b t) with two rates close together, against a level: above, below for 10 ns, above again.
  Case c;
  const std::size_t slow = c.rate(-1e8), fast = c.rate(-1.1e8), late = c.rate(-50);
  Sum& s = c.sum();
  s.smooth.amplitudes[slow] = -50;
  s.smooth.amplitudes[fast] = 50;
  s.smooth.powers[0] = 1;
  s.smooth.amplitudes[late] = 0.7;
  c.finish();
  double least = 1e9, at = 0;
  for (int k = 0; k < 100000; ++k) {
    const double t = k * 1e-12, v = c.value(0, t);
    if (v < least) least = v, at = t;
  }
  REQUIRE(least < 0);
  const Fall<double> fall = c.fall(20e-3);
  REQUIRE(fall.status == FallStatus::found);
  CHECK(fall.time < at);
  CHECK(std::fabs(c.value(0, fall.time)) < 1e-13);
  CHECK(c.value(0, 2 * at + 50e-9) > 0);  // a look at the end of the stretch would have seen nothing
  // Lifted by as much as it dips, and a billionth more, it is passed over; a billionth less and it is found.
  c.guard.sum[0].smooth.powers[0] = 1 - least + 1e-9;
  CHECK(c.fall(20e-3).status == FallStatus::none);
  c.guard.sum[0].smooth.powers[0] = 1 - least - 1e-6;
  CHECK(c.fall(20e-3).status == FallStatus::found);
}

TEST_CASE("just at zero at the start: rising it does not fall, falling it does at once") {
  Case c;
  const std::size_t k = c.rate(-10);
  Sum& s = c.sum();
  s.smooth.powers[0] = 1;
  s.smooth.amplitudes[k] = -1;
  c.finish();
  CHECK(c.fall(for_ever).status == FallStatus::none);
  c.guard.sum[0].smooth.powers[0] = -1;
  c.guard.sum[0].smooth.amplitudes[k] = 1;
  c.finish();
  const Fall<double> fall = c.fall(for_ever);
  CHECK(fall.status == FallStatus::found);
  CHECK(fall.time == 0);
}

TEST_CASE("groups: the least over groups of the greatest in each, and the other way round") {
  for (const bool greatest : {false, true}) {
    Case c;
    c.guard.greatest = greatest;
    const double zeros[] = {1, 3, 2, 4};  // sums 1 - t / zero, joined in pairs
    for (int k = 0; k < 4; ++k) {
      Sum& s = c.sum(k % 2 == 1);
      s.smooth.powers[0] = 1;
      s.smooth.powers[1] = -1 / zeros[k];
    }
    c.finish();
    const Fall<double> fall = c.fall(100);
    REQUIRE(fall.status == FallStatus::found);
    CHECK(fall.time == doctest::Approx(greatest ? 2 : 3).epsilon(1e-15));
    CHECK(fall.sum == (greatest ? 2 : 1));
  }
}

TEST_CASE("a guard that is not finite is reported, not searched for ever") {
  Case c;
  Sum& s = c.sum();
  s.smooth.powers[0] = std::nan("");
  c.finish();
  CHECK(c.fall(1).status == FallStatus::lost);
}

TEST_CASE("sums drawn at random: nothing is missed and nothing is invented") {
  const unsigned seed = 20261127;
  CAPTURE(seed);
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> spread(-1, 1), decade(-1, 3);
  int found = 0, none = 0;
  for (int trial = 0; trial < 300; ++trial) {
    CAPTURE(trial);
    Case c;
    for (std::size_t k = 0; k < 3; ++k) c.rate(-std::pow(10, decade(random)));
    c.swing(-std::pow(10, decade(random) - 1), std::pow(10, decade(random) - 0.5), trial % 3 == 0 ? 1 : 0);
    Sum& s = c.sum();
    for (std::size_t k = 0; k < 3; ++k) s.smooth.amplitudes[k] = spread(random);
    s.smooth.swings[0].along[0] = spread(random);
    s.smooth.swings[0].across[0] = spread(random);
    if (trial % 3 == 0) s.smooth.swings[0].along[1] = spread(random);
    if (trial % 5 == 0) s.smooth.powers[1] = 0.2 * spread(random);
    s.smooth.powers[0] = spread(random);
    if (trial % 4 == 0) {  // a product of two that both move
      s.products = 1;
      for (auto* wave : {&s.first[0], &s.second[0]}) {
        wave->clear(c.base);
        wave->powers[0] = spread(random);
        wave->amplitudes[static_cast<std::size_t>(trial) % 3] = spread(random);
        if (trial % 8 == 0) wave->swings[0].along[0] = spread(random);
      }
      s.list_fading(c.base);
      s.write_out_product(c.base);
    }
    if (s.products == 0 && trial % 4 != 0) c.finish();
    if (trial % 4 == 0 && s.products == 1) s.list_fading(c.base);
    const double start = c.value(0, 0.0);
    if (start < 0.01) s.smooth.powers[0] += 0.01 - start;  // it begins above zero
    const double until = 5;
    double sampled = -1;
    for (int k = 1; k <= 20000 && sampled < 0; ++k)
      if (const double t = until * std::pow(double(k) / 20000, 3.0); c.value(0, t) <= 0) sampled = t;
    const Fall<double> fall = c.fall(until);
    REQUIRE(fall.status != FallStatus::lost);
    if (sampled >= 0) {
      REQUIRE(fall.status == FallStatus::found);
      CHECK(fall.time <= sampled * (1 + 1e-12));
    }
    if (fall.status == FallStatus::found) {
      ++found;
      CHECK(std::fabs(c.value(0, fall.time)) < 1e-12 * (1 + s.size(c.base)));
      for (int k = 0; k < 1000; ++k) CHECK(c.value(0, fall.time * 0.999 * k / 1000) > 0);
    } else
      ++none;
  }
  CHECK(found > 80);
  CHECK(none > 80);
}
