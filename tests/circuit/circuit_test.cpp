// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/circuit.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

using namespace gastube;

namespace {

enum { ground, supply, plate_1, plate_2, grid_1, grid_2, node_count };

const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3}.build(
    FixedDeionisation<double>{100e-6});
const DcSource<double> battery{supply, ground, 150};
const Resistor<double> load_1{supply, plate_1, 2e3}, load_2{supply, plate_2, 2e3};
const Capacitor<double> commutating{plate_1, plate_2, 0.22e-6};
const PulseSource<double> pulse_1{
    grid_1, ground, {.low = -10, .high = 0, .delay = 1e-3, .width = 1e-5, .period = 4e-3}};
const PulseSource<double> pulse_2{
    grid_2, ground, {.low = -10, .high = 0, .delay = 3e-3, .width = 1e-5, .period = 4e-3}};
const auto tube_1 = wired(tube, {.plate = plate_1, .grid = grid_1, .cathode = ground});
const auto tube_2 = wired(tube, {.plate = plate_2, .grid = grid_2, .cathode = ground});

/// The same two-tube latch in four spellings; parts stand in the same order in all.
[[nodiscard]] auto one_by_one() {
  return wire<node_count>(battery, load_1, load_2, commutating, pulse_1, pulse_2, tube_1, tube_2);
}
[[nodiscard]] auto in_arrays() {
  return wire<node_count>(battery, std::array{load_1, load_2}, commutating, std::array{pulse_1, pulse_2},
                          std::array{tube_1, tube_2});
}
[[nodiscard]] auto in_vectors() {
  return wire_dynamic(node_count, battery, std::vector{load_1, load_2}, commutating, std::vector{pulse_1, pulse_2},
                      std::vector{tube_1, tube_2});
}
[[nodiscard]] auto sized_at_run_time() {
  return wire_dynamic(node_count, battery, load_1, load_2, commutating, pulse_1, pulse_2, tube_1, tube_2);
}

/// Every event of 12 ms and the voltages at the end, as numbers that must agree.
template <class Scheme, class Wired>
[[nodiscard]] std::vector<double> numbers(const Wired& circuit) {
  auto run = start<Scheme>(circuit);
  EventLog<double> log;
  REQUIRE(run.run_until(12e-3, log) == Status::done);
  std::vector<double> result;
  for (const auto& event : log.events) result.push_back(event.time);
  for (Node node = 1; node < int(node_count); ++node) result.push_back(voltage(run, node));
  result.push_back(double(run.steps()));
  return result;
}

/// "word" of the refusal of a circuit, or "wired".
template <class Function>
[[nodiscard]] std::string refusal(Function&& f) {
  try {
    static_cast<void>(f());
  } catch (const InvalidRequest& error) { return error.what(); }
  return "wired";
}

}  // namespace

TEST_CASE_TEMPLATE(
    "single parts, arrays, vectors and run-time sizes give the same numbers, each kind of size to the last bit", Scheme,
    TrBdf2, Exact) {
  const std::vector<double> expected = numbers<Scheme>(one_by_one());
  CHECK(expected.size() > 20);
  CHECK(numbers<Scheme>(in_arrays()) == expected);
  const std::vector<double> at_run_time = numbers<Scheme>(in_vectors());
  CHECK(numbers<Scheme>(sized_at_run_time()) == at_run_time);
  // Sizes known at run time have their equations solved in another order.
  REQUIRE(at_run_time.size() == expected.size());
  for (std::size_t k = 0; k < expected.size(); ++k) {
    CAPTURE(k);
    CHECK(std::fabs(at_run_time[k] - expected[k]) < 1e-12 * (1 + std::fabs(expected[k])));
  }
}

TEST_CASE("sizes are fixed where every part is, and known at run time otherwise") {
  using Fixed = decltype(in_arrays());
  using Dynamic = decltype(in_vectors());
  static_assert(Fixed::extent == 5 + 3 + 2 && Fixed::follower_extent == 6);
  static_assert(Dynamic::extent == dynamic_extent && Dynamic::follower_extent == dynamic_extent);
  static_assert(HybridSystem<Fixed> && HybridSystem<Dynamic>);
  const auto fixed = in_arrays();
  const auto dynamic = in_vectors();
  CHECK(fixed.unknowns() == 10);
  CHECK(fixed.followers() == 6);
  CHECK(fixed.guards() == 2 * most_exits(hot_cathode_transitions));
  CHECK(fixed.ports() == 2);
  CHECK(fixed.size() == 8);
  CHECK(fixed.nodes() == 6);
  CHECK(dynamic.unknowns() == 10);
  CHECK(dynamic.followers() == 6);
  CHECK(dynamic.guards() == 2 * most_exits(hot_cathode_transitions));
  CHECK(dynamic.ports() == 2);
  CHECK(dynamic.size() == 8);
}

