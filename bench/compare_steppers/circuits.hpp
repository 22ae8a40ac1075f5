// SPDX-License-Identifier: MIT
#pragma once
/// Problems P1 to P5 as circuits of the library.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "parts.hpp"

#include <array>
#include <vector>

namespace compare {

using Resistor = gastube::Resistor<double>;
using Capacitor = gastube::Capacitor<double>;
using DcSource = gastube::DcSource<double>;

[[nodiscard]] inline auto oscillator_circuit(const Oscillator& v = {}) {
  enum { line = 1, plate, nodes };
  return gastube::wire<nodes>(DcSource{line, ground_node, v.supply}, Resistor{line, plate, v.series},
                              Capacitor{plate, ground_node, v.farads}, FixedTube{plate, ground_node, v.tube, v.strike});
}

[[nodiscard]] inline auto rectifier_circuit(const Rectifier& v = {}) {
  enum { line = 1, plate, output, nodes };
  return gastube::wire<nodes>(gastube::SineSource<double>{line, ground_node, {v.peak, v.frequency}},
                              Resistor{line, plate, v.series}, FixedTube{plate, output, v.tube, v.strike},
                              Resistor{output, ground_node, v.load}, Capacitor{output, ground_node, v.farads});
}

namespace detail {
enum FlipFlopNode { line = 1, first, second, flip_flop_nodes };
template <class... More>
[[nodiscard]] auto flip_flop_circuit(const FlipFlop& v, const More&... more) {
  return gastube::wire<flip_flop_nodes>(DcSource{line, ground_node, v.supply}, Resistor{line, first, v.plate},
                                        Resistor{line, second, v.plate}, Capacitor{first, second, v.coupling},
                                        GridTube{first, ground_node, v.tube, v.grid, v.pulses(0), 0},
                                        GridTube{second, ground_node, v.tube, v.grid, v.pulses(1), 1}, more...);
}
}  // namespace detail

[[nodiscard]] inline auto flip_flop_circuit() { return detail::flip_flop_circuit(flip_flop); }
[[nodiscard]] inline auto stray_flip_flop_circuit() {
  const FlipFlop& v = stray_flip_flop;
  return detail::flip_flop_circuit(v, Capacitor{detail::first, ground_node, v.stray},
                                   Capacitor{detail::second, ground_node, v.stray});
}

[[nodiscard]] inline auto lamp_circuit(const LampLatch& v = {}) {
  enum { line = 1, lamp, plate, nodes };
  return gastube::wire<nodes>(LaggedSupply{line, v.supply, v.supply_lag, v.reset}, Resistor{line, lamp, v.series},
                              Filament{lamp, plate, v}, GridTube{plate, ground_node, v.tube, v.grid, v.set, 0});
}

/// The ring; `Count` tubes, or a number known at run time.
template <std::size_t Count>
[[nodiscard]] auto ring_circuit(const Ring& v) {
  const auto cathode = [](std::size_t k) { return static_cast<Node>(2 + k); };
  const std::size_t n = v.count;
  const auto each = [&](auto&& make) {
    using Part = decltype(make(std::size_t(0)));
    if constexpr (Count == gastube::dynamic_extent) {
      std::vector<Part> parts;
      for (std::size_t k = 0; k < n; ++k) parts.push_back(make(k));
      return parts;
    } else {
      return [&]<std::size_t... K>(std::index_sequence<K...>) { return std::array<Part, Count>{make(K)...}; }
      (std::make_index_sequence<Count>{});
    }
  };
  const auto after = [&](std::size_t k) { return k + 1 == n ? 0 : k + 1; };
  const auto before = [&](std::size_t k) { return k == 0 ? n - 1 : k - 1; };
  const auto volts = [&](std::size_t k) { return v.steady(k == 0); };
  auto supply = DcSource{1, ground_node, v.supply};
  auto resistors = each([&](std::size_t k) { return Resistor{cathode(k), ground_node, v.cathode}; });
  auto grounds = each([&](std::size_t k) { return Capacitor{cathode(k), ground_node, v.ground, volts(k)}; });
  auto couplings = each([&](std::size_t k) {
    return Capacitor{cathode(k), cathode(after(k)), v.coupling, volts(k) - volts(after(k))};
  });
  auto tubes = each([&](std::size_t k) { return RingTube{1, cathode(k), cathode(before(k)), v, k}; });
  if constexpr (Count == gastube::dynamic_extent)
    return gastube::wire_dynamic(n + 2, supply, resistors, grounds, couplings, tubes);
  else
    return gastube::wire<Count + 2>(supply, resistors, grounds, couplings, tubes);
}

}  // namespace compare
