// SPDX-License-Identifier: MIT
// The energy of circuits that the exact scheme runs. Closed forms by hand: a capacitor charged through a resistor takes
// half of what the source gives, and of two capacitors joined at once as much is lost as a resistor between them would
// have turned into heat, (V1 - V2)^2 / 2 C1 C2 / (C1 + C2).
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/current_source.hpp>
#include <gastube/circuit/energy_balance.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {

using Tube = std::decay_t<decltype(IdealTube<double>{}.build(FixedDeionisation<double>{}))>;

[[nodiscard]] Tube tube(double drop, double sustaining, double deionisation = 10e-6) {
  return IdealTube<double>{.control_ratio = 20, .arc_drop = drop, .sustaining_current = sustaining}.build(
      FixedDeionisation<double>{deionisation});
}

/// All circuits of this file are of one type.
struct Bench {
  std::size_t nodes;
  std::vector<DcSource<double>> steady = {};
  std::vector<SineSource<double>> sines = {};
  std::vector<PulseSource<double>> pulses = {};
  std::vector<CurrentSource<SteadyWave<double>>> currents = {};
  std::vector<Resistor<double>> resistors = {};
  std::vector<Capacitor<double>> capacitors = {};
  std::vector<Inductor<double>> inductors = {};
  std::vector<PushButton<double, 1>> buttons = {};
  std::vector<Voltmeter<double>> meters = {};
  std::vector<WiredTube<Tube>> tubes = {};

  [[nodiscard]] auto circuit() const {
    return wire_dynamic(nodes, steady, sines, pulses, currents, resistors, capacitors, inductors, buttons, meters,
                        tubes);
  }
};

/// The books by the exact scheme, checked to 1e-9, and by a scheme of fourth order, checked to what that reaches.
[[nodiscard]] EnergyBook<double> closed(const Bench& bench, double length) {
  const auto stepped = energy_check::books<Esdirk4>(bench.circuit(), length, {.relative = 1e-9, .absolute = 1e-9});
  energy_check::check(stepped, 1e-7);
  const auto exact = energy_check::books<Exact>(bench.circuit(), length);
  energy_check::check(exact, 1e-9);
  CHECK(std::fabs(stepped.book.lost - exact.book.lost) < 1e-7 * exact.book.moved());
  return exact.book;
}
[[nodiscard]] PushButton<double, 1> closing(Node a, Node b, double at) { return {a, b, {{{at, 1e3}}}}; }
/// Closed from the start to `at`.
[[nodiscard]] PushButton<double, 1> opening(Node a, Node b, double at) { return {a, b, {{{0.0, at}}}}; }

enum { ground, supply, top, middle, grid, grid_2 };

}  // namespace

TEST_CASE("a capacitor charged through a resistor takes half of what the source gives") {
  const auto book = closed({.nodes = 3,
                            .steady = {{supply, ground, 100.0}},
                            .resistors = {{supply, top, 1e3}},
                            .capacitors = {{top, ground, 1e-6}}},
                           50e-3);
  CHECK(relative_gap(book.delivered, 10e-3) < 1e-12);
  CHECK(relative_gap(book.dissipated, 5e-3) < 1e-12);
  CHECK(relative_gap(book.stored_change, 5e-3) < 1e-12);
  CHECK(book.lost == 0);
}

TEST_CASE("coil and capacitor lose nothing, and the resistance of the coil takes all in the end") {
  const auto swing = [](double ohms, double length) {
    return closed(
        {.nodes = 2, .capacitors = {{supply, ground, 1e-6, 100.0}}, .inductors = {{supply, ground, 1e-2, ohms}}},
        length);
  };
  const double period = 2 * std::numbers::pi * 1e-4;
  const auto free = swing(0, 3.25 * period);
  CHECK(std::fabs(free.stored_change) < 1e-12 * 5e-3);
  CHECK(free.dissipated == 0);
  CHECK(relative_gap(free.moved(), 10e-3) < 1e-2);  // into the coil, out of the capacitor
  const auto damped = swing(40, 0.02);
  CHECK(relative_gap(damped.dissipated, 5e-3) < 1e-12);
}

TEST_CASE("capacitors joined at once lose (V1 - V2)^2 / 2 C1 C2 / (C1 + C2)") {
  const auto book = closed({.nodes = 3,
                            .resistors = {{supply, ground, 1e15}},
                            .capacitors = {{supply, ground, 1e-6, 100.0}, {top, ground, 3e-6, 20.0}},
                            .buttons = {closing(supply, top, 1e-3)}},
                           5e-3);
  CHECK(relative_gap(book.lost, 0.5 * 80 * 80 * 0.75e-6) < 1e-9);
  CHECK(relative_gap(book.stored_change, -book.lost) < 1e-9);
}

