// SPDX-License-Identifier: MIT
// One segment of small circuits against their closed forms: a source behind R and L into C, and what follows it.
#include <gastube/stepping/exact/pattern_builder.hpp>
#include <gastube/stepping/exact/segment.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace gastube;
using namespace gastube::exact;
using closeness::absolute_gap;

namespace {

/// Unknowns: the voltage of C and the current through R and L (which may be 0). Followers: dy/dt = share v + constant
/// - decay y.
struct Branch {
  using Scalar = double;
  struct Mode {};
  struct Law {
    double share = 0, constant = 0, decay = 0;
  };
  static constexpr std::size_t extent = 2, follower_extent = 2, pattern_extent = 1;
  static constexpr bool piecewise_linear = true;

  double r = 1, l = 0, c = 1;
  double level = 0, slope = 0, sine = 0, turn = 0;  // V, V/s, V, rad/s from time 0
  std::array<Law, 2> laws{};

  [[nodiscard]] static std::size_t unknowns() { return extent; }
  [[nodiscard]] static std::size_t followers() { return follower_extent; }
  [[nodiscard]] static double nominal(std::size_t) { return 1; }
  void write(const Instant<double>& at, const Mode&, Equations<double>& to) const {
    to.store(0, 0, c);
    to.flow(0, -at.x[1]);
    to.flow_slope(0, 1, -1);
    to.store(1, 1, l);
    to.flow(1, r * at.x[1] + at.x[0] - level - slope * at.time - sine * std::sin(turn * at.time));
    to.flow_slope(1, 1, r);
    to.flow_slope(1, 0, 1);
  }
  void follow(const Instant<double>& at, const Mode&, FollowRate<double>* rates) const {
    for (std::size_t f = 0; f < 2; ++f) rates[f] = {laws[f].share * at.x[0] + laws[f].constant, laws[f].decay};
  }
  void drives(double t, const Mode&, auto&& take) const {
    take(Drive<double>{1, level + slope * t, slope, sine * std::sin(turn * t), sine * std::cos(turn * t), turn});
  }
  [[nodiscard]] static std::size_t guards() { return 0; }
  [[nodiscard]] static double guard(std::size_t, const Instant<double>&, const Mode&) { return 1; }
  [[nodiscard]] static bool opens(std::size_t, const Mode&) { return false; }
  static Change fire(std::size_t, const Instant<double>&, Mode&, double*) { return {}; }
  [[nodiscard]] static double next_breakpoint(double, const Mode&) { return unlimited<double>(); }
  static void pass_breakpoint(double, Mode&) {}
  [[nodiscard]] static std::size_t pattern_size() { return 1; }
  static void pattern(const Mode&, unsigned char* numbers) { *numbers = 0; }
  static bool margin(std::size_t, const Mode&, Margin<double>&) { return false; }
  [[nodiscard]] static bool follows_straight(std::size_t) { return true; }
};

using Values = std::array<double, 2>;

/// A segment from `time` on, checked against v(t) and against its own waveforms.
struct Trial {
  Branch branch;
  Pattern<Branch> form{branch};
  Segment<Branch> segment{branch};
  Values x{}, y{};

  Trial(const Branch& b, double time, const Values& unknowns, const Values& followers = {}) : branch(b) {
    PatternBuilder<Branch>(branch).build(branch, {}, time, form);
    REQUIRE(form.status == Status::done);
    REQUIRE(segment.start(form, branch, {}, time, unknowns.data(), followers.data()));
  }
  void look(double t) {
    segment.unknowns(t, x.data());
    segment.followers(t, y.data());
    Segment<Branch>::Wave wave;
    for (std::size_t k = 0; k < 2; ++k) {
      wave.clear(form.base);
      segment.add_unknown(k, 2.0, wave);
      CHECK(absolute_gap(value_at(form.base, wave, t), 2 * x[k]) < 1e-13);
      wave.clear(form.base);
      segment.add_follower(k, -1.0, wave);
      CHECK(absolute_gap(value_at(form.base, wave, t), -y[k]) < 1e-13);
    }
  }
};
constexpr std::array<double, 6> times{0, 1e-9, 0.1, 0.7, 2, 9};

}  // namespace

