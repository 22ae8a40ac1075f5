// SPDX-License-Identifier: MIT
// A tube in a host's own loop.
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/hosted_tube.hpp>

#include "support_for_tests/bench_tube.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

template <class S>
using Bench = HostedTube<catalogue::RareGasTube<S>>;

template <class S>
constexpr Conditions<S> grounded{S(0), S(-10), S(0)};

/// The host: a supply and a load resistor, solved by Newton's method with the tube's slopes, stepped from change to
/// change.
template <class Tube>
struct Host {
  using S = typename Tube::S;
  Tube tube;
  S supply, load, grid, plate = supply;

  void solve() {
    for (int k = 0; k < 50; ++k) {
      const TubeResponse<S> r = tube.respond({plate, grid, S(0)});
      plate -= (plate - supply + load * r.plate_current) / (S(1) + load * r.plate_by_plate);
    }
  }
  void go_on(S time, S longest_step) {
    while (time > S(0)) {
      solve();
      const Conditions<S> at{plate, grid, S(0)};
      const S step = std::min({time, longest_step, tube.time_to_change(at, longest_step)});
      tube.advance(at, step);
      time -= std::max(step, S(1e-9L));
    }
    solve();
  }
};

/// A bench tube that has burnt at `current` for long and has just gone out.
template <class S>
Bench<S> gone_out(S current) {
  Bench<S> tube(bench_tube<S>());
  tube.advance({S(100), S(5), S(0)}, S(1e-4L));
  tube.advance({S(10) + current * S(2.5), S(-5), S(0)}, S(1e-3L));
  tube.advance(grounded<S>, S(0));
  return tube;
}

}  // namespace

TEST_CASE_TEMPLATE("in a host's loop a tube strikes, latches, and lets go after the deionisation time", S, float,
                   double) {
  Host<Bench<S>> host{Bench<S>(bench_tube<S>()), S(48), S(380), S(-5)};
  host.go_on(S(1e-3L), S(1e-4L));
  CHECK(host.tube.state() == TubeState::blocked);
  CHECK(host.plate > S(47.9));

  host.grid = S(2);
  host.go_on(S(1e-4L), S(1e-5L));
  CHECK(host.tube.state() == TubeState::conducting);
  // Ohm's law by hand: 48 V less the drop of 10 V over load, arc and series resistance, ions to the grid beside it.
  const S arc = S(38) / (S(380) * S(1.001L) + S(2.5));
  CHECK(absolute_gap(host.plate, S(10) + S(2.5) * arc) < 1e-4);

  host.grid = S(-10);  // the grid has lost control
  host.go_on(S(1e-3L), S(1e-5L));
  CHECK(host.tube.state() == TubeState::conducting);
  CHECK(absolute_gap(host.plate, S(10) + S(2.5) * arc) < 1e-4);

  const S needed = bench_tube<S>().laws().recovery.deionisation_time(arc, host.grid);
  const auto touch = [&](S time) {
    host.tube.advance(grounded<S>, time);
    host.plate = S(48);
    host.go_on(S(1e-3L), S(1e-5L));
    return host.tube.state();
  };
  CHECK(touch(S(0.8) * needed) == TubeState::conducting);
  CHECK(touch(S(1.3) * needed) == TubeState::blocked);
  CHECK(host.plate > S(47.9));
}

TEST_CASE_TEMPLATE("an ideal tube in a host's loop lets go after its fixed deionisation time, not before", S, float,
                   double) {
  const auto tube = IdealTube<S>{S(40), S(15), S(0.01L)}.build(FixedDeionisation<S>{S(200e-6L)});
  Host<HostedTube<std::remove_const_t<decltype(tube)>>> host{HostedTube(tube), S(100), S(999.5), S(5)};
  host.go_on(S(1e-4L), S(1e-5L));
  CHECK(host.tube.state() == TubeState::conducting);
  CHECK(absolute_gap(host.plate, 15.0425L) < 1e-4);  // 85 mA and 0.5 ohm of series resistance, by hand
  host.grid = S(-10);
  for (const S time : {S(100e-6L), S(199e-6L), S(201e-6L)}) {
    host.go_on(S(1e-4L), S(1e-5L));
    CHECK(host.tube.state() == TubeState::conducting);
    host.tube.advance(grounded<S>, time);
    host.plate = S(100);
    host.go_on(S(1e-5L), S(1e-5L));
  }
  CHECK(host.tube.state() == TubeState::blocked);
}

