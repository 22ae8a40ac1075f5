// SPDX-License-Identifier: MIT
#pragma once
/// A hot-cathode gas tube: its characteristics put together under one state machine.

#include "gastube/tube/arc/arc_drop.hpp"
#include "gastube/tube/cathode/cathode.hpp"
#include "gastube/tube/grid/electron_current.hpp"
#include "gastube/tube/delay/firing_delay.hpp"
#include "gastube/tube/grid/grid_current.hpp"
#include "gastube/tube/ignition/ignition.hpp"
#include "gastube/tube/arc/arc_back.hpp"
#include "gastube/tube/delay/plate_fall.hpp"
#include "gastube/tube/ratings/ratings.hpp"
#include "gastube/tube/recovery/recovery.hpp"
#include "gastube/tube/states.hpp"
#include "gastube/tube/arc/sustaining.hpp"

namespace gastube {

/// Capacitances between electrodes, F, at least 0; 0 leaves the part out of the circuit's equations.
template <Real S>
struct TubeCapacitances {
  S grid_plate = S(0), grid_cathode = S(0), plate_cathode = S(0);

  void check() const {
    Check{"tube capacitances"}
        .at_least("grid_plate", grid_plate, 0.0, "F")
        .at_least("grid_cathode", grid_cathode, 0.0, "F")
        .at_least("plate_cathode", plate_cathode, 0.0, "F");
  }
};

/// What a tube's laws bundle must name; each member is a law of its header. A bundle is any struct with these members:
/// to use a law of your own, write a bundle with it.
template <class Laws>
concept TubeLaws = Real<typename Laws::Scalar> && requires(const Laws laws, const typename Laws::Scalar v,
                                                           const Conditions<typename Laws::Scalar> at) {
  requires IgnitionLaw<decltype(laws.ignition), typename Laws::Scalar>;
  requires ArcLaw<decltype(laws.arc), typename Laws::Scalar>;
  requires RecoveryLaw<decltype(laws.recovery), typename Laws::Scalar>;
  { laws.shield(v) } -> std::same_as<typename Laws::Scalar>;
  { laws.delay.rate(v) } -> std::same_as<typename Laws::Scalar>;
  { laws.sustaining.current } -> std::convertible_to<typename Laws::Scalar>;
  { laws.grid.lit(at, v) } -> std::same_as<GridPaths<typename Laws::Scalar>>;
  { laws.grid.before(at, v, v) } -> std::same_as<GridPaths<typename Laws::Scalar>>;
  { laws.electrons(at, v) } -> std::same_as<SlopedCurrent<typename Laws::Scalar>>;
  { laws.cathode.emission(v) } -> std::same_as<typename Laws::Scalar>;
  { laws.fall.start(v, v) } -> std::same_as<typename Laws::Scalar>;
  laws.inverse.check();
  laws.capacitances.check();
  laws.ratings.check();
};

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
  S heater_on = S(0);  ///< s, when the heater was switched on
  Feed<S> feed = {};   ///< what the circuit offers at plate and cathode
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

template <TubeLaws Laws>
class Thyratron {
 public:
  using Scalar = typename Laws::Scalar;
  using S = Scalar;
  using Memory = TubeMemory<S>;
  using View = TubeView<S>;

  /// @throws InvalidParameter naming law and field
  explicit Thyratron(const Laws& laws, const char* type = "thyratron") : laws_(laws), type_(type) {
    laws_.ignition.check();
    laws_.shield.check();
    laws_.delay.check();
    laws_.arc.check();
    laws_.fall.check();
    laws_.sustaining.check();
    laws_.recovery.check();
    laws_.grid.check();
    laws_.electrons.check();
    laws_.cathode.check();
    laws_.inverse.check();
    laws_.capacitances.check();
    laws_.ratings.check();
  }

  [[nodiscard]] const Laws& laws() const noexcept { return laws_; }
  [[nodiscard]] const char* type() const noexcept { return type_; }

