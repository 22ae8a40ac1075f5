// SPDX-License-Identifier: MIT
#pragma once
/// How followers go along with a Rosenbrock step: by their own equation, exactly where their source is constant.

#include "gastube/stepping/decay.hpp"
#include "gastube/stepping/position.hpp"
#include "gastube/stepping/rosenbrock_schemes.hpp"
#include "gastube/stepping/settings.hpp"

namespace gastube {

/// The followers of one step. Where they act on currents their sources hang on time alone, so that they are known at
/// every stage before the step; the others follow the step's dense output when it is done.
template <HybridSystem System, RosenbrockScheme Scheme>
class RosenbrockFollowers {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  using Values = Storage<S, System::follower_extent>;
  using Rates = Storage<FollowRate<S>, System::follower_extent>;
  static constexpr int count = Scheme::stages;

  /// False where the system says that its followers act on guards only: System::followers_act.
  static constexpr bool act = [] {
    if constexpr (requires { System::followers_act; })
      return bool(System::followers_act);
    else
      return System::follower_extent != 0;
  }();

  explicit RosenbrockFollowers(const System& system)
      : rates_{rates(system), rates(system), rates(system), rates(system), rates(system)}
      , before_(rates_[0])
      , wrong_(zeros<P, System::follower_extent>(system.followers())) {
    for (auto& y : at_stage_) y = zeros<S, System::follower_extent>(system.followers());
  }

  [[nodiscard]] bool any() const { return wrong_.size() > 0; }
  /// To be called where a step starts from a new position.
  void start(const System& system, const Mode& mode, const Position<System>& from) {
    if (any()) system.follow(from.instant(), mode, rates_[0].data());
  }
  /// Follower k some time `later`, its source being as at the start.
  [[nodiscard]] S later(std::size_t k, const S& y, P later) const {
    const FollowRate<S>& rate = rates_[0][k];
    if (!(value_of(rate.decay) > P(0))) return S(y + S(later) * rate.source);
    const S rest = S(rate.source / rate.decay), away = S(y - rest);
    return is_plain<S> && is_there(away, rest) ? y : S(rest + away * math::exp(S(-rate.decay * S(later))));
  }

  /// Finds the followers at the stages of a step of length h. @param scratch holds the unknowns and followers of `from`
  void foresee(const System& system, const Mode& mode, const Position<System>& from, Position<System>& scratch,
               const S& h) {
    if (!act || !any()) return;
    for (int part = 1; part <= 2; ++part) {
      scratch.time = S(from.time + S(P(0.5) * P(part)) * h);
      system.follow(scratch.instant(), mode, rates_[std::size_t(part)].data());
    }
    scratch.time = from.time;
    forget_decays();
    for (std::size_t k = 0; k < wrong_.size(); ++k) {
      if (goes_to_rest(k))
        relax(k, from.y[k], h);
      else
        for (int i = 0; i < count; ++i) at_stage_[std::size_t(i)][k] = by_parabola(k, from.y[k], h, alpha(i));
    }
  }
  /// At stage i, as foreseen.
  [[nodiscard]] const Values& at_stage(int i) const { return at_stage_[std::size_t(i)]; }

  /// Followers from sources along the step's dense output: along the cubic through those at start, thirds and end.
  /// Their error is taken to be what the parabola through those at start, middle and end would change. Where one
  /// follower's source looks at another, all are found anew once these are known.
  /// @param middle with the unknowns of the middle of the step
  void finish(const System& system, const Mode& mode, const Position<System>& from, Position<System>& middle,
              std::array<Position<System>, 2>& inner, Position<System>& end, const S& h) {
    if (!any()) return;
    end.y = from.y;  // as within the step, or a source that looks at followers would not be seen to change
    system.follow(end.instant(), mode, rates_[2].data());
    forget_decays();
    for (int pass = 0; pass < 2; ++pass) {
      if (!run_once(system, mode, from, middle, inner, end, h, pass > 0) || pass > 0) return;
      if (wrong_.size() == 1 || !ends_otherwise(system, mode, end)) return;
      for (std::size_t k = 0; k < wrong_.size(); ++k)
        middle.y[k] = S((P(9) * (inner[0].y[k] + inner[1].y[k]) - from.y[k] - end.y[k]) / P(16));
    }
  }

