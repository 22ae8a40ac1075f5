// SPDX-License-Identifier: MIT
// Deionisation time as a question about tube and grid circuit, and the voltage withstood meanwhile.
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/hosted_tube.hpp>
#include <gastube/tube/recovery/diffusion_afterglow.hpp>
#include <gastube/tube/recovery/hold_off.hpp>
#include <gastube/tube/recovery/power_law.hpp>
#include <gastube/tube/recovery/sheath_afterglow.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

// A line through the origin: -10 V hold off 2000 V. 10 us; 60 us after 0.2 A at 8 V of bias.
template <class S>
constexpr ControlLine<S> line{S(200)};
template <class S>
constexpr SheathAfterglow<S> afterglow{S(10e-6L), S(60e-6L), S(0.2L), S(8), S(1)};
template <class S>
constexpr PowerLawRecovery<S> hull{S(1), S(0.01L), S(8), S(2), S(1e-6L), S(1)};

template <class S, class Recovery>
auto tube(const Recovery& recovery, S ions = S(1e-4L)) {
  return hold_off(line<S>, recovery, ions, S(10));
}

}  // namespace

TEST_CASE_TEMPLATE("without grid resistance the time is that of the share of control the voltage takes", S, float,
                   double, long double) {
  // By hand: 507.5 V over 2000 V is a control of 497.5 / 1990 = 1/4, so the residual is down to 3/4 of the holding
  // level.
  const S time = tube<S>(afterglow<S>).deionisation_time({S(0.3L), S(-10), S(0), S(507.5)});
  const long double expected = 60e-6L + 10e-6L * (std::log(1.5L) - 1.5L * std::log(1.25L) + std::log(4.0L / 3.0L));
  CHECK(relative_gap(time, expected) < 100 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("without grid resistance the withstood voltage rises from the floor to full hold-off", S, float,
                   double, long double) {
  const auto of = tube<S>(afterglow<S>);
  const HoldOffQuestion<S> asked{S(0.3L), S(-10), S(0), S(0)};
  CHECK(of.restrike_voltage(asked, S(0)) == S(10));
  CHECK(of.restrike_voltage(asked, S(30e-6L)) == S(10));
  CHECK(absolute_gap(of.restrike_voltage(asked, S(1)), 2000.0L) < 2e-9 + 1e4 * double(round_off<S>));
  const S holding = afterglow<S>.deionisation_time(S(0.3L), S(-10));
  // By hand: ln 4 time constants later a quarter of the holding level is left, and 3/4 of 1990 V won back.
  const S later = holding + S(10e-6L * std::log(4.0L));
  CHECK(absolute_gap(of.restrike_voltage(asked, later), 1502.5L) < 1e5 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("what is withstood at the deionisation time is the voltage asked about", S, float, double,
                   long double) {
  const unsigned seed = 63;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> amperes(0.02, 1.0), bias(-100.0, -5.0), log_ohm(2.0, 7.0), share(0.05, 0.95);
  const auto of = tube<S>(afterglow<S>);
  for (int k = 0; k < 50; ++k) {
    HoldOffQuestion<S> asked{S(amperes(random)), S(bias(random)), S(std::pow(10.0, log_ohm(random))), S(0)};
    asked.plate = S(share(random)) * S(-200) * asked.bias + S(10);
    const S time = of.deionisation_time(asked);
    if (time == S(0)) continue;
    CAPTURE(asked.current);
    CAPTURE(asked.bias);
    CAPTURE(asked.resistance);
    // critical_plate() is good to a nanovolt.
    CHECK(absolute_gap(of.restrike_voltage(asked, time), asked.plate)
          < 2e-9 + 1e4 * double(round_off<S>) * double(asked.plate));
  }
}

TEST_CASE("ions through the grid resistance weaken sheath and hold-off alike") {
  const auto of = tube<double>(afterglow<double>);
  const HoldOffQuestion<double> asked{0.2, -10.0, 1e6, 1000.0};
  CHECK(relative_gap(of.grid_voltage(asked, 0.05), -5.0) < 1e-12);  // 5 uA in 1 Mohm, by hand
  const double time = of.deionisation_time(asked), residual = std::exp(-time / 10e-6);
  // At that instant, from the laws themselves: floor + control * (full - floor) = 1000 V at the lifted grid.
  const double grid = -10.0 + 1e6 * 1e-4 * residual, full = -200.0 * grid;
  CHECK(relative_gap(10.0 + afterglow<double>.control(residual, grid) * (full - 10.0), 1000.0) < 1e-9);
  CHECK(time > tube<double>(afterglow<double>).deionisation_time({0.2, -10.0, 0.0, 1000.0}) + 0.1e-6);
}

TEST_CASE("with much resistance the drop in it decides: one time constant for e times the resistance") {
  // A sheath that never opens the grid leaves condition (b) alone: 1990 V short of full wants the ions down to 1/1000.
  const SheathAfterglow<double> closed{10e-6, 1e-9, 0.2, 1e-6, 1e3};
  const auto of = tube<double>(closed);
  const double once = of.deionisation_time({0.2, -10.0, 1e8, 1000.0});
  const double more = of.deionisation_time({0.2, -10.0, 1e8 * std::exp(1.0), 1000.0});
  CHECK(relative_gap(more - once, 10e-6) < 1e-9);
  // By hand: 10 kV of drop must come down to 5 V.
  CHECK(relative_gap(once, 10e-6 * std::log(2000.0)) < 1e-6);
}

TEST_CASE("the critical grid current lifts the grid at all times") {
  auto of = tube<double>(afterglow<double>);
  of.critical_current = 0.5e-6;
  CHECK(of.grid_voltage({0.2, -10.0, 10e6, 0.0}, 0.0) == closeness::relative(-5.0));  // 0.5 uA in 10 Mohm, by hand
  CHECK(of.deionisation_time({0.2, -10.0, 10e6, 990.0}) < 1.0);
  CHECK(of.deionisation_time({0.2, -10.0, 10e6, 1010.0}) == unlimited<double>());
}

TEST_CASE_TEMPLATE("a bias that never holds the voltage never deionises the tube, whatever the law", S, float, double,
                   long double) {
  const HoldOffQuestion<S> weak{S(0.2L), S(-1), S(1000), S(201)};
  CHECK(tube<S>(InstantRecovery<S>{}).deionisation_time(weak) == unlimited<S>());
  CHECK(tube<S>(FixedDeionisation<S>{S(1e-3L)}).deionisation_time(weak) == unlimited<S>());
  CHECK(tube<S>(afterglow<S>).deionisation_time(weak) == unlimited<S>());
  CHECK(tube<S>(hull<S>).deionisation_time(weak) == unlimited<S>());
  const HoldOffQuestion<S> enough{S(0.2L), S(-1), S(0), S(199)};
  CHECK(tube<S>(afterglow<S>).deionisation_time(enough) < S(1));
}

TEST_CASE_TEMPLATE("instant and fixed recovery answer with their own times", S, float, double, long double) {
  const HoldOffQuestion<S> asked{S(0.2L), S(-10), S(1e5), S(500)};
  CHECK(tube<S>(InstantRecovery<S>{}).deionisation_time(asked) == S(0));
  CHECK(relative_gap(tube<S>(InstantRecovery<S>{}).restrike_voltage(asked, S(0)), 2000.0L) < 1e-6);
  const auto fixed = tube<S>(FixedDeionisation<S>{S(1e-3L)});
  CHECK(relative_gap(fixed.deionisation_time(asked), 1e-3L) < 1000 * double(round_off<S>));
  CHECK(fixed.restrike_voltage(asked, S(0.99e-3L)) == S(10));
  CHECK(relative_gap(fixed.restrike_voltage(asked, S(1.01e-3L)), 2000.0L) < 1e-6);
}

TEST_CASE_TEMPLATE("the power law answers with Hull's time where the grid has no resistance", S, float, double,
                   long double) {
  const S time = tube<S>(hull<S>).deionisation_time({S(0.2L), S(-10), S(0), S(500)});
  CHECK(relative_gap(time, hull<S>.deionisation_time(S(0.2L), S(-10))) < 1000 * double(round_off<S>));
}

TEST_CASE("the power law does its work under the grid as it is lifted and falls back") {
  // Closed form, worked here: W int dr / (e - k r)^1.5 = 2 W (a^-0.5 - b^-0.5) / k, a = e - k r0, b = e, where r falls
  // from r0 to 0 and no clamp comes in. k = 1e5 ohm x 1e-4 A = 10 V, e = 18 V.
  const double r0 = std::pow(0.6, 0.7), a = 18.0 - 10.0 * r0;
  const double expected = 2.0 * hull<double>.work(2.0) * (1.0 / std::sqrt(a) - 1.0 / std::sqrt(18.0)) / 10.0;
  const auto of = tube<double>(hull<double>);
  CHECK(relative_gap(of.deionisation_time({1.2, -10.0, 1e5, 500.0}), expected) < 1e-13);
  CHECK(of.deionisation_time({1.2, -10.0, 1e5, 500.0}) > 1.3 * hull<double>.deionisation_time(1.2, -10.0));
}

namespace {

/// Falls like Hull's law, and decays besides; has no closed form.
struct Homemade {
  PowerLawRecovery<double> hull_law;
  double decay_rate;
  [[nodiscard]] double source_lit(double current) const { return hull_law.source_lit(current); }
  [[nodiscard]] double decay_lit() const { return hull_law.decay_lit(); }
  [[nodiscard]] double source_out(double grid) const { return hull_law.source_out(grid); }
  [[nodiscard]] double decay() const { return decay_rate; }
  [[nodiscard]] double at_extinction(double residual) const { return hull_law.at_extinction(residual); }
  [[nodiscard]] double control(double residual, double grid) const { return hull_law.control(residual, grid); }
  [[nodiscard]] double left(double residual) const { return residual; }
  void check() const {}
};

}  // namespace

TEST_CASE("a law without a closed form is followed piece by piece") {
  const HoldOffQuestion<double> lifted{1.2, -10.0, 1e5, 500.0};
  const double exact = tube<double>(hull<double>).deionisation_time(lifted);
  CHECK(relative_gap(tube<double>(Homemade{hull<double>, 0.0}).deionisation_time(lifted), exact) < 1e-5);
  // Closed form, worked here: n' = -s - d n takes ln(1 + d n0 / s) / d to run out.
  const double d = 2e4, s = -hull<double>.source_out(-10.0), n0 = std::pow(0.6, 0.7);
  const HoldOffQuestion<double> plain{1.2, -10.0, 0.0, 500.0};
  CHECK(relative_gap(tube<double>(Homemade{hull<double>, d}).deionisation_time(plain), std::log1p(d * n0 / s) / d)
        < 1e-12);
}

TEST_CASE("a tube in its host's loop holds the voltage from the deionisation time on, and not before") {
  const auto check = [](const auto& recovery) {
    const auto built = IdealTube<double>{200.0, 8.0, 1e-3, 10.0}.build(recovery);
    HostedTube lit(built);
    lit.advance({30.0, 5.0, 0.0}, 1e-3);
    const double current = lit.respond({30.0, 5.0, 0.0}).plate_current;
    CAPTURE(current);
    CHECK(current > 1.0);
    lit.advance({-5.0, -10.0, 0.0}, 0.0);  // out
    const double floor = built.laws().arc.voltage(1e-3) + 1.0;
    const double time = hold_off(line<double>, recovery, 0.0, floor).deionisation_time({current, -10.0, 0.0, 500.0});
    const auto state_after = [&](double pause) {
      HostedTube tube = lit;
      tube.advance({-5.0, -10.0, 0.0}, pause);
      tube.advance({500.0, -10.0, 0.0}, 0.0);
      return tube.state();
    };
    CHECK(state_after(time * 0.999) == TubeState::conducting);
    CHECK(state_after(time * 1.001) != TubeState::conducting);
  };
  check(FixedDeionisation<double>{1e-4});
  check(afterglow<double>);
  check(hull<double>);
}

TEST_CASE("no current before, or a plate below the floor that the grid holds, asks for no time") {
  const auto of = tube<double>(afterglow<double>);
  CHECK(of.deionisation_time({0.0, -10.0, 1e5, 500.0}) == 0.0);
  CHECK(of.deionisation_time({0.2, -10.0, 0.0, 9.9}) == 0.0);
  CHECK(of.deionisation_time({0.2, -10.0, 0.0, -300.0}) == 0.0);
  CHECK(of.deionisation_time({0.2, -10.0, 0.0, 10.1}) > 0.0);
}

TEST_CASE("a grid too weak to hold the floor holds what it holds") {
  const auto of = tube<double>(afterglow<double>);
  CHECK(relative_gap(of.restrike_voltage({0.2, -0.02, 0.0, 0.0}, 1e-6), 4.0) < 1e-6);  // 0.02 V x 200, by hand
}

TEST_CASE("the residual after extinction is that of the law") {
  const auto of = tube<double>(afterglow<double>);
  CHECK(relative_gap(of.residual_at_extinction(0.3), 1.5) < 1e-14);
  CHECK(relative_gap(of.residual_after({0.3, -10.0, 1e5, 0.0}, 25e-6), 1.5 * std::exp(-2.5)) < 1e-12);
  CHECK(of.residual_after({0.3, -10.0, 1e5, 0.0}, 1.0) < 1e-30);
  const auto fixed = tube<double>(FixedDeionisation<double>{1e-3});
  CHECK(relative_gap(fixed.residual_after({0.3, -10.0, 1e5, 0.0}, 0.25e-3), 0.75) < 1e-12);
}

namespace {

struct Draw {
  std::mt19937_64 random;
  double between(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random); }
  /// Over decades.
  double decades(double low, double high) { return std::pow(10.0, between(std::log10(low), std::log10(high))); }
};

/// Later or equal, up to the last digits of the sums.
bool not_before(double later, double sooner) { return later >= sooner * (1.0 - 1e-10); }

/// The orderings that hold for any tube: Malter and Boyd 1951 (resistance), Hull 1929 (current, bias, pressure), tube
/// handbooks from memory (re-applied voltage).
/// @return true if the tube took some time to recover
template <class Recovery>
bool check_orderings(Draw& draw, const Recovery& recovery) {
  const KneedLine<double> ignition{{draw.decades(10, 500), draw.between(-3, 1), 0.0},
                                   {12.0, draw.between(0, 2), draw.between(20, 60)}};
  const auto of = hold_off(ignition, recovery, draw.decades(1e-7, 1e-3), draw.between(8, 20));
  const HoldOffQuestion<double> asked{draw.decades(1e-3, 10), -draw.decades(1, 300), draw.decades(10, 1e7),
                                      draw.decades(10, 1000)};
  CAPTURE(asked.current);
  CAPTURE(asked.bias);
  CAPTURE(asked.resistance);
  CAPTURE(asked.plate);
  const double time = of.deionisation_time(asked), factor = draw.decades(1, 10);
  CAPTURE(time);
  CAPTURE(factor);
  CHECK(time >= 0.0);
  const auto changed = [&](double HoldOffQuestion<double>::*field) {
    HoldOffQuestion<double> other = asked;
    other.*field *= factor;
    return of.deionisation_time(other);
  };
  CHECK(not_before(changed(&HoldOffQuestion<double>::current), time));
  CHECK(not_before(changed(&HoldOffQuestion<double>::resistance), time));
  CHECK(not_before(changed(&HoldOffQuestion<double>::plate), time));
  CHECK(not_before(time, changed(&HoldOffQuestion<double>::bias)));
  const double early = draw.decades(1e-7, 1e-3), late = early * factor;
  CHECK(of.restrike_voltage(asked, late) >= of.restrike_voltage(asked, early) * (1.0 - 1e-9));
  return time > 0.0 && time < unlimited<double>();
}

SheathAfterglow<double> random_afterglow(Draw& draw) {
  return {draw.decades(1e-6, 1e-3), draw.decades(1e-6, 1e-3), draw.decades(0.01, 1), draw.decades(1, 100),
          draw.between(0.2, 2)};
}
PowerLawRecovery<double> random_power_law(Draw& draw) {
  return {draw.decades(0.1, 100), draw.decades(1e-3, 3e-2), draw.between(0, 20),
          draw.decades(0.01, 10), draw.decades(1e-8, 1e-5), draw.between(0.2, 2)};
}

}  // namespace

TEST_CASE("recovery takes no less time after more current, with more resistance, for more voltage, under less bias") {
  const unsigned seed = 64;
  CAPTURE(seed);
  Draw draw{std::mt19937_64(seed)};
  const auto with = [&](auto&& draw_law) {
    int told_apart = 0;
    for (int k = 0; k < 200; ++k) {
      CAPTURE(k);
      told_apart += check_orderings(draw, draw_law());
    }
    return told_apart;
  };
  with([] { return InstantRecovery<double>{}; });
  // Neither always held nor never held: enough draws must be of use.
  CHECK(with([&] { return FixedDeionisation<double>{draw.decades(1e-6, 1e-2)}; }) > 100);
  CHECK(with([&] { return random_afterglow(draw); }) > 100);
  CHECK(with([&] { return random_power_law(draw); }) > 100);
}

TEST_CASE("recovery takes no less time at more pressure, where the law has one") {
  const unsigned seed = 65;
  CAPTURE(seed);
  Draw draw{std::mt19937_64(seed)};
  for (int k = 0; k < 200; ++k) {
    CAPTURE(k);
    const HoldOffQuestion<double> asked{draw.decades(1e-3, 10), -draw.decades(3, 300), draw.decades(10, 1e7),
                                        draw.decades(10, 500)};
    const double ions = draw.decades(1e-7, 1e-3), factor = draw.decades(1, 10);
    PowerLawRecovery<double> power = random_power_law(draw);
    const double thin = tube(power, ions).deionisation_time(asked);
    power.pressure *= factor;
    CHECK(not_before(tube(power, ions).deionisation_time(asked), thin));
    DyingPlasma<double> plasma{transport::argon, draw.decades(0.1, 100), 300.0, draw.between(1, 40), 1e-3};
    const double folds = draw.between(0.1, 10);
    const double sooner = tube(diffusion_afterglow(plasma, folds, 0.1, 10.0), ions).deionisation_time(asked);
    plasma.pressure *= factor;
    CHECK(not_before(tube(diffusion_afterglow(plasma, folds, 0.1, 10.0), ions).deionisation_time(asked), sooner));
  }
}

TEST_CASE_TEMPLATE("questions and tubes out of range are refused", S, float, double, long double) {
  using Asked = HoldOffQuestion<S>;
  const Asked asked{S(0.2L), S(-10), S(0), S(100)};
  refusal::check_field(asked, &Asked::current, "hold-off: current", S(0), S(-1e-3));
  refusal::check_field(asked, &Asked::resistance, "hold-off: resistance", S(0), S(-1));
  refusal::check_finite_field(asked, &Asked::bias, "hold-off: bias");
  refusal::check_finite_field(asked, &Asked::plate, "hold-off: plate");
  auto of = tube<S>(afterglow<S>);
  using Tube = decltype(of);
  refusal::check_field(of, &Tube::ions_per_residual, "hold-off: ions_per_residual", S(0), S(-1e-9));
  refusal::check_field(of, &Tube::floor, "hold-off: floor", S(1), S(0));
  refusal::check_field(of, &Tube::critical_current, "hold-off: critical_current", S(0), S(-1e-9));
  CHECK(refusal::of([&] { (void)of.restrike_voltage(asked, S(-1e-9)); }) == "hold-off: time");
  CHECK(refusal::of([&] { (void)of.deionisation_time({S(-1), S(0), S(0), S(0)}); }) == "hold-off: current");
  of.recovery.time_constant = S(0);
  CHECK(refusal::of([&] { of.check(); }) == "sheath afterglow: time_constant");
  of.ignition.control_ratio = S(0);
  CHECK(refusal::of([&] { of.check(); }) == "control line: control_ratio");
}