TEST_CASE("RC behind a level, a ramp and a sine, from a time that is not 0") {
  const double tau = 0.5, w = 3, from = 0.4, lag = std::atan(w * tau), gain = std::cos(lag);
  Trial trial({.r = 0.25, .c = 2, .level = 4, .slope = 1.5, .sine = 2, .turn = w}, from, {-1, 0});
  const auto lasting = [&](double t) { return 4 + 1.5 * (t - tau) + 2 * gain * std::sin(w * t - lag); };
  for (const double t : times) {
    trial.look(t);
    const double v = lasting(from + t) + (-1 - lasting(from)) * std::exp(-t / tau);
    CHECK(absolute_gap(trial.x[0], v) < 1e-13);
    const double source = 4 + 1.5 * (from + t) + 2 * std::sin(w * (from + t));
    CHECK(absolute_gap(trial.x[1], (source - v) / 0.25) < 1e-12);
  }
}

TEST_CASE("RLC that rings, and on the edge of ringing") {
  for (const double r : {0.6, 2.0}) {
    Trial trial({.r = r, .l = 1, .c = 1, .level = 5}, 0, {1, 0.5});
    const double a = r / 2, w = std::sqrt(1 - a * a), start = 1 - 5, rise = 0.5 + a * start;
    CHECK(trial.form.groups == 1);
    for (const double t : times) {
      trial.look(t);
      const double sine = w > 0 ? std::sin(w * t) / w : t, cosine = std::cos(w * t);
      CHECK(absolute_gap(trial.x[0], 5 + std::exp(-a * t) * (start * cosine + rise * sine)) < 1e-13);
      const double current = (rise - a * start) * cosine - (a * rise + w * w * start) * sine;
      CHECK(absolute_gap(trial.x[1], std::exp(-a * t) * current) < 1e-13);
    }
  }
}

TEST_CASE("followers driven and free, with a decay of their own, that of the driver, and none") {
  for (const double decay : {3.0, 2.0, 2.0 + 1e-9, 0.0}) {  // the driver dies away with 2 / s
    Trial trial({.r = 0.25, .c = 2, .level = 4, .laws = {{{1.5, 0.25, decay}, {0, 0.5, decay}}}}, 0, {10, 0}, {7, -1});
    const auto d = static_cast<long double>(decay);
    for (const double time : times) {
      const auto t = static_cast<long double>(time);
      trial.look(time);
      const long double kept = std::exp(-d * t), mean = decay > 0 ? -std::expm1(-d * t) / d : t;
      const long double near = d - 2.0L, faded = std::fabs(near) < 1e-6L ? kept * (t + near * t * t / 2)
                                                                         : (std::exp(-2.0L * t) - kept) / near;
      CHECK(absolute_gap(trial.y[0], 7 * kept + 6.25L * mean + 9 * faded) < 1e-13);
      CHECK(absolute_gap(trial.y[1], -kept + 0.5L * mean) < 1e-14);
    }
  }
}

TEST_CASE("a follower driven by a ringing current and a carried one") {
  Trial trial({.r = 0.6, .l = 1, .c = 1, .laws = {{{1, 0, 0}, {0, 1, 1}}}}, 0, {1, 0}, {2, 3});
  trial.segment.carry(1, {1, 2, 3, 4});
  for (const double t : times) {
    trial.look(t);
    const double charge = -trial.x[1] - 0.6 * trial.x[0] + 0.6;  // of v, as i. + 0.6 i + v = 0 and v. = i
    CHECK(absolute_gap(trial.y[0], 2 + charge) < 1e-13);
    CHECK(absolute_gap(trial.y[1], 1 + t * (2 + t * (3 + t * 4))) < 1e-11);
  }
}