TEST_CASE("a source that charges a capacitor at once delivers C V^2, half of it lost") {
  const auto book = closed({.nodes = 3,
                            .steady = {{supply, ground, 100.0}},
                            .resistors = {{top, ground, 1e15}},
                            .capacitors = {{top, ground, 3e-6}},
                            .buttons = {closing(supply, top, 1e-3)}},
                           5e-3);
  CHECK(relative_gap(book.delivered, 3e-6 * 1e4) < 1e-9);
  CHECK(relative_gap(book.lost, 1.5e-6 * 1e4) < 1e-9);
}

TEST_CASE("a source that jumps delivers what a steep ramp would: nothing is lost in the capacitor across it") {
  const auto charge = [](double rise) {
    return closed({.nodes = 2,
                   .pulses = {{supply, ground, {.low = 20, .high = 100, .delay = 1e-3, .width = 1.0, .rise = rise}}},
                   .resistors = {{supply, ground, 1e15}},
                   .capacitors = {{supply, ground, 1e-6, 20.0}}},
                  5e-3);
  };
  for (const double rise : {0.0, 1e-6}) {
    CAPTURE(rise);
    const auto book = charge(rise);
    CHECK(relative_gap(book.delivered, 0.5e-6 * (1e4 - 400)) < 1e-9);
    CHECK(std::fabs(book.lost) < 1e-9 * book.delivered);
  }
}

TEST_CASE("a coil that is cut off loses its L I^2 / 2, and a current source into it gives L I^2") {
  const auto cut = closed({.nodes = 4,
                           .steady = {{supply, ground, 10.0}},
                           .resistors = {{middle, ground, 10.0}},
                           .inductors = {{top, middle, 1e-2}},
                           .buttons = {opening(supply, top, 0.1)}},
                          0.2);
  CHECK(relative_gap(cut.lost, 0.5e-2) < 1e-9);  // 1 A
  const auto pushed = closed({.nodes = 3,
                              .currents = {steady_current(ground, supply, 2.0)},
                              .resistors = {{top, ground, 10.0}},
                              .inductors = {{supply, top, 1e-2}},
                              .buttons = {opening(supply, ground, 0.1)}},
                             0.2);
  CHECK(relative_gap(pushed.lost, 0.5e-2 * 4) < 1e-9);
  CHECK(relative_gap(pushed.delivered, 1e-2 * 4 + 40 * 0.1) < 1e-9);
}

TEST_CASE("a rectifier of one tube, with its meter") {
  const auto book =
      closed({.nodes = 4,
              .steady = {{middle, top, -1.25}},
              .sines = {{supply, ground, {165.0, 60}}},
              .resistors = {{top, ground, 1e3}},
              .meters = {{top, ground, 1e6}},
              .tubes = {wired(tube(15, 5e-3, 200e-6), {.plate = supply, .grid = middle, .cathode = top})}},
             5.0 / 60);
  // mean square of the load's voltage by the worked circuit: 73.3 V
  CHECK(book.delivered > 5.0 / 60 * 73.3 * 73.3 / 1e3);
}

TEST_CASE("a relaxation oscillator loses C (Vs^2 - Ve^2) / 2 at each firing") {
  const auto book = closed({.nodes = 4,
                            .steady = {{supply, ground, 300.0}, {middle, ground, -6.0}},
                            .resistors = {{supply, top, 470e3}},
                            .capacitors = {{top, ground, 10e-9}},
                            .tubes = {wired(tube(16, 5e-3), {.plate = top, .grid = middle, .cathode = ground})}},
                           12e-3);
  CHECK(relative_gap(book.lost, 5 * 5e-9 * (120.0 * 120 - 16 * 16)) < 1e-9);  // fires five times
}

TEST_CASE("two tubes that put each other out through a capacitor") {
  const auto triggers = [](Node at, double first) {
    return PulseSource<double>{at, ground, {.low = -10, .high = 0, .delay = first, .width = 2e-6, .period = 4e-3}};
  };
  const Tube each = tube(15, 1e-3, 200e-6);
  const auto book = closed({.nodes = 6,
                            .steady = {{supply, ground, 150.0}},
                            .pulses = {triggers(grid, 1e-3), triggers(grid_2, 3e-3)},
                            .resistors = {{supply, top, 2e3}, {supply, middle, 2e3}},
                            .capacitors = {{middle, top, 0.22e-6}},
                            .tubes = {wired(each, {.plate = top, .grid = grid, .cathode = ground}),
                                      wired(each, {.plate = middle, .grid = grid_2, .cathode = ground})}},
                           20e-3);
  // each commutation passes the capacitor's charge through the tube that is lit: none is lost between the capacitors
  CHECK(book.delivered > 20e-3 * 150 * 135 / 2e3 / 2);
}

