// SPDX-License-Identifier: MIT
// The tube as a state machine: every row with its guard, and what residual ionisation and the circuit's feed do to it.
#include <gastube/tube/family/thyratron.hpp>

#include "support_for_tests/bench_tube.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

template <class S>
using Tube = catalogue::RareGasTube<S>;
template <class S>
using View = TubeView<S>;
constexpr std::size_t exits = most_exits(hot_cathode_transitions);

/// A warm tube in `state`.
template <class S>
TubeMemory<S> in(TubeState state) {
  TubeMemory<S> memory = bench_tube<S>().warm(S(0));
  memory.state = state;
  return memory;
}

/// Guard of the row that leaves `from` by `cause`.
template <class S>
S guard_of(TubeState from, Cause cause, const View<S>& view, const TubeMemory<S>& memory) {
  for (std::size_t exit = 0; exit < exits; ++exit) {
    const Transition* row = exit_of(hot_cathode_transitions, from, exit);
    if (row && row->cause == cause) return bench_tube<S>().guard(exit, view, memory);
  }
  return std::numeric_limits<S>::quiet_NaN();
}

/// The row lasts at `holds` and has fallen at `falls`; leaving by it leads to `to`.
template <class S>
void check_row(TubeState from, Cause cause, TubeState to, const View<S>& holds, const View<S>& falls,
               TubeMemory<S> memory) {
  CAPTURE(std::string(name(from)));
  CAPTURE(std::string(name(cause)));
  CHECK(guard_of<S>(from, cause, holds, memory) > S(0));
  CHECK(guard_of<S>(from, cause, falls, memory) <= S(0));
  for (std::size_t exit = 0; exit < exits; ++exit) {
    const Transition* row = exit_of(hot_cathode_transitions, from, exit);
    if (!row || row->cause != cause) continue;
    S residual(0), formation(0);
    CHECK(&bench_tube<S>().leave(exit, falls, memory, residual, formation) == row);
    CHECK(memory.state == to);
  }
}

}  // namespace

TEST_CASE_TEMPLATE("every row of the table has a guard that lasts and a guard that falls", S, float, double,
                   long double) {
  const Tube<S> tube = bench_tube<S>();
  const S critical = tube.critical_grid({S(100), S(0), S(0)}, S(0));
  const View<S> below{S(0), {S(100), critical - S(0.01L), S(0)}, S(0)},
      above{S(0), {S(100), critical + S(0.01L), S(0)}, S(0)};
  const View<S> formed{S(0), {S(100), S(0), S(0)}, S(0), S(0), S(1)},
      forming{S(0), {S(100), S(0), S(0)}, S(0), S(0), S(0.99L)};
  const View<S> burning{S(0), {S(10), S(0), S(0)}, S(0.0051L)}, starved{S(0), {S(10), S(0), S(0)}, S(0.0049L)};
  const View<S> ionised{S(0), {S(0), S(-10), S(0)}, S(0), S(1)}, clear{S(0), {S(0), S(-10), S(0)}, S(0), S(0)};
  const View<S> inverse{S(0), {S(-501), S(-10), S(0)}, S(0)}, mild{S(0), {S(-499), S(-10), S(0)}, S(0)};
  const View<S> back{S(0), {S(-20), S(0), S(0)}, S(-0.0051L)}, ebbing{S(0), {S(-20), S(0), S(0)}, S(-0.0049L)};

  TubeMemory<S> cold = tube.switched_on(S(3));
  const View<S> soon{S(12.99L), {}, S(0)}, ready{S(13.01L), {}, S(0)};
  check_row(TubeState::cold, Cause::cathode_ready, TubeState::blocked, soon, ready, cold);
  check_row(TubeState::cold, Cause::inverse_exceeded, TubeState::reverse_breakdown, mild, inverse, cold);
  check_row(TubeState::blocked, Cause::overcritical, TubeState::striking, below, above, in<S>(TubeState::blocked));
  check_row(TubeState::blocked, Cause::inverse_exceeded, TubeState::reverse_breakdown, mild, inverse,
            in<S>(TubeState::blocked));
  check_row(TubeState::striking, Cause::arc_formed, TubeState::conducting, forming, formed, in<S>(TubeState::striking));
  check_row(TubeState::striking, Cause::subcritical, TubeState::recovering, above, below, in<S>(TubeState::striking));
  check_row(TubeState::conducting, Cause::current_lost, TubeState::recovering, burning, starved,
            in<S>(TubeState::conducting));
  check_row(TubeState::recovering, Cause::overcritical, TubeState::striking, below, above,
            in<S>(TubeState::recovering));
  check_row(TubeState::recovering, Cause::deionised, TubeState::blocked, ionised, clear, in<S>(TubeState::recovering));
  check_row(TubeState::recovering, Cause::inverse_exceeded, TubeState::reverse_breakdown, mild, inverse,
            in<S>(TubeState::recovering));
  check_row(TubeState::reverse_breakdown, Cause::inverse_current_lost, TubeState::recovering, back, ebbing,
            in<S>(TubeState::reverse_breakdown));
}

