// SPDX-License-Identifier: MIT
#pragma once
/// A gas tube of two cold electrodes, a glow lamp or a stabiliser: its characteristics put together under one state
/// machine. It burns in whichever direction it was struck.
///
/// The normal glow is taken down to the least current, where the tube goes out; the falling voltage of a smaller, a
/// subnormal glow is left out here, see relaxation.hpp for what it does.

#include "gastube/tube/arc/glow_drop.hpp"
#include "gastube/tube/arc/sustaining.hpp"
#include "gastube/tube/delay/plate_fall.hpp"
#include "gastube/tube/delay/statistical_lag.hpp"
#include "gastube/tube/grid/capacitances.hpp"
#include "gastube/tube/ignition/strike_voltage.hpp"
#include "gastube/tube/machine.hpp"
#include "gastube/tube/ratings/ratings.hpp"
#include "gastube/tube/recovery/strike_recovery.hpp"
#include "gastube/tube/written_guard.hpp"

namespace gastube {

/// What a glow tube's laws bundle must name; each member is a law of its header. A bundle is any struct with these
/// members: to use a law of your own, write a bundle with it.
template <class Laws>
concept GlowLaws = Real<typename Laws::Scalar> && requires(const Laws laws, const typename Laws::Scalar v,
                                                           const Conditions<typename Laws::Scalar> at) {
  requires StrikeLaw<decltype(laws.ignition), typename Laws::Scalar>;
  requires DelayLaw<decltype(laws.delay), typename Laws::Scalar>;
  requires GlowLaw<decltype(laws.arc), typename Laws::Scalar>;
  requires RecoveryLaw<decltype(laws.recovery), typename Laws::Scalar>;
  { laws.fall.start(v, v) } -> std::same_as<typename Laws::Scalar>;
  { laws.sustaining.current } -> std::convertible_to<typename Laws::Scalar>;
  { laws.electrons(at, v) } -> std::same_as<SlopedCurrent<typename Laws::Scalar>>;
  laws.capacitances.check();
  laws.ratings.check();
};

/// Laws of ordinary lamps and stabilisers; with NoDelay and InstantRecovery, those of textbook circuits.
template <Real S, class Delay = OvervoltageLag<S>, class Recovery = StrikeRecovery<S>>
struct StandardGlowLaws {
  using Scalar = S;
  StrikeVoltage<S> ignition;
  Delay delay = {};
  GlowDrop<S> arc;
  PlateFall<S> fall = {};
  SustainingCurrent<S> sustaining;  ///< least current of the glow
  Recovery recovery = {};
  PlateLeakage<S> electrons = {S(Plain<S>(1e-11L))};  ///< more than 1e10 ohm when out, from memory
  TubeCapacitances<S> capacitances = {};
  Ratings<S> ratings = {};
};

template <GlowLaws Laws>
class GlowTube {
 public:
  using Scalar = typename Laws::Scalar;
  using S = Scalar;
  using Memory = TubeMemory<S>;
  using View = TubeView<S>;
  using Recovery = std::decay_t<decltype(Laws::recovery)>;
  static constexpr const auto& transitions = glow_transitions;
  static constexpr bool cold_cathode = true;
  /// In every state currents and voltages hang on each other in straight lines, and every guard can be written out.
  static constexpr bool piecewise_linear =
      has_control_form<
          Recovery> && all_piecewise_linear<decltype(Laws::delay), decltype(Laws::arc), decltype(Laws::electrons)>;
  /// Whether the source of the residual (0), the formation (1), the excess (2) is linear in the unknowns.
  [[nodiscard]] static constexpr bool follows_straight(std::size_t k) {
    return k == 0 ? recovery_follows_straight<Recovery> : k == 2 || piecewise_linear;
  }

