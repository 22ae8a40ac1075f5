// SPDX-License-Identifier: MIT
#pragma once
/// A hot-cathode gas tube: its characteristics put together under one state machine.

#include "gastube/tube/arc/arc_back.hpp"
#include "gastube/tube/arc/arc_drop.hpp"
#include "gastube/tube/arc/sustaining.hpp"
#include "gastube/tube/cathode/cathode.hpp"
#include "gastube/tube/delay/firing_delay.hpp"
#include "gastube/tube/delay/plate_fall.hpp"
#include "gastube/tube/grid/afterglow_current.hpp"
#include "gastube/tube/grid/capacitances.hpp"
#include "gastube/tube/ignition/ignition.hpp"
#include "gastube/tube/machine.hpp"
#include "gastube/tube/ratings/ratings.hpp"
#include "gastube/tube/recovery/recovery.hpp"

namespace gastube {

/// What a tube's laws bundle must name; each member is a law of its header. A bundle is any struct with these members:
/// to use a law of your own, write a bundle with it.
template <class Laws>
concept TubeLaws = Real<typename Laws::Scalar> && requires(const Laws laws, const typename Laws::Scalar v,
                                                           const Conditions<typename Laws::Scalar> at) {
  requires IgnitionLaw<decltype(laws.ignition), typename Laws::Scalar>;
  requires ArcLaw<decltype(laws.arc), typename Laws::Scalar>;
  requires RecoveryLaw<decltype(laws.recovery), typename Laws::Scalar>;
  { laws.shield(v) } -> std::same_as<typename Laws::Scalar>;
  requires DelayLaw<decltype(laws.delay), typename Laws::Scalar>;
  { laws.sustaining.current } -> std::convertible_to<typename Laws::Scalar>;
  { laws.grid.lit(at, v) } -> std::same_as<GridPaths<typename Laws::Scalar>>;
  { laws.grid.before(at, v, v) } -> std::same_as<GridPaths<typename Laws::Scalar>>;
  { laws.electrons(at, v) } -> std::same_as<SlopedCurrent<typename Laws::Scalar>>;
  requires AfterglowLaw<decltype(laws.afterglow), typename Laws::Scalar>;
  { laws.cathode.emission(v) } -> std::same_as<typename Laws::Scalar>;
  { laws.fall.start(v, v) } -> std::same_as<typename Laws::Scalar>;
  laws.inverse.check();
  laws.capacitances.check();
  laws.ratings.check();
};

template <TubeLaws Laws>
class Thyratron {
 public:
  using Scalar = typename Laws::Scalar;
  using S = Scalar;
  using Memory = TubeMemory<S>;
  using View = TubeView<S>;
  static constexpr const auto& transitions = hot_cathode_transitions;
  static constexpr bool cold_cathode = false;

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
    laws_.afterglow.check();
    laws_.cathode.check();
    laws_.inverse.check();
    laws_.capacitances.check();
    laws_.ratings.check();
  }

  [[nodiscard]] const Laws& laws() const noexcept { return laws_; }
  [[nodiscard]] const char* type() const noexcept { return type_; }
  [[nodiscard]] const TubeCapacitances<S>& capacitances() const noexcept { return laws_.capacitances; }
  /// A, least current that keeps the arc.
  [[nodiscard]] const S& least_current() const noexcept { return laws_.sustaining.current; }

  /// Memory of a tube whose heater is switched on at `time`, s.
  [[nodiscard]] Memory switched_on(const S& time) const { return {TubeState::cold, time}; }
  /// Memory of a tube that has been warm for long.
  [[nodiscard]] Memory warm(const S& time) const {
    return {TubeState::blocked, S(time - S(1000) * (laws_.cathode.heating_time() + S(1)))};
  }