TEST_CASE_TEMPLATE("a cold tube does not fire before its heating time, whatever the grid", S, float, double,
                   long double) {
  const Conditions<S> at{S(300), S(50), S(0)};
  Bench<S> tube(bench_tube<S>(), S(0), false);
  CHECK(tube.state() == TubeState::cold);
  CHECK(relative_gap(tube.time_to_change(at, S(60)), 10.0L) < 16 * double(round_off<S>));
  tube.advance(at, S(4));
  CHECK(relative_gap(tube.time_to_change(at, S(60)), 6.0L) < 32 * double(round_off<S>));
  CHECK(tube.advance(at, S(5.99)) == 0);
  CHECK(tube.state() == TubeState::cold);
  CHECK(tube.advance(at, S(0.02)) == 3);  // blocked, striking, conducting
  CHECK(tube.state() == TubeState::conducting);
}

TEST_CASE("a step that changes the state several times takes the time of the step") {
  Bench<double> tube(bench_tube<double>(), 0.0, false);
  const Conditions<double> at{100.0, 20.0, 0.0};
  CHECK(tube.advance(at, 12.0) == 3);
  CHECK(relative_gap(tube.time(), 12.0) < 1e-12);
}

TEST_CASE_TEMPLATE("the time to fire is the firing delay at this overdrive", S, float, double, long double) {
  const auto type = bench_tube<S>();
  for (const S overdrive : {S(1), S(20), S(60)}) {
    const Conditions<S> at{S(100), type.critical_grid({S(100), S(0), S(0)}, S(0)) + overdrive, S(0)};
    Bench<S> tube(type);
    CHECK(tube.time_to_change(at, S(1)) == S(0));
    tube.advance(at, S(0));
    CHECK(tube.state() == TubeState::striking);
    // Closed form, worked here: 1 us + 20 us V / overdrive. A far horizon costs no accuracy.
    const long double delay = 1e-6L + 20e-6L / static_cast<long double>(overdrive);
    CHECK(relative_gap(tube.time_to_change(at, S(1)), delay) < 1e-11 + 64 * double(round_off<S>));
    CHECK(relative_gap(tube.time_to_change(at, unlimited<S>()), delay) < 1e-11 + 64 * double(round_off<S>));
    CHECK(tube.time_to_change(at, S(0.5e-6L)) == S(0.5e-6L));  // not before the horizon
  }
}

TEST_CASE_TEMPLATE("the time to deionise is the time constant times the logarithm of the ratio", S, float, double,
                   long double) {
  for (const S current : {S(0.02L), S(0.1L), S(0.4L)}) {
    const Bench<S> tube = gone_out(current);
    CHECK(tube.state() == TubeState::recovering);
    CHECK(relative_gap(tube.residual(), current / S(0.1L)) < 1e-12 + 256 * double(round_off<S>));
    // Closed form, worked here: the afterglow counts as over at exp(-5) (1/10)^1.5 / 1000.
    const long double level = std::exp(-5.0L) * std::pow(0.1L, 1.5L) * 1e-3L;
    const long double time = 10e-6L * std::log(static_cast<long double>(tube.residual()) / level);
    CHECK(relative_gap(tube.time_to_change(grounded<S>, S(1)), time) < 1e-14 + 256 * double(round_off<S>));
  }
}

TEST_CASE_TEMPLATE("a fixed deionisation time is met exactly", S, float, double, long double) {
  HostedTube tube(IdealTube<S>{S(40), S(15), S(0.01L)}.build(FixedDeionisation<S>{S(200e-6L)}));
  tube.advance({S(100), S(5), S(0)}, S(1e-3L));
  CHECK(tube.state() == TubeState::conducting);
  tube.advance(grounded<S>, S(0));
  // 16 round-offs of the residual count as none.
  CHECK(relative_gap(tube.time_to_change(grounded<S>, S(1)), 200e-6L) < 32 * double(round_off<S>));
  tube.advance(grounded<S>, S(150e-6L));
  CHECK(relative_gap(tube.time_to_change(grounded<S>, S(1)), 50e-6L) < 128 * double(round_off<S>));
  tube.advance(grounded<S>, S(49e-6L));
  CHECK(tube.state() == TubeState::recovering);
  tube.advance(grounded<S>, S(2e-6L));
  CHECK(tube.state() == TubeState::blocked);
}

