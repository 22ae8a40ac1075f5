// SPDX-License-Identifier: MIT
#pragma once
/// Steps a hybrid system from event to event: each event is located on the scheme's own solution, fired, and the jumps
/// and further events it causes at the same instant are settled before time goes on.
///
/// Order at one instant: a breakpoint of a schedule comes first, then events by rising guard number; an event that
/// breaks a current which would have to run backwards takes that impulse back (the charges are those from before it).
///
/// What the search for events promises. Every guard is searched over the whole step, not only at its end: along the
/// step's dense output, a cubic through four positions of the step (TR-BDF2: a parabola through three; schemes of two
/// stages: a straight line) with followers run by their own equation. A guard that keeps more than its whole change at
/// those positions clear of zero is passed; any other goes to FallSearch, whose words say how far its bounds reach: for
/// a guard that is affine in unknowns and time no fall of the dense output is missed, however short. Where the dense
/// output falls, or comes as near to zero as sixteen times the relative tolerance of the guard's greatest value, the
/// scheme's own solution decides (a step of its own that ends there).
/// It is a promise about the dense output, not about the true solution: what happens between the corners of a source
/// and is too short for the error estimate to see (a narrow bell in a source without breakpoints, an unknown without
/// charge that a scheme's stages jump over) is bounded by longest_step alone. An excursion is seen in any case if it
/// goes further than the dense output can be off: in a step h, M2 h^2 / 8 for backward Euler and the trapezoidal rule,
/// M3 h^3 / 95 for TR-BDF2, M4 h^4 / 1500 for the schemes with cubics, Mk the greatest k-th derivative of the guard. So
/// the straight lines of the first two miss both crossings of what turns back within a step: they are for steps much
/// shorter than anything that matters. None fires what its own solution, in a step that ends there, does not reach.

#include "gastube/stepping/dense_output.hpp"
#include "gastube/stepping/rest.hpp"
#include "gastube/stepping/rosenbrock.hpp"
#include "gastube/stepping/stages.hpp"
#include "gastube/stepping/steps_on.hpp"
#include "gastube/support/root.hpp"

#include <optional>
#include <utility>

namespace gastube {

/// How a run begins.
enum class Beginning {
  as_given,  ///< with the charges given, as if switched on at that moment
  settled,   ///< as if sources had stood as they are for long before
};

/// Runs `System` with `Scheme`. Owns a copy of the system; never allocates while stepping.
template <HybridSystem System, AnyScheme Scheme = TrBdf2>
class Stepper : public StepsOn<Stepper<System, Scheme>, typename System::Scalar> {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  using Engine = typename detail::EngineOf<System, Scheme>::type;

  /// All that changes while running; copy it to save, hand it to restore() to go on from there.
  struct State {
    Position<System> at;
    Mode mode;
    P step;         ///< s, length of the next step to try
    P late = P(0);  ///< s, time passed that the round-off of at.time hides
  };

  /// @param start unknowns, followers and time at the start; the jump to a consistent state is settled here
  /// @throws InvalidParameter for settings out of range
  Stepper(System system, Position<System> start, Mode mode, Settings<S> settings = {},
          Beginning beginning = Beginning::as_given)
      : system_(std::move(system))
      , settings_(checked(settings))
      , stages_(system_)
      , dense_(system_)
      , rest_(system_)
      , state_{std::move(start), std::move(mode), settings.first_step}
      , before_(state_)
      , trial_(state_.at) {
    if (beginning == Beginning::settled)
      start_status_ = outcome(stages_.steady_state(system_, state_.mode, state_.at, settings_, state_.at));
    Silent silent;
    if (succeeded(start_status_)) start_status_ = settle(silent, false);
  }

  [[nodiscard]] const System& system() const noexcept { return system_; }
  [[nodiscard]] const Settings<S>& settings() const noexcept { return settings_; }
  [[nodiscard]] const State& state() const noexcept { return state_; }
  [[nodiscard]] S time() const { return state_.at.time; }
  [[nodiscard]] Instant<S> instant() const { return state_.at.instant(); }
  [[nodiscard]] const Mode& mode() const noexcept { return state_.mode; }
  /// Equations solved so far to locate events.
  [[nodiscard]] long located() const noexcept { return located_; }

  /// The state, to be kept. What the stepper knows besides only saves it work; it is dropped here, so that this run and
  /// one from the saved state are equal.
  [[nodiscard]] State save() {
    stages_.forget_all();
    return state_;
  }
  /// Goes back (or forward) to a saved state; a run from there equals the run that was saved, bit for bit.
  void restore(const State& saved) {
    state_ = saved;
    stages_.learn_structure(system_, state_.mode, state_.at);
  }

