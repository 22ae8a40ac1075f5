// SPDX-License-Identifier: MIT
#pragma once
/// A ring of N tubes of which one burns: each pulse moves the arc to the next. Sized at run time.
///
/// Anodes are held at 48 V. Each cathode has 500 ohm and 20 nF to ground and 100 nF to its neighbours; a tube is
/// primed by the cathode before it and struck by the pulse that all get. As it strikes, the capacitor to its neighbour
/// puts the other out. Values are made up for this ring.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include <vector>

namespace tube_ring {

using gastube::Node;

/// Burns at 8 V + 5 ohm, or passes 1e-9 S. Followers: residual ionisation, priming by the cathode before, pulse.
struct RingTube {
  using Scalar = double;
  static constexpr std::size_t followers = 3, guards = 1;
  struct Memory {
    bool lit = false;
  };
  static constexpr double anode = 48, drop = 8, ohms = 5, leakage = 1e-9, least = 1e-3;
  static constexpr double rest = 120, restrike = 9;
  static constexpr double recovery = 30e-6, priming = 100e-6, lead = 5e-6;  // s

  Node cathode, before, drive;
  bool starts_lit = false;
  const char* label = "ring tube";

  [[nodiscard]] std::array<Node, 3> terminals() const { return {cathode, before, drive}; }
  [[nodiscard]] Memory memory(double) const { return {starts_lit}; }
  void write(gastube::PartEquations<double>& eq, const Memory& m) const {
    eq.conduct(gastube::ground_node, cathode, current(eq, m), m.lit ? 1 / ohms : leakage);
  }
  void follow(const gastube::PartView<double>& eq, const Memory&, gastube::FollowRate<double>* rates) const {
    rates[0] = {0, 1 / recovery};
    rates[1] = {eq.voltage(before) / priming, 1 / priming};
    rates[2] = {eq.voltage(drive) / lead, 1 / lead};
  }
  [[nodiscard]] double guard(std::size_t, const gastube::PartView<double>& eq, const Memory& m) const {
    if (m.lit) return current(eq, m) - least;
    const double strike = rest - eq.follower(1) - 10 * eq.follower(2);
    return restrike + (strike - restrike) * (1 - eq.follower(0)) - (anode - eq.voltage(cathode));
  }
  [[nodiscard]] bool opens(std::size_t, const Memory& m) const { return m.lit; }
  gastube::Change fire(std::size_t, const gastube::PartView<double>&, Memory& m, double* followers_now) const {
    m.lit = !m.lit;
    if (!m.lit) followers_now[0] = 1;
    return {label, m.lit ? "blocked" : "lit", m.lit ? "lit" : "blocked", m.lit ? "struck" : "current too small"};
  }
  [[nodiscard]] double current(const gastube::PartView<double>& eq, const Memory& m) const {
    const double volts = anode - eq.voltage(cathode);
    return m.lit ? (volts - drop) / ohms : leakage * volts;
  }
};

/// Node of cathode k; node 1 is the drive.
[[nodiscard]] inline Node cathode(std::size_t k) { return Node(k) + 2; }

/// Calls wire(nodes, parts...) with vectors of parts.
/// @param tubes number of tubes, at least 3
template <class Wire>
[[nodiscard]] auto build(std::size_t tubes, Wire&& wire) {
  using namespace gastube;
  const Node drive = 1;
  std::vector<RingTube> tube;
  std::vector<Resistor<double>> resistors;
  std::vector<Capacitor<double>> strays, couplings;
  for (std::size_t k = 0; k < tubes; ++k) {
    const std::size_t next = (k + 1) % tubes;
    tube.push_back({cathode(next), cathode(k), drive, next == 0});
    resistors.emplace_back(cathode(k), ground_node, 500.0);
    strays.emplace_back(cathode(k), ground_node, 20e-9);
    couplings.emplace_back(cathode(k), cathode(next), 100e-9);
  }
  const PulseSource<double> source{
      drive, ground_node, {.low = 0, .high = 4, .delay = 0.2e-3, .width = 20e-6, .period = 1e-3}};
  return wire(tubes + 2, source, tube, resistors, strays, couplings);
}
[[nodiscard]] inline auto circuit(std::size_t tubes) {
  return build(tubes, [](std::size_t nodes, const auto&... parts) { return gastube::wire_dynamic(nodes, parts...); });
}

/// The ring of three as a circuit of fixed size.
[[nodiscard]] inline auto circuit_of_three() {
  const auto three = [](const auto& parts) { return std::array{parts[0], parts[1], parts[2]}; };
  return build(3, [&](std::size_t, const auto& source, const auto&... parts) {
    return gastube::wire<5>(source, three(parts)...);
  });
}

/// Which tube burns now; the number of tubes if it is not exactly one.
template <class Run>
[[nodiscard]] std::size_t burning(const Run& run) {
  const auto& memories = std::get<1>(run.mode());
  std::size_t found = memories.size(), lit = 0;
  for (std::size_t k = 0; k < memories.size(); ++k)
    if (memories[k].lit) found = (k + 1) % memories.size(), ++lit;
  return lit == 1 ? found : memories.size();
}

}  // namespace tube_ring
