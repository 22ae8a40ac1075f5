// SPDX-License-Identifier: MIT
// Small circuits of one or two tubes drawn at random, rectifiers and oscillators: the exact scheme meets the same
// events in the same order as a Rosenbrock scheme that steps finely.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>
#include <cstdlib>
#include <cstring>
#include <numbers>
#include <random>
#include <string>

using namespace gastube;

namespace {

class Dice {
 public:
  explicit Dice(unsigned number) : engine_(number) {}
  double between(double low, double high) { return low + (high - low) * unit(); }
  double about(double low, double high) { return low * std::pow(high / low, unit()); }
  bool often(double share) { return unit() < share; }
  int below(int n) { return int(unit() * n); }

 private:
  double unit() { return double(engine_()) / 4294967296.0; }
  std::mt19937 engine_;
};

enum { ground, output, plate_1, plate_2, grid_1, grid_2, source_1, source_2, middle, node_count };

struct Drawn {
  worked::Circuit circuit;
  double until;
};

[[nodiscard]] worked::Tube some_tube(Dice& dice) {
  return IdealTube<double>{.control_ratio = 20,
                           .arc_drop = 15,
                           .sustaining_current = dice.often(0.3) ? dice.about(1e-5, 1e-3) : 0.0,
                           .arc_resistance = dice.often(0.5) ? dice.about(0.1, 20) : 0.0,
                           .lowest_plate = 20}
      .build();
}
/// A grid held below its cathode by a battery, by a sine, or both.
void bias(Dice& dice, worked::Circuit& c, Node grid, Node cathode, double hertz) {
  if (dice.often(0.4))
    c.sines.push_back({grid, cathode, {dice.between(1, 8), hertz, dice.between(-3, 3)}});
  else
    c.sources.push_back({grid, cathode, -dice.between(1, 6)});
}
/// Resistor, resistor and capacitor, resistor and choke, or battery from output to ground.
void load(Dice& dice, worked::Circuit& c, double ohms) {
  const int kind = dice.below(4);
  if (kind == 2) {
    c.resistors.push_back({output, middle, ohms});
    c.inductors.push_back({middle, ground, dice.about(1e-2, 1) * ohms / 300});
  } else if (kind == 3) {
    c.resistors.push_back({output, middle, ohms});
    c.sources.push_back({middle, ground, dice.between(5, 60)});
  } else {
    c.resistors.push_back({output, ground, ohms});
    if (kind == 1) c.capacitors.push_back({output, ground, dice.about(1e-3, 0.1) / ohms});
  }
}
/// One or two phases through tubes into a common load.
[[nodiscard]] Drawn rectifier(Dice& dice) {
  const double hertz = dice.about(40, 400), peak = dice.between(60, 200);
  worked::Circuit c{.nodes = node_count};
  const bool two = dice.often(0.6);
  for (int k = 0; k < (two ? 2 : 1); ++k) {
    const Node plate = plate_1 + k, grid = grid_1 + k, source = source_1 + k;
    const bool series = dice.often(0.5);
    const double phase = k == 0 ? 0.0 : dice.often(0.5) ? std::numbers::pi : dice.between(-3, 3);
    c.sines.push_back({series ? source : plate, ground, {peak, hertz, phase}});
    if (series) c.resistors.push_back({source, plate, dice.about(1, 100)});
    bias(dice, c, grid, output, hertz);
    c.tubes.push_back(
        named(k == 0 ? "a" : "b", wired(some_tube(dice), {.plate = plate, .grid = grid, .cathode = output})));
  }
  load(dice, c, dice.about(100, 5e3));
  return {c, 2.5 / hertz};
}
/// A capacitor charged through a resistor and discharged by a tube, or two tubes that put each other out.
[[nodiscard]] Drawn oscillator(Dice& dice) {
  worked::Circuit c{.nodes = node_count};
  const double hertz = dice.about(100, 2000), farads = dice.about(1e-8, 1e-6);
  const bool two = dice.often(0.5);
  c.sources.push_back({source_1, ground, dice.between(150, 300)});
  for (int k = 0; k < (two ? 2 : 1); ++k) {
    const Node plate = plate_1 + k, grid = grid_1 + k;
    const double ohms = two ? dice.about(1e3, 2e4) : dice.about(1e5, 1e6);
    c.resistors.push_back({source_1, plate, ohms});
    bias(dice, c, grid, ground, hertz);
    c.tubes.push_back(
        named(k == 0 ? "a" : "b", wired(some_tube(dice), {.plate = plate, .grid = grid, .cathode = ground})));
  }
  c.capacitors.push_back({plate_1, two ? Node(plate_2) : Node(ground), farads});
  return {c, 4 / hertz};
}
[[nodiscard]] bool same(const char* a, const char* b) { return std::strcmp(a, b) == 0; }

/// Nodes that nothing is wired to are tied to ground.
void tie(worked::Circuit& c) {
  bool used[node_count]{true};
  const auto use = [&](const auto& parts) {
    for (const auto& part : parts)
      for (const Node node : part.terminals()) used[std::size_t(node)] = true;
  };
  use(c.sources), use(c.sines), use(c.resistors), use(c.capacitors), use(c.inductors), use(c.tubes);
  for (Node node = 1; node < node_count; ++node)
    if (!used[std::size_t(node)]) c.resistors.insert(c.resistors.end(), 2, {node, ground, 1.0});
  // What a choke puts on a meter as it is let go is over before a stepped scheme sees it.
  c.meters.push_back(named("out", Voltmeter{c.inductors.empty() ? output : plate_1, ground, 1e12}));
}

void compare(unsigned number) {
  CAPTURE(number);
  Dice dice(number);
  Drawn drawn = dice.often(0.65) ? rectifier(dice) : oscillator(dice);
  tie(drawn.circuit);
  const Settings<double> fine{.relative = 1e-9, .absolute = 1e-9, .longest_step = drawn.until / 100};
  const auto closed = worked::exact.start(drawn.circuit, {}, false);
  const auto stepped = worked::rodas5p.start(drawn.circuit, fine, false);
  Status status = Status::done;
  while (succeeded(status) && closed->time() < drawn.until && closed->log.events.size() < 40)
    status = closed->next_event(drawn.until);
  REQUIRE_MESSAGE(succeeded(status), std::string(name(status)), " at ", closed->time());
  REQUIRE(succeeded(stepped->run_until(closed->time())));
  const auto &got = closed->log.events, &expected = stepped->log.events;
  const double leeway = 1e-6 * drawn.until;
  for (std::size_t k = 0; k < got.size() && k < expected.size(); ++k) {
    CAPTURE(k);
    REQUIRE(std::fabs(got[k].time - expected[k].time) < leeway);
    REQUIRE(same(got[k].change.subject, expected[k].change.subject));
    REQUIRE(same(got[k].change.to, expected[k].change.to));
  }
  REQUIRE(got.size() >= expected.size());
  for (std::size_t k = expected.size(); k < got.size(); ++k) REQUIRE(got[k].time > closed->time() - leeway);
  CHECK(closed->voltage(output) == doctest::Approx(stepped->voltage(output)).epsilon(1e-5));
  CHECK(closed->area("out") == doctest::Approx(stepped->area("out")).epsilon(1e-5));
}

}  // namespace

TEST_CASE("circuits drawn at random: the exact scheme misses no event that a stepped one meets") {
  const char* const first = std::getenv("GASTUBE_FIRST_DRAW");
  const char* const count = std::getenv("GASTUBE_DRAWS");
  const unsigned from = first ? unsigned(std::atoi(first)) : 1, many = count ? unsigned(std::atoi(count)) : 16;
  MESSAGE("draws ", from, " to ", from + many - 1);
  for (unsigned number = from; number < from + many; ++number) compare(number);
}