  /// Changes the system or the mode between steps: change(system, mode), then settles the jump it makes.
  /// On failure everything is as before the call.
  template <class Change, class Observer = Silent>
  Status alter(Change&& change, Observer&& observer = {}) {
    System changed = system_;
    Mode mode = state_.mode;
    change(changed, mode);  // may throw
    before_ = state_;
    std::swap(system_, changed);
    state_.mode = std::move(mode);
    const Status status = settle(observer, true);
    if (!succeeded(status))
      system_ = std::move(changed);
    else
      start_status_ = status;
    return status;
  }

 private:
  friend class StepsOn<Stepper, S>;
  using StepsOn<Stepper, S>::start_status_;

  static Settings<S> checked(const Settings<S>& settings) {
    settings.check();
    return settings;
  }

  struct Target {
    S time;
    bool is_breakpoint;
    P late = P(0);
  };
  /// The clock after a step. It keeps what its round-off hides, or short steps at a late time would not count.
  [[nodiscard]] Target after(const S& h) const {
    const S gain = S(h + S(state_.late)), time = S(state_.at.time + gain);
    return {time, false, value_of(S(gain - (time - state_.at.time)))};
  }
  void set_clock(const Target& now) {
    state_.at.time = now.time;
    state_.late = now.late;
  }
  [[nodiscard]] bool is_before(const S& limit) const {
    return value_of(S(state_.at.time - limit)) + state_.late < P(0);
  }
  [[nodiscard]] Target target(const S& limit) const {
    const S corner = system_.next_breakpoint(state_.at.time, state_.mode);
    if (value_of(corner) <= value_of(limit)) return {corner, true};
    return {limit, false};
  }

  template <class Observer>
  Status attempt_step(const S& limit, Observer& observer) {
    const Target goal = target(limit);
    const S room = S(goal.time - state_.at.time - S(state_.late));
    const bool fixed = settings_.fixed_step > P(0);
    const P longest = fixed ? settings_.fixed_step : longest_step();
    const P reach = longest * (P(1) + P(1e-9)) + P(2) * round_off<S> * math::abs(value_of(goal.time));
    P wish = fixed ? longest : math::min(state_.step, longest);
    for (;;) {
      // A rest shorter than a tenth of the step is taken along rather than left as a sliver.
      const bool whole = value_of(room) <= math::min(wish * P(1.1), reach);
      const S h = whole ? room : S(wish);
      const Verdict verdict = judge(h);
      if (verdict.accepted) {
        before_ = state_;
        state_.step = whole ? math::max(verdict.next, wish) : verdict.next;
        return accept(h, whole ? goal : after(h), observer);
      }
      wish = verdict.next;
      if (wish < settings_.shortest_step || verdict.failure == Status::unsuited) return verdict.failure;
    }
  }

  [[nodiscard]] P longest_step() const {
    if constexpr (requires { system_.longest_step(state_.mode); })
      return math::min(settings_.longest_step, P(value_of(system_.longest_step(state_.mode))));
    else
      return settings_.longest_step;
  }

  struct Verdict {
    bool accepted = false;
    Status failure = Status::done;
    P next = P(0);
  };
  /// Tries a step and says whether its error is small enough, and what to try next.
  [[nodiscard]] Verdict judge(const S& h) {
    const P length = value_of(h);
    const StageStatus solved = stages_.attempt(system_, state_.mode, state_.at, h, settings_);
    attempted_ = length;
    if (solved != StageStatus::solved) return {false, outcome(solved), length * P(0.125)};
    if (settings_.fixed_step > P(0)) return {true, Status::done, settings_.fixed_step};
    const P error = stages_.error(system_, h, settings_);
    if (!math::is_finite(error)) return {false, Status::no_convergence, length * P(0.125)};
    const P rate_bound = length > settings_.first_step ? stages_.rate_bound_error(system_, settings_) : P(0);
    const bool accepted = error <= P(1) && rate_bound <= P(8);
    return {accepted, Status::no_convergence, length * growth(math::max(error, rate_bound))};
  }
  /// By how much the next step should be longer, from the error of this one. After an event the first one is a guess,
  /// often far too short: then only the cap slows it down.
  [[nodiscard]] static P growth(P error) {
    constexpr P safety = P(Scheme::order < 4 ? 0.85 : 0.9), most = P(Scheme::order < 4 ? 10 : 100);
    // Few digits do, and cost less.
    const P ideal = P(std::pow(float(math::max(error, P(1e-12))), -1.0F / float(Scheme::estimate_order + 1)));
    return math::clamp(safety * ideal, P(0.2), most);
  }