TEST_CASE("parts are found by their label, the first of several") {
  const auto circuit = wire<3>(DcSource{1, 0, 5.0}, named("upper", Resistor{1, 2, 1.0}),
                               named("lower", Resistor{2, 0, 1.0}), named("lower", Resistor{2, 0, 2.0}));
  CHECK(circuit.find("dc source") == 0);
  CHECK(circuit.find("lower") == 2);
  CHECK(refusal([&] { return circuit.find("bleeder"); }) == "no part is labelled 'bleeder'");
}

TEST_CASE("a node outside the circuit is refused with part, node and range") {
  CHECK(refusal([] {
          return wire<2>(DcSource{1, 0, 5.0}, named("load", Resistor{1, 2, 1.0}));
        })
        == "load: node = 2, allowed: 0 to 1");
  CHECK(refusal([] {
          return wire<2>(DcSource{1, 0, 5.0}, Resistor{1, -1, 1.0});
        })
        == "resistor: node = -1, allowed: 0 to 1");
  CHECK(refusal([] {
          return wire_dynamic(2, std::vector{Resistor{1, 0, 1.0}, named("far", Resistor{1, 7, 1.0})});
        })
        == "far: node = 7, allowed: 0 to 1");
}

TEST_CASE("a part with all its ends at one node is refused, a tube that shares some of them is not") {
  CHECK(refusal([] {
          return wire<2>(DcSource{1, 0, 5.0}, named("shorted", Resistor{1, 1, 1.0}));
        })
        == "shorted: both ends are at node 1, allowed: two different nodes");
  CHECK(refusal([] {
          return wire<2>(DcSource{1, 0, 5.0}, wired(tube, {.plate = 1, .grid = 1, .cathode = 0}));
        })
        == "wired");
  CHECK(refusal([] {
          return wire<2>(DcSource{1, 0, 5.0}, wired(tube, {.plate = 1, .grid = 1, .cathode = 1}));
        })
        == "ideal tube: both ends are at node 1, allowed: two different nodes");
}

TEST_CASE("a node that joins no part is refused, ground too") {
  CHECK(refusal([] {
          return wire<4>(DcSource{1, 0, 5.0}, Resistor{1, 2, 1.0});
        })
        == "circuit: node 3 joins no part; wire something to it, or leave it out of the count");
  CHECK(refusal([] {
          return wire<3>(DcSource{1, 2, 5.0}, Resistor{1, 2, 1.0});
        })
        == "circuit: node 0 joins no part, and it is the ground that all voltages count from; wire the common side "
           "of the circuit to it");
}

TEST_CASE("fewer than two nodes are refused") {
  CHECK(refusal([] {
          return wire_dynamic(1, std::vector{Resistor{0, 0, 1.0}});
        })
        == "circuit: 1 nodes, allowed: at least 2");
}

TEST_CASE("an empty vector of parts is allowed and counts for nothing") {
  const auto circuit = wire_dynamic(2, std::vector<Contact<double>>{}, std::vector{DcSource{1, 0, 5.0}},
                                    std::vector{Resistor{1, 0, 10.0}});
  CHECK(circuit.size() == 2);
  CHECK(circuit.unknowns() == 2);
  auto run = start(circuit);
  CHECK(current(run, "resistor") == 0.5);
}

TEST_CASE("entries are read back as they were given, and places of own unknowns follow the order of parts") {
  const auto circuit =
      wire<3>(Inductor{1, 2, 0.1, 0.0, 0.25},
              std::array{Inductor{2, 0, 0.2, 0.0, 0.5}, Inductor{2, 0, 0.2, 0.0, -0.25}}, DcSource{1, 0, 0.0});
  CHECK(circuit.entry<0>().inductance == 0.1);
  CHECK(circuit.entry<1>()[1].initial == -0.25);
  std::array<double, 6> x{};
  circuit.start_unknowns(x.data());
  CHECK(x == std::array<double, 6>{0, 0, 0.25, 0.5, -0.25, 0});
  CHECK(circuit.nominal(1) == 1.0);   // a node
  CHECK(circuit.nominal(3) == 1e-3);  // a coil's current
}

TEST_CASE("only temperatures count as slow") {
  const auto circuit =
      wire<3>(DcSource{1, 0, 5.0}, Resistor{1, 2, 1.0}, FilamentLamp<double>{2, 0, {.voltage = 5, .current = 0.1}});
  std::string slow;
  for (std::size_t k = 0; k < circuit.unknowns(); ++k) slow += circuit.slow(k) ? 's' : '-';
  CHECK(slow == "---s");  // two nodes, the source's current, the filament
}