TEST_CASE("an exit that a state does not have never falls") {
  const Tube<double> tube = bench_tube<double>();
  for (std::size_t exit = 1; exit < exits + 2; ++exit)
    CHECK(tube.guard(exit, {}, in<double>(TubeState::conducting)) > 0.0);
}

TEST_CASE("a tube whose cathode is not ready does not fire, not even after an arc-back") {
  const Tube<double> tube = bench_tube<double>();
  TubeMemory<double> memory = tube.switched_on(0.0);
  memory.state = TubeState::recovering;
  const Conditions<double> at{100.0, 50.0, 0.0};
  CHECK(guard_of<double>(TubeState::recovering, Cause::overcritical, {9.9, at, 0.0}, memory) > 0.0);
  CHECK(guard_of<double>(TubeState::recovering, Cause::overcritical, {10.1, at, 0.0}, memory) <= 0.0);
}

TEST_CASE_TEMPLATE("on the critical voltage itself the tube is over-critical, and not both at once", S, float, double,
                   long double) {
  const Tube<S> tube = bench_tube<S>();
  for (const S plate : {S(30), S(100), S(300)}) {
    const View<S> edge{S(0), {plate, tube.critical_grid({plate, S(0), S(0)}, S(0)), S(0)}, S(0)};
    CHECK(guard_of<S>(TubeState::blocked, Cause::overcritical, edge, in<S>(TubeState::blocked)) <= S(0));
    CHECK(guard_of<S>(TubeState::striking, Cause::subcritical, edge, in<S>(TubeState::striking)) > S(0));
  }
}

TEST_CASE("a discharge forms anew each time the tube begins to strike") {
  const Tube<double> tube = bench_tube<double>();
  double residual = 0.25, formation = 0.8;
  TubeMemory<double> memory = in<double>(TubeState::striking);
  tube.leave(0, {}, memory, residual, formation);  // under-run: sub-critical again
  CHECK(memory.state == TubeState::recovering);
  tube.leave(0, {}, memory, residual, formation);  // over-critical again
  CHECK(memory.state == TubeState::striking);
  CHECK(formation == 0.0);
  CHECK(residual == 0.25);
}

TEST_CASE_TEMPLATE("the formation grows only while striking, at the rate of the firing delay", S, float, double,
                   long double) {
  const Tube<S> tube = bench_tube<S>();
  const S critical = tube.critical_grid({S(100), S(0), S(0)}, S(0));
  const View<S> view{S(0), {S(100), critical + S(20), S(0)}, S(0)};
  // By hand: 1 us + 20 us V / 20 V = 2 us.
  CHECK(relative_gap(tube.formation_rate(view, in<S>(TubeState::striking)), 0.5e6L)
        < 64 * double(round_off<S>) + 1e-10);
  for (const TubeState state : {TubeState::cold, TubeState::blocked, TubeState::conducting, TubeState::recovering})
    CHECK(tube.formation_rate(view, in<S>(state)) == S(0));
}

