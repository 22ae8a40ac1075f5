// SPDX-License-Identifier: MIT
#pragma once
// Rectifiers with gas tubes whose grids are joined to their cathodes, from the mains through a transformer to the load.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/transformer.hpp>

#include <algorithm>
#include <array>
#include <cstddef>
#include <numbers>
#include <vector>

namespace gastube::examples {

/// Three-phase is half-wave, from star windings.
enum class RectifierKind { half_wave, centre_tap, bridge, three_phase };

/// Where the heaters' supply is tied: each at the cathode it heats, so that tubes whose cathodes are joined share a
/// winding; or one winding for all, tied to the negative or to the rectified side.
enum class HeaterWinding { own, one_at_negative, one_at_rectified };

/// Whatever is 0 from `leakage` on is left out.
struct RectifierParts {
  RectifierKind kind = RectifierKind::centre_tap;
  HeaterWinding heaters = HeaterWinding::own;
  double mains = 230, frequency = 50;  ///< V r.m.s. to neutral, Hz
  double secondary = 120;              ///< V r.m.s. without load; of each half, of each phase
  double magnetising = 10;             ///< H, of the primary
  double load = 1000;                  ///< ohm
  double leakage = 0;                  ///< H, seen from a secondary
  double resistance = 0;               ///< ohm of each secondary; the primary has as much, seen from there
  double choke = 0;                    ///< H, between rectifier and capacitor; without it they are one node
  double choke_resistance = 0;         ///< ohm
  double capacitor = 0;                ///< F, across the load
  double damper_capacitor = 0;         ///< F with a resistor, from each end of a winding, and before a choke, to the
                                       ///< negative: else leakage and choke ring when a tube goes out
  double damper_resistor = 1000;       ///< ohm
  double equalising = 0;               ///< ohm across each tube
};

struct RectifierNodes {
  static constexpr Node negative = ground_node, load = 1;
  Node rectified;          ///< cathodes of the tubes that feed the load
  Node line;               ///< the first phase of the mains
  Node winding;            ///< the first end of the secondaries that has tubes
  Node damper;             ///< the first within a damper
  std::size_t count;       ///< of all nodes
  std::size_t tubes;       ///< T1, T2, ...
  std::size_t phases = 1;  ///< of the mains
};
[[nodiscard]] inline RectifierNodes nodes_of(const RectifierParts& parts) {
  constexpr std::size_t tubes[] = {1, 2, 4, 3};
  const std::size_t kind = static_cast<std::size_t>(parts.kind);
  const bool three = parts.kind == RectifierKind::three_phase;
  const std::size_t phases = three ? 3 : 1, ends = parts.kind == RectifierKind::bridge ? 2 : tubes[kind];
  const Node rectified = parts.choke > 0 ? 2 : 1, line = rectified + 1, winding = line + Node(phases);
  const Node damper = winding + Node(ends), dampers = parts.damper_capacitor > 0 ? Node(ends) + rectified - 1 : 0;
  return {rectified, line, winding, damper, static_cast<std::size_t>(damper + dampers), tubes[kind], phases};
}

/// The tubes' labels.
inline constexpr std::array rectifier_tubes{"T1", "T2", "T3", "T4"};

/// Plate and cathode of tube k. In a bridge T1 and T2 feed the load, T3 and T4 take its current back.
[[nodiscard]] inline TubeTerminals terminals_of(const RectifierParts& parts, std::size_t k) {
  const RectifierNodes at = nodes_of(parts);
  const bool returns = parts.kind == RectifierKind::bridge && k >= 2;
  const Node end = at.winding + Node(returns ? k - 2 : k), cathode = returns ? end : at.rectified;
  const Node heater = parts.heaters == HeaterWinding::own               ? cathode
                      : parts.heaters == HeaterWinding::one_at_negative ? at.negative
                                                                        : at.rectified;
  return {.plate = returns ? at.negative : end, .grid = cathode, .cathode = cathode, .heater = heater};
}

/// Numbers of the tubes whose cathodes are one node, and whose heaters therefore may share a winding.
[[nodiscard]] inline std::vector<std::vector<std::size_t>> joined_cathodes(const RectifierParts& parts) {
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t k = 0; k < nodes_of(parts).tubes; ++k) {
    const auto joins = [&](const std::vector<std::size_t>& group) {
      return terminals_of(parts, group.front()).cathode == terminals_of(parts, k).cathode;
    };
    const auto found = std::find_if(groups.begin(), groups.end(), joins);
    if (found == groups.end())
      groups.push_back({k});
    else
      found->push_back(k);
  }
  return groups;
}