  /// @throws InvalidParameter naming law and field
  explicit GlowTube(const Laws& laws, const char* type = "glow tube") : laws_(laws), type_(type) {
    laws_.ignition.check();
    laws_.delay.check();
    laws_.arc.check();
    laws_.fall.check();
    laws_.sustaining.check();
    laws_.recovery.check();
    laws_.electrons.check();
    laws_.capacitances.check();
    laws_.ratings.check();
    check_together();
  }

  [[nodiscard]] const Laws& laws() const noexcept { return laws_; }
  [[nodiscard]] const char* type() const noexcept { return type_; }
  [[nodiscard]] const TubeCapacitances<S>& capacitances() const noexcept { return laws_.capacitances; }
  /// A, least current that keeps the glow.
  [[nodiscard]] const S& least_current() const noexcept { return laws_.sustaining.current; }

  /// There is nothing to warm up: dark at any time.
  [[nodiscard]] Memory switched_on(const S& time) const { return {TubeState::dark, time}; }
  [[nodiscard]] Memory warm(const S& time) const { return {TubeState::dark, time}; }

  /// The voltage at which a tube full of ions relights, V: a volt above what its least current needs.
  [[nodiscard]] S floor() const { return S(extinction_voltage() + S(1)); }
  /// V below which the glow goes out.
  [[nodiscard]] S extinction_voltage() const { return laws_.arc.voltage(least_current(), TubeState::glow); }
  /// V at which the tube strikes, counted in the direction in question; ionisation left from the last discharge lowers
  /// it. unlimited() if it does not strike that way.
  [[nodiscard]] S strike_voltage(const S& residual, bool reversed = false) const {
    const S full = laws_.ignition.voltage(reversed);
    if (!is_limited(full)) return full;
    return S(floor() + laws_.recovery.control(residual, S(0)) * (full - floor()));
  }

  /// Plate-cathode voltage of the lit tube and its slope, at this plate current: negative for a tube struck the other
  /// way round.
  [[nodiscard]] SlopedVoltage<S> arc(const S& current, const Memory& memory) const {
    const S along = signed_by(memory, current);
    return {signed_by(memory, laws_.arc.voltage(along, memory.state)), laws_.arc.slope(along, memory.state)};
  }
  /// Leakage of the unlit tube.
  [[nodiscard]] SlopedCurrent<S> dark_current(const View& view, const Memory&) const {
    return laws_.electrons(view.at, S(1));
  }
  /// There is no grid.
  [[nodiscard]] GridPaths<S> grid_paths(const View&, const Memory&) const { return {}; }

  /// The steady voltage at plate and cathode where the circuit begins, or ceases, to feed a discharge steadily, V.
  [[nodiscard]] S steady_need(const Memory& memory) const {
    return signed_by(memory, gastube::steady_need(least_current(), extinction_voltage(), memory.feed));
  }
  /// Volts by which the circuit fails to offer what the glow needs to form, positive while it cannot.
  [[nodiscard]] S feeding_shortage(const View& view, const Memory& memory) const {
    Feed<S> feed = memory.feed;
    if (is_limited(feed.steady_voltage)) feed.steady_voltage = signed_by(memory, feed.steady_voltage);
    const bool recovered = value_of(laws_.recovery.control(view.residual, S(0))) >= Plain<S>(0.5);
    return gastube::feeding_shortage(least_current(), extinction_voltage(), recovered, signed_by(memory, view.at.plate),
                                     signed_by(memory, view.plate_current), feed);
  }
  /// Growth of the formation, 1/s.
  [[nodiscard]] S formation_rate(const View& view, const Memory& memory) const {
    if (memory.state != TubeState::striking) return S(0);
    const S rate = laws_.delay.rate(S(-strike_margin(view, memory.reversed)), signed_by(memory, view.at.plate));
    return S(rate / missing_formation(view.residual));
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
    const Transition& row = *exit_of(transitions, memory.state, exit);
    if (row.to == TubeState::striking) {
      formation = S(laws_.delay.instant ? 1 : 0);
      memory.reversed = value_of(strike_margin(view, true)) < value_of(strike_margin(view, false));
    }
    if (is_lit(row.from) && !is_lit(row.to)) residual = laws_.recovery.at_extinction(residual);
    if (row.cause == Cause::deionised) residual = residual_once_recovered(laws_.recovery, residual);
    memory.state = row.to;
    return row;
  }