TEST_CASE_TEMPLATE("a pulse shorter than the firing delay does not fire, nor do many of them add up", S, float, double,
                   long double) {
  Bench<S> tube(bench_tube<S>());
  const Conditions<S> pulse{S(100), S(20), S(0)}, pause{S(100), S(-10), S(0)};
  tube.advance(pulse, S(0));
  const S delay = tube.time_to_change(pulse, S(1));
  tube.advance(pause, S(0));
  for (int k = 0; k < 5; ++k) {
    tube.advance(pulse, S(0.9) * delay);
    CHECK(tube.state() == TubeState::striking);
    tube.advance(pause, S(1e-6L));
    CHECK(tube.state() == TubeState::blocked);
  }
  tube.advance(pulse, S(1.01L) * delay);
  CHECK(tube.state() == TubeState::conducting);
}

TEST_CASE_TEMPLATE("stated slopes of the response are those of the response, in every state", S, float, double,
                   long double) {
  const auto check = [](const Bench<S>& tube, const Conditions<S>& at) {
    CAPTURE(std::string(name(tube.state())));
    CAPTURE(at.plate);
    CAPTURE(at.grid);
    const TubeResponse<S> r = tube.respond(at);
    const auto with_plate = [&](S v) { return tube.respond({v, at.grid, at.shield}); };
    const auto with_grid = [&](S v) { return tube.respond({at.plate, v, at.shield}); };
    CHECK(slopes::agrees([&](S v) { return with_plate(v).plate_current; }, at.plate, r.plate_by_plate));
    CHECK(slopes::agrees([&](S v) { return with_plate(v).grid_current; }, at.plate, r.grid_by_plate));
    CHECK(slopes::agrees([&](S v) { return with_grid(v).plate_current; }, at.grid, r.plate_by_grid));
    CHECK(slopes::agrees([&](S v) { return with_grid(v).grid_current; }, at.grid, r.grid_by_grid));
  };
  const unsigned seed = 49;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(-30.0, 60.0);
  Bench<S> cold(bench_tube<S>(), S(0), false), blocked(bench_tube<S>()), striking(blocked), lit(blocked), back(blocked);
  cold.advance({}, S(3));
  striking.advance({S(100), S(5), S(0)}, S(0));
  lit.advance({S(100), S(5), S(0)}, S(1e-4L));
  back.advance({S(-600), S(-5), S(0)}, S(0));
  const Bench<S> recovering = gone_out(S(0.1L));
  CHECK(lit.state() == TubeState::conducting);
  CHECK(back.state() == TubeState::reverse_breakdown);
  for (int k = 0; k < 100; ++k) {
    const Conditions<S> at{S(volts(random)), S(0.3 * volts(random)), S(0.1 * volts(random))};
    for (const Bench<S>& tube : {cold, blocked, striking, lit, recovering, back}) check(tube, at);
    // Within the volt over which the ions of the afterglow fade.
    check(recovering, {at.grid + S(0.2 + 0.006 * (volts(random) + 40.0)), at.grid, S(0)});
  }
}

TEST_CASE("what flows into plate and grid flows out of the cathode, and ions only between plate and grid") {
  const Bench<double> tube = gone_out(0.1);
  const TubeResponse<double> r = tube.respond({5.0, -10.0, 0.0});
  // Residual ionisation 1 sends 0.1 mA of ions from plate to grid; the grid leaks 10 nA. By hand.
  CHECK(relative_gap(r.grid_current, -1e-4 * tube.residual() - 1e-8) < 1e-12);
  CHECK(relative_gap(r.plate_current + r.grid_current, -1e-8) < 1e-6);
}

