// SPDX-License-Identifier: MIT
// Ranges against samples of the closed form, and guards that they exclude against the least of what was sampled.
#include <gastube/stepping/exact/pattern_builder.hpp>
#include <gastube/stepping/exact/ranges.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

using namespace gastube;
using namespace gastube::exact;

namespace {

/// A source behind R and L into C: voltage of C and current; a follower of the voltage, and one of a constant.
struct Branch {
  using Scalar = double;
  struct Mode {};
  static constexpr std::size_t extent = 2, follower_extent = 2, pattern_extent = 1;
  static constexpr bool piecewise_linear = true;

  double r = 1, l = 0, c = 1, level = 0, slope = 0, sine = 0;  // sin(3 t)

  [[nodiscard]] static std::size_t unknowns() { return extent; }
  [[nodiscard]] static std::size_t followers() { return follower_extent; }
  [[nodiscard]] static double nominal(std::size_t) { return 1; }
  void write(const Instant<double>& at, const Mode&, Equations<double>& to) const {
    to.store(0, 0, c);
    to.flow(0, -at.x[1]);
    to.flow_slope(0, 1, -1);
    to.store(1, 1, l);
    to.flow(1, r * at.x[1] + at.x[0] - level - slope * at.time - sine * std::sin(3 * at.time));
    to.flow_slope(1, 1, r);
    to.flow_slope(1, 0, 1);
  }
  static void follow(const Instant<double>& at, const Mode&, FollowRate<double>* rates) {
    rates[0] = {at.x[0], 0.7};
    rates[1] = {0.5, 2};
  }
  void drives(double t, const Mode&, auto&& take) const {
    take(Drive<double>{1, level + slope * t, slope});
    if (sine != 0) take(Drive<double>{1, 0, 0, sine * std::sin(3 * t), sine * std::cos(3 * t), 3});
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
using M = Margin<double>;

/// A segment from time 2 on.
struct Trial {
  Branch branch;
  Pattern<Branch> form{branch};
  Segment<Branch> segment{branch};
  std::array<double, 2> x{}, y{};

  Trial(const Branch& b, const std::array<double, 2>& unknowns, const std::array<double, 2>& followers) : branch(b) {
    PatternBuilder<Branch>(branch).build(branch, {}, 2, form);
    REQUIRE(form.status == Status::done);
    REQUIRE(segment.start(form, branch, {}, 2, unknowns.data(), followers.data()));
  }
  [[nodiscard]] double sample(const M& margin, double t) {
    segment.unknowns(t, x.data());
    segment.followers(t, y.data());
    return margin.value({2 + t, x.data(), y.data()});
  }
};
void check_within(const Range<double>& range, double value) {
  CHECK(value >= range.low - 1e-12);
  CHECK(value <= range.high + 1e-12);
}

}  // namespace

TEST_CASE("every sample lies within, and no guard that falls is excluded") {
  constexpr unsigned seed = 4711;
  MESSAGE("seed " << seed);
  std::mt19937 random(seed);
  const auto draw = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
  int kept = 0, fallen = 0, narrowed = 0;
  for (int n = 0; n < 200; ++n) {
    const bool lone = n % 3 == 0, moving = n % 2 == 0, ringing = moving && n % 4 == 0;
    const double c = draw(0.2, 2), l = lone ? 0 : draw(0.2, 2), edge = 2 * std::sqrt(l / c);
    Trial trial({lone         ? draw(0.2, 2)
                 : n % 3 == 1 ? edge
                              : draw(0.1, 1),
                 l, c, draw(-2, 2), moving && !ringing ? draw(-1, 1) : 0, moving ? draw(-2, 2) : 0},
                {draw(-3, 3), draw(-1, 1)}, {draw(-2, 2), draw(-2, 2)});
    const double until = draw(0.05, 3);
    M margin;
    margin.begin().constant(draw(0, 9)).per_second(draw(-1, 1)).add(draw(-1, 1), M::unknown(0), M::follower(1));
    margin.add(draw(-0.5, 0.5), M::follower(0)).add(draw(-1, 1), M::unknown(1));
    Ranges<Branch> ranges(trial.branch);
    ranges.begin(trial.segment, until);
    const bool up = ranges.keep_up(margin, trial.segment, 2);
    const auto window = ranges.window(margin, trial.segment, 2);
    double least = 1e9;
    bool outside = false;
    for (int k = 0; k <= 60; ++k) {
      const double t = until * (k / 60.0), value = trial.sample(margin, t);
      least = std::min(least, value);
      outside = outside || (value <= 0 && !(t >= window.from && t <= window.until));
      for (std::size_t j = 0; j < 2; ++j) {
        check_within(ranges.range(M::unknown(j), trial.segment), trial.x[j]);
        check_within(ranges.range(M::follower(j), trial.segment), trial.y[j]);
      }
    }
    CHECK_FALSE((up && least <= 0));
    CHECK_FALSE(outside);
    narrowed += window.from > 0 || window.until < until ? 1 : 0;
    kept += up ? 1 : 0;
    fallen += least <= 0 ? 1 : 0;
  }
  CHECK(kept > 5);  // the check above was not idle
  CHECK(fallen > 5);
  CHECK(narrowed > 5);
}

TEST_CASE("groups: the least of the greatest, or the greatest of the least; a new segment forgets the one before") {
  Trial trial({.level = 4}, {10, 0}, {10, 0.25});  // falls from 10 V towards 4 V
  Ranges<Branch> ranges(trial.branch);
  ranges.begin(trial.segment, 1e3);
  const auto up = [&](auto&& write) {
    M margin;
    write(margin);
    return ranges.keep_up(margin, trial.segment, 2);
  };
  const auto above = [](M& m, double v) { m.add(1, M::unknown(0)).constant(-v); };
  CHECK(up([&](M& m) { above(m.begin(), 3.9); }));
  CHECK_FALSE(up([&](M& m) { above(m.begin(), 4.1); }));
  CHECK_FALSE(up([&](M& m) { above(m.begin(), 3.9), above(m.begin(), 5); }));
  CHECK(up([&](M& m) { above(m.begin(), 5), above(m.join(), 3.9); }));
  CHECK(up([&](M& m) { above(m.begin(), 5), above(m.begin(), 3.9), m.greatest(); }));
  CHECK_FALSE(up([&](M& m) { above(m.begin(), 3.9), above(m.join(), 5), m.greatest(); }));
  CHECK(up([&](M& m) { m.begin().constant(0.1).per_second(1e-3); }));
  CHECK_FALSE(up([&](M& m) { m.begin().constant(0.5).per_second(-1e-3); }));
  const std::array<double, 2> lower{2, 0}, followers{};
  REQUIRE(trial.segment.start(trial.form, trial.branch, {}, 2, lower.data(), followers.data()));
  ranges.begin(trial.segment, 1e3);
  CHECK_FALSE(up([&](M& m) { above(m.begin(), 3.9); }));
  CHECK(up([&](M& m) { above(m.begin(), 1.9); }));
}
