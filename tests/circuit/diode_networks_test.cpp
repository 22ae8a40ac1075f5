// SPDX-License-Identifier: MIT
// Random networks of ideal and real diodes, resistors, capacitors and coils: after every step each diode is on the line
// that it should be on, and no network ends in a cascade.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/wiring_check.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace gastube;

namespace {
constexpr Node source = 1, pulse = 2, first_free = 3, nodes = 7;

/// Greatest volts beyond the drop of a blocking diode, and amperes backwards of a conducting one.
struct Watch {
  double worst_volts = 0, worst_amperes = 0;
  long changes = 0;
  template <class Run>
  void step(const Run& run) {
    run.system().look(run.instant(), run.mode(), [&](const auto& part, const auto& view, const auto& memory) {
      if constexpr (requires { memory.conducting; }) {
        if (memory.conducting)
          worst_amperes = std::fmax(worst_amperes, -view.own(0));
        else
          worst_volts = std::fmax(worst_volts, view.across(part.anode, part.cathode) - part.lines.drop);
      }
    });
  }
  void change(double, const Change&) { ++changes; }
};

[[nodiscard]] auto network(std::mt19937& random, double slope) {
  const auto draw = [&](double low, double high) {
    return std::exp(std::uniform_real_distribution<double>(std::log(low), std::log(high))(random));
  };
  const auto any = [&] { return std::uniform_int_distribution<Node>(0, nodes - 1)(random); };
  const auto pair = [&] {
    Node a = any(), b = any();
    while (b == a || (a < first_free && b < first_free)) a = any(), b = any();  // at most one end at a source
    return std::pair{a, b};
  };
  std::vector<Resistor<double>> resistors;
  std::vector<Capacitor<double>> capacitors;
  std::vector<Inductor<double>> coils;
  std::vector<Diode<double>> diodes;
  for (Node node = first_free; node < nodes; ++node) resistors.push_back({node, 0, draw(100, 1e5)});
  for (int k = 0; k < 3; ++k) {
    const auto [a, b] = pair();
    resistors.push_back({a, b, draw(10, 1e4)});
  }
  for (int k = 0; k < 2; ++k) {
    const auto [a, b] = pair();
    capacitors.push_back({a, b, draw(1e-8, 1e-5)});
  }
  const auto [from, to] = pair();
  coils.push_back({from, to, draw(1e-3, 1.0), draw(1, 100)});
  std::vector<std::size_t> room(static_cast<std::size_t>(nodes));
  detail::NodeGroups ideal(room);  // a ring of conducting diodes without slope leaves its current to chance
  ideal.join(0, source);
  ideal.join(0, pulse);
  for (int k = 0; k < 4; ++k) {
    const auto [a, b] = pair();
    if (!ideal.join(a, b) && !(slope > 0)) continue;
    diodes.push_back({a, b, {.drop = slope > 0 ? 0.7 : 0.0, .slope = slope}});
  }
  return wire_dynamic(
      nodes, SineSource<double>{source, 0, {.amplitude = 100, .frequency = 50}},
      PulseSource<double>{pulse, 0, {.low = -20, .high = 30, .delay = 1e-3, .width = 3e-3, .period = 7e-3}}, resistors,
      capacitors, coils, diodes);
}
}  // namespace

TEST_CASE("every diode is where it should be after every step") {
  const unsigned seed = 4711;
  MESSAGE("seed ", seed);
  std::mt19937 random(seed);
  long changes = 0;
  for (int k = 0; k < 20; ++k) {
    CAPTURE(k);
    const double slope = k % 2 == 0 ? 1.0 : 0.0;
    // unchecked: now and then a source has nothing at its node
    auto run = start_unchecked(network(random, slope), Settings<double>{.relative = 1e-5, .absolute = 1e-6});
    Watch watch;
    const Status status = run.run_until(0.012, watch);
    CAPTURE(run.time());
    CHECK(status == Status::done);
    CHECK(watch.worst_volts < 1e-6);
    CHECK(watch.worst_amperes < 1e-6);
    changes += watch.changes;
  }
  CHECK(changes > 100);
  CHECK(changes < 2000);  // and none goes to and fro
}