TEST_CASE_TEMPLATE("what is left of the last discharge need not be formed anew", S, float, double, long double) {
  const Tube<S> tube = bench_tube<S>();
  const S delay = S(1e-6L);  // of an overdrive beyond measure
  const auto rate = [&](S residual) {
    return tube.formation_rate({S(0), {S(100), S(1e7), S(0)}, S(0), residual}, in<S>(TubeState::striking));
  };
  CHECK(relative_gap(rate(S(0)) * delay, 1.0L) < 1e-5);
  CHECK(relative_gap(rate(S(0.75)) * delay, 4.0L) < 1e-5);  // a quarter is missing
  CHECK(relative_gap(rate(S(1)) * delay, 1000.0L) < 1e-4);  // at least a thousandth is
  CHECK(relative_gap(rate(S(5)) * delay, 1000.0L) < 1e-4);
}

TEST_CASE_TEMPLATE("residual ionisation makes the plate count for more than it is", S, float, double, long double) {
  const Tube<S> tube = bench_tube<S>();
  const auto& laws = tube.laws();
  const S grid = S(-10), level = laws.recovery.holding_level(grid);
  const auto critical = [&](S plate, S residual) { return tube.critical_grid({plate, grid, S(0)}, residual); };
  // The arc can burn at 10 V + 5 mA x 2 ohm + 1 V = 11.01 V; 89 V above it, with a quarter of the control back, count
  // as four times as many. By hand.
  const S counted = S(11.01L + 4 * 88.99L);
  CHECK(relative_gap(critical(S(100), S(level * S(0.75))), laws.ignition.critical_grid(counted))
        < 64 * double(round_off<S>));
  CHECK(absolute_gap(critical(S(100), S(0)), laws.ignition.critical_grid(S(100))) < 64 * double(round_off<S>));
  // Without control even the most negative grid lets it fire.
  CHECK(critical(S(100), level) == S(-never_fires<S>));
  // At a plate voltage at which no arc can burn, residual ionisation does not help.
  CHECK(critical(S(11), S(5)) == S(never_fires<S>));
}

TEST_CASE("more residual ionisation never makes ignition harder") {
  const Tube<double> tube = bench_tube<double>();
  for (const double plate : {5.0, 11.02, 13.0, 30.0, 100.0, 400.0}) {
    double last = tube.critical_grid({plate, -10.0, 0.0}, 0.0);
    for (double residual = 1e-5; residual < 1.0; residual *= 1.3) {
      const double now = tube.critical_grid({plate, -10.0, 0.0}, residual);
      CAPTURE(plate);
      CAPTURE(residual);
      CHECK(now <= last);
      last = now;
    }
  }
}

TEST_CASE_TEMPLATE("the shield grid shifts the critical voltage, but not where nothing fires", S, float, double,
                   long double) {
  const Tube<S> tube = bench_tube<S>();
  const auto critical = [&](S plate, S shield) { return tube.critical_grid({plate, S(-1), shield}, S(0)); };
  CHECK(relative_gap(critical(S(100), S(3)) - critical(S(100), S(0)), -6.0L) < 64 * double(round_off<S>));
  CHECK(relative_gap(critical(S(100), S(-3)) - critical(S(100), S(0)), 6.0L) < 64 * double(round_off<S>));
  CHECK(critical(S(12), S(100)) == S(never_fires<S>));
  CHECK(critical(S(100), S(-1e6)) == S(never_fires<S>));
  CHECK(critical(S(100), S(1e6)) == S(-never_fires<S>));
}

TEST_CASE_TEMPLATE("an arc forms where the circuit can feed the sustaining current at once", S, float, double,
                   long double) {
  const Tube<S> tube = bench_tube<S>();
  TubeMemory<S> memory = in<S>(TubeState::striking);
  const auto shortage = [&](S plate, S current) {
    return tube.feeding_shortage({S(0), {plate, S(0), S(0)}, current, S(0), S(1)}, memory);
  };
  // By hand: the arc needs 10.01 V at 5 mA.
  CHECK(absolute_gap(shortage(S(48), S(0)), -37.99L) < 256 * double(round_off<S>));
  CHECK(absolute_gap(shortage(S(10), S(0)), 0.01L) < 64 * double(round_off<S>));
  memory.feed = {.resistance = S(1000), .steady_voltage = S(48), .steady_resistance = S(1000)};
  CHECK(absolute_gap(shortage(S(48), S(0)), -32.99L) < 256 * double(round_off<S>));       // 5 V in 1 kohm
  CHECK(absolute_gap(shortage(S(47), S(0.001L)), -32.99L) < 256 * double(round_off<S>));  // 1 mA flows already
  // A formed discharge waits for the feed.
  CHECK(guard_of<S>(TubeState::striking, Cause::arc_formed, {S(0), {S(15), S(0), S(0)}, S(0), S(0), S(1)}, memory)
        > S(0));
  CHECK(guard_of<S>(TubeState::striking, Cause::arc_formed, {S(0), {S(15.02L), S(0), S(0)}, S(0), S(0), S(1)}, memory)
        <= S(0));
}