  /// Share of full cathode emission.
  [[nodiscard]] S emission(const S& time, const Memory& memory) const {
    return laws_.cathode.emission(S(time - memory.heater_on));
  }
  /// Plate-cathode voltage of the lit tube and its slope, at this plate current.
  [[nodiscard]] SlopedVoltage<S> arc(const S& current, const Memory& memory) const {
    if (memory.state == TubeState::reverse_breakdown) return {S(-laws_.inverse.drop), S(0)};
    return {laws_.arc.voltage(current), laws_.arc.slope(current)};
  }
  /// Plate current of the unlit tube and its slopes: electrons of the cathode, and ions left from conduction.
  [[nodiscard]] SlopedCurrent<S> dark_current(const View& view, const Memory& memory) const {
    SlopedCurrent<S> sum = laws_.electrons(view.at, emission(view.time, memory));
    const SlopedCurrent<S> ions = laws_.afterglow(view.at.plate, view.residual);
    sum.current += ions.current;
    sum.by_plate += ions.by_plate;
    return sum;
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
  /// The voltage at which a tube full of ions relights, V: a volt above its arc drop.
  [[nodiscard]] S floor() const { return S(laws_.arc.voltage(laws_.sustaining.current) + S(1)); }

  /// Volts by which the circuit fails to offer what the arc needs to form, positive while it cannot.
  [[nodiscard]] S feeding_shortage(const View& view, const Memory& memory) const {
    const S least = laws_.sustaining.current;
    const bool recovered = value_of(laws_.recovery.control(view.residual, view.at.grid)) >= Plain<S>(0.5);
    return gastube::feeding_shortage(least, laws_.arc.voltage(least), recovered, view.at.plate, view.plate_current,
                                     memory.feed);
  }
  /// Growth of the formation, 1/s.
  [[nodiscard]] S formation_rate(const View& view, const Memory& memory) const {
    if (memory.state != TubeState::striking) return S(0);
    const S overdrive = S(view.at.grid - critical_grid(view.at, view.residual));
    return S(laws_.delay.rate(overdrive, view.at.plate) / missing_formation(view.residual));
  }

  /// Guard number `exit` of the present state: positive while the state lasts; V, or a share.
  [[nodiscard]] S guard(std::size_t exit, const View& view, const Memory& memory) const {
    const Transition* row = exit_of(transitions, memory.state, exit);
    return row ? margin(row->cause, view, memory) : S(1);
  }
  /// Leaves the state by that exit; `residual` and `formation` are set to what the new state starts with.
  const Transition& leave(std::size_t exit, const View&, Memory& memory, S& residual, S& formation) const {
    const Transition& row = *exit_of(transitions, memory.state, exit);
    if (row.to == TubeState::striking) formation = S(laws_.delay.instant ? 1 : 0);
    if (is_lit(row.from) && !is_lit(row.to)) residual = laws_.recovery.at_extinction(residual);
    memory.state = row.to;
    return row;
  }

  /// Source and decay of the residual ionisation, 1/s.
  [[nodiscard]] S residual_source(const View& view, const Memory& memory) const {
    if (memory.state == TubeState::conducting) return laws_.recovery.source_lit(view.plate_current);
    if (memory.state == TubeState::reverse_breakdown) return laws_.recovery.source_lit(S(-view.plate_current));
    const bool some_left = value_of(view.residual) > Plain<S>(0);
    return some_left ? laws_.recovery.source_out(view.at.grid) : S(0);
  }
  [[nodiscard]] S residual_decay(const Memory& memory) const {
    return is_lit(memory.state) ? decay_while_lit<S>(laws_.recovery) : laws_.recovery.decay();
  }
  /// Voltage above the arc drop with which the state that has just been entered starts, V, and its decay, 1/s.
  [[nodiscard]] S excess_at_start(const View& view, const Memory& memory) const {
    if (memory.state != TubeState::conducting) return S(0);
    return laws_.fall.start(view.at.plate, laws_.arc.voltage(view.plate_current));
  }
  [[nodiscard]] S excess_decay() const { return laws_.fall.decay(); }

 private:
  [[nodiscard]] S effective_plate(const Conditions<S>& at, const S& residual) const {
    const S above = S(at.plate - floor());
    if (!(value_of(above) > Plain<S>(0))) return at.plate;
    const S control = math::max(laws_.recovery.control(residual, at.grid), S(Plain<S>(1e-6)));
    return S(floor() + above / control);
  }
  [[nodiscard]] S overcritical_margin(const View& view) const {
    return S(critical_grid(view.at, view.residual) - view.at.grid);
  }
  [[nodiscard]] S heating_left(const View& view, const Memory& memory) const {
    return S(memory.heater_on + laws_.cathode.heating_time() - view.time);
  }

  [[nodiscard]] S margin(Cause cause, const View& view, const Memory& memory) const {
    switch (cause) {
    case Cause::cathode_ready: return heating_left(view, memory);
    // An arc-back can leave a tube recovering before its cathode is ready.
    case Cause::overcritical: return math::max(overcritical_margin(view), heating_left(view, memory));
    // On the critical voltage itself the tube counts as over-critical: without the nanovolt both rows would fire in
    // turn.
    case Cause::subcritical: return S(S(1e-9) - overcritical_margin(view));
    case Cause::arc_formed: return math::max(S(S(1) - view.formation), feeding_shortage(view, memory));
    case Cause::current_lost:
      return math::max(current_margin(view.plate_current, least_current()), falling_margin(view.excess));
    case Cause::deionised: return laws_.recovery.left(view.residual);
    case Cause::inverse_exceeded: return S(S(1) + view.at.plate / laws_.inverse.voltage);
    case Cause::inverse_current_lost: return current_margin(S(-view.plate_current), least_current());
    default: return S(1);
    }
  }

  Laws laws_;
  const char* type_;
};

}  // namespace gastube