namespace {

/// A resistor that tells a share of its heat, and a part that tells nothing.
struct Liar : Resistor<double> {
  double share;
  [[nodiscard]] double dissipated(const PartView<double>& at, const NoMemory& m) const {
    return share * Resistor<double>::dissipated(at, m);
  }
};
[[nodiscard]] auto charging(double told) {
  return wire<3>(DcSource{supply, ground, 100.0}, Liar{{supply, top, 1e3}, told}, Capacitor{top, ground, 1e-6});
}
struct Mute {
  using Scalar = double;
  const char* label = "mute";
  [[nodiscard]] std::array<Node, 2> terminals() const { return {1, 0}; }
  void write(PartEquations<double>&, const NoMemory&) const {}
};
static_assert(!TellingPart<Mute>);
static_assert(TellingPart<Capacitor<double>> && TellingPart<DcSource<double>> && TellingPart<Resistor<double>>);

}  // namespace

TEST_CASE("books with a false entry do not close") {
  const auto books = energy_check::books<Exact>(charging(0.5), 50e-3);
  CHECK(relative_gap(books.book.residue(), 2.5e-3) < 1e-9);
  CHECK(relative_gap(books.book.share(), 0.25) < 1e-9);
}

TEST_CASE("books are kept from any moment on, and over what a host alters") {
  auto run = start<Exact>(audited(charging(1)));
  REQUIRE(run.run_until(1e-3) == Status::done);
  EnergyBalance balance(run);
  CHECK(balance.book(run).share() == 0);
  REQUIRE(succeeded(run.alter([](auto& circuit, auto&) { circuit.template entry<0>().voltage = 0; }, balance)));
  REQUIRE(run.run_until(50e-3, balance) == Status::done);
  const auto book = balance.book(run);
  const double volts = 100 * (1 - std::exp(-1.0)), held = 0.5e-6 * volts * volts;
  CHECK(relative_gap(book.dissipated, held) < 1e-9);
  CHECK(relative_gap(book.stored_change, -held) < 1e-9);
  CHECK(std::fabs(book.delivered) < 1e-18);
  CHECK(book.share() < 1e-12);
}

namespace {

/// A capacitor that at one alteration gets charge from nowhere: what a host does to a run, told as a jump.
[[nodiscard]] auto coil_and_capacitor() {
  return wire<5>(DcSource{supply, ground, 200.0}, PushButton<double, 1>{supply, top, {{{1e-3, 4e-3}}}},
                 Inductor{top, middle, 0.1}, Resistor{middle, grid, 400.0}, Capacitor{grid, ground, 0.25e-6},
                 Resistor{top, ground, 1e5});
}
/// What an observer sees of a run, with a share of the charge added in jumps.
template <class Run>
struct Forged {
  const Run& run;
  std::vector<double> x;

  Forged(const Run& real, double factor) : run(real), x(real.instant().x, real.instant().x + real.system().unknowns()) {
    x[grid - 1] *= factor;
  }
  [[nodiscard]] const auto& system() const { return run.system(); }
  [[nodiscard]] const auto& mode() const { return run.mode(); }
  [[nodiscard]] double time() const { return run.time(); }
  [[nodiscard]] Instant<double> instant() const { return {run.time(), x.data(), run.instant().y}; }
};

}  // namespace

TEST_CASE("a jump while coil and capacitor are empty is no error of charge, and one that makes charge is") {
  const auto books = [](auto run) {
    EnergyBalance balance(run);
    REQUIRE(run.run_until(1.5e-3, balance) == Status::done);  // the contact closes while all is empty
    CHECK(balance.charge_error() < 1e-12);
    REQUIRE(run.run_until(3e-3, balance) == Status::done);
    balance.jump(run);
    CHECK(balance.charge_error() < 1e-12);
    balance.jump(Forged(run, 1.001));
    CHECK(balance.charge_error() > 1e-4);
    CHECK(balance.charge_error() < 1e-2);
  };
  books(start<Exact>(audited(coil_and_capacitor())));
  books(start<Esdirk4>(audited(coil_and_capacitor())));
}