TEST_CASE_TEMPLATE("voltages and times that are no numbers are refused, and nothing changes", S, float, double,
                   long double) {
  const S nan = std::numeric_limits<S>::quiet_NaN(), infinity = std::numeric_limits<S>::infinity();
  Bench<S> tube = gone_out(S(0.1L));
  const S residual = tube.residual(), time = tube.time();
  const auto refused = [&](const Conditions<S>& at, S step) { return refusal::of([&] { tube.advance(at, step); }); };
  for (const S bad : {nan, infinity, -infinity}) {
    CHECK(refused({bad, S(0), S(0)}, S(1e-6L)) == "hosted tube: plate");
    CHECK(refused({S(0), bad, S(0)}, S(1e-6L)) == "hosted tube: grid");
    CHECK(refused({S(0), S(0), bad}, S(1e-6L)) == "hosted tube: shield");
    CHECK(refused(grounded<S>, bad) == "hosted tube: step");
  }
  CHECK(refused(grounded<S>, S(-1e-9L)) == "hosted tube: step");
  CHECK(refusal::of([&] { static_cast<void>(tube.time_to_change({nan, S(0), S(0)}, S(1))); }) == "hosted tube: plate");
  CHECK(refusal::of([&] { static_cast<void>(tube.time_to_change(grounded<S>, nan)); }) == "hosted tube: horizon");
  CHECK(tube.state() == TubeState::recovering);
  CHECK(tube.residual() == residual);
  CHECK(tube.time() == time);
  CHECK(refused(grounded<S>, S(1e-6L)) == "accepted");
  CHECK(tube.residual() < residual);
}

TEST_CASE("the series resistance is above zero, and above the fall of a falling arc") {
  const auto with = [](double drop_resistance, double series) {
    IdealTube<double> ideal{.control_ratio = 40.0, .arc_drop = 15.0, .arc_resistance = drop_resistance};
    return refusal::of([&] { HostedTube tube(ideal.build(), 0.0, true, series); });
  };
  CHECK(with(0.0, 1e-3) == "accepted");
  CHECK(with(2.0, 0.0) == "hosted tube: series_resistance");  // the arc-back has no slope of its own
  CHECK(with(2.0, -1.0) == "hosted tube: series_resistance");
  CHECK(with(2.0, std::numeric_limits<double>::quiet_NaN()) == "hosted tube: series_resistance");
  CHECK(with(-4.0, 4.0) == "hosted tube: series_resistance");
  CHECK(with(-4.0, 4.1) == "accepted");
}

namespace {
struct FallingLaws {
  using Scalar = double;
  ControlLine<double> ignition{100.0};
  ShieldShift<double> shield;
  NoDelay<double> delay;
  FallingDrop<double> arc{8.0, 0.01, 1e-3};
  SustainingCurrent<double> sustaining{10e-3};
  InstantRecovery<double> recovery;
  NoGridCurrent<double> grid;
  PlateLeakage<double> electrons;
  NoAfterglowCurrent<double> afterglow;
  ReadyCathode<double> cathode;
  ArcBack<double> inverse{1e6, 15.0};
  PlateFall<double> fall = {};
  TubeCapacitances<double> capacitances;
  Ratings<double> ratings;
};
}  // namespace

TEST_CASE("a falling arc burns at the stable one of its two currents, and at none where it cannot burn") {
  HostedTube tube(Thyratron(FallingLaws{}), 0.0, true, 150.0);
  tube.advance({20.0, 5.0, 0.0}, 1e-6);
  CHECK(tube.state() == TubeState::conducting);
  // 8 + 0.01/i + 150 i = 20 has the roots 79.16 mA and 0.84 mA: (12 + sqrt(144 - 6)) / 300, by hand.
  CHECK(relative_gap(tube.respond({20.0, 5.0, 0.0}).plate_current, (12.0 + std::sqrt(138.0)) / 300.0) < 1e-12);
  CHECK(tube.respond({10.4, 5.0, 0.0}).plate_current == 0.0);  // 8 V + 2 sqrt(0.01 x 150) V = 10.45 V are needed
  CHECK(tube.respond({10.5, 5.0, 0.0}).plate_current > 5e-3);
  tube.advance({10.4, -5.0, 0.0}, 1e-6);
  CHECK(tube.state() == TubeState::blocked);
}

