// SPDX-License-Identifier: MIT
#pragma once
/// How followers go along with a Runge-Kutta step, from stage to stage.

#include "gastube/stepping/decay.hpp"
#include "gastube/stepping/position.hpp"
#include "gastube/stepping/schemes.hpp"
#include "gastube/stepping/settings.hpp"

#include <algorithm>

namespace gastube {

/// The followers of one step. From one stage to a later one they run by their own equation, along a source that goes
/// straight from one to the other; a scheme whose stages go back in time steps them itself.
template <HybridSystem System, SteppingScheme Scheme>
class StageFollowers {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  static constexpr int count = Scheme::stages;
  using Positions = std::array<Position<System>, std::size_t(count)>;

  explicit StageFollowers(const System& system)
      : decays_(filled<Decay, System::follower_extent>(system.followers(), Decay{}))
      , rates_(filled<FollowRate<S>, System::follower_extent>(system.followers(), FollowRate<S>{})) {
    for (auto& source : sources_) source = zeros<S, System::follower_extent>(system.followers());
  }

  /// Notes the sources at stage i, which is `here`.
  void note_sources(const System& system, const Mode& mode, const Position<System>& here, int i) {
    if (rates_.size() == 0) return;
    system.follow(here.instant(), mode, rates_.data());
    for (std::size_t k = 0; k < rates_.size(); ++k) sources_[std::size_t(i)][k] = rates_[k].source;
  }
  /// Foresees the followers of stage i of a step of length h, whose unknowns are guessed so far.
  void begin_stage(const System& system, const Mode& mode, Positions& stages, int i, const S& h) {
    if (rates_.size() == 0) return;
    length_ = h;
    if constexpr (ascending) {
      const S length = S(h * S(Scheme::c(i) - Scheme::c(i - 1)));
      for (std::size_t k = 0; k < rates_.size(); ++k) decays_[k] = decay_over(k, length);
    }
    stages[std::size_t(i)].y = stages[std::size_t(i - 1)].y;
    finish_stage(system, mode, stages, i);
  }
  /// Followers of stage i from its present unknowns.
  void finish_stage(const System& system, const Mode& mode, Positions& stages, int i) {
    if (rates_.size() == 0) return;
    auto& here = stages[std::size_t(i)];
    note_sources(system, mode, here, i);
    const auto &first = sources_[std::size_t(i - 1)], &last = sources_[std::size_t(i)];
    for (std::size_t k = 0; k < rates_.size(); ++k)
      here.y[k] = ascending ? decays_[k](stages[std::size_t(i - 1)].y[k], first[k], last[k]) : by_scheme(stages, i, k);
  }
  /// Followers at rest under the sources at a position.
  void rest(const System& system, const Mode& mode, Position<System>& at) {
    system.follow(at.instant(), mode, rates_.data());
    for (std::size_t k = 0; k < rates_.size(); ++k)
      if (value_of(rates_[k].decay) > P(0)) at.y[k] = S(rates_[k].source / rates_[k].decay);
  }
  /// Estimated error of a step as a multiple of what the settings allow.
  /// The lesser of two estimates: the scheme's own, too cautious while a follower only decays; and the difference to
  /// one straight source over the whole step, too cautious while it keeps up with its source. A scheme whose stages go
  /// back in time steps its followers itself, and has its own estimate alone.
  [[nodiscard]] P error(const Positions& stages, const S& h, const Settings<S>& settings) const {
    P worst(0);
    for (std::size_t k = 0; k < rates_.size(); ++k) {
      const P by_scheme = error_by_scheme(stages, k, h);
      const P wrong = ascending ? math::min(by_scheme, error_by_source(stages, k, h)) : by_scheme;
      worst = math::max(worst,
                        wrong / (settings.absolute + settings.relative * math::abs(value_of(stages[count - 1].y[k]))));
    }
    return worst;
  }

 private:
  using Decay = FollowerDecay<S>;

  /// True if each stage lies later than the one before.
  static constexpr bool ascending = [] {
    for (int i = 1; i < count; ++i)
      if (Scheme::c(i) <= Scheme::c(i - 1)) return false;
    return true;
  }();

  /// Of many like parts, each with a few followers, most decay as the last one's did: saves an exponential.
  [[nodiscard]] Decay decay_over(std::size_t k, const S& length) const {
    if constexpr (is_plain<S> && System::follower_extent == dynamic_extent)
      for (std::size_t lag = 1; lag <= std::min(k, std::size_t(4)); ++lag)
        if (rates_[k].decay == rates_[k - lag].decay) return decays_[k - lag];
    return Decay(rates_[k].decay, length);
  }

  /// Follower k at stage i as the scheme itself would step it, for schemes whose stages go back in time.
  [[nodiscard]] S by_scheme(const Positions& stages, int i, std::size_t k) const {
    const S& decay = rates_[k].decay;
    S sum = S(S(Scheme::a(i, i)) * sources_[std::size_t(i)][k]);
    for (int j = 0; j < i; ++j)
      sum += S(Scheme::a(i, j)) * (sources_[std::size_t(j)][k] - decay * stages[std::size_t(j)].y[k]);
    return S((stages[0].y[k] + length_ * sum) / (S(1) + length_ * S(Scheme::a(i, i)) * decay));
  }
  [[nodiscard]] P error_by_scheme(const Positions& stages, std::size_t k, const S& h) const {
    P sum(0);
    for (int j = 0; j < count; ++j) {
      const S slope = S(sources_[std::size_t(j)][k] - rates_[k].decay * stages[std::size_t(j)].y[k]);
      sum += P(Scheme::estimate(j)) * value_of(slope);
    }
    const P alpha = value_of(h) * P(Scheme::a(count - 1, count - 1));
    return math::abs(value_of(h) * sum / (P(1) + alpha * value_of(rates_[k].decay)));
  }
  [[nodiscard]] P error_by_source(const Positions& stages, std::size_t k, const S& h) const {
    const auto &first = sources_[0], &last = sources_[std::size_t(count - 1)];
    bool constant = true;
    for (const auto& source : sources_) constant = constant && value_of(source[k]) == value_of(last[k]);
    if (constant) return P(0);
    // A scheme of two stages has nothing in between: the difference is then to a source that does not change.
    const S whole = Decay(rates_[k].decay, h)(stages[0].y[k], count > 2 ? first[k] : last[k], last[k]);
    return math::abs(value_of(S(whole - stages[count - 1].y[k])));
  }

  Storage<Decay, System::follower_extent> decays_;
  Storage<FollowRate<S>, System::follower_extent> rates_;
  std::array<Storage<S, System::follower_extent>, std::size_t(count)> sources_{};  // at the stages
  S length_ = S(0);                                                                // of the step, s
};

}  // namespace gastube