/// H that keep the current of a full-wave rectifier from stopping between the crests: a third of the load at the
/// mains' frequency, by the first harmonic of the ripple (MIT E.E. staff, Applied Electronics, 1943, from memory).
[[nodiscard]] inline double critical_choke(double load, double frequency) {
  return load / (3 * 2 * std::numbers::pi * frequency);
}

namespace detail {
[[nodiscard]] inline TransformerData<double> transformer_data(const RectifierParts& p) {
  const double ratio = p.secondary / p.mains, to_primary = 1 / (ratio * ratio);
  return {.magnetising_inductance = p.magnetising,
          .leakage_inductance = p.leakage * to_primary,
          .primary_resistance = p.resistance * to_primary,
          .secondary_resistance = p.resistance};
}
[[nodiscard]] inline std::vector<SineSource<double>> mains(const RectifierParts& p, const RectifierNodes& at) {
  const SineWave<double> wave{p.mains * std::numbers::sqrt2, p.frequency};
  if (at.phases == 1) return {named("line", SineSource<double>{at.line, at.negative, wave})};
  const auto three = gastube::three_phase<double>({at.line, at.line + 1, at.line + 2}, at.negative, wave);
  return {three.begin(), three.end()};
}
/// Transformers of one secondary: in a bridge it floats, else it ends at the negative side.
[[nodiscard]] inline std::vector<CoupledInductors<double, 2>> plain_transformers(const RectifierParts& p,
                                                                                 const RectifierNodes& at) {
  std::vector<CoupledInductors<double, 2>> all;
  if (p.kind == RectifierKind::centre_tap) return all;
  for (Node k = 0; k < Node(at.phases); ++k) {
    const Node other = p.kind == RectifierKind::bridge ? at.winding + 1 : at.negative;
    const Secondary<double> secondary{at.winding + k, other, p.secondary / p.mains};
    all.push_back(transformer(at.line + k, at.negative, secondary, transformer_data(p)));
  }
  return all;
}
[[nodiscard]] inline std::vector<CoupledInductors<double, 3>> tapped_transformers(const RectifierParts& p,
                                                                                  const RectifierNodes& at) {
  if (p.kind != RectifierKind::centre_tap) return {};
  const TappedSecondary<double> halves{at.winding, at.negative, at.winding + 1, 2 * p.secondary / p.mains};
  return {transformer(at.line, at.negative, halves, transformer_data(p))};
}
[[nodiscard]] inline std::vector<Inductor<double>> chokes(const RectifierParts& p, const RectifierNodes& at) {
  if (!(p.choke > 0)) return {};
  return {named("choke", Inductor{at.rectified, at.load, p.choke, p.choke_resistance})};
}
/// What a damper's inner node damps: the ends of the windings in turn, then the rectified node.
[[nodiscard]] inline Node damped(const RectifierNodes& at, Node inner) {
  const Node end = at.winding + inner - at.damper;
  return end < at.damper ? end : at.rectified;
}
[[nodiscard]] inline std::vector<Resistor<double>> resistors(const RectifierParts& p, const RectifierNodes& at) {
  std::vector<Resistor<double>> all{named("load", Resistor{at.load, at.negative, p.load})};
  for (Node k = at.damper; k < Node(at.count); ++k) all.push_back(Resistor{k, damped(at, k), p.damper_resistor});
  for (std::size_t k = 0; p.equalising > 0 && k < at.tubes; ++k)
    all.push_back(Resistor{terminals_of(p, k).plate, terminals_of(p, k).cathode, p.equalising});
  return all;
}
[[nodiscard]] inline std::vector<Capacitor<double>> capacitors(const RectifierParts& p, const RectifierNodes& at) {
  std::vector<Capacitor<double>> all;
  if (p.capacitor > 0) all.push_back(Capacitor{at.load, at.negative, p.capacitor});
  for (Node k = at.damper; k < Node(at.count); ++k) all.push_back(Capacitor{k, at.negative, p.damper_capacitor});
  return all;
}
}  // namespace detail

/// The circuit, with a tube of `types` at each place in turn; the last of them at all places left.
template <class Tube>
[[nodiscard]] auto rectifier(const RectifierParts& parts, const std::vector<Tube>& types) {
  const RectifierNodes at = nodes_of(parts);
  std::vector<WiredTube<Tube>> tubes;
  for (std::size_t k = 0; k < at.tubes; ++k)
    tubes.push_back(named(rectifier_tubes[k], wired(types[std::min(k, types.size() - 1)], terminals_of(parts, k))));
  return wire_dynamic(at.count, detail::mains(parts, at), detail::plain_transformers(parts, at),
                      detail::tapped_transformers(parts, at), std::move(tubes), detail::chokes(parts, at),
                      detail::resistors(parts, at), detail::capacitors(parts, at));
}

}  // namespace gastube::examples