TEST_CASE_TEMPLATE("as long as the grid has not half its control back the circuit must be able to feed steadily", S,
                   float, double, long double) {
  const Tube<S> tube = bench_tube<S>();
  TubeMemory<S> memory = in<S>(TubeState::striking);
  // A charged capacitor at the plate: anything at once, but 3 mA in the long run.
  memory.feed = {.resistance = S(0), .steady_voltage = S(48), .steady_resistance = S(12000)};
  const S level = tube.laws().recovery.holding_level(S(-10));
  const auto shortage = [&](S residual) {
    return tube.feeding_shortage({S(0), {S(48), S(-10), S(0)}, S(0), residual, S(1)}, memory);
  };
  // With half its control back: at once will do, with the volt more that it asks for where it could not be fed
  // steadily.
  CHECK(absolute_gap(shortage(S(level * S(0.49L))), -36.99L) < 256 * double(round_off<S>));
  CHECK(absolute_gap(shortage(S(level * S(0.51L))), 22.01L) < 256 * double(round_off<S>));  // 10.01 - 48 + 60, by hand
  memory.feed.steady_resistance = S(6000);
  CHECK(shortage(S(level * S(0.51L))) < S(0));
}

TEST_CASE_TEMPLATE("the sustaining current decides when an arc is lost, and a tube without one when current is gone", S,
                   float, double, long double) {
  const TubeMemory<S> lit = in<S>(TubeState::conducting);
  const auto margin = [&](const Tube<S>& tube, S current) {
    return tube.guard(0, {S(0), {S(10), S(0), S(0)}, current}, lit);
  };
  CHECK(absolute_gap(margin(bench_tube<S>(), S(0.02L)), 3.0L) < 16 * double(round_off<S>));  // a share of 5 mA
  CHECK(margin(bench_tube<S>(), S(0.005L)) == S(0));
  CHECK(margin(bench_tube<S>(), S(-1)) < S(0));
  auto laws = bench_laws<S>();
  laws.sustaining.current = S(0);
  CHECK(margin(Tube<S>(laws), S(1e-8L)) == S(1e-8L));
  CHECK(margin(Tube<S>(laws), S(0)) == S(0));
  CHECK(margin(Tube<S>(laws), S(-1e-8L)) < S(0));
}

TEST_CASE_TEMPLATE("an arc that lacks its current as it forms starts, where the circuit feeds it and the grid lets it",
                   S, float, double, long double) {
  const Tube<S> tube = bench_tube<S>();
  // 48 V through 1 kohm and a coil: 38 mA in the long run. The grid is a volt above what holds off those 48 V.
  const Feed<S> coil{.resistance = S(1e6L), .steady_voltage = S(48), .steady_resistance = S(1000)};
  const S grid = S(tube.critical_grid({S(48), S(0), S(0)}, S(0)) + S(1));
  const auto after = [&](const Feed<S>& feed, const S& formed, const S& now, const S& at_grid) {
    TubeMemory<S> memory = in<S>(TubeState::striking);
    memory.feed = feed;
    S residual(0), formation(1);
    tube.leave(1, {formed, {S(48), at_grid, S(0)}, S(0), S(0), S(1)}, memory, residual, formation);
    REQUIRE(memory.state == TubeState::conducting);
    tube.leave(0, {now, {S(10), at_grid, S(0)}, S(0)}, memory, residual,
               formation);  // current below the sustaining one
    return memory.state;
  };
  CHECK(after(coil, S(1), S(1), grid) == TubeState::starting);
  CHECK(after(coil, S(1), S(1.5L), grid) == TubeState::recovering);      // it has burnt before
  CHECK(after(coil, S(1), S(1), grid - S(2)) == TubeState::recovering);  // the grid holds off what is offered
  Feed<S> weak = coil;
  weak.steady_resistance = S(8000);  // 48 V less 10.01 V feed 4.7 mA
  CHECK(after(weak, S(1), S(1), grid) == TubeState::recovering);
  weak.steady_resistance = S(7500);  // 5.07 mA
  CHECK(after(weak, S(1), S(1), grid) == TubeState::starting);
  weak.steady_voltage = unlimited<S>();  // never measured
  CHECK(after(weak, S(1), S(1), grid) == TubeState::recovering);
}

