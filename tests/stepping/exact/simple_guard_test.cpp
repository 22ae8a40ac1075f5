// SPDX-License-Identifier: MIT
// Guards put down straight from their margins say what the same guards say as waveforms; others are refused.
#include <gastube/stepping/exact/guard_waves.hpp>
#include <gastube/stepping/exact/pattern_builder.hpp>

#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace gastube;
using namespace gastube::exact;

namespace {

using M = Margin<double>;

/// 1 F that leaks into 1 ohm, fed by 3 A + 2 A sin(5 t); a follower that decays by 2 / s towards 3, one that the
/// voltage drives, one without decay.
struct Fed : QuietLinearSystem<double, 1, 3> {
  bool swings = true;
  double slope = 0;

  void write(const Instant<double>& at, const Mode&, Equations<double>& to) const {
    to.store(0, 0, 1);
    to.flow(0, at.x[0] - 3 - (swings ? 2 * std::sin(5 * at.time) : 0) - slope * at.time);
    to.flow_slope(0, 0, 1);
  }
  static void follow(const Instant<double>& at, const Mode&, FollowRate<double>* rates) {
    rates[0] = {6, 2};
    rates[1] = {at.x[0], 0.5};
    rates[2] = {1, 0};
  }
  void drives(double time, const Mode&, auto&& take) const {
    Drive<double> drive{0, 3 + slope * time, slope};
    if (swings) {
      drive.cosine = 2 * std::sin(5 * time);
      drive.sine = 2 * std::cos(5 * time);
      drive.turn = 5;
    }
    take(drive);
  }
};

constexpr double begin = 0.25;
struct Trial {
  Fed fed;
  Pattern<Fed> form{fed};
  Segment<Fed> segment{fed};
  SimpleGuard<Fed> guard;

  explicit Trial(const Fed& system) : fed(system) {
    constexpr std::array<double, 1> x{10};
    constexpr std::array<double, 3> y{4, 0, 0};
    PatternBuilder<Fed>(fed).build(fed, {}, begin, form);
    REQUIRE(form.status == Status::done);
    REQUIRE(segment.start(form, fed, {}, begin, x.data(), y.data()));
  }
  /// The margin at some time of the segment, from its unknowns and followers.
  [[nodiscard]] double value(const M& margin, double t) {
    std::array<double, 1> x{};
    std::array<double, 3> y{};
    segment.unknowns(t, x.data());
    segment.followers(t, y.data());
    return margin.value({begin + t, x.data(), y.data()});
  }
};

/// volts + 0.5 v + 2 y^2
M margin_of(double volts) {
  return M{}.begin().constant(volts).add(0.5, M::unknown(0)).add(2, M::follower(0), M::follower(0));
}

}  // namespace

TEST_CASE("value at the start and time of the fall are those of the margin") {
  for (const bool swings : {true, false})
    for (const double volts : {-30.0, -25.0, -20.2}) {
      CAPTURE(volts);
      Trial trial(Fed{{}, swings});
      const M margin = margin_of(volts);
      REQUIRE(trial.guard.take(margin, trial.segment, begin));
      CHECK(trial.guard.value() == doctest::Approx(trial.value(margin, 0)).epsilon(1e-14));
      CHECK(trial.guard.noise() > 1e-15);
      CHECK(trial.guard.noise() < 1e-11);
      const double t = trial.guard.fall(100);
      REQUIRE(t > 0);
      REQUIRE(t < 100);
      CHECK(std::fabs(trial.value(margin, t)) < 2e-14);
      for (int k = 0; k < 1000; ++k) REQUIRE(trial.value(margin, t * k / 1000) > 0);
    }
}

TEST_CASE("what never falls, and what is below zero at the start") {
  Trial trial(Fed{});
  REQUIRE(trial.guard.take(margin_of(0), trial.segment, begin));
  CHECK(trial.guard.fall(100) == 100);
  REQUIRE(trial.guard.take(margin_of(-40), trial.segment, begin));
  CHECK(trial.guard.value() < 0);
  CHECK(trial.guard.fall(100) == not_decided<double>);
}

TEST_CASE("guards of another form are refused") {
  Trial trial(Fed{});
  const auto taken = [&](const M& margin) { return trial.guard.take(margin, trial.segment, begin); };
  CHECK_FALSE(taken(M{}.begin().constant(1).begin().constant(2)));                     // two sums
  CHECK_FALSE(taken(M{}.begin().constant(1).per_second(-1)));                          // time itself
  CHECK_FALSE(taken(M{}.begin().constant(1).add(1, M::unknown(0), M::unknown(0))));    // a square of a swing
  CHECK_FALSE(taken(M{}.begin().constant(1).add(1, M::follower(0), M::follower(1))));  // driven
  CHECK_FALSE(taken(M{}.begin().constant(1).add(1, M::follower(1))));                  // driven
  CHECK_FALSE(taken(M{}.begin().constant(1).add(1, M::follower(2))));                  // a ramp
  Trial ramp(Fed{{}, false, 1});
  CHECK_FALSE(ramp.guard.take(margin_of(0), ramp.segment, begin));
}
