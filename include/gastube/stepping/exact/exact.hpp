// SPDX-License-Identifier: MIT
#pragma once
/// The exact scheme: between events a piecewise-linear system is stepped on its closed form, one step from event to
/// event. Each pattern of states is worked out once: reduced to its independent charges and fluxes, split into modes,
/// and kept. No crossing of a guard is passed over; see first_fall.hpp.
///
/// Order at one instant: a breakpoint of a schedule comes first, then events that break a current, then all others,
/// each by rising guard number; an event that breaks a current which would have to run backwards takes that impulse
/// back (the charges are those from before it).

#include "gastube/stepping/exact/bent_followers.hpp"
#include "gastube/stepping/exact/carried.hpp"
#include "gastube/stepping/exact/guard_waves.hpp"
#include "gastube/stepping/exact/pattern_cache.hpp"
#include "gastube/stepping/stepper.hpp"

namespace gastube {

/// Names the exact scheme: start<Exact>(circuit).
struct Exact {
  static constexpr const char* name = "exact";
};

/// Runs `System` on its closed form. Offers what Stepper offers. Owns a copy of the system; at fixed size it never
/// allocates while stepping, at run-time size only for a pattern it meets for the first time.
template <PiecewiseLinearSystem System>
class ExactStepper : public StepsOn<ExactStepper<System>, typename System::Scalar> {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;

  /// Time, unknowns and followers at one instant.
  struct Moment {
    S time;
    P late;  ///< s, time passed that the round-off of `time` hides
    Storage<S, System::extent> x;
    Storage<S, System::follower_extent> y;

    explicit Moment(const Position<System>& p) : time(p.time), late(0), x(p.x), y(p.y) {}
    [[nodiscard]] Instant<S> instant() const { return {time, x.data(), y.data()}; }
  };
  /// All that changes while running; copy it to save, hand it to restore() to go on from there.
  struct State {
    Moment at;      ///< now
    Moment anchor;  ///< where the present segment began
    Mode mode;
    P window;  ///< s, of the curves carried along; see exact/carried.hpp
  };

  /// @param start unknowns, followers and time at the start; the jump to a consistent state is settled here
  /// @throws InvalidParameter for settings out of range
  ExactStepper(System system, Position<System> start, Mode mode, Settings<S> settings = {},
               Beginning beginning = Beginning::as_given)
      : system_(std::move(system))
      , settings_((settings.check(), settings))
      , stages_(system_)
      , cache_(system_)
      , segment_(system_)
      , guards_(system_)
      , carried_(system_)
      , bent_(system_)
      , position_(std::move(start))
      , state_{Moment(position_), Moment(position_), std::move(mode), settings.first_step}
      , before_(state_)
      , jumped_(position_.x) {
    if (beginning == Beginning::settled) {
      if (stages_.steady_state(system_, state_.mode, position_, settings_, position_) != StageStatus::solved)
        start_status_ = Status::unsolvable;
      state_.at = Moment(position_);
    }
    Silent silent;
    if (succeeded(start_status_)) start_status_ = settle(silent);
  }

  /// A copy works its patterns out anew.
  ExactStepper(const ExactStepper& other)
      : ExactStepper(other.system_, other.position(), other.state_.mode, other.settings_) {
    take_over(other);
  }
  ExactStepper& operator=(const ExactStepper& other) {
    system_ = other.system_;
    settings_ = other.settings_;
    cache_.forget();
    take_over(other);
    return *this;
  }

  [[nodiscard]] const System& system() const noexcept { return system_; }
  [[nodiscard]] const Settings<S>& settings() const noexcept { return settings_; }
  [[nodiscard]] const State& state() const noexcept { return state_; }
  [[nodiscard]] S time() const { return state_.at.time; }
  [[nodiscard]] Instant<S> instant() const { return state_.at.instant(); }
  [[nodiscard]] const Mode& mode() const noexcept { return state_.mode; }
  /// Patterns worked out so far.
  [[nodiscard]] long located() const noexcept { return cache_.built(); }

  /// The state, to be kept; a run from it equals this one, bit for bit.
  [[nodiscard]] State save() const { return state_; }
  void restore(const State& saved) {
    state_ = saved;
    start_status_ = begin_segment() ? Status::done : Status::unsolvable;
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
    cache_.forget();
    const Status status = settle(observer);
    if (succeeded(status)) {
      start_status_ = status;
      return status;
    }
    system_ = std::move(changed);
    cache_.forget();
    restore(before_);
    return status;
  }

 private:
  friend class StepsOn<ExactStepper, S>;
  using StepsOn<ExactStepper, S>::start_status_;
  using StepsOn<ExactStepper, S>::steps_;
  using FallStatus = exact::FallStatus;