TEST_CASE_TEMPLATE("a starting arc burns on until its current is there, goes out with its grid or against its current",
                   S, float, double, long double) {
  const Tube<S> tube = bench_tube<S>();
  TubeMemory<S> memory = in<S>(TubeState::starting);
  memory.feed = {.resistance = S(1e6L), .steady_voltage = S(48), .steady_resistance = S(1000)};
  const S critical = tube.critical_grid({S(48), S(0), S(0)}, S(0));
  // The plate stands at the arc drop: what counts is the voltage that the circuit offers.
  const auto at = [&](const S& current, const S& above) {
    return View<S>{S(0), {S(10), S(critical + above), S(0)}, current};
  };
  const View<S> rising = at(S(0.0049L), S(1));
  check_row(TubeState::starting, Cause::current_reached, TubeState::conducting, rising, at(S(0.0051L), S(1)), memory);
  check_row(TubeState::starting, Cause::current_lost, TubeState::recovering, rising, at(S(0.0049L), S(-0.01L)), memory);
  check_row(TubeState::starting, Cause::current_lost, TubeState::recovering, at(S(1e-6L), S(1)), at(S(-1e-6L), S(1)),
            memory);
  CHECK(exit_of(hot_cathode_transitions, TubeState::starting, 2) == nullptr);
  // Otherwise it is an arc: drop, grid currents and ions are those of one that conducts.
  const TubeMemory<S> lit = in<S>(TubeState::conducting);
  CHECK(tube.arc(S(0.004L), memory).voltage == tube.arc(S(0.004L), lit).voltage);
  CHECK(tube.residual_source(rising, memory) == tube.residual_source(rising, lit));
  CHECK(tube.grid_paths(rising, memory).from_plate == tube.grid_paths(rising, lit).from_plate);
  CHECK(tube.formation_rate(rising, memory) == S(0));
}

TEST_CASE("the row by which an arc starts is never taken by itself") {
  const Tube<double> tube = bench_tube<double>();
  REQUIRE(exit_of(hot_cathode_transitions, TubeState::conducting, 1)->cause == Cause::current_awaited);
  for (const double current : {-1.0, 0.0, 0.004, 0.006})
    CHECK(tube.guard(1, {0.0, {10.0, 0.0, 0.0}, current}, in<double>(TubeState::conducting)) > 0.0);
}

TEST_CASE("arc and arc-back feed the residual ionisation, and it dies away in every state") {
  const Tube<double> tube = bench_tube<double>();
  const auto source = [&](TubeState state, double current, double residual) {
    return tube.residual_source({0.0, {}, current, residual}, in<double>(state));
  };
  CHECK(relative_gap(source(TubeState::conducting, 0.05, 0.0), 5e4) < 1e-12);  // half of 1/tau
  CHECK(relative_gap(source(TubeState::reverse_breakdown, -0.05, 0.0), 5e4) < 1e-12);
  CHECK(source(TubeState::blocked, 0.05, 0.5) == 0.0);
  CHECK(source(TubeState::recovering, 0.0, 0.5) == 0.0);
  for (const TubeState state : {TubeState::conducting, TubeState::recovering})
    CHECK(relative_gap(tube.residual_decay(in<double>(state)), 1e5) < 1e-12);
}