  template <class Observer>
  Status accept(const S& h, const Target& goal, Observer& observer) {
    if (const std::optional<Crossing> crossing = first_crossing(value_of(h))) return cross(*crossing, observer);
    state_.at = stages_.end();
    set_clock(goal);
    at_once_ = 0;
    if (goal.is_breakpoint) {
      detail::tell_arrival(observer, *this);
      system_.pass_breakpoint(state_.at.time, state_.mode);
      return settle(observer, true);
    }
    stages_.learn_trend(h);
    measure_ports(true);
    return Status::done;
  }

  struct Crossing {
    std::size_t guard;
    S after;     ///< s since the start of the step; 0: at once
    bool falls;  ///< false: seen at an inner stage but not by a step that ends there; step up to it and look again
  };

  [[nodiscard]] S guard(std::size_t k, const Position<System>& at) const {
    return system_.guard(k, at.instant(), state_.mode);
  }

  /// The earliest guard to fall within the last attempt, with its time.
  [[nodiscard]] std::optional<Crossing> first_crossing(P h) {
    dense_.forget();
    std::optional<Fall<P>> first_fall;
    std::size_t k = system_.guards();
    for (std::size_t one = 0; one < system_.guards(); ++one) {
      const std::optional<Fall<P>> fall = find_fall(one, h);
      if (!fall || (first_fall && !is_earlier(*fall, *first_fall))) continue;
      first_fall = fall;
      k = one;
    }
    if (!first_fall) return std::nullopt;
    if (!first_fall->grazes) aim(k, h, *first_fall);
    std::optional<Crossing> first = locate(k, h, *first_fall);
    // Whatever the step is to end at, no other guard may have fallen before.
    for (std::size_t round = 0; round < system_.guards(); ++round) {
      const P end = first ? value_of(first->after) : h;
      if (!(end > P(0)) || !solve_again(first ? first->after : S(h))) break;
      const std::size_t other = fallen_guard(stages_.end(), -noise, k);
      if (other == system_.guards()) break;
      first = locate(other, end, {P(0), P(1), P(1), false});
      k = other;
    }
    return first;
  }
  /// One that only comes near zero does not come before one that falls; of two that the interpolant cannot tell apart
  /// the one of the lower number comes first, until the scheme's own solution says otherwise.
  [[nodiscard]] static bool is_earlier(const Fall<P>& one, const Fall<P>& other) {
    return one.grazes == other.grazes ? one.at < other.at - P(1e-3) : other.grazes;
  }

  /// Where guard k falls along the dense output of the last attempt. Values at the nodes decide in most steps: a guard
  /// that keeps more than its whole change clear of zero is not looked at again.
  [[nodiscard]] std::optional<Fall<P>> find_fall(std::size_t k, P h) {
    constexpr int last = Engine::nodes - 1;
    const P at_start = value_of(guard(k, state_.at));
    P least = at_start, greatest = at_start, value = at_start;
    for (int i = 1; i <= last; ++i) {
      value = value_of(guard(k, stages_.node(i)));
      least = math::min(least, value);
      greatest = math::max(greatest, value);
    }
    if (least > greatest - least) return std::nullopt;
    const P margin = P(16) * (settings_.relative + round_off<S>)*math::max(greatest, P(0));
    const auto along = [&](P share) { return guard_along(k, h, share); };
    return FallSearch<P>(margin)(along, at_start, value);
  }
  /// Guard k at a share of the dense output.
  [[nodiscard]] P guard_along(std::size_t k, P h, P share) {
    return value_of(guard(k, dense_.at(system_, state_.mode, stages_, h, share)));
  }
  /// Moves a fall from where the cubic has it to where the dense output has it: far less work than a step that ends
  /// there.
  void aim(std::size_t k, P h, Fall<P>& fall) {
    P at = fall.at, slope = fall.slope, seen = slope < P(0) ? guard_along(k, h, at) : P(0);
    for (int round = 0; round < 3 && seen != P(0) && slope < P(0); ++round) {
      const P next = math::clamp(at - seen / slope, fall.low, fall.high), moved = next - at;
      if (math::abs(moved) <= P(4) * std::numeric_limits<P>::epsilon() * at) break;
      const P there = guard_along(k, h, next), steepness = (there - seen) / moved;
      at = next;
      seen = there;
      if (math::abs(moved) > P(1e-7) * at) slope = steepness;
    }
    if (slope < P(0) && math::is_finite(seen)) fall.at = at, fall.slope = slope;
  }