  /// The present moment as the other schemes see it.
  [[nodiscard]] Position<System> position() const {
    Position<System> p(system_);
    p.time = state_.at.time;
    p.x = state_.at.x;
    p.y = state_.at.y;
    return p;
  }
  void take_over(const ExactStepper& other) {
    restore(other.state_);
    steps_ = other.steps_;
    at_once_ = other.at_once_;
    start_status_ = other.start_status_;
  }
  [[nodiscard]] bool is_before(const S& limit) const {
    return value_of(S(state_.at.time - limit)) + state_.at.late < P(0);
  }
  /// s from the start of the segment to that time.
  [[nodiscard]] S since_anchor(const S& time) const { return S((time - state_.anchor.time) - S(state_.anchor.late)); }
  /// Sets the clock to `since` after the start of the segment; keeps what its round-off hides.
  void set_clock(const S& since) {
    const S gain = S(since + S(state_.anchor.late));
    state_.at.time = S(state_.anchor.time + gain);
    state_.at.late = value_of(S(gain - (state_.at.time - state_.anchor.time)));
  }

  template <class Observer>
  Status attempt_step(const S& limit, Observer& observer) {
    if (!looked_ahead_ && !look_ahead()) return Status::no_convergence;
    const S rest = since_anchor(limit), here = since_anchor(S(state_.at.time + S(state_.at.late)));
    const P longest = value_of(here) + settings_.longest_step;
    const bool event = event_.status == FallStatus::found && value_of(event_.time) <= value_of(rest);
    const S& next = event ? event_.time : end_;
    if (value_of(rest) < value_of(next) || longest < value_of(next)) {
      const bool whole = value_of(rest) <= longest;
      move_to(whole ? rest : S(longest));
      if (whole) state_.at.time = limit, state_.at.late = P(0);
      at_once_ = 0;
      return Status::done;
    }
    before_ = state_;
    if (!(value_of(next) > P(0)) && ++at_once_ > settings_.cascade_limit) return Status::unsettled_cascade;
    if (value_of(next) > P(0)) at_once_ = 0;
    move_to(next);
    if (!event && ends_at_breakpoint_) state_.at.time = breakpoint_, state_.at.late = P(0);
    detail::tell_arrival(observer, *this);
    if (event)
      fire(event_.guard, observer);
    else if (ends_at_breakpoint_)
      system_.pass_breakpoint(state_.at.time, state_.mode);
    const bool expected = event || ends_at_breakpoint_;
    any_fired_ = false;
    const Status status = settle(observer);
    if (!succeeded(status)) restore(before_);
    return expected || any_fired_ || !succeeded(status) ? status : Status::done;
  }
  void move_to(const S& since) {
    const S from = since_anchor(S(state_.at.time + S(state_.at.late)));
    bent_.keep(state_.at.y);
    set_clock(since);
    segment_.unknowns(since, state_.at.x.data());
    segment_.followers(since, state_.at.y.data());
    bent_.carry(system_, state_.mode, state_.anchor.time, segment_, from, since, state_.at.y.data());
  }
  /// Finds how the present segment ends.
  [[nodiscard]] bool look_ahead() {
    breakpoint_ = system_.next_breakpoint(state_.anchor.time, state_.mode);
    end_ = is_limited(breakpoint_) ? since_anchor(breakpoint_) : unlimited<S>();
    ends_at_breakpoint_ = is_limited(breakpoint_);
    const S longest = math::min(renewal(), S(math::min(segment_.form().horizon, most_turns())));
    if (value_of(longest) < value_of(end_)) {
      end_ = longest;
      ends_at_breakpoint_ = false;
    }
    const bool curved = carried_.any() && guards_.ask_for_curves(system_, state_.mode);
    if (curved) carry();
    event_ = guards_.first(system_, state_.mode, segment_, state_.anchor.time, value_of(end_));
    if (event_.status == FallStatus::open) {
      end_ = event_.time;
      ends_at_breakpoint_ = false;
    }
    if (guards_.left_some_out()) follow_guards(curved);
    looked_ahead_ = true;
    return event_.status != FallStatus::lost;
  }
  /// Ends the segment where what is carried along is known no further; the next one goes on from there.
  void carry() {
    P& window = state_.window;
    const P shortest = math::max(settings_.shortest_step, P(64) * round_off<S> * math::abs(value_of(state_.at.time)));
    window = math::min(P(4) * window, value_of(end_));
    for (;;) {
      P wrong(0);
      if (carried_.any())
        wrong = carried_.carry(system_, state_.mode, segment_, state_.anchor.time, state_.anchor.y.data(), window,
                               settings_);
      else
        carried_.look_at_nodes(segment_, state_.anchor.y.data(), window);
      for (std::size_t k = 0; k < system_.guards() && wrong <= P(1); ++k)
        wrong = math::max(wrong, guard_error(k, window));
      if (wrong <= P(1) || window <= shortest) break;
      window *= P(0.35);
    }
    if (window < value_of(end_)) {
      end_ = S(window);
      ends_at_breakpoint_ = false;
    }
  }
  [[nodiscard]] P guard_error(std::size_t k, P window) {
    margin_.clear();
    if (system_.margin(k, state_.mode, margin_)) return P(0);
    return carried_.follow_guard(system_, state_.mode, k, state_.anchor.time, window, settings_, guard_curve_);
  }
  /// Guards that are not written out, over the window.
  void follow_guards(bool carried) {
    if (!carried) carry();
    if (event_.status == FallStatus::found && value_of(event_.time) >= value_of(end_)) event_.status = FallStatus::none;
    for (std::size_t k = 0; k < system_.guards(); ++k) {
      margin_.clear();
      if (system_.margin(k, state_.mode, margin_)) continue;
      static_cast<void>(guard_error(k, state_.window));
      guards_.note(guard_curve_, k, segment_.form().base, value_of(end_), event_);
    }
  }
  /// s after which a source that swings has made so many turns that the round-off of its rate begins to count.
  [[nodiscard]] P most_turns() const {
    const auto& form = segment_.form();
    P fastest(0);
    for (std::size_t k = 0; k < form.source_swings; ++k)
      fastest = math::max(fastest, value_of(form.base.swings[form.first_source_swing + k].turn));
    return fastest > P(0) ? P(1600) / fastest : unlimited<P>();
  }
  /// s until ports want measuring again: where sources move on while a part asks how they would feed it.
  [[nodiscard]] S renewal() {
    S next = unlimited<S>();
    if constexpr (requires {
                    system_.ports();
                    system_.longest_step(state_.mode);
                  })
      for (std::size_t k = 0; k < system_.ports(); ++k)
        if (const auto port = system_.port(k, state_.mode); port.wanted && port.urgent)
          next = math::min(next, feed_change(k, port));
    return next;
  }
  /// s until the steady feed at a port comes to what its part waits for; a period of the sources at most, for what the
  /// steady feed has of the unknowns is not told.
  [[nodiscard, gnu::cold]] S feed_change(std::size_t k, const Port& port) {
    const S soon = system_.longest_step(state_.mode);
    if constexpr (requires { system_.steady_need(k, state_.mode); })
      if (const S need = system_.steady_need(k, state_.mode); is_limited(need) && is_limited(soon)) {
        position_.time = state_.anchor.time;
        segment_.unknowns_at_start(position_.x.data());
        position_.y = state_.anchor.y;
        stages_.forget();
        const S offered = stages_.measure(system_, state_.mode, position_, port, settings_).steady_voltage;
        if (is_limited(offered))
          return guards_.first_change(
              system_, state_.mode, segment_, state_.anchor.time, S(need - offered),
              [&](std::size_t row) { return S(-stages_.steady_gain(row, port)); }, P(32) * value_of(soon));
      }
    return soon;
  }

