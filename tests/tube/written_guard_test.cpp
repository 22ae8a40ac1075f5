// SPDX-License-Identifier: MIT
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/family/glow_tube.hpp>
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/family/trigger_tube.hpp>
#include <gastube/tube/recovery/exponential_recovery.hpp>
#include <gastube/tube/recovery/sheath_afterglow.hpp>
#include <gastube/tube/written_guard.hpp>

#include "laws/written_guards.hpp"
#include "support_for_tests/bench_tube.hpp"

using namespace gastube;
using laws::check_written_guards;

namespace {

/// An ideal tube in which everything that guards may hang on is there.
template <class S, class Recovery>
[[nodiscard]] auto tube(const Recovery& recovery, double lowest_plate, double fall = 0) {
  IdealLaws<S, Recovery> laws{.ignition = {S(20), S(-1), S(lowest_plate)},
                              .shield = {S(0.5)},
                              .arc = {S(15), S(5)},
                              .fall = {S(fall)},
                              .sustaining = {S(1e-3L)},
                              .recovery = recovery,
                              .electrons = {S(1e-9L)}};
  return Thyratron<IdealLaws<S, Recovery>>(laws);
}
template <class S>
struct WarmingLaws : IdealLaws<S, ExponentialRecovery<S>> {
  WarmingCathode<S> cathode = {S(10), S(3)};
};

template <class S, class Recovery>
[[nodiscard]] auto lamp(const Recovery& recovery, S inverse, double fall = 0) {
  using Laws = StandardGlowLaws<S, NoDelay<S>, Recovery>;
  return GlowTube<Laws>(Laws{.ignition = {S(80), inverse},
                             .arc = {{S(55), S(1e3)}, S(2e-3L), S(5e3), S(0.1L), S(30), S(0.02L)},
                             .fall = {S(fall)},
                             .sustaining = {S(1e-4L)},
                             .recovery = recovery});
}
template <class S, class Recovery>
[[nodiscard]] auto trigger(const Recovery& recovery) {
  using Laws = StandardTriggerLaws<S, NoDelay<S>, Recovery>;
  return TriggerTube<Laws>(Laws{.ignition = {S(250), S(70), S(20e-6L)},
                                .grid = {S(80), S(60), S(1e4), S(10e-6L)},
                                .arc = {S(65), S(500)},
                                .sustaining = {S(1e-3L)},
                                .recovery = recovery});
}

}  // namespace

TEST_CASE_TEMPLATE("ideal tubes write every guard out as they work it out", S, float, double, long double,
                   Dual<double, 2>) {
  check_written_guards(tube<S>(InstantRecovery<S>{}, 0), 201);
  check_written_guards(tube<S>(FixedDeionisation<S>{S(200e-6L)}, 12, 1e-7), 202);
  check_written_guards(tube<S>(FixedDeionisation<S>{S(200e-6L)}, 30), 203);
  check_written_guards(tube<S>(ExponentialRecovery<S>{S(50e-6L)}, 12), 204);
  check_written_guards(tube<S>(ExponentialRecovery<S>{S(50e-6L)}, 30, 1e-7), 205);
}

TEST_CASE("a hot-cathode tube writes out how it warms up, and one that never arcs back nothing of that") {
  using S = double;
  WarmingLaws<S> warming{{.ignition = {20, 0, 20}, .arc = {15, 1}, .sustaining = {0.01}, .recovery = {50e-6}}};
  warming.inverse = {unlimited<S>(), 15};
  const Thyratron<WarmingLaws<S>> tube(warming);
  check_written_guards(tube, 206);
  laws::GuardBench<Thyratron<WarmingLaws<S>>> bench(tube, 207);
  bench.draw(TubeState::blocked);
  Margin<S> margin;
  REQUIRE(bench.write(1, margin));
  CHECK(margin.size() == 0);
}

TEST_CASE_TEMPLATE("glow tubes write every guard out as they work it out", S, float, double, Dual<double, 2>) {
  check_written_guards(lamp<S>(InstantRecovery<S>{}, S(70)), 208);
  check_written_guards(lamp<S>(StrikeRecovery<S>{S(1e-3L), S(1e-3L)}, unlimited<S>(), 1e-6), 209);
  check_written_guards(lamp<S>(FixedDeionisation<S>{S(1e-3L)}, S(90)), 210);
}

TEST_CASE("trigger tubes write out what hangs on no trigger current") {
  check_written_guards(trigger<double>(InstantRecovery<double>{}), 211, false);
  check_written_guards(trigger<double>(StrikeRecovery<double>{1e-3, 1e-3}), 212, false);
  check_written_guards(trigger<double>(FixedDeionisation<double>{1e-3}), 213, false);
}

TEST_CASE("a tube with measured characteristics writes out what is straight of them") {
  const auto tube = bench_tube<double>();
  static_assert(!decltype(tube)::piecewise_linear && !WiredTube<std::decay_t<decltype(tube)>>::piecewise_linear);
  check_written_guards(tube, 214, false);
}

TEST_CASE("a tube is piecewise linear if all its laws that act on a circuit are") {
  using S = double;
  static_assert(Thyratron<IdealLaws<S, InstantRecovery<S>>>::piecewise_linear);
  static_assert(Thyratron<IdealLaws<S, FixedDeionisation<S>>>::piecewise_linear);
  static_assert(Thyratron<IdealLaws<S, ExponentialRecovery<S>>>::piecewise_linear);
  static_assert(!Thyratron<IdealLaws<S, SheathAfterglow<S>>>::piecewise_linear);
  static_assert(GlowTube<StandardGlowLaws<S, NoDelay<S>, StrikeRecovery<S>>>::piecewise_linear);
  static_assert(!GlowTube<StandardGlowLaws<S>>::piecewise_linear);
  static_assert(all_piecewise_linear<ControlLine<S>, LinearDrop<S>> && !all_piecewise_linear<FallingDrop<S>>);
}

TEST_CASE("control as a straight line of the residual") {
  const auto whole = straight_control<InstantRecovery<double>>(0.1);
  CHECK(whole.is_whole());
  const auto straight = straight_control<ExponentialRecovery<double>>(0.1);
  CHECK(straight.fixed == 1.0);
  CHECK(straight.per_residual == -0.9);
  const auto by_steps = straight_control<FixedDeionisation<double>>(0.1);
  CHECK(by_steps.fixed == 0.1);
  CHECK(by_steps.per_residual == 0.0);
}

TEST_CASE("until it has recovered a tube that recovers by a step strikes as if nothing had gone, whatever is left") {
  TubeView<double> view{};
  view.residual = -0.25;  // as a step that went on beyond the end of recovery shows it
  TubeMemory<double> recovering{TubeState::recovering}, striking{TubeState::striking};
  CHECK(as_seen_recovering<FixedDeionisation<double>>(view, recovering).residual == 1.0);
  CHECK(as_seen_recovering<FixedDeionisation<double>>(view, striking).residual == -0.25);
  CHECK(as_seen_recovering<ExponentialRecovery<double>>(view, recovering).residual == -0.25);
  note_recovery(FixedDeionisation<double>{1e-3}, 0.0, recovering);
  CHECK(as_seen_recovering<FixedDeionisation<double>>(view, recovering).residual == 0.0);
  note_recovery(FixedDeionisation<double>{1e-3}, 1.0, recovering);
  CHECK(waits_for_its_step<FixedDeionisation<double>>(recovering));
}