  /// The first guard other than `except` that is at or below `level` there; guards() if none.
  [[nodiscard]] std::size_t fallen_guard(const Position<System>& at, P level, std::size_t except) const {
    for (std::size_t k = 0; k < system_.guards(); ++k)
      if (k != except && value_of(guard(k, at)) <= level) return k;
    return system_.guards();
  }
  /// Makes the last attempt one of length h, unless it is one already.
  bool solve_again(const S& h) {
    if (is_plain<S> && attempted_ == value_of(h)) return true;
    ++located_;
    const bool solved = stages_.attempt(system_, state_.mode, state_.at, h, settings_) == StageStatus::solved;
    attempted_ = solved ? value_of(h) : P(-1);
    return solved;
  }
  [[nodiscard]] S guard_after(std::size_t k, const S& h) { return solve_again(h) ? guard(k, stages_.end()) : S(1); }

  /// Time of guard k's fall on the scheme's own solution: each trial is a step of its own from the same start. Begins
  /// where the dense output of a step of length h says, and takes secants from there.
  [[nodiscard]] std::optional<Crossing> locate(std::size_t k, P h, const Fall<P>& fall) {
    const auto value = [&](P length) { return value_of(guard_after(k, S(length))); };
    Bracket<P> in{P(0), h, value_of(guard(k, state_.at)), P(1)};
    if (!(in.value_low > P(0))) {
      if (value(fall.high * h) <= P(0)) return Crossing{k, S(0), true};
      solve_again(S(h));
      return std::nullopt;
    }
    const P tolerance = math::max(P(2) * round_off<S> * math::abs(value_of(state_.at.time)), h * P(16) * round_off<S>);
    const P slope = -fall.slope / h;
    P limit = fall.high * h, at = math::min(fall.at * h + P(0.125) * tolerance, limit), seen = value(at);
    // How far to go for the other side: a little beyond where the slope says, or else ever farther.
    P step = slope > P(0) ? P(1.02) * math::abs(seen) / slope + P(0.125) * tolerance : P(1e-6) * h;
    // Outwards from the first trial, by ever longer steps, until it is on both sides.
    while (seen > P(0)) {
      in.low = at;
      in.value_low = seen;
      if (attempted_ < P(0)) return Crossing{k, S(at), false};  // which then fails
      if (fall.grazes || at >= h) return not_fallen(k, fall.high * h, h);
      if (at >= limit) limit = h;
      at = math::min(limit, at + step);
      step *= P(10);
      seen = value(at);
    }
    in.high = at;
    in.value_high = seen;
    if (in.low == P(0) && is_met(-seen, slope, tolerance))
      return Crossing{k, refine(k, {math::max(P(0), at - tolerance), at, in.value_low, seen}), true};
    while (in.low == P(0) && in.high > tolerance) {
      at = math::max(P(0.5) * tolerance, in.high - step);
      if (at >= in.high) break;
      step *= P(10);
      seen = value(at);
      (seen > P(0) ? in.low : in.high) = at;
      (seen > P(0) ? in.value_low : in.value_high) = seen;
      if (at <= tolerance) break;
    }
    return Crossing{k, refine(k, narrow(value, in, tolerance, h)), true};
  }
  /// A guard that the interpolant says falls, or nearly so, and the scheme's own solution says does not: step up to
  /// there and look again, or, close to the start, take the step.
  [[nodiscard]] std::optional<Crossing> not_fallen(std::size_t k, P at, P h) {
    if (at >= P(0.05) * h && at < h) return Crossing{k, S(at), false};
    solve_again(S(h));
    return std::nullopt;
  }
  /// True if a guard that has fallen this far did so within the tolerance.
  [[nodiscard]] static bool is_met(P fallen, P slope, P tolerance) {
    return fallen >= P(0) && fallen <= P(0.25) * slope * tolerance;
  }
  /// Secants across a short bracket, each aimed half a tolerance beyond the root; then what is left by the sure way.
  template <class Function>
  [[nodiscard]] static Bracket<P> narrow(Function&& value, Bracket<P> in, P tolerance, P h) {
    for (int k = 0; k < 4 && in.high - in.low > tolerance; ++k) {
      const P wide = in.high - in.low, slope = (in.value_low - in.value_high) / wide;
      const P root = in.low + in.value_low / slope;
      const P at = math::clamp(root + P(0.125) * tolerance, in.low, in.high);
      if (!(at > in.low && at < in.high)) break;
      const P seen = value(at);
      (seen > P(0) ? in.low : in.high) = at;
      (seen > P(0) ? in.value_low : in.value_high) = seen;
      if (is_met(-seen, slope, tolerance) && wide <= P(1e-3) * h) {
        in.low = math::max(in.low, in.high - tolerance);
        return in;
      }
    }
    return in.high - in.low > tolerance ? shrink_bracket(value, in, tolerance) : in;
  }
  /// For an automatic-differentiation scalar: gives the event time its derivatives, by Newton steps on the guard. The
  /// second makes good what differencing the slope left.
  [[nodiscard]] S refine(std::size_t k, const Bracket<P>& root) {
    if constexpr (is_plain<S>) {
      return S(root.high);
    } else {
      const P wide = math::max(root.high - root.low, root.high * P(1e-4));
      const P slope = (value_of(guard_after(k, S(root.high))) - value_of(guard_after(k, S(root.high - wide)))) / wide;
      S after(root.high);
      for (int step = 0; step < 2; ++step) {
        const S there = guard_after(k, after);
        after = S(after - (there - S(value_of(there))) / S(slope));
      }
      return after;
    }
  }

