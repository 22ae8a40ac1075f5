// SPDX-License-Identifier: MIT
#include <gastube/catalogue/xenon.hpp>
#include <gastube/circuit/battery.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/current_source.hpp>
#include <gastube/circuit/relay.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/transformer.hpp>
#include <gastube/circuit/vacuum_triode.hpp>
#include <gastube/circuit/wiring_check.hpp>
#include <gastube/tube/family/ideal.hpp>

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace gastube;

namespace {
enum { ground, supply, plate, grid, other, node_count };
const auto names = named_nodes("ground", "supply", "plate", "grid", "other");

/// The text of each fault.
template <class Wired>
[[nodiscard]] std::vector<std::string> faults(const Wired& circuit,
                                              const WiringQuestions& questions = {.names = names}) {
  std::vector<std::string> texts;
  for (const WiringFault& fault : wiring_faults(circuit, questions)) texts.push_back(fault.text);
  return texts;
}
using Texts = std::vector<std::string>;
}  // namespace

TEST_CASE("a sound circuit has no fault") {
  const auto circuit = wire<node_count>(
      DcSource{supply, ground, 100.0}, Resistor{supply, plate, 2e3},
      wired(catalogue::type_5727(), {.plate = plate, .grid = grid, .cathode = ground, .heater = ground}),
      Resistor{grid, other, 1e5}, DcSource{ground, other, 6.0});
  CHECK(faults(circuit).empty());
  CHECK_NOTHROW(check_wiring(circuit));
}

TEST_CASE(
    "ideal sources in parallel or in a ring are found, each with its partner, and such a circuit does not start") {
  const auto parallel = wire<2>(named("old cell", DcSource{supply, ground, 5.0}),
                                named("new cell", Battery{ground, supply, 6.0, 0.0}), Resistor{supply, ground, 1.0});
  CHECK(faults(parallel)
        == Texts{
            "new cell: node 0 (ground) and node 1 (supply) are already held against each other by old cell; leave one "
            "of them out, or put its resistance in series"});
  CHECK(start_unchecked(parallel).start_status() == Status::unsolvable);
  const auto ring = wire<3>(DcSource{supply, ground, 5.0}, DcSource{plate, supply, 5.0},
                            named("third", DcSource{plate, ground, 10.0}));
  CHECK(faults(ring)
        == Texts{
            "third: node 2 (plate) and node 0 (ground) are already held against each other by other ideal sources (of "
            "dc source, dc source); leave one of them out, or put its resistance in series"});
  CHECK(start_unchecked(ring).start_status() == Status::unsolvable);
  CHECK(faults(wire<2>(DcSource{supply, ground, 5.0}, Battery{supply, ground, 6.0, 0.1})).empty());
}

TEST_CASE("nodes without a path to ground are found as a group, and such a circuit does not start") {
  const auto circuit =
      wire<5>(DcSource{1, 0, 10.0},
              transformer(1, 0, Secondary<double>{2, 3, 0.5}, TransformerData<double>{.magnetising_inductance = 1.0}),
              Resistor{2, 4, 10.0}, Resistor{4, 3, 10.0});
  CHECK(
      faults(circuit, {})
      == Texts{"circuit: node 2, node 3, node 4 have no path to ground; tie one of them to node 0, or by a resistor"});
  CHECK(wiring_faults(circuit)[0].unsolvable);
  CHECK(start_unchecked(circuit).start_status() == Status::unsolvable);
  // two current sources in series fix no voltage between them
  const auto driven = wire<3>(steady_current(0, 1, 1e-3), steady_current(1, 2, 1e-3), Resistor{2, 0, 1.0});
  CHECK(faults(driven, {}) == Texts{"circuit: node 1 has no path to ground; tie it to node 0, or by a resistor"});
  CHECK(start_unchecked(driven).start_status() == Status::unsolvable);
}

TEST_CASE("a node at which one part ends is found by its name") {
  const auto circuit = wire<3>(DcSource{supply, ground, 5.0}, Resistor{supply, ground, 1.0},
                               named("stray", Resistor{supply, plate, 1.0}));
  CHECK(faults(circuit) == Texts{"stray: nothing else is at node 2 (plate); wire it on, or leave the part out"});
  CHECK_FALSE(wiring_faults(circuit)[0].unsolvable);
  CHECK(faults(circuit, {.only_unsolvable = true}).empty());
}