  /// Memory of a tube whose heater is switched on at `time`, s.
  [[nodiscard]] Memory switched_on(const S& time) const { return {TubeState::cold, time, {}}; }
  /// Memory of a tube that has been warm for long.
  [[nodiscard]] Memory warm(const S& time) const {
    return {TubeState::blocked, S(time - S(1000) * (laws_.cathode.heating_time() + S(1))), {}};
  }

  /// Share of full cathode emission.
  [[nodiscard]] S emission(const S& time, const Memory& memory) const {
    return laws_.cathode.emission(S(time - memory.heater_on));
  }

  /// True where the plate-cathode path follows the arc (or arc-back) law, voltage against current.
  [[nodiscard]] static constexpr bool lit(TubeState state) {
    return state == TubeState::conducting || state == TubeState::reverse_breakdown;
  }

  /// Plate-cathode voltage of the lit tube and its slope, at this plate current.
  struct SlopedVoltage {
    S voltage, slope;  ///< V, ohm
  };
  [[nodiscard]] SlopedVoltage arc(const S& current, TubeState state) const {
    if (state == TubeState::reverse_breakdown) return {S(-laws_.inverse.drop), S(0)};
    return {laws_.arc.voltage(current), laws_.arc.slope(current)};
  }
  /// Plate current of the unlit tube and its slopes.
  [[nodiscard]] SlopedCurrent<S> dark_current(const Conditions<S>& at, const S& time, const Memory& memory) const {
    return laws_.electrons(at, emission(time, memory));
  }
  /// Grid currents in the present state.
  [[nodiscard]] GridPaths<S> grid_paths(const View& view, const Memory& memory) const {
    if (memory.state == TubeState::conducting) return laws_.grid.lit(view.at, view.plate_current);
    return laws_.grid.before(view.at, emission(view.time, memory), view.residual);
  }

  /// Grid voltage at which the tube would fire, V; with residual ionisation the plate counts for more than it is.
  [[nodiscard]] S critical_grid(const Conditions<S>& at, const S& residual) const {
    const S plate = effective_plate(at, residual);
    const S critical = laws_.ignition.critical_grid(plate);
    if (!(value_of(critical) < never_fires<S>)) return S(never_fires<S>);
    return math::clamp(S(critical + laws_.shield(at.shield)), S(-never_fires<S>), S(never_fires<S>));
  }

  /// Volts by which the circuit fails to offer what the arc needs to form, positive while it cannot. It must feed the
  /// sustaining current at once. Where it could not feed it steadily (a stray capacitance can, for a moment) the arc
  /// asks for a volt more, so that each discharge takes some charge; and as long as the grid has not won back half its
  /// control after an extinction it does not form there at all, or the tube would flicker at the very current it just
  /// went out at.
  [[nodiscard]] S feeding_shortage(const View& view, const Memory& memory) const {
    const S least = laws_.sustaining.current, needed = laws_.arc.voltage(least);
    const S at_once = S(needed - view.at.plate + memory.feed.resistance * (least - view.plate_current));
    const S steadily = S(needed - memory.feed.steady_voltage + memory.feed.steady_resistance * least);
    if (!(value_of(steadily) > Plain<S>(0))) return at_once;
    const bool recovered = value_of(laws_.recovery.control(view.residual, view.at.grid)) >= Plain<S>(0.5);
    return math::max(at_once, recovered ? S(needed + S(1) - view.at.plate) : steadily);
  }

  /// Growth of the formation, 1/s.
  [[nodiscard]] S formation_rate(const View& view, const Memory& memory) const {
    if (memory.state != TubeState::striking) return S(0);
    const S overdrive = S(view.at.grid - critical_grid(view.at, view.residual));
    // What is left of the last discharge need not be formed anew.
    const S missing = math::max(S(S(1) - view.residual), S(Plain<S>(1e-3)));
    return S(laws_.delay.rate(overdrive) / missing);
  }