  /// Estimated error as a multiple of what the settings allow.
  [[nodiscard]] P error(const Position<System>& end, const Settings<S>& settings) const {
    P worst(0);
    for (std::size_t k = 0; k < wrong_.size(); ++k)
      worst = math::max(worst, wrong_[k] / (settings.absolute + settings.relative * math::abs(value_of(end.y[k]))));
    return worst;
  }

 private:
  /// What is left after parts of a step; followers that decay alike share it, as like parts have.
  struct Decay {
    P rate = P(-1);
    std::array<S, std::size_t(count)> at_stages{};
    S third{};
    bool has_stages = false, has_third = false;
  };

  static Rates rates(const System& system) {
    return filled<FollowRate<S>, System::follower_extent>(system.followers(), FollowRate<S>{});
  }
  static constexpr P alpha(int stage) { return P(Scheme::alpha(stage)); }

  [[nodiscard]] bool goes_to_rest(std::size_t k) const {
    const P first = value_of(rates_[0][k].source);
    return is_plain<S> && value_of(rates_[0][k].decay) > P(0) && first == value_of(rates_[1][k].source)
           && first == value_of(rates_[2][k].source);
  }
  /// Runs all followers, with sources at what is known of them so far. @param is_known true the second time
  /// @return false if none has moved
  [[nodiscard]] bool run_once(const System& system, const Mode& mode, const Position<System>& from,
                              const Position<System>& middle, std::array<Position<System>, 2>& inner,
                              Position<System>& end, const S& h, bool is_known) {
    system.follow(middle.instant(), mode, rates_[1].data());
    const bool bent = !all_go_to_rest();
    for (std::size_t part = 0; part < 2 && bent; ++part) {
      if (!is_known) inner[part].y = from.y;
      system.follow(inner[part].instant(), mode, rates_[3 + part].data());
    }
    bool moved = bent;
    for (std::size_t k = 0; k < wrong_.size(); ++k) {
      const std::array<S*, 3> parts{&inner[0].y[k], &inner[1].y[k], &end.y[k]};
      goes_to_rest(k) ? finish_at_rest(k, from.y[k], parts, h) : finish_bent(k, from.y[k], parts, h);
      moved = moved || value_of(end.y[k]) != value_of(from.y[k]);
    }
    return moved || !is_plain<S>;
  }
  [[nodiscard]] bool all_go_to_rest() const {
    for (std::size_t k = 0; k < wrong_.size(); ++k)
      if (!goes_to_rest(k)) return false;
    return true;
  }
  /// Rates at the end once more; true if the followers that have been found since change a source.
  [[nodiscard]] bool ends_otherwise(const System& system, const Mode& mode, const Position<System>& end) {
    before_ = rates_[2];
    system.follow(end.instant(), mode, rates_[2].data());
    for (std::size_t k = 0; k < wrong_.size(); ++k)
      if (value_of(before_[k].source) != value_of(rates_[2][k].source)) return true;
    return !is_plain<S>;
  }
  void forget_decays() {
    for (Decay& decay : decays_) decay.rate = P(-1);
  }
  [[nodiscard]] Decay& decay_of(P rate) {
    for (Decay& decay : decays_)
      if (decay.rate == rate) return decay;
    Decay& fresh = decays_[next_++ % decays_.size()];
    fresh.rate = rate;
    fresh.has_stages = fresh.has_third = false;
    return fresh;
  }
  [[nodiscard]] static bool is_there(const S& away, const S& rest) {
    return math::abs(value_of(away)) <= round_off<S> * math::abs(value_of(rest));
  }

