// SPDX-License-Identifier: MIT
#pragma once
/// A cold-cathode trigger tube: its characteristics put together under one state machine. The plate is the main anode,
/// the grid is the trigger.
///
/// The trigger starts the main gap and cannot stop it: conduction ends only where the main current falls below its
/// least (J. B. Dance, "Cold cathode trigger tubes and their uses", 1965). Backwards the main gap never breaks down
/// here: keep the inverse voltage below its rating, which is for the watch on ratings to see to. A priming electrode
/// is not modelled; without one a real tube waits for its first electron, see delay/statistical_lag.hpp.

#include "gastube/tube/arc/arc_drop.hpp"
#include "gastube/tube/arc/sustaining.hpp"
#include "gastube/tube/delay/plate_fall.hpp"
#include "gastube/tube/delay/statistical_lag.hpp"
#include "gastube/tube/grid/capacitances.hpp"
#include "gastube/tube/ignition/transfer.hpp"
#include "gastube/tube/machine.hpp"
#include "gastube/tube/ratings/ratings.hpp"
#include "gastube/tube/recovery/strike_recovery.hpp"
#include "gastube/tube/written_guard.hpp"

namespace gastube {

/// What a trigger tube's laws bundle must name; each member is a law of its header. A bundle is any struct with these
/// members: to use a law of your own, write a bundle with it.
template <class Laws>
concept TriggerLaws = Real<typename Laws::Scalar> && requires(const Laws laws, const typename Laws::Scalar v,
                                                              const Conditions<typename Laws::Scalar> at) {
  { laws.ignition.breakdown(v) } -> std::same_as<typename Laws::Scalar>;
  { laws.grid.current(v) } -> std::same_as<typename Laws::Scalar>;
  { laws.grid.strikes_at(v) } -> std::same_as<typename Laws::Scalar>;
  { laws.grid.dark(at) } -> std::same_as<GridPaths<typename Laws::Scalar>>;
  { laws.grid.burning(at) } -> std::same_as<GridPaths<typename Laws::Scalar>>;
  { laws.grid.lit(at, v) } -> std::same_as<GridPaths<typename Laws::Scalar>>;
  { laws.grid.least_current } -> std::convertible_to<typename Laws::Scalar>;
  requires DelayLaw<decltype(laws.delay), typename Laws::Scalar>;
  requires ArcLaw<decltype(laws.arc), typename Laws::Scalar>;
  requires RecoveryLaw<decltype(laws.recovery), typename Laws::Scalar>;
  { laws.fall.start(v, v) } -> std::same_as<typename Laws::Scalar>;
  { laws.sustaining.current } -> std::convertible_to<typename Laws::Scalar>;
  { laws.electrons(at, v) } -> std::same_as<SlopedCurrent<typename Laws::Scalar>>;
  laws.capacitances.check();
  laws.ratings.check();
};

/// Laws of ordinary trigger tubes; with NoDelay and InstantRecovery, those of textbook circuits.
template <Real S, class Delay = OvervoltageLag<S>, class Recovery = StrikeRecovery<S>>
struct StandardTriggerLaws {
  using Scalar = S;
  TransferCurve<S> ignition;
  TriggerGap<S> grid;
  Delay delay = {};
  LinearDrop<S> arc;  ///< maintaining voltage of the main gap
  PlateFall<S> fall = {};
  SustainingCurrent<S> sustaining;  ///< least current of the main gap
  Recovery recovery = {};
  PlateLeakage<S> electrons = {S(Plain<S>(1e-11L))};
  /// Of these the trigger's own (grid_cathode) must be above 0: it makes a trigger that is fed less than its least
  /// current swing, which without it would flicker without end in no time.
  TubeCapacitances<S> capacitances = {S(0), S(Plain<S>(3e-12L))};
  Ratings<S> ratings = {};
};

template <TriggerLaws Laws>
class TriggerTube {
 public:
  using Scalar = typename Laws::Scalar;
  using S = Scalar;
  using Memory = TubeMemory<S>;
  using View = TubeView<S>;
  using Recovery = std::decay_t<decltype(Laws::recovery)>;
  static constexpr const auto& transitions = trigger_transitions;
  static constexpr bool cold_cathode = true;

  /// @throws InvalidParameter naming law and field
  explicit TriggerTube(const Laws& laws, const char* type = "trigger tube") : laws_(laws), type_(type) {
    laws_.ignition.check();
    laws_.grid.check();
    laws_.delay.check();
    laws_.arc.check();
    laws_.fall.check();
    laws_.sustaining.check();
    laws_.recovery.check();
    laws_.electrons.check();
    laws_.capacitances.check();
    laws_.ratings.check();
    Check{"trigger tube"}
        .above("untriggered breakdown", laws_.ignition.breakdown(S(0)), double(value_of(floor())), "V")
        .above("capacitance of the trigger", laws_.capacitances.grid_cathode, 0.0, "F");
  }