  template <class Observer>
  void fire(std::size_t k, Observer& observer) {
    any_fired_ = true;
    const Change change = system_.fire(k, state_.at.instant(), state_.mode, state_.at.y.data());
    detail::tell_change(observer, state_.at.time, change);
  }

  /// Begins a segment at the anchor. False if the pattern cannot be solved.
  [[nodiscard]] bool begin_segment() {
    looked_ahead_ = false;
    const auto& form = cache_.find(system_, state_.mode, state_.anchor.time);
    return form.status == Status::done
           && segment_.start(form, system_, state_.mode, state_.anchor.time, state_.anchor.x.data(),
                             state_.anchor.y.data(), state_.anchor.late);
  }

  /// Settles all that happens at one instant, and begins the segment that follows.
  template <class Observer>
  Status settle(Observer& observer) {
    for (int count = 0; count < settings_.cascade_limit; ++count) {
      state_.anchor = state_.at;
      const bool solved = begin_segment();
      if (solved) segment_.unknowns_at_start(jumped_.data());
      // An impulse that would run backwards through a conducting part puts it out instead: charges stay as they were.
      if (const std::size_t k = solved ? broken_by_impulse() : broken_in_loop(); k != none) {
        fire(k, observer);
        continue;
      }
      if (!solved) return Status::unsolvable;
      for (const S& x : jumped_)
        if (!math::is_finite(x)) return Status::no_convergence;
      state_.at.x = jumped_;
      detail::tell_jump(observer, *this);
      measure_ports();
      const std::size_t k = fallen();
      if (k == none) return Status::event;
      fire(k, observer);
    }
    return Status::unsettled_cascade;
  }
  /// The first guard that has clearly fallen; those that open a current come first.
  [[nodiscard]] std::size_t fallen() {
    std::size_t first = none;
    for (std::size_t k = 0; k < system_.guards(); ++k) {
      if (!(value_of(system_.guard(k, state_.at.instant(), state_.mode)) < -noise)) continue;
      const bool opens = system_.opens(k, state_.mode);
      if ((!opens && first != none) || !guards_.falls_at_once(system_, state_.mode, segment_, state_.at.time, k))
        continue;
      if (opens) return k;
      first = k;
    }
    return first;
  }
  /// The first guard whose current takes an impulse backwards.
  [[nodiscard]] std::size_t broken_by_impulse() { return segment_.form().impulsive ? broken_by_some_impulse() : none; }
  [[nodiscard]] std::size_t broken_by_some_impulse() {
    const auto& form = segment_.form();
    const std::size_t n = form.unknowns;
    for (std::size_t k = 0; k < system_.guards(); ++k) {
      if (!system_.opens(k, state_.mode)) continue;
      margin_.clear();
      if (!system_.margin(k, state_.mode, margin_)) continue;
      P impulse(0), size(0);
      for (std::size_t s = 0; s < margin_.size(); ++s)
        for (std::size_t i = 0; i < margin_.sum(s).size; ++i) {
          const auto& term = margin_.sum(s).terms[i];
          if (term.a.kind != Margin<S>::Quantity::Kind::unknown || term.b.kind != Margin<S>::Quantity::Kind::one)
            continue;
          for (std::size_t j = 0; j < n; ++j) {
            const P share = value_of(term.factor) * value_of(form.impulse[term.a.index * n + j]);
            impulse += share * value_of(S(jumped_[j] - state_.at.x[j]));
            size += math::abs(share) * (math::abs(value_of(jumped_[j])) + math::abs(value_of(state_.at.x[j])));
          }
        }
      if (impulse < P(-1e4) * round_off<S> * size) return k;
    }
    return none;
  }
  /// A lit tube across a closed contact: no solution, but with a little resistance it shows which way it is driven; of
  /// two lit at the same voltage between sources that swing apart, which of them is driven back a moment later.
  [[nodiscard]] std::size_t broken_in_loop() {
    position_ = position();
    if (const std::size_t k = driven_back(); k != none) return k;
    position_.time += S(detail::a_moment(system_, state_.mode));
    return driven_back();
  }
  [[nodiscard]] std::size_t driven_back() {
    Position<System> scratch = position_;
    if (stages_.soft_jump(system_, state_.mode, position_, settings_, scratch) != StageStatus::solved) return none;
    for (std::size_t k = 0; k < system_.guards(); ++k)
      if (system_.opens(k, state_.mode) && value_of(system_.guard(k, stages_.stage(1).instant(), state_.mode)) < -noise)
        return k;
    return none;
  }
  /// Tells parts that ask for it how stiffly the rest of the system holds their terminals.
  void measure_ports() {
    if constexpr (requires { system_.ports(); })
      for (std::size_t k = 0; k < system_.ports(); ++k) {
        const auto port = system_.port(k, state_.mode);
        if (!port.wanted) continue;
        position_.time = state_.at.time;
        position_.x = state_.at.x;
        position_.y = state_.at.y;
        stages_.forget();
        system_.accept_port(k, stages_.measure(system_, state_.mode, position_, port, settings_), state_.mode);
      }
  }

  static constexpr std::size_t none = static_cast<std::size_t>(-1);  // of the guards
  static constexpr P noise = P(1e4) * round_off<S>;  // a guard this far below zero has fallen, not rounded

  System system_;
  Settings<S> settings_;
  Stages<System, BackwardEuler> stages_;
  exact::PatternCache<System> cache_;
  exact::Segment<System> segment_;
  exact::GuardWaves<System> guards_;
  exact::Carried<System> carried_;
  exact::BentFollowers<System> bent_;
  Position<System> position_;
  State state_, before_;
  Storage<S, System::extent> jumped_;
  Margin<S> margin_;
  typename exact::GuardWaves<System>::Event event_;
  exact::Powers<S> guard_curve_{};
  S end_ = S(0), breakpoint_ = S(0);
  bool looked_ahead_ = false, ends_at_breakpoint_ = false, any_fired_ = false;
  long at_once_ = 0;
};

}  // namespace gastube
