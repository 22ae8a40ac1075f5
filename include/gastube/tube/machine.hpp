// SPDX-License-Identifier: MIT
#pragma once
/// What the state machines of all families share: what a tube sees, what it remembers, and what a circuit or a host's
/// loop asks of it.

#include "gastube/tube/conditions.hpp"
#include "gastube/tube/grid/electron_current.hpp"
#include "gastube/tube/grid/grid_current.hpp"
#include "gastube/tube/states.hpp"

namespace gastube {

/// What the circuit offers between plate and cathode of the unlit tube. The default can feed anything.
template <Real S>
struct Feed {
  S resistance = S(0);                ///< ohm, at once, with all capacitors charged as they are
  S steady_voltage = unlimited<S>();  ///< V, when charging currents have died away
  S steady_resistance = S(0);         ///< ohm, the same
};

/// Discrete memory of a tube in a circuit or in a host's loop.
template <Real S>
struct TubeMemory {
  TubeState state = TubeState::cold;
  S heater_on = S(0);     ///< s, when the heater was switched on
  Feed<S> feed = {};      ///< what the circuit offers at plate and cathode
  bool reversed = false;  ///< a glow that was struck the other way round: its cathode is the plate terminal
};

/// All a tube's guard may look at.
template <Real S>
struct TubeView {
  S time;              ///< s
  Conditions<S> at;    ///< V
  S plate_current;     ///< A, through the arc or before it
  S residual = S(0);   ///< ionisation left from conduction, 1 at the recovery law's reference current
  S formation = S(0);  ///< share of the firing delay that has passed
  S excess = S(0);     ///< V above the arc drop, while the plate is still falling
};

/// Voltage of a lit tube with its slope.
template <Real S>
struct SlopedVoltage {
  S voltage = S(0);  ///< V
  S slope = S(0);    ///< ohm, against the plate current
};

/// A tube of any family, as a circuit or a host's loop sees it.
template <class Tube>
concept TubeMachine = Real<typename Tube::Scalar> && requires(const Tube tube, const typename Tube::Scalar v,
                                                              const Conditions<typename Tube::Scalar> at,
                                                              const TubeView<typename Tube::Scalar> view,
                                                              TubeMemory<typename Tube::Scalar> memory,
                                                              typename Tube::Scalar follower, std::size_t exit) {
  { Tube::transitions[0] } -> std::convertible_to<Transition>;
  { Tube::cold_cathode } -> std::convertible_to<bool>;
  { tube.type() } -> std::same_as<const char*>;
  { tube.warm(v) } -> std::same_as<TubeMemory<typename Tube::Scalar>>;         // ready since long
  { tube.switched_on(v) } -> std::same_as<TubeMemory<typename Tube::Scalar>>;  // heater on at that time
  { tube.arc(v, memory) } -> std::same_as<SlopedVoltage<typename Tube::Scalar>>;
  { tube.dark_current(view, memory) } -> std::same_as<SlopedCurrent<typename Tube::Scalar>>;
  { tube.grid_paths(view, memory) } -> std::same_as<GridPaths<typename Tube::Scalar>>;
  { tube.guard(exit, view, memory) } -> std::same_as<typename Tube::Scalar>;
  { tube.leave(exit, view, memory, follower, follower) } -> std::same_as<const Transition&>;
  { tube.residual_source(view, memory) } -> std::same_as<typename Tube::Scalar>;
  { tube.residual_decay(memory) } -> std::same_as<typename Tube::Scalar>;
  { tube.formation_rate(view, memory) } -> std::same_as<typename Tube::Scalar>;
  { tube.excess_at_start(view, memory) } -> std::same_as<typename Tube::Scalar>;
  { tube.excess_decay() } -> std::same_as<typename Tube::Scalar>;
  { tube.least_current() } -> std::convertible_to<typename Tube::Scalar>;
  tube.capacitances();
};

/// The steady voltage from which on the circuit feeds a discharge steadily, V.
/// @param least A; @param needed V across the tube at that current
template <Real S>
[[nodiscard]] S steady_need(const S& least, const S& needed, const Feed<S>& feed) {
  return S(needed + feed.steady_resistance * least);
}

/// Volts by which the circuit fails to offer what a discharge needs to form, positive while it cannot. It must feed the
/// least current at once. Where it could not feed it steadily (a stray capacitance can, for a moment) the discharge
/// asks for a volt more, so that each takes some charge; and until the tube has recovered from its last extinction it
/// does not form there at all, or the tube would flicker at the very current it just went out at.
/// @param least A; @param needed V across the tube at that current; @param recovered by half at least
template <Real S>
[[nodiscard]] S feeding_shortage(const S& least, const S& needed, bool recovered, const S& plate, const S& current,
                                 const Feed<S>& feed) {
  const S at_once = S(needed - plate + feed.resistance * (least - current));
  const S steadily = S(steady_need(least, needed, feed) - feed.steady_voltage);
  if (!(value_of(steadily) > Plain<S>(0))) return at_once;
  return math::max(at_once, recovered ? S(needed + S(1) - plate) : steadily);
}

/// V that a tube must be short of striking before a discharge that forms is given up: on the edge itself it counts as
/// over-critical, or both transitions would fire in turn. More than the error with which an implicit scheme settles a
/// jump, some second derivative times the square of its restart step, or they would do so in fast circuits.
template <Real S>
inline constexpr Plain<S> striking_leeway = math::max(Plain<S>(1e-3L), Plain<S>(1e4) * round_off<S>);

/// Current above the least that keeps a discharge, as a share of it (in amperes where that is 0).
template <Real S>
[[nodiscard]] S current_margin(const S& current, const S& least) {
  return value_of(least) > Plain<S>(0) ? S(current / least - S(1)) : current;
}

/// Positive until the plate has fallen to within a millivolt of the arc drop: no arc is lost before its current is
/// there.
template <Real S>
[[nodiscard]] S falling_margin(const S& excess) {
  return S(excess / S(Plain<S>(1e-3)) - S(1));
}

/// What is left of the last discharge need not be formed anew: the share of the formation still missing.
template <Real S>
[[nodiscard]] S missing_formation(const S& residual) {
  return math::clamp(S(S(1) - residual), S(Plain<S>(1e-3)), S(1));
}

}  // namespace gastube