  /// A follower with a constant source, at the stages.
  void relax(std::size_t k, const S& y, const S& h) {
    const S rest = S(rates_[0][k].source / rates_[0][k].decay), away = S(y - rest);
    if (is_there(away, rest)) {
      for (auto& at : at_stage_) at[k] = y;
      return;
    }
    Decay& decay = decay_of(value_of(rates_[0][k].decay));
    if (!decay.has_stages)
      for (int i = 0; i < count; ++i) decay.at_stages[std::size_t(i)] = kept_at_stage(decay, i, h);
    decay.has_stages = true;
    for (int i = 0; i < count; ++i)
      at_stage_[std::size_t(i)][k] = alpha(i) == P(0) ? y : S(rest + away * decay.at_stages[std::size_t(i)]);
  }
  [[nodiscard]] static S kept_at_stage(const Decay& decay, int i, const S& h) {
    if (i > 0 && alpha(i) == alpha(i - 1)) return decay.at_stages[std::size_t(i - 1)];
    return alpha(i) == P(0) ? S(1) : S(math::exp(S(-decay.rate * alpha(i) * h)));
  }
  /// Follower k at `share` of the step, its source a parabola through its values at start, middle and end.
  [[nodiscard]] S by_parabola(std::size_t k, const S& y, const S& h, P share) const {
    const FollowRate<S>& rate = rates_[0][k];
    return FollowerDecay<S>(rate.decay, S(h * share))
        .curved(y, rate.source, rates_[1][k].source, rates_[2][k].source, share);
  }

  void finish_at_rest(std::size_t k, const S& y, const std::array<S*, 3>& parts, const S& h) {
    wrong_[k] = P(0);
    const S rest = S(rates_[0][k].source / rates_[0][k].decay);
    S away = S(y - rest);
    if (is_there(away, rest)) {
      for (S* part : parts) *part = y;
      return;
    }
    Decay& decay = decay_of(value_of(rates_[0][k].decay));
    if (!decay.has_third) decay.third = math::exp(S(-decay.rate * S(h / P(3))));
    decay.has_third = true;
    for (S* part : parts) {
      away *= decay.third;
      *part = S(rest + away);
    }
  }
  void finish_bent(std::size_t k, S y, const std::array<S*, 3>& parts, const S& h) {
    const S first = rates_[0][k].source, last = rates_[2][k].source, decay = rates_[0][k].decay;
    const S one = rates_[3][k].source, two = rates_[4][k].source;
    // first + s (c1 + s (c2 + s c3)), s from 0 to 1 over the step
    const S c3 = S(P(4.5) * (last - first - P(3) * (two - one)));
    const S c2 = S(P(4.5) * (first - P(2) * one + two) - c3);
    const S c1 = S(last - first - c2 - c3);
    const FollowerDecay<S> run(decay, S(h / P(3)));
    for (std::size_t part = 0; part < 3; ++part) {
      const P s = P(part) / P(3), third = P(1) / P(3);
      y = run.cubic(y, {S(first + s * (c1 + s * (c2 + s * c3))), S(third * (c1 + s * (P(2) * c2 + P(3) * s * c3))),
                        S(third * third * (c2 + P(3) * s * c3)), S(third * third * third * c3)});
      *parts[part] = y;
    }
    // cubic - parabola = s (1 - s) (even + (2 s - 1) odd)
    const P z = value_of(S(decay * h)), odd = math::abs(value_of(c3)) / P(2);
    const S by_cubic = S(first + P(0.5) * c1 + P(0.25) * c2 + P(0.125) * c3);
    const P even = P(4) * math::abs(value_of(S(by_cubic - rates_[1][k].source)));
    wrong_[k] = value_of(h) * (even + odd * z / (P(10) + z)) / (P(6) + P(4) * z);
  }

  std::array<Rates, 5> rates_;  // at start, middle and end; at one and two thirds
  Rates before_;
  std::array<Values, std::size_t(count)> at_stage_{};
  Storage<P, System::follower_extent> wrong_;
  std::array<Decay, 4> decays_{};
  std::size_t next_ = 0;
};

}  // namespace gastube
