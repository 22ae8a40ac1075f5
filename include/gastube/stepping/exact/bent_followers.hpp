// SPDX-License-Identifier: MIT
#pragma once
/// Followers whose source is no straight line of the unknowns (the integral of a square, a source held within limits):
/// they are integrated along the closed form of all else.

#include "gastube/stepping/exact/quadrature.hpp"
#include "gastube/stepping/exact/segment.hpp"

namespace gastube::exact {

template <PiecewiseLinearSystem System>
class BentFollowers {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;

  explicit BentFollowers(const System& system)
      : x_(zeros<S, System::extent>(system.unknowns()))
      , y_(zeros<S, System::follower_extent>(system.followers()))
      , before_(y_)
      , rates_(filled<FollowRate<S>, System::follower_extent>(system.followers(), {})) {
    for (std::size_t f = 0; f < system.followers(); ++f) any_ = any_ || !system.follows_straight(f);
  }

  /// To be called with the followers as they are at the start of a step, before carry().
  void keep(const Storage<S, System::follower_extent>& y) {
    if (any_) before_ = y;
  }
  /// Carries them from one time of the segment to another, s since its start; all others stay as they stand in `y`.
  void carry(const System& system, const Mode& mode, const S& start, Segment<System>& segment, const S& from,
             const S& to, S* y) {
    for (std::size_t f = 0; any_ && f < before_.size(); ++f)
      if (!system.follows_straight(f)) y[f] = carried(system, mode, start, segment, from, to, f);
  }

 private:
  [[nodiscard]] S carried(const System& system, const Mode& mode, const S& start, Segment<System>& segment,
                          const S& from, const S& to, std::size_t f) {
    const auto source = [&](const S& t) {
      segment.unknowns(t, x_.data());
      segment.followers(t, y_.data());
      system.follow({S(start + t), x_.data(), y_.data()}, mode, rates_.data());
      return S(rates_[f].source * math::exp(S(rates_[f].decay * (t - to))));
    };
    // Panels grow with the time since the start, so that what dies away soon is not stepped over.
    S sum(0), begin = from;
    for (P end = next_panel(segment, value_of(from)); value_of(begin) < value_of(to); end *= P(4)) {
      const S upto = end < value_of(to) ? S(end) : to;
      sum += integral(source, begin, upto, P(1e3) * round_off<S>);
      begin = upto;
    }
    static_cast<void>(source(to));
    return S(before_[f] * math::exp(S(rates_[f].decay * (from - to))) + sum);
  }
  [[nodiscard]] static P next_panel(const Segment<System>& segment, P from) {
    const auto& base = segment.form().base;
    P fastest(0);
    for (std::size_t k = 0; k < base.rate_count; ++k) fastest = math::max(fastest, math::abs(value_of(base.rates[k])));
    for (std::size_t k = 0; k < base.swing_count; ++k)
      fastest = math::max(fastest, math::abs(value_of(base.swings[k].growth)));
    return math::max(P(4) * from, fastest > P(0) ? P(1) / fastest : unlimited<P>());
  }

  Storage<S, System::extent> x_;
  Storage<S, System::follower_extent> y_, before_;
  Storage<FollowRate<S>, System::follower_extent> rates_;
  bool any_ = false;
};

}  // namespace gastube::exact
