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
#include "gastube/tube/written_guard.hpp"

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
  using Recovery = std::decay_t<decltype(Laws::recovery)>;
  static constexpr const auto& transitions = hot_cathode_transitions;
  static constexpr bool cold_cathode = false;
  /// Whether its cathode has to be heated; a textbook's is ready by itself.
  static constexpr bool heated = !std::same_as<std::decay_t<decltype(Laws::cathode)>, ReadyCathode<S>>;
  static constexpr bool straight_ignition =
      all_piecewise_linear<decltype(Laws::ignition), decltype(Laws::shield)> && has_control_form<Recovery>;
  /// In every state currents and voltages hang on each other in straight lines, and every guard can be written out.
  static constexpr bool piecewise_linear =
      straight_ignition
      && all_piecewise_linear<decltype(Laws::arc), decltype(Laws::delay), decltype(Laws::grid),
                              decltype(Laws::electrons), decltype(Laws::afterglow)>;
  /// Whether the source of the residual (0), the formation (1), the excess (2) is linear in the unknowns.
  [[nodiscard]] static constexpr bool follows_straight(std::size_t k) {
    return k == 0 ? recovery_follows_straight<Recovery> : k == 2 || piecewise_linear;
  }

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
    if (burns(memory)) return laws_.grid.lit(view.at, view.plate_current);
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

  /// The steady voltage at plate and cathode where the circuit begins, or ceases, to feed a discharge steadily, V.
  [[nodiscard]] S steady_need(const Memory& memory) const {
    return gastube::steady_need(least_current(), laws_.arc.voltage(least_current()), memory.feed);
  }
  /// Volts by which the circuit fails to offer what the arc needs to form, positive while it cannot.
  [[nodiscard]] S feeding_shortage(const View& view, const Memory& memory) const {
    const S least = laws_.sustaining.current;
    const bool recovered = may_flash(laws_.recovery, view);
    return gastube::feeding_shortage(least, laws_.arc.voltage(least), recovered, view.at.plate, view.plate_current,
                                     feed_with_time(memory));
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
  /// The same written out; nothing where there is no such exit or it cannot be taken. @return false for a guard that
  /// has no such form
  template <GuardWriter<S> Writer>
  bool margin(std::size_t exit, const Memory& memory, Writer& to) const {
    const Transition* row = exit_of(transitions, memory.state, exit);
    return !row || write(row->cause, memory, to);
  }
  /// Equal where currents and followers obey the same equations.
  [[nodiscard]] unsigned pattern(const Memory& memory) const {
    if (is_lit(memory.state)) return 2 + 2 * static_cast<unsigned>(memory.state) + (memory.reversed ? 1 : 0);
    return residual_runs({}, memory) && value_of(laws_.recovery.source_out(S(0))) != Plain<S>(0) ? 1 : 0;
  }
  /// Leaves the state by that exit; `residual` and `formation` are set to what the new state starts with.
  const Transition& leave(std::size_t exit, const View& view, Memory& memory, S& residual, S& formation) const {
    const Transition* taken = exit_of(transitions, memory.state, exit);
    if (memory.state == TubeState::conducting && taken->cause == Cause::current_lost && may_start(view, memory))
      taken = exit_of(transitions, memory.state, exit + 1);
    const Transition& row = *taken;
    if (row.to == TubeState::striking) formation = S(laws_.delay.instant ? 1 : 0);
    if (row.cause == Cause::arc_formed) memory.lit_at = view.time;
    if (is_lit(row.from) && !is_lit(row.to)) residual = laws_.recovery.at_extinction(residual);
    if (row.to == TubeState::recovering) note_recovery(laws_.recovery, residual, memory);
    if (row.cause == Cause::deionised) residual = residual_once_recovered(laws_.recovery, residual);
    memory.state = row.to;
    return row;
  }

  /// Source and decay of the residual ionisation, 1/s.
  [[nodiscard]] S residual_source(const View& view, const Memory& memory) const {
    if (burns(memory)) return laws_.recovery.source_lit(view.plate_current);
    if (memory.state == TubeState::reverse_breakdown) return laws_.recovery.source_lit(S(-view.plate_current));
    return residual_runs(view, memory) ? laws_.recovery.source_out(view.at.grid) : S(0);
  }
  [[nodiscard]] S residual_decay(const Memory& memory) const {
    return is_lit(memory.state) ? decay_while_lit<S>(laws_.recovery) : laws_.recovery.decay();
  }
  /// Voltage above the arc drop with which the state that has just been entered starts, V, and its decay, 1/s.
  [[nodiscard]] S excess_at_start(const View& view, const Memory& memory) const {
    if (!burns(memory)) return S(0);
    return laws_.fall.start(view.at.plate, laws_.arc.voltage(view.plate_current));
  }
  [[nodiscard]] S excess_decay() const { return laws_.fall.decay(); }

 private:
  static constexpr Plain<S> least_control = Plain<S>(1e-6L);  // what a grid full of ions has left

  [[nodiscard]] static bool burns(const Memory& memory) {
    return memory.state == TubeState::conducting || memory.state == TubeState::starting;
  }
  /// A coil lets no current come at once, but the grid gives it time; a capacitor gives more at once than steadily.
  [[nodiscard]] static Feed<S> feed_with_time(const Memory& memory) {
    Feed<S> feed = memory.feed;
    feed.resistance = math::min(feed.resistance, feed.steady_resistance);
    return feed;
  }
  /// Whether an arc that lacks its current is given time: it has just formed, the circuit can feed it steadily, and the
  /// grid does not hold off what the circuit would put on the plate.
  [[nodiscard]] bool may_start(const View& view, const Memory& memory) const {
    const bool just_lit = laws_.fall.instant() ? value_of(view.time) == value_of(memory.lit_at)
                                               : value_of(falling_margin(view.excess)) > Plain<S>(-0.5);
    if (!just_lit || !(value_of(least_current()) > Plain<S>(0)) || !is_limited(memory.feed.steady_voltage))
      return false;
    return value_of(steady_need(memory)) < value_of(memory.feed.steady_voltage)
           && value_of(starting_margin(view, memory)) > Plain<S>(0);
  }
  /// V of the grid above where it would hold off what the circuit would put on the plate; with the leeway of
  /// `subcritical`, for a tube that has only just struck stands on the very edge.
  [[nodiscard]] S starting_margin(const View& view, const Memory& memory) const {
    const S leeway = S(striking_leeway<S>), offered = S(memory.feed.steady_voltage + leeway);
    return S(leeway + view.at.grid - critical_grid({offered, view.at.grid, view.at.shield}, S(0)));
  }
  /// Of its hold-off the grid keeps a millionth at least; a straight law stays straight.
  [[nodiscard]] S share_of_control(const S& residual, const S& grid) const {
    const S control = laws_.recovery.control(residual, grid), least = S(least_control);
    if constexpr (has_control_form<Recovery>) return S(control + least * (S(1) - control));
    return math::max(control, least);
  }
  [[nodiscard]] S effective_plate(const Conditions<S>& at, const S& residual) const {
    const S above = S(at.plate - floor());
    if (!(value_of(above) > Plain<S>(0))) return at.plate;
    const S control = share_of_control(residual, at.grid);
    return S(floor() + above / control);
  }
  /// What keeps the discharge from burning: its formation, or a circuit that cannot feed it.
  [[nodiscard]] S unformed(const View& view, const Memory& memory) const {
    const S shortage = feeding_shortage(view, memory);
    return laws_.delay.instant ? shortage : math::max(S(S(1) - view.formation), shortage);
  }
  /// Whether source_out acts: as long as anything is left. Where the states alone must tell, in those that may have it.
  [[nodiscard]] static bool residual_runs(const View& view, const Memory& memory) {
    if constexpr (piecewise_linear) return memory.state == TubeState::recovering || memory.state == TubeState::striking;
    return some_runs<Recovery>(view.residual);
  }
  [[nodiscard]] S overcritical_margin(const View& view) const {
    return S(critical_grid(view.at, view.residual) - view.at.grid);
  }
  /// The leeway counts at the plate as well, whose lowest voltage to fire is an edge of its own.
  [[nodiscard]] static View with_leeway(View view) {
    view.at.plate += S(striking_leeway<S>);
    return view;
  }
  [[nodiscard]] S heating_left(const View& view, const Memory& memory) const {
    return S(memory.heater_on + laws_.cathode.heating_time() - view.time);
  }

  [[nodiscard]] S margin(Cause cause, const View& view, const Memory& memory) const {
    switch (cause) {
    case Cause::cathode_ready: return heating_left(view, memory);
    // An arc-back can leave a tube recovering before its cathode is ready.
    case Cause::overcritical:
      return math::max(overcritical_margin(as_seen_recovering<Recovery>(view, memory)), heating_left(view, memory));
    case Cause::subcritical: return S(S(striking_leeway<S>) - overcritical_margin(with_leeway(view)));
    case Cause::arc_formed: return unformed(view, memory);
    case Cause::current_reached: return S(S(1) - view.plate_current / least_current());
    case Cause::current_lost:
      if (memory.state == TubeState::starting)
        return math::min(starting_margin(view, memory), S(view.plate_current / least_current()));
      return math::max(current_margin(view.plate_current, least_current()), falling_margin(view.excess));
    case Cause::deionised: return laws_.recovery.left(view.residual);
    case Cause::inverse_exceeded: return S(S(1) + view.at.plate / laws_.inverse.voltage);
    case Cause::inverse_current_lost: return current_margin(S(-view.plate_current), least_current());
    default: return S(1);
    }
  }

  template <class Writer>
  bool write(Cause cause, const Memory& memory, Writer& to) const {
    const S least = least_current();
    switch (cause) {
    case Cause::cathode_ready: write_heating(memory, to); return true;
    case Cause::overcritical:
      if constexpr (straight_ignition) write_overcritical(memory, to);
      return straight_ignition;
    case Cause::subcritical:
      if constexpr (straight_ignition) write_subcritical(to);
      return straight_ignition;
    case Cause::arc_formed:
      if constexpr (has_control_form<Recovery>)
        write_arc_formed<Recovery>(to, S(1), least, laws_.arc.voltage(least), feed_with_time(memory),
                                   laws_.delay.instant);
      return has_control_form<Recovery>;
    case Cause::current_reached: write_current_reached(to); return true;
    case Cause::current_lost:
      if (memory.state != TubeState::starting) {
        write_current_lost(to, S(1), least, !laws_.fall.instant());
        return true;
      }
      if constexpr (straight_ignition) write_starting(memory, to);
      return straight_ignition;
    case Cause::deionised:
      if constexpr (has_control_form<Recovery>) write_deionised<S>(to, laws_.recovery);
      return has_control_form<Recovery>;
    case Cause::inverse_exceeded: write_inverse(to); return true;
    case Cause::inverse_current_lost: write_current_lost(to, S(-1), least, false); return true;
    default: return true;
    }
  }
  template <class Writer>
  void write_heating(const Memory& memory, Writer& to) const {
    const S ready = S(memory.heater_on + laws_.cathode.heating_time());
    if (!is_limited(ready) && memory.state == TubeState::cold) return;
    to.begin();
    to.constant(ready);
    to.per_second(S(-1));
  }
  template <class Writer>
  void write_current_reached(Writer& to) const {
    to.begin();
    to.constant(S(1));
    to.current(S(S(-1) / least_current()));
  }
  /// The current not backwards, and the grid above critical at the plate voltage that the circuit offers.
  template <class Writer>
  void write_starting(const Memory& memory, Writer& to) const {
    const S leeway = S(striking_leeway<S>), offered = S(memory.feed.steady_voltage + leeway),
            ratio = laws_.ignition.control_ratio;
    to.begin();
    to.current(S(S(1) / least_current()));
    to.begin();
    to.constant(S(offered / ratio - laws_.ignition.intercept + leeway));
    to.grid(S(1));
    to.shield(S(laws_.shield.leverage));
    to.begin();
    to.constant(S(offered - laws_.ignition.lowest_plate));
  }
  template <class Writer>
  void write_inverse(Writer& to) const {
    if (!is_limited(laws_.inverse.voltage)) return;
    to.begin();
    to.constant(S(1));
    to.plate(S(S(1) / laws_.inverse.voltage));
  }

  // On the control line H is the plate voltage that the grid holds off, F the floor, c the control, n the residual. The
  // tube is held where  (H - F) c > plate - F  and  H > plate  (above the floor the former is the stricter, below it
  // the latter), or where the plate is below the lowest that fires.
  template <class Writer>
  void write_overcritical(const Memory& memory, Writer& to) const {
    const bool whole = Recovery::control_form == ControlForm::step && !waits_for_its_step<Recovery>(memory);
    const auto control = whole ? StraightControl<S>{} : straight_control<Recovery>(S(least_control));
    to.greatest();
    to.begin();
    write_held(to, S(1), {}, S(0));
    if (!control.is_whole()) {
      to.join();
      write_held(to, S(1), control, S(0));
    }
    to.begin();
    write_too_low(to, S(1), control, S(0));
    if (value_of(laws_.cathode.heating_time()) > Plain<S>(0)) write_heating(memory, to);
  }
  /// The opposite, but for the leeway.
  template <class Writer>
  void write_subcritical(Writer& to) const {
    const S leeway = S(striking_leeway<S>);
    const auto control = straight_control<Recovery>(S(least_control));
    to.begin();
    write_held(to, S(-1), {}, leeway);
    if (!control.is_whole()) {
      to.join();
      write_held(to, S(-1), control, leeway);
    }
    to.begin();
    write_too_low(to, S(-1), control, leeway);
    if constexpr (Recovery::control_form != ControlForm::step) return;
    to.begin();  // the last may go while the tube waits for a circuit that can feed it
    write_held(to, S(-1), {}, leeway);
    to.join();
    write_left_by_steps(to, S(1));
    if (!lowest_above_floor()) return;
    to.begin();
    write_too_low(to, S(-1), {}, leeway);
    to.join();
    write_left_by_steps(to, S(1));
  }
  [[nodiscard]] bool lowest_above_floor() const { return value_of(laws_.ignition.lowest_plate) > value_of(floor()); }
  /// Adds sign ((H - F) c - (plate - F)), at a plate and a grid higher by `leeway`.
  template <class Writer>
  void write_held(Writer& to, const S& sign, const StraightControl<S>& control, const S& leeway) const {
    const S ratio = laws_.ignition.control_ratio, by_shield = S(ratio * laws_.shield.leverage);
    const S at_rest = S(ratio * (laws_.ignition.intercept - leeway) - floor());
    const S fixed = S(sign * control.fixed), by_residual = S(sign * control.per_residual);
    to.constant(S(fixed * at_rest + sign * (floor() - leeway)));
    to.grid(S(-fixed * ratio));
    to.shield(S(-fixed * by_shield));
    to.plate(S(-sign));
    if (value_of(control.per_residual) == Plain<S>(0)) return;
    to.residual(S(by_residual * at_rest));
    to.grid_residual(S(-by_residual * ratio));
    to.shield_residual(S(-by_residual * by_shield));
  }
  /// Adds sign times the volts that the plate is short of the lowest voltage that fires, ionisation left counted in.
  template <class Writer>
  void write_too_low(Writer& to, const S& sign, const StraightControl<S>& control, const S& leeway) const {
    const S above = S(laws_.ignition.lowest_plate - floor());
    const bool scaled = lowest_above_floor();
    to.constant(S(sign * (floor() - leeway + (scaled ? S(above * control.fixed) : above))));
    if (scaled && value_of(control.per_residual) != Plain<S>(0)) to.residual(S(sign * above * control.per_residual));
    to.plate(S(-sign));
  }

  Laws laws_;
  const char* type_;
};

}  // namespace gastube