  /// Source and decay of the residual ionisation, 1/s.
  [[nodiscard]] S residual_source(const View& view, const Memory& memory) const {
    if (is_lit(memory.state)) return laws_.recovery.source_lit(signed_by(memory, view.plate_current));
    return residual_runs(view, memory) ? laws_.recovery.source_out(S(0)) : S(0);
  }
  [[nodiscard]] S residual_decay(const Memory& memory) const {
    return is_lit(memory.state) ? decay_while_lit<S>(laws_.recovery) : laws_.recovery.decay();
  }
  /// Voltage beyond that of the discharge with which the state that has just been entered starts, V, and its decay,
  /// 1/s. From one lit state into the next the voltage goes on from where it is.
  [[nodiscard]] S excess_at_start(const View& view, const Memory& memory) const {
    if (!is_lit(memory.state)) return S(0);
    const S drop = laws_.arc.voltage(signed_by(memory, view.plate_current), memory.state);
    return signed_by(memory, laws_.fall.start(signed_by(memory, view.at.plate), drop));
  }
  [[nodiscard]] S excess_decay() const { return laws_.fall.decay(); }

 private:
  /// Half the width, as a share of the current that covers the cathode, over which the two glows overlap: on the edge
  /// the tube is in one of them, not in both in turn.
  static constexpr Plain<S> overlap = Plain<S>(1e-5L);

  void check_together() const {
    const double low = double(value_of(floor()));
    Check{"glow tube"}
        .above("strike voltage", laws_.ignition.voltage(false), low, "V")
        .above("inverse strike voltage", laws_.ignition.voltage(true), low, "V")
        .that(value_of(least_current()) < value_of(laws_.arc.covered_from), "sustaining current", least_current(), "A",
              "below the current that covers the cathode");
  }
  [[nodiscard]] static S signed_by(const Memory& memory, const S& value) { return memory.reversed ? S(-value) : value; }

  /// V short of striking in that direction.
  [[nodiscard]] S strike_margin(const View& view, bool reversed) const {
    const S strike = strike_voltage(view.residual, reversed);
    return reversed ? S(strike + view.at.plate) : S(strike - view.at.plate);
  }
  /// What keeps the discharge from burning: its formation, or a circuit that cannot feed it.
  [[nodiscard]] S unformed(const View& view, const Memory& memory) const {
    const S shortage = feeding_shortage(view, memory);
    return laws_.delay.instant ? shortage : math::max(S(S(1) - view.formation), shortage);
  }
  /// Whether source_out acts: as long as anything is left. Where the states alone must tell, in those that may have it.
  [[nodiscard]] static bool residual_runs(const View& view, const Memory& memory) {
    if constexpr (piecewise_linear) return memory.state == TubeState::recovering || memory.state == TubeState::striking;
    return value_of(view.residual) > Plain<S>(0);
  }
  [[nodiscard]] S current_left(const View& view, const Memory& memory) const {
    const S least = memory.state == TubeState::arc ? S(laws_.arc.arc_least) : least_current();
    return math::max(current_margin(signed_by(memory, view.plate_current), least),
                     falling_margin(signed_by(memory, view.excess)));
  }
  /// Current as a share of that which covers the cathode.
  [[nodiscard]] S coverage(const View& view, const Memory& memory) const {
    return S(signed_by(memory, view.plate_current) / laws_.arc.covered_from);
  }