  [[nodiscard]] const Laws& laws() const noexcept { return laws_; }
  [[nodiscard]] const char* type() const noexcept { return type_; }
  [[nodiscard]] const TubeCapacitances<S>& capacitances() const noexcept { return laws_.capacitances; }
  /// A, least current that keeps the main gap alight.
  [[nodiscard]] const S& least_current() const noexcept { return laws_.sustaining.current; }

  /// There is nothing to warm up: dark at any time.
  [[nodiscard]] Memory switched_on(const S& time) const { return {TubeState::dark, time}; }
  [[nodiscard]] Memory warm(const S& time) const { return {TubeState::dark, time}; }

  /// The anode voltage at which a tube full of ions relights, V: a volt above what its least current needs.
  [[nodiscard]] S floor() const { return S(laws_.arc.voltage(least_current()) + S(1)); }
  /// Anode voltage at which the main gap breaks down, V; trigger current and ionisation left lower it.
  [[nodiscard]] S breakdown(const S& trigger_current, const S& residual) const {
    const S above = math::positive_part(S(laws_.ignition.breakdown(trigger_current) - floor()));
    return S(floor() + laws_.recovery.control(residual, S(0)) * above);
  }
  /// Trigger voltage at which the trigger gap strikes, V; ionisation left lowers it.
  [[nodiscard]] S trigger_voltage(const S& residual) const {
    return laws_.grid.strikes_at(laws_.recovery.control(residual, S(0)));
  }

  /// Voltage of the conducting main gap and its slope, at this anode current.
  [[nodiscard]] SlopedVoltage<S> arc(const S& current, const Memory&) const {
    return {laws_.arc.voltage(current), laws_.arc.slope(current)};
  }
  /// Leakage of the unlit main gap.
  [[nodiscard]] SlopedCurrent<S> dark_current(const View& view, const Memory&) const {
    return laws_.electrons(view.at, S(1));
  }
  /// Trigger currents in the present state. A main gap about to form lights the trigger gap too.
  [[nodiscard]] GridPaths<S> grid_paths(const View& view, const Memory& memory) const {
    if (memory.state == TubeState::conducting) return laws_.grid.lit(view.at, view.plate_current);
    return trigger_burns(memory) ? laws_.grid.burning(view.at) : laws_.grid.dark(view.at);
  }

  /// The steady voltage at plate and cathode where the circuit begins, or ceases, to feed a discharge steadily, V.
  [[nodiscard]] S steady_need(const Memory& memory) const {
    return gastube::steady_need(least_current(), laws_.arc.voltage(least_current()), memory.feed);
  }
  /// Volts by which the circuit fails to offer what the main gap needs to form, positive while it cannot.
  [[nodiscard]] S feeding_shortage(const View& view, const Memory& memory) const {
    const bool recovered = value_of(laws_.recovery.control(view.residual, S(0))) >= Plain<S>(0.5);
    return gastube::feeding_shortage(least_current(), laws_.arc.voltage(least_current()), recovered, view.at.plate,
                                     view.plate_current, memory.feed);
  }
  /// Growth of the main gap's formation, 1/s. A trigger pulse that ends before it is complete starts nothing.
  [[nodiscard]] S formation_rate(const View& view, const Memory& memory) const {
    if (memory.state != TubeState::striking) return S(0);
    return S(laws_.delay.rate(S(-breakdown_margin(view, memory)), view.at.plate) / missing_formation(view.residual));
  }

  /// Guard number `exit` of the present state: positive while the state lasts; V, or a share.
  [[nodiscard]] S guard(std::size_t exit, const View& view, const Memory& memory) const {
    const Transition* row = exit_of(transitions, memory.state, exit);
    return row ? margin(row->cause, view, memory) : S(1);
  }
  /// The same written out; nothing where there is no such exit. @return false for a guard that has no such form
  template <GuardWriter<S> Writer>
  bool margin(std::size_t exit, const Memory& memory, Writer& to) const {
    const Transition* row = exit_of(transitions, memory.state, exit);
    return !row || write(row->cause, memory, to);
  }
  /// Leaves the state by that exit; `residual` and `formation` are set to what the new state starts with.
  const Transition& leave(std::size_t exit, const View&, Memory& memory, S& residual, S& formation) const {
    const Transition& row = *exit_of(transitions, memory.state, exit);
    if (row.to == TubeState::striking) formation = S(laws_.delay.instant ? 1 : 0);
    if (is_lit(row.from) && !is_lit(row.to)) residual = laws_.recovery.at_extinction(residual);
    if (row.cause == Cause::deionised) residual = residual_once_recovered(laws_.recovery, residual);
    memory.state = row.to;
    return row;
  }

