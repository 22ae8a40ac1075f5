// SPDX-License-Identifier: MIT
// Followers of a square, carried along v = 3 exp(-t) over windows, against their closed forms.
#include <gastube/stepping/exact/carried.hpp>
#include <gastube/stepping/exact/pattern_builder.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace gastube;
using namespace gastube::exact;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

/// Unknown: the voltage v of a capacitor that dies away. Followers: y0. = v^2 - decay y0, y1. = 2 y0, and y2. = v.
struct Leak : QuietLinearSystem<double, 1, 3> {
  double decay = 0.5;
  bool straight = false;

  static void write(const Instant<double>& at, const Mode&, Equations<double>& to) {
    to.store(0, 0, 1);
    to.flow(0, at.x[0]);
    to.flow_slope(0, 0, 1);
  }
  void follow(const Instant<double>& at, const Mode&, FollowRate<double>* rates) const {
    rates[0] = {at.x[0] * at.x[0], decay};
    rates[1] = {2 * at.y[0], 0};
    rates[2] = {at.x[0], 0};
  }
  [[nodiscard]] static std::size_t guards() { return 1; }
  [[nodiscard]] static double guard(std::size_t, const Instant<double>& at, const Mode&) {
    return at.x[0] * at.x[0] - 4;
  }
  [[nodiscard]] bool follows_straight(std::size_t f) const { return straight || f == 2; }
};

constexpr std::array<double, 3> start{1, -1, 4};

/// A segment of it from time 7 on, with v = 3.
struct Trial {
  Leak leak;
  Pattern<Leak> form{leak};
  Segment<Leak> segment{leak};
  Carried<Leak> carried{leak};
  std::array<double, 3> y{};
  Settings<double> settings{.relative = 1e-7, .absolute = 1e-8};

  explicit Trial(double decay) : leak{{}, decay} {
    constexpr std::array<double, 1> x{3};
    PatternBuilder<Leak>(leak).build(leak, {}, 7, form);
    REQUIRE(form.status == Status::done);
    REQUIRE(segment.start(form, leak, {}, 7, x.data(), start.data()));
  }
  double carry(double length) { return carried.carry(leak, {}, segment, 7, start.data(), length, settings); }
  void look(double t) {
    double x = 0;
    segment.unknowns(t, &x);
    segment.followers(t, y.data());
  }
};
/// y0 and y1 = -1 + 2 (integral of y0); the decay is not that of the square.
[[nodiscard]] std::array<long double, 2> by_hand(long double d, long double t) {
  const long double square = -std::expm1(-2 * t) / 2, own = -std::expm1(-d * t) / d, a = 9 / (d - 2);
  return {a * std::exp(-2 * t) + (1 - a) * std::exp(-d * t), -1 + 2 * (a * square + (1 - a) * own)};
}

}  // namespace

TEST_CASE("faded powers against Simpson's rule, on both sides of where the series ends") {
  for (const double decay : {0.0, 1e-9, 0.5, 1.99, 2.01, 4.5, 6.5, 40.0})
    for (std::size_t p = 0; p < 5; ++p)
      for (const double length : {1.0, 0.3}) {
        const auto d = static_cast<long double>(decay), l = static_cast<long double>(length);
        constexpr int panels = 4000;  // their error: 40^4 / 4000^4 / 180 of it, 6e-11
        long double sum = 0;
        for (int k = 0; k <= panels; ++k) {
          const long double s = l * k / panels;
          const int weight = k == 0 || k == panels ? 1 : k % 2 == 1 ? 4 : 2;
          sum += weight * std::pow(s, static_cast<long double>(p)) * std::exp(-d * (l - s));
        }
        CHECK(relative_gap(faded_power(p, decay, length), sum * l / (3 * panels)) < 2e-10);
      }
  CHECK(relative_gap(faded_power(3, 0.0, 2.0), 4.0) < 1e-15);
}

TEST_CASE("curved followers, one of them of the other, within the error that is told") {
  for (const double decay : {0.5, 3.0})
    for (const double length : {1e-4, 1e-3, 1e-2, 0.1}) {
      Trial trial(decay);
      REQUIRE(trial.carried.any());
      const double told = trial.carry(length);
      for (int k = 0; k <= 16; ++k) {
        const double t = length * k / 16;
        trial.look(t);
        const auto expected = by_hand(static_cast<long double>(decay), static_cast<long double>(t));
        for (std::size_t f = 0; f < 2; ++f) {
          const double allowed = 0.01 * (1e-7 * std::fabs(double(expected[f])) + 1e-8);  // a hundredth a window
          CHECK(absolute_gap(trial.y[f], expected[f]) <= 1.5 * told * allowed + 1e-15);
        }
        CHECK(absolute_gap(trial.y[2], 4 + 3 * -std::expm1(-t)) < 1e-14);  // the straight one is left exact
      }
      if (length <= 1e-3) CHECK(told < 1);
      if (length >= 0.1) CHECK(told > 1);
    }
}

TEST_CASE("a guard is followed by a cubic; a system without curves carries none") {
  Trial trial(0.5);
  trial.carried.look_at_nodes(trial.segment, start.data(), 1e-2);
  Powers<double> curve{};
  const double missed = trial.carried.follow_guard(trial.leak, {}, 0, 7, 1e-2, trial.settings, curve);
  for (int k = 0; k <= 16; ++k) {
    const double t = 1e-2 * k / 16;
    CHECK(absolute_gap(Carried<Leak>::at(curve, t), 9 * std::exp(-2 * t) - 4) <= 1.5 * missed * 0.01 * 5.1e-7 + 1e-14);
  }
  CHECK(missed < 1);
  CHECK(curve[0] == 5.0);
  CHECK_FALSE(Carried<Leak>(Leak{{}, 0.5, true}).any());
}