TEST_CASE("a grid that only capacitors or nothing but the tube reach is found") {
  const auto tube = wired(catalogue::type_5727(), {.plate = plate, .grid = grid, .cathode = ground, .heater = ground});
  const std::string text =
      "5727: grid at node 3 (grid) floats: no resistor or source leads from it to the cathode; give it "
      "a resistor to its bias, for most types 0.1 to 10 Mohm at most";
  CHECK(faults(wire<4>(DcSource{supply, ground, 100.0}, Resistor{supply, plate, 2e3}, tube)) == Texts{text});
  const auto coupled =
      wire<5>(DcSource{supply, ground, 100.0}, Resistor{supply, plate, 2e3}, tube, Capacitor{grid, other, 1e-9},
              PulseSource<double>{other, ground, {.low = 0, .high = 20, .delay = 1, .width = 1}});
  CHECK(faults(coupled) == Texts{text});
  CHECK(succeeded(start_unchecked(coupled).start_status()));  // it runs; what the grid stands at is chance
}

TEST_CASE("a vacuum tube's grid and a trigger count alike; a grid biased through its cathode's own circuit is sound") {
  CHECK(faults(wire<4>(DcSource{supply, ground, 100.0}, Resistor{supply, plate, 2e3}, Capacitor{grid, ground, 1e-9},
                       triode(plate, grid, ground, triodes::type_12ax7)))
            .size()
        == 1);
  // here the cathode itself stands on a capacitor, but the grid is led to it
  CHECK(faults(wire<5>(DcSource{supply, ground, 100.0}, Resistor{supply, plate, 2e3}, Capacitor{other, ground, 1e-9},
                       Resistor{grid, other, 1e5}, triode(plate, grid, other, triodes::type_12ax7)))
            .empty());
}

TEST_CASE("relay contacts left out are no loose ends, those wired to nothing are") {
  enum { gnd, coil, lamp, spare, count };
  const RelayCoil<double> winding{
      .resistance = 100, .inductance_open = 1, .inductance_closed = 1, .pull_in = 0.05, .drop_out = 0.02};
  const auto with = [&](const ChangeOver& contact) {
    return faults(wire_dynamic(contact.rest == spare ? 4 : 3, DcSource{coil, gnd, 12.0},
                               Relay<double>{coil, gnd, {{contact}}, winding}, Resistor{lamp, gnd, 1e3}),
                  {});
  };
  CHECK(with({.common = coil, .work = lamp}).empty());
  CHECK(with({.common = coil, .work = lamp, .rest = spare})
        == Texts{"relay: nothing else is at node 3; wire it on, or leave the part out"});
}

TEST_CASE("a tube whose heater is not wired is found, one whose is is not; an ideal tube has none") {
  const auto with = [](const TubeTerminals& at) {
    return wire<3>(DcSource{1, ground, 100.0}, Resistor{1, 2, 2e3}, wired(catalogue::type_5727(), at));
  };
  const auto bare = with({.plate = 2, .grid = 0, .cathode = 0});
  CHECK(faults(bare)
        == Texts{"5727: its heater is not wired; give .heater the node that the heater's supply is tied to: the "
                 "cathode's, node 0 (ground), or whichever it is"});
  CHECK(faults(bare, {.heaters = false}).empty());
  CHECK(faults(with({.plate = 2, .grid = 0, .cathode = 0, .heater = 0})).empty());
  CHECK(faults(with({.plate = 2, .grid = 0, .cathode = 0, .heater = TubeTerminals::as_cathode})).empty());
  CHECK(faults(wire<3>(DcSource{1, ground, 100.0}, Resistor{1, 2, 2e3},
                       wired(IdealTube{20.0, 15.0, 1e-3}.build(), {.plate = 2, .grid = 0, .cathode = 0})))
            .empty());
}

TEST_CASE("circuits of run-time size are checked alike, also long chains of parts") {
  constexpr std::size_t nodes = 3000;
  std::vector<Resistor<double>> chain;
  for (Node node = nodes - 2; node > 0; --node) chain.emplace_back(node, node + 1, 1.0);  // the worst order
  const auto with = [&](Node end) {
    return faults(wire_dynamic(nodes, DcSource{1, 0, 5.0}, chain, std::vector{Resistor{end, 0, 1.0}}), {});
  };
  CHECK(with(nodes - 1).empty());
  CHECK(with(1) == Texts{"resistor: nothing else is at node 2999; wire it on, or leave the part out"});
}