  [[nodiscard]] S margin(Cause cause, const View& view, const Memory& memory) const {
    switch (cause) {
    case Cause::overcritical: return math::min(strike_margin(view, false), strike_margin(view, true));
    case Cause::subcritical: return S(S(striking_leeway<S>) - strike_margin(view, memory.reversed));
    case Cause::arc_formed: return unformed(view, memory);
    case Cause::current_lost: return current_left(view, memory);
    case Cause::cathode_covered: return S(S(1 + overlap) - coverage(view, memory));
    case Cause::cathode_uncovered: return S(coverage(view, memory) - S(1 - overlap));
    case Cause::glow_to_arc: return S(S(1) - signed_by(memory, view.plate_current) / laws_.arc.arc_from);
    case Cause::deionised: return laws_.recovery.left(view.residual);
    default: return S(1);
    }
  }

  template <class Writer>
  bool write(Cause cause, const Memory& memory, Writer& to) const {
    const S sign = signed_by(memory, S(1));
    switch (cause) {
    case Cause::overcritical:
      if constexpr (has_control_form<Recovery>) write_overcritical(memory, to);
      return has_control_form<Recovery>;
    case Cause::subcritical:
      if constexpr (has_control_form<Recovery>) write_subcritical(memory, to);
      return has_control_form<Recovery>;
    case Cause::arc_formed:
      if constexpr (has_control_form<Recovery>)
        write_arc_formed<Recovery>(to, sign, least_current(), extinction_voltage(), memory.feed, laws_.delay.instant);
      return has_control_form<Recovery>;
    case Cause::current_lost:
      write_current_lost(to, sign, memory.state == TubeState::arc ? S(laws_.arc.arc_least) : least_current(),
                         !laws_.fall.instant());
      return true;
    case Cause::deionised:
      if constexpr (has_control_form<Recovery>) write_deionised<S>(to, laws_.recovery);
      return has_control_form<Recovery>;
    case Cause::cathode_covered: write_current(to, S(1 + overlap), S(-sign / laws_.arc.covered_from)); return true;
    case Cause::cathode_uncovered: write_current(to, S(overlap - 1), S(sign / laws_.arc.covered_from)); return true;
    case Cause::glow_to_arc: write_current(to, S(1), S(-sign / laws_.arc.arc_from)); return true;
    default: return true;
    }
  }
  template <class Writer>
  static void write_current(Writer& to, const S& constant, const S& by_current) {
    to.begin();
    to.constant(constant);
    to.current(by_current);
  }
  template <class Writer>
  void write_overcritical(const Memory& memory, Writer& to) const {
    const bool some_left = may_step<Recovery>(memory.state);
    const bool whole = Recovery::control_form == ControlForm::step && !some_left;
    const auto control = whole ? StraightControl<S>{} : straight_control<Recovery>(S(0));
    for (const bool reversed : {false, true}) {
      if (!is_limited(laws_.ignition.voltage(reversed))) continue;
      to.begin();
      write_short_of_strike(to, S(1), reversed, control);
      if (!some_left) continue;
      to.join();  // with nothing left any more only this counts
      write_left_by_steps(to, S(-1));
      to.begin();
      write_short_of_strike(to, S(1), reversed, {});
    }
  }
  template <class Writer>
  void write_subcritical(const Memory& memory, Writer& to) const {
    to.begin();
    to.constant(S(striking_leeway<S>));
    write_short_of_strike(to, S(-1), memory.reversed, straight_control<Recovery>(S(0)));
    if constexpr (Recovery::control_form != ControlForm::step) return;
    to.begin();  // the last may go while the tube waits for a circuit that can feed it
    to.constant(S(striking_leeway<S>));
    write_short_of_strike(to, S(-1), memory.reversed, {});
    to.join();
    write_left_by_steps(to, S(1));
  }
  /// Adds sign times the volts short of striking in that direction.
  template <class Writer>
  void write_short_of_strike(Writer& to, const S& sign, bool reversed, const StraightControl<S>& control) const {
    const S above = S(laws_.ignition.voltage(reversed) - floor());
    to.constant(S(sign * (floor() + control.fixed * above)));
    to.residual(S(sign * control.per_residual * above));
    to.plate(reversed ? sign : S(-sign));
  }

  Laws laws_;
  const char* type_;
};

}  // namespace gastube