TEST_CASE("a warm tube emits fully, a tube just switched on not at all") {
  const Tube<double> tube = bench_tube<double>();
  CHECK(tube.warm(5.0).state == TubeState::blocked);
  CHECK(tube.emission(5.0, tube.warm(5.0)) == 1.0);
  CHECK(tube.switched_on(5.0).state == TubeState::cold);
  CHECK(tube.emission(5.0, tube.switched_on(5.0)) == 0.0);
  CHECK(relative_gap(tube.emission(8.0, tube.switched_on(5.0)), 1.0 - std::exp(-1.0)) < 1e-12);
  const Conditions<double> at{100.0, 1.0, 0.0};
  CHECK(tube.dark_current({5.0, at, 0.0}, tube.switched_on(5.0)).current == 0.0);
  CHECK(tube.dark_current({5.0, at, 0.0}, tube.warm(5.0)).current == tube.laws().electrons(at, 1.0).current);
}

TEST_CASE("a lit tube follows its arc law, an arc-back its own drop") {
  const Tube<double> tube = bench_tube<double>();
  CHECK(tube.arc(0.5, in<double>(TubeState::conducting)).voltage == 11.0);
  CHECK(tube.arc(0.5, in<double>(TubeState::conducting)).slope == 2.0);
  CHECK(tube.arc(-0.5, in<double>(TubeState::reverse_breakdown)).voltage == -20.0);
  CHECK(tube.arc(-0.5, in<double>(TubeState::reverse_breakdown)).slope == 0.0);
}

TEST_CASE("grid currents are those of the probe while the arc burns, else those before ignition") {
  const Tube<double> tube = bench_tube<double>();
  const View<double> view{0.0, {10.0, -5.0, 0.0}, 0.2, 0.5};
  CHECK(relative_gap(tube.grid_paths(view, in<double>(TubeState::conducting)).from_plate, 2e-4) < 1e-12);
  CHECK(relative_gap(tube.grid_paths(view, in<double>(TubeState::recovering)).from_plate, 5e-5) < 1e-12);
}

TEST_CASE("a tube refuses every law that refuses itself, by the law's name") {
  const auto spoilt = [](auto&& spoil) {
    auto laws = bench_laws<double>();
    spoil(laws);
    return refusal::of([&] { Tube<double> tube(laws); });
  };
  CHECK(spoilt([](auto&) {}) == "accepted");
  CHECK(spoilt([](auto& laws) { laws.ignition.line.control_ratio = 0; }) == "control line: control_ratio");
  CHECK(spoilt([](auto& laws) { laws.shield.leverage = -1; }) == "shield shift: leverage");
  CHECK(spoilt([](auto& laws) { laws.delay.least = 0; }) == "formative lag: least");
  CHECK(spoilt([](auto& laws) { laws.arc.inner.drop = 0; }) == "linear drop: drop");
  CHECK(spoilt([](auto& laws) { laws.sustaining.current = -1; }) == "sustaining current: current");
  CHECK(spoilt([](auto& laws) { laws.recovery.time = 0; }) == "sheath afterglow: time");
  CHECK(spoilt([](auto& laws) { laws.grid.plasma = 0; }) == "grid: plasma");
  CHECK(spoilt([](auto& laws) { laws.electrons.plate_knee = 0; }) == "space-charge current: plate_knee");
  CHECK(spoilt([](auto& laws) { laws.cathode.heating = -1; }) == "cathode: heating");
  CHECK(spoilt([](auto& laws) { laws.inverse.drop = 0; }) == "arc-back: drop");
  CHECK(spoilt([](auto& laws) { laws.capacitances.grid_plate = -1; }) == "tube capacitances: grid_plate");
  CHECK(spoilt([](auto& laws) { laws.ratings.peak_forward = 0; }) == "ratings: peak_forward");
}

TEST_CASE_TEMPLATE("tube capacitances may be zero but not negative", S, float, double, long double) {
  using C = TubeCapacitances<S>;
  refusal::check_field(C{}, &C::grid_plate, "tube capacitances: grid_plate", S(0), S(-1e-15));
  refusal::check_field(C{}, &C::grid_cathode, "tube capacitances: grid_cathode", S(1e-12), S(-1e-15));
  refusal::check_field(C{}, &C::plate_cathode, "tube capacitances: plate_cathode", S(1e-12), S(-1e-15));
}

TEST_CASE("a tube keeps its laws and its type") {
  CHECK(bench_tube<double>().type() == std::string("bench tube"));
  CHECK(bench_tube<double>().laws().arc.inner.drop == 10.0);
  CHECK(Tube<double>(bench_laws<double>()).type() == std::string("thyratron"));
}
