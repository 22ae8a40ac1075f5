// SPDX-License-Identifier: MIT
// Guards along a segment against closed forms: 10 V on C die away with 1 / s, a follower of 2 with 0.5 / s.
#include <gastube/stepping/exact/guard_waves.hpp>
#include <gastube/stepping/exact/pattern_builder.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <vector>

using namespace gastube;
using namespace gastube::exact;
using closeness::absolute_gap;

namespace {

using M = Margin<double>;

/// Unknown 0: C's voltage; follower 0 is free, follower 1 is declared not to follow straight.
struct Leak : QuietLinearSystem<double, 1, 2> {
  std::vector<M> margins;  // one without sums counts as not written out

  static void write(const Instant<double>& at, const Mode&, Equations<double>& to) {
    to.store(0, 0, 1);
    to.flow(0, at.x[0]);
    to.flow_slope(0, 0, 1);
  }
  static void follow(const Instant<double>&, const Mode&, FollowRate<double>* rates) {
    rates[0] = {0, 0.5};
    rates[1] = {1, 0};
  }
  [[nodiscard]] std::size_t guards() const { return margins.size(); }
  [[nodiscard]] double guard(std::size_t k, const Instant<double>& at, const Mode&) const {
    return margins[k].value(at);
  }
  bool margin(std::size_t k, const Mode&, M& out) const { return (out = margins[k]).size() > 0; }
  [[nodiscard]] static bool follows_straight(std::size_t f) { return f == 0; }
};
using Waves = GuardWaves<Leak>;

/// A segment that begins at 0.25 s.
struct Trial {
  static constexpr double begin = 0.25;
  Leak leak;
  Pattern<Leak> form{leak};
  Segment<Leak> segment{leak};
  Waves waves{leak};

  explicit Trial(std::vector<M> margins) : leak{{}, std::move(margins)} {
    constexpr std::array<double, 1> x{10};
    constexpr std::array<double, 2> y{2, 0};
    PatternBuilder<Leak>(leak).build(leak, {}, begin, form);
    REQUIRE(form.status == Status::done);
    REQUIRE(segment.start(form, leak, {}, begin, x.data(), y.data()));
  }
  [[nodiscard]] Waves::Event first(double until = 100) { return waves.first(leak, {}, segment, begin, until); }
  void falls(std::size_t guard, double time) {
    const auto event = first();
    REQUIRE(event.status == FallStatus::found);
    CHECK(event.guard == guard);
    CHECK(absolute_gap(event.time, time) < 1e-14);
    CHECK(first(0.99 * time).status == FallStatus::none);
  }
};
[[nodiscard]] M above(double volts) { return M{}.begin().add(1, M::unknown(0)).constant(-volts); }
/// factor v y - level
[[nodiscard]] M product(double factor, double level) {
  return M{}.begin().add(factor, M::unknown(0), M::follower(0)).constant(-level);
}

}  // namespace

TEST_CASE("the first of two, and the lowest at a tie") {
  Trial({above(5), above(8)}).falls(1, std::log(1.25));
  Trial({above(8), above(5)}).falls(0, std::log(1.25));
  Trial({above(2), above(5), above(5), above(4)}).falls(1, std::log(2));
  CHECK(Trial({above(-1), above(0)}).first().status == FallStatus::none);
}

TEST_CASE("many guards, most of which cannot fall: the same event") {
  Trial({above(-1), M{}.begin().constant(1), above(5), above(-2), above(8), above(8), above(-3)})
      .falls(4, std::log(1.25));
}

TEST_CASE("products of an unknown and a follower, squares, and time alone") {
  Trial({product(1, 5)}).falls(0, std::log(4) / 1.5);
  Trial({M{}.begin().add(1, M::unknown(0), M::unknown(0)).constant(-25)}).falls(0, std::log(2));
  Trial({M{}.begin().add(1, M::unknown(0), M::follower(0)).add(3, M::follower(0), M::follower(0)).constant(-5)})
      .falls(0, [] {  // 20 exp(-1.5 t) + 12 exp(-t) = 5, by Newton's method
        double t = 1;
        for (int k = 0; k < 50; ++k)
          t += (20 * std::exp(-1.5 * t) + 12 * std::exp(-t) - 5) / (30 * std::exp(-1.5 * t) + 12 * std::exp(-t));
        return t;
      }());
  Trial({M{}.begin().constant(1).per_second(-1)}).falls(0, 1 - Trial::begin);
  // follower 1 is the time since the start: 10 t exp(-t) reaches what it is at 0.5 s
  Trial({M{}.begin().add(-1, M::unknown(0), M::follower(1)).constant(10 * 0.5 * std::exp(-0.5))}).falls(0, 0.5);
}

TEST_CASE("the greatest of two lasts as long as the later, the least as long as the earlier") {
  const auto add = [](M m, double volts) { return m.add(1, M::unknown(0)).constant(-volts); };
  Trial({add(above(5).join(), 8)}).falls(0, std::log(2));
  Trial({add(above(5).begin(), 8)}).falls(0, std::log(1.25));
  Trial({add(above(5).begin(), 8).greatest()}).falls(0, std::log(2));
}

TEST_CASE("below zero at the start: it falls, or rises; guards that are not written out; cubics") {
  Trial trial({above(10 + 1e-6), M{}.begin().constant(-1e-17).add(-1, M::unknown(0)).constant(10), M{}, product(1, 5)});
  CHECK(trial.waves.falls_at_once(trial.leak, {}, trial.segment, Trial::begin, 0));
  CHECK_FALSE(trial.waves.falls_at_once(trial.leak, {}, trial.segment, Trial::begin, 1));
  CHECK(trial.first().guard == 0);
  CHECK(Trial({above(5)}).waves.left_some_out() == false);
  Trial some({M{}, above(5)});
  some.falls(1, std::log(2));
  CHECK(some.waves.left_some_out());
  CHECK(some.waves.ask_for_curves(some.leak, {}));
  Trial bent({M{}.begin().add(1, M::follower(1))}), straight({product(1, 5)});
  CHECK(bent.waves.ask_for_curves(bent.leak, {}));
  CHECK_FALSE(straight.waves.ask_for_curves(straight.leak, {}));
  auto event = straight.first();
  const auto earliest = event;
  straight.waves.note({1, 0, 0, -1}, 0, straight.form.base, 100, event);  // falls at 1 s, the event before that
  CHECK(event.time == earliest.time);
  straight.waves.note({1, 0, 0, -8}, 3, straight.form.base, 100, event);
  CHECK((event.status == FallStatus::found && event.guard == 3));
  CHECK(absolute_gap(event.time, 0.5) < 1e-14);
}