  template <class Observer>
  Status cross(const Crossing& crossing, Observer& observer) {
    if (value_of(crossing.after) > P(0)) {
      if (!solve_again(crossing.after)) {
        state_ = before_;
        return Status::no_convergence;
      }
      const Target now = after(crossing.after);
      state_.at = stages_.end();
      set_clock(now);
      at_once_ = 0;
    } else if (++at_once_ > settings_.cascade_limit) {
      state_ = before_;
      return Status::unsettled_cascade;
    }
    if (!crossing.falls) return Status::done;
    detail::tell_arrival(observer, *this);
    fire(crossing.guard, observer);
    return settle(observer, true);
  }

  template <class Observer>
  void fire(std::size_t k, Observer& observer) {
    const Change change = system_.fire(k, state_.at.instant(), state_.mode, state_.at.y.data());
    detail::tell_change(observer, state_.at.time, change);
    stages_.forget();
  }

  /// Settles all that happens at one instant; on failure the state is as it was before the step.
  template <class Observer>
  Status settle(Observer& observer, bool may_restore) {
    attempted_ = P(-1);
    const Status status = settle_cascade(observer);
    if (succeeded(status))
      state_.step = first_step_;
    else if (may_restore)
      state_ = before_;
    stages_.forget();
    return status;
  }

  template <class Observer>
  Status settle_cascade(Observer& observer) {
    first_step_ = settings_.first_step;
    for (int count = 0; count < settings_.cascade_limit; ++count) {
      if (is_settled_at_rest()) {
        detail::tell_jump(observer, *this);
        measure_ports(false);
        const auto k = fallen(state_.at, false);
        if (!k) return Status::event;
        fire(*k, observer);
        continue;
      }
      first_step_ = settings_.first_step;
      const Status status = jump();
      // A lit tube across a closed contact: no solution, but with a little resistance it shows which way it is driven.
      const bool loop = status == Status::unsolvable && soft_jump() == Status::done;
      if (status != Status::done && !loop) return status;
      // An impulse that would run backwards through a conducting part puts it out instead: charges stay as they were.
      auto k = broken(loop);
      if (!k && loop) k = driven_back_later();
      if (k) {
        fire(*k, observer);
        continue;
      }
      if (loop) return status;
      state_.at.x = trial_.x;
      if (const Status again = jump(); again != Status::done) return again;
      state_.at.x = trial_.x;
      const Status polished = outcome(stages_.polish(system_, state_.mode, state_.at, settings_));
      if (polished != Status::done) return polished;
      stages_.settle_rates(system_, state_.mode, state_.at, smooth_ahead(), settings_);
      stages_.evaluate_currents(system_, state_.mode, state_.at);
      detail::tell_jump(observer, *this);
      measure_ports(false);
      k = fallen(state_.at, false);
      if (!k) return Status::event;
      fire(*k, observer);
    }
    return Status::unsettled_cascade;
  }