TEST_CASE("check_wiring throws all faults, a line each") {
  const auto circuit = wire<4>(DcSource{1, 0, 5.0}, Resistor{1, 2, 1.0}, DcSource{1, 0, 5.0}, Resistor{1, 3, 1.0});
  CHECK_THROWS_WITH_AS(
      check_wiring(circuit),
      "dc source: node 1 and node 0 are already held against each other by dc source; leave one of them out, "
      "or put its resistance in series\n"
      "resistor: nothing else is at node 2; wire it on, or leave the part out\n"
      "resistor: nothing else is at node 3; wire it on, or leave the part out",
      InvalidRequest);
}

// The five mistakes, each as somebody makes it who wires a first circuit, and what is said before the first step.
namespace {
enum Nodes : Node { common, rail, top, gate, bias, nodes };
const auto tetrode = catalogue::type_5727();

/// What the making or the start of a circuit says; "started" if it says nothing.
template <class Make>
[[nodiscard]] std::string said(Make&& make) {
  try {
    static_cast<void>(start(make()));
  } catch (const InvalidRequest& refused) { return refused.what(); }
  return "started";
}
/// The same circuit without a mistake, but for the parts given.
template <class Load, class Leak>
[[nodiscard]] auto latch(const Load& load, const Leak& leak,
                         const TubeTerminals& at = {.plate = top, .grid = gate, .cathode = common, .heater = common}) {
  return wire<nodes>(DcSource{rail, common, 48.0}, load, leak, DcSource{common, bias, 6.0}, wired(tetrode, at));
}
const Resistor<double> load{rail, top, 1e3}, leak{bias, gate, 47e3};
}  // namespace

TEST_CASE("the circuit of the five mistakes starts without them") {
  CHECK(said([] { return latch(load, leak); }) == "started");
}

TEST_CASE("a node with one terminal: the load leads to a node that is not the tube's") {
  CHECK(said([] { return latch(load, leak, {.plate = rail, .grid = gate, .cathode = common, .heater = common}); })
        == "resistor: nothing else is at node 2; wire it on, or leave the part out");
}

TEST_CASE("a part across one node: a node copied from the line above") {
  CHECK(said([] {
          return latch(named("lamp", Resistor{top, top, 1e3}), leak);
        })
        == "lamp: both ends are at node 2, allowed: two different nodes");
}

TEST_CASE("a floating grid: pulses come through a capacitor, and nobody thought of the grid's resistor") {
  CHECK(said([] {
          return latch(load, Capacitor{bias, gate, 1e-9});
        })
        == "5727: grid at node 3 floats: no resistor or source leads from it to the cathode; give it a resistor to its "
           "bias, for most types 0.1 to 10 Mohm at most");
}

TEST_CASE("a missing ground: nodes that are counted from 1, or a winding that stands by itself") {
  enum Counted : Node { zero_volts = 1, hot, end };
  CHECK(said([] {
          return wire<end>(DcSource{hot, zero_volts, 48.0}, Resistor{hot, zero_volts, 1e3});
        })
        == "circuit: node 0 joins no part, and it is the ground that all voltages count from; wire the common side of "
           "the circuit to it");
  CHECK(said([] {
          return wire<4>(
              DcSource{1, 0, 10.0},
              transformer(1, 0, Secondary<double>{2, 3, 0.5}, TransformerData<double>{.magnetising_inductance = 1.0}),
              Resistor{2, 3, 10.0});
        })
        == "circuit: node 2, node 3 have no path to ground; tie one of them to node 0, or by a resistor");
}

TEST_CASE("a heater not wired: only plate, grid and cathode of the diagram were copied") {
  CHECK(said([] { return latch(load, leak, {.plate = top, .grid = gate, .cathode = common}); })
        == "5727: its heater is not wired; give .heater the node that the heater's supply is tied to: the cathode's, "
           "node 0, or whichever it is");
}

TEST_CASE("several mistakes are told at once, and who means it starts unchecked") {
  const auto circuit = latch(load, Capacitor{bias, gate, 1e-9}, {.plate = top, .grid = gate, .cathode = common});
  const std::string all = said([&] { return circuit; });
  CHECK(all.find("floats") != std::string::npos);
  CHECK(all.find("heater") != std::string::npos);
  CHECK(succeeded(start_unchecked(circuit).start_status()));
}