  /// Guard number `exit` of the present state: positive while the state lasts; V, or a share.
  [[nodiscard]] S guard(std::size_t exit, const View& view, const Memory& memory) const {
    const Transition* row = exit_of(memory.state, exit);
    return row ? margin(row->cause, view, memory) : S(1);
  }
  /// True if that exit breaks the plate current.
  [[nodiscard]] bool opens(std::size_t exit, const Memory& memory) const {
    const Transition* row = exit_of(memory.state, exit);
    return row && lit(row->from) && !lit(row->to);
  }
  /// Leaves the state by that exit; `residual` and `formation` are set to what the new state starts with.
  const Transition& leave(std::size_t exit, Memory& memory, S& residual, S& formation) const {
    const Transition& row = *exit_of(memory.state, exit);
    if (row.to == TubeState::striking) formation = S(laws_.delay.instant ? 1 : 0);
    if (lit(row.from) && !lit(row.to)) residual = laws_.recovery.at_extinction(residual);
    memory.state = row.to;
    return row;
  }

  /// Source and decay of the residual ionisation, 1/s.
  [[nodiscard]] S residual_source(const View& view, const Memory& memory) const {
    if (memory.state == TubeState::conducting) return laws_.recovery.source_lit(view.plate_current);
    if (memory.state == TubeState::reverse_breakdown) return laws_.recovery.source_lit(S(-view.plate_current));
    const bool some_left = value_of(view.residual) > Plain<S>(0);
    return some_left ? laws_.recovery.source_out() : S(0);
  }
  [[nodiscard]] S residual_decay() const { return laws_.recovery.decay(); }
  /// Voltage above the arc drop with which the state that has just been entered starts, V, and its decay, 1/s.
  [[nodiscard]] S excess_at_start(const View& view, const Memory& memory) const {
    if (memory.state != TubeState::conducting) return S(0);
    return laws_.fall.start(view.at.plate, laws_.arc.voltage(view.plate_current));
  }
  [[nodiscard]] S excess_decay() const { return laws_.fall.decay(); }

 private:
  /// The voltage at which a tube full of ions relights, V: a volt above its arc drop.
  [[nodiscard]] S floor() const { return S(laws_.arc.voltage(laws_.sustaining.current) + S(1)); }

  [[nodiscard]] S effective_plate(const Conditions<S>& at, const S& residual) const {
    const S above = S(at.plate - floor());
    if (!(value_of(above) > Plain<S>(0))) return at.plate;
    const S control = math::max(laws_.recovery.control(residual, at.grid), S(Plain<S>(1e-6)));
    return S(floor() + above / control);
  }

  [[nodiscard]] S margin(Cause cause, const View& view, const Memory& memory) const {
    switch (cause) {
    case Cause::cathode_ready: return S(memory.heater_on + laws_.cathode.heating_time() - view.time);
    case Cause::overcritical: return S(critical_grid(view.at, view.residual) - view.at.grid);
    // On the critical voltage itself the tube counts as over-critical: without the nanovolt both rows would fire in
    // turn.
    case Cause::subcritical: return S(view.at.grid - critical_grid(view.at, view.residual) + S(1e-9));
    case Cause::arc_formed: return math::max(S(S(1) - view.formation), feeding_shortage(view, memory));
    // While the plate is still falling the current has yet to rise: no arc is lost before it is there.
    case Cause::current_lost: return math::max(current_margin(view.plate_current), falling_margin(view.excess));
    case Cause::deionised: return laws_.recovery.left(view.residual);
    case Cause::inverse_exceeded: return S(S(1) + view.at.plate / laws_.inverse.voltage);
    case Cause::inverse_current_lost: return current_margin(S(-view.plate_current));
    }
    return S(1);
  }
  /// Positive until the plate is within a millivolt of the arc drop.
  [[nodiscard]] static S falling_margin(const S& excess) { return S(excess / S(Plain<S>(1e-3)) - S(1)); }
  /// Current above the sustaining current, as a share of it (in amperes where that is 0).
  [[nodiscard]] S current_margin(const S& current) const {
    const S least = laws_.sustaining.current;
    return value_of(least) > Plain<S>(0) ? S(current / least - S(1)) : current;
  }

  Laws laws_;
  const char* type_;
};

}  // namespace gastube
