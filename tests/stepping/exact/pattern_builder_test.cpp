// SPDX-License-Identifier: MIT
// What is worked out of a source behind R and L into C: modes, rest, answers to sources, and followers.
#include <gastube/stepping/exact/pattern_builder.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <complex>

using namespace gastube;
using namespace gastube::exact;
using closeness::absolute_gap;

namespace {

/// Unknowns: the voltage of C and the current. Followers: one of the voltage, one that may act as a voltage in series.
struct Branch {
  using Scalar = double;
  struct Mode {};
  static constexpr std::size_t extent = 2, follower_extent = 2, pattern_extent = 1;
  static constexpr bool piecewise_linear = true;

  double r = 1, l = 0, c = 1, level = 0;  // a constant voltage
  double joined = 1;                      // share of C's voltage in the branch
  double decay = 0, acts = 0;
  std::array<Drive<double>, 2> driven{};

  [[nodiscard]] static std::size_t unknowns() { return extent; }
  [[nodiscard]] static std::size_t followers() { return follower_extent; }
  [[nodiscard]] static double nominal(std::size_t) { return 1; }
  void write(const Instant<double>& at, const Mode&, Equations<double>& to) const {
    to.store(0, 0, c);
    to.flow(0, -at.x[1]);
    to.flow_slope(0, 1, -1);
    to.store(1, 1, l);
    to.flow(1, r * at.x[1] + joined * at.x[0] - level - acts * at.y[1]);
    to.flow_slope(1, 1, r);
    to.flow_slope(1, 0, joined);
    for (const auto& d : driven) to.flow(d.row, -d.level - d.cosine);  // seen at time 0 only
  }
  void follow(const Instant<double>& at, const Mode&, FollowRate<double>* rates) const {
    rates[0] = {3 * at.x[0] + 1, decay};
    rates[1] = {0.5, decay};
  }
  void drives(double, const Mode&, auto&& take) const {
    for (const auto& d : driven) take(d);
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

[[nodiscard]] Pattern<Branch> built(const Branch& branch) {
  Pattern<Branch> form(branch);
  PatternBuilder<Branch>(branch).build(branch, {}, 0, form);
  return form;
}

}  // namespace

TEST_CASE("RC: one mode, its rest, and answers to two sources of one frequency") {
  const double w = 3, tau = 1.5;
  const Drive<double> voltage{1, 2, 7, 0.5, 1, w}, current{0, -1, 0, 0.25, 0, w};
  const auto form = built({.r = 0.5, .c = 3, .level = 6, .driven = {voltage, current}});
  REQUIRE(form.status == Status::done);
  REQUIRE(form.groups == 1);
  CHECK(absolute_gap(form.group[0].rate.re, -1 / tau) < 1e-15);
  CHECK(form.base.rates[form.group[0].slot] == form.group[0].rate.re);
  CHECK((form.only_fades && form.quick_drives && !form.impulsive && !form.any_acts && !form.rest_moves));
  CHECK(absolute_gap(form.rest[0][0], 6) < 1e-14);  // the level alone: no drive is part of the rest
  CHECK(absolute_gap(form.rest[1][0], 0) < 1e-14);
  CHECK(absolute_gap(form.drive_reply[0], 1) < 1e-14);
  CHECK(absolute_gap(form.drive_lag[0], -tau) < 1e-14);
  CHECK(absolute_gap(form.drive_lag[1], 3) < 1e-14);
  CHECK(absolute_gap(form.drive_reply[2], 0.5) < 1e-14);  // 1 A into C leaves through R
  CHECK(absolute_gap(form.drive_reply[3], -1) < 1e-14);
  REQUIRE(form.source_swings == 1);
  CHECK(form.swing_of_source[1] == form.swing_of_source[0]);
  CHECK(form.base.swings[form.swing_of_source[0]].turn == w);
  const std::complex<double> share = 1.0 / std::complex<double>(1, w * tau);
  CHECK(absolute_gap(form.swing_answer.re[0], share.real()) < 1e-15);
  CHECK(absolute_gap(form.swing_answer.im[0], share.imag()) < 1e-15);
  CHECK(absolute_gap(form.swing_answer.re[2], 0.5 * share.real()) < 1e-15);
  CHECK(absolute_gap(form.swing_answer.im[2], 0.5 * share.imag()) < 1e-15);
}

TEST_CASE("RLC: a pair that rings; a branch without resistance: an impulse; no solution") {
  const auto rings = built({.r = 0.6, .l = 2, .c = 0.5});
  REQUIRE(rings.groups == 1);
  CHECK((rings.group[0].is_pair() && rings.group[0].swings && !rings.only_fades));
  CHECK(absolute_gap(rings.group[0].rate.re, -0.15) < 1e-15);
  CHECK(absolute_gap(std::fabs(rings.group[0].rate.im), std::sqrt(1 - 0.15 * 0.15)) < 1e-15);
  const auto rigid = built({.r = 0, .c = 3, .level = 5});
  REQUIRE(rigid.status == Status::done);
  CHECK(rigid.modes == 0);
  CHECK(rigid.impulsive);
  CHECK(absolute_gap(std::fabs(rigid.impulse[2]), 3) < 1e-14);  // charge per volt that C jumps by
  CHECK(absolute_gap(rigid.rest[0][0], 5) < 1e-14);
  CHECK(built({.r = 0, .joined = 0}).status == Status::unsolvable);
}

TEST_CASE("followers: decays shared and met by a mode, drivers, and one that acts") {
  const auto form = built({.r = 0.5, .c = 3, .decay = 2, .acts = 4});
  REQUIRE(form.status == Status::done);
  CHECK((form.law[0].driven && form.law[0].first == 0 && form.law[0].last == 1 && !form.law[0].acts));
  CHECK((!form.law[1].driven && form.law[1].acts && form.any_acts));
  CHECK((form.law[0].decay == 2 && form.law[0].slot == form.law[1].slot));
  CHECK((form.base.rate_count == 2 && form.base.rates[form.law[0].slot] == -2));
  CHECK(form.share(form.law[0], 0) == 3);
  CHECK((form.acts[3] == 4 && form.acts[2] == 0));
  CHECK(absolute_gap(form.acting[2], 4 / (1 - 2 * 1.5)) < 1e-14);  // per exp(-2 t) of it
  CHECK(absolute_gap(form.acting[3], 3 * -2 * 4 / (1 - 2 * 1.5)) < 1e-13);
  CHECK(form.law[0].resonance == FollowerLaw<double>::no_resonance);
  const auto resounding = built({.r = 0.5, .c = 1, .decay = 2});
  REQUIRE(resounding.law[0].resonance < resounding.base.swing_count);
  CHECK(resounding.base.swings[resounding.law[0].resonance].growth == -2);
  CHECK(resounding.law[1].resonance == FollowerLaw<double>::no_resonance);
}