  /// Source and decay of the residual ionisation, 1/s. The trigger gap makes ions too, few beside the main gap's.
  [[nodiscard]] S residual_source(const View& view, const Memory& memory) const {
    if (memory.state == TubeState::conducting) return laws_.recovery.source_lit(view.plate_current);
    if (trigger_burns(memory)) return laws_.recovery.source_lit(trigger_current(view, memory));
    const bool some_left = value_of(view.residual) > Plain<S>(0);
    return some_left ? laws_.recovery.source_out(view.at.grid) : S(0);
  }
  [[nodiscard]] S residual_decay(const Memory& memory) const {
    const bool burns = memory.state == TubeState::conducting || trigger_burns(memory);
    return burns ? decay_while_lit<S>(laws_.recovery) : laws_.recovery.decay();
  }
  /// Voltage above the maintaining voltage with which the state that has just been entered starts, V, and its decay,
  /// 1/s.
  [[nodiscard]] S excess_at_start(const View& view, const Memory& memory) const {
    if (memory.state != TubeState::conducting) return S(0);
    return laws_.fall.start(view.at.plate, laws_.arc.voltage(view.plate_current));
  }
  [[nodiscard]] S excess_decay() const { return laws_.fall.decay(); }

 private:
  /// What keeps the discharge from burning: its formation, or a circuit that cannot feed it.
  [[nodiscard]] S unformed(const View& view, const Memory& memory) const {
    const S shortage = feeding_shortage(view, memory);
    return laws_.delay.instant ? shortage : math::max(S(S(1) - view.formation), shortage);
  }
  [[nodiscard]] static bool trigger_burns(const Memory& memory) {
    return memory.state == TubeState::trigger_glow || memory.state == TubeState::striking;
  }
  [[nodiscard]] S trigger_current(const View& view, const Memory& memory) const {
    return trigger_burns(memory) ? laws_.grid.current(view.at.grid) : S(0);
  }
  /// V short of breakdown of the main gap.
  [[nodiscard]] S breakdown_margin(const View& view, const Memory& memory) const {
    return S(breakdown(trigger_current(view, memory), view.residual) - view.at.plate);
  }

  [[nodiscard]] S margin(Cause cause, const View& view, const Memory& memory) const {
    switch (cause) {
    case Cause::overcritical: return breakdown_margin(view, memory);
    case Cause::subcritical: return S(S(striking_leeway<S>) - breakdown_margin(view, memory));
    case Cause::trigger_struck: return S(trigger_voltage(view.residual) - view.at.grid);
    case Cause::trigger_lost: return current_margin(trigger_current(view, memory), S(laws_.grid.least_current));
    case Cause::arc_formed: return unformed(view, memory);
    case Cause::current_lost:
      return math::max(current_margin(view.plate_current, least_current()), falling_margin(view.excess));
    case Cause::deionised: return laws_.recovery.left(view.residual);
    default: return S(1);
    }
  }

  /// Of the guards that hang on the trigger current none is written out.
  template <class Writer>
  bool write(Cause cause, const Memory& memory, Writer& to) const {
    if constexpr (has_control_form<Recovery>) {
      switch (cause) {
      case Cause::overcritical:
        if (trigger_burns(memory)) return false;
        write_short_of(to, memory, floor(), laws_.ignition.breakdown(S(0)), [&] { to.plate(S(-1)); });
        return true;
      case Cause::trigger_struck:
        write_short_of(to, memory, laws_.grid.strikes_at(S(0)), laws_.grid.strikes_at(S(1)), [&] { to.grid(S(-1)); });
        return true;
      case Cause::arc_formed:
        write_arc_formed<Recovery>(to, S(1), least_current(), laws_.arc.voltage(least_current()), memory.feed,
                                   laws_.delay.instant);
        return true;
      case Cause::deionised: write_deionised<S>(to, laws_.recovery); return true;
      default: break;
      }
    }
    if (cause != Cause::current_lost) return false;
    write_current_lost(to, S(1), least_current(), !laws_.fall.instant());
    return true;
  }
  /// Writes how far a voltage is short of striking a gap that strikes at `low` with no control back, at `high` with
  /// all.
  template <class Writer, class Subtract>
  void write_short_of(Writer& to, const Memory& memory, const S& low, const S& high, Subtract&& subtract) const {
    const auto write = [&](const StraightControl<S>& control) {
      to.begin();
      to.constant(S(low + control.fixed * (high - low)));
      to.residual(S(control.per_residual * (high - low)));
      subtract();
    };
    if constexpr (Recovery::control_form == ControlForm::step) {
      write({});
      if (!may_step<Recovery>(memory.state)) return;
      write({S(0), S(0)});
      to.join();  // with nothing left any more only the first counts
      write_left_by_steps(to, S(-1));
    } else {
      write(straight_control<Recovery>(S(0)));
    }
  }

  Laws laws_;
  const char* type_;
};

}  // namespace gastube