TEST_CASE("an arc-back burns until its current ebbs, and leaves ionisation behind") {
  Bench<double> tube(bench_tube<double>());
  tube.advance({-499.0, -5.0, 0.0}, 1e-3);
  CHECK(tube.state() == TubeState::blocked);
  tube.advance({-501.0, -5.0, 0.0}, 1e-3);
  CHECK(tube.state() == TubeState::reverse_breakdown);
  CHECK(relative_gap(tube.respond({-20.1, -5.0, 0.0}).plate_current, -0.2) < 1e-9);  // 0.1 V over 0.5 ohm
  tube.advance({-20.1, -5.0, 0.0}, 1e-3);
  tube.advance({-5.0, -5.0, 0.0}, 1e-6);
  CHECK(tube.state() == TubeState::recovering);
  CHECK(tube.residual() > 0.9);
}

TEST_CASE("a formed discharge waits until the host can feed the arc") {
  Bench<double> tube(bench_tube<double>());
  tube.offer({.resistance = 10e3, .steady_voltage = 48.0, .steady_resistance = 10e3});  // 48 V and 5 mA: 60.01 V needed
  tube.advance({48.0, 5.0, 0.0}, 1e-3);
  CHECK(tube.state() == TubeState::striking);
  tube.offer({.resistance = 5e3, .steady_voltage = 48.0, .steady_resistance = 5e3});
  tube.advance({48.0, 5.0, 0.0}, 0.0);
  CHECK(tube.state() == TubeState::conducting);
}

TEST_CASE("one long step and many short ones come to the same") {
  const Conditions<double> held{100.0, -20.0, 0.0};
  Bench<double> one = gone_out(0.1), many = one;
  one.advance(held, 200e-6);
  for (int k = 0; k < 1000; ++k) many.advance(held, 0.2e-6);
  CHECK(one.state() == many.state());
  CHECK(relative_gap(one.residual(), many.residual()) < 1e-9);
  CHECK(relative_gap(one.time(), many.time()) < 1e-12);
}

TEST_CASE("residual ionisation shortens the firing, as fine steps show") {
  const Conditions<double> at{100.0, 20.0, 0.0};
  Bench<double> coarse = gone_out(0.05), fine = coarse;
  coarse.advance(at, 0.0);
  CHECK(coarse.state() == TubeState::striking);
  const double predicted = coarse.time_to_change(at, 1.0);
  double passed = 0.0;
  for (; fine.state() != TubeState::conducting && passed < 1e-4; passed += 1e-10) fine.advance(at, 1e-10);
  CHECK(relative_gap(predicted, passed) < 1e-3);
  Bench<double> rested(bench_tube<double>());
  rested.advance(at, 0.0);
  CHECK(predicted < rested.time_to_change(at, 1.0));
}

TEST_CASE("a step changes the state as often as it must, but not beyond the limit given") {
  const Conditions<double> at{100.0, 20.0, 0.0};
  Bench<double> tube(bench_tube<double>());
  CHECK(tube.advance(at, 1e-3, 1) == 1);
  CHECK(tube.state() == TubeState::striking);
  CHECK(relative_gap(tube.time(), 1e-3) < 1e-12);
  CHECK(tube.advance(at, 1e-3) == 1);
  CHECK(tube.state() == TubeState::conducting);
  CHECK(tube.advance(at, 1e-3) == 0);
}

TEST_CASE_TEMPLATE("a grid at or near the critical voltage does not make the tube flicker", S, float, double,
                   long double) {
  const auto type = bench_tube<S>();
  for (const S beside : {S(-1e-3L), S(-1e-8L), S(0), S(1e-8L), S(1e-3L)}) {
    Bench<S> tube(type);
    const Conditions<S> at{S(100), type.critical_grid({S(100), S(0), S(0)}, S(0)) + beside, S(0)};
    CHECK(tube.advance(at, S(1e-9L)) <= 1);
    CHECK(tube.advance(at, S(1e-9L)) == 0);
  }
}