  /// Settles where no charge is shared and no current broken, which is most often so. The first step may then be as
  /// long as the rates found say.
  [[nodiscard]] bool is_settled_at_rest() {
    if (!rest_.find(system_, state_.mode, state_.at, smooth_ahead(), settings_)) return false;
    trial_.x = state_.at.x;
    state_.at.x = rest_.unknowns();
    if (fallen(state_.at, true)) {
      state_.at.x = trial_.x;
      return false;
    }
    state_.at.currents = rest_.currents();
    for (P& share : state_.at.rate_bound) share = P(0);
    stages_.take_structure(rest_.algebraic());
    using std::pow;
    const P share = pow(settings_.relative + settings_.absolute, P(1) / P(Scheme::estimate_order + 1));
    first_step_ = math::max(settings_.first_step, P(0.5) * share * rest_.time_scale());
    return true;
  }

  /// A time that the clock resolves and that ends before the next corner of a source.
  [[nodiscard]] P smooth_ahead() const {
    const P now = value_of(state_.at.time), corner = value_of(system_.next_breakpoint(state_.at.time, state_.mode));
    return math::max(math::min(settings_.first_step, P(0.25) * (corner - now)), P(64) * round_off<S> * math::abs(now));
  }
  [[nodiscard]] Status jump() { return outcome(stages_.jump(system_, state_.mode, state_.at, settings_, trial_)); }
  /// The first guard whose current the last jump breaks. One that outlasts the impulse spread over a first step stays:
  /// two parts that burn at the same voltage, joined by a capacitor, do not put each other out by the round-off between
  /// them.
  [[nodiscard]] std::optional<std::size_t> broken(bool loop) {
    const auto k = fallen(stages_.stage(1), true);
    if (!k || loop) return k;
    const StageStatus spread = stages_.spread(system_, state_.mode, state_.at, settings_.first_step, settings_);
    return spread == StageStatus::solved ? fallen(stages_.stage(1), true) : k;
  }
  /// Two parts lit at the same voltage between sources that swing apart: which of them is driven back a moment later.
  [[nodiscard, gnu::cold]] std::optional<std::size_t> driven_back_later() {
    const S now = state_.at.time;
    state_.at.time += S(detail::a_moment(system_, state_.mode));
    const Status status = soft_jump();
    state_.at.time = now;
    return status == Status::done ? fallen(stages_.stage(1), true) : std::nullopt;
  }
  [[nodiscard]] Status soft_jump() {
    return outcome(stages_.soft_jump(system_, state_.mode, state_.at, settings_, trial_));
  }
  [[nodiscard]] static Status outcome(StageStatus status) {
    if (status == StageStatus::solved) return Status::done;
    if (status == StageStatus::unsuited) return Status::unsuited;
    return status == StageStatus::singular ? Status::unsolvable : Status::no_convergence;
  }

  /// The first guard that has clearly fallen at a position; only those that open a current if `opening_only`.
  [[nodiscard]] std::optional<std::size_t> fallen(const Position<System>& at, bool opening_only) const {
    for (std::size_t k = 0; k < system_.guards(); ++k) {
      if (opening_only && !system_.opens(k, state_.mode)) continue;
      if (value_of(guard(k, at)) < -noise) return k;
    }
    return std::nullopt;
  }

  /// Tells parts that ask for it how stiffly the rest of the system holds their terminals.
  void measure_ports(bool urgent_only) {
    if constexpr (requires { system_.ports(); } && System::extent == dynamic_extent) {
      stages_.measure_all(system_, state_.mode, state_.at, settings_,
                          [&](const Port& port) { return port.wanted && (port.urgent || !urgent_only); });
    } else if constexpr (requires { system_.ports(); }) {
      for (std::size_t k = 0; k < system_.ports(); ++k) {
        const auto port = system_.port(k, state_.mode);
        if (!port.wanted || (urgent_only && !port.urgent)) continue;
        system_.accept_port(k, stages_.measure(system_, state_.mode, state_.at, port, settings_), state_.mode);
      }
    }
  }

  static constexpr P noise = P(1e4) * round_off<S>;  // a guard this far below zero has fallen, not rounded

  System system_;
  Settings<S> settings_;
  Engine stages_;
  DenseOutput<System> dense_;
  Rest<System> rest_;
  State state_, before_;
  Position<System> trial_;
  P first_step_ = P(0);  // s, after what was settled last
  P attempted_ = P(-1);  // s, length of the last attempt from state_.at; below 0: something else was solved since
  long located_ = 0, at_once_ = 0;
};

}  // namespace gastube
