// SPDX-License-Identifier: MIT
#pragma once
/// Within what unknowns and followers stay over a whole segment: crude, cheap, and enough to tell of most guards of a
/// large circuit that they cannot fall.

#include "gastube/stepping/exact/segment.hpp"

namespace gastube::exact {

template <PiecewiseLinearSystem System>
class Ranges {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Quantity = typename Margin<S>::Quantity;

  explicit Ranges(const System& system)
      : unknowns_(filled<Kept, System::extent>(system.unknowns(), {}))
      , followers_(filled<Kept, System::follower_extent>(system.followers(), {})) {}

  /// To be called for each new segment; @param until s, its length at most
  void begin(P until) {
    until_ = until;
    ++segment_;
  }
  /// True if the guard cannot fall. @param time of the segment's start
  [[nodiscard]] bool keep_up(const Margin<S>& margin, const Segment<System>& segment, const S& time) {
    bool all = true, group = false, any = false;
    for (std::size_t k = 0; k < margin.size(); ++k) {
      const bool first = !margin.sum(k).joined, positive = stays_positive(margin.sum(k), segment, time);
      group = first ? positive : margin.is_greatest() ? group && positive : group || positive;
      if (k + 1 < margin.size() && margin.sum(k + 1).joined) continue;
      all = all && group;
      any = any || group;
    }
    return margin.is_greatest() ? any : all;
  }

 private:
  struct Kept {
    long segment = 0;
    Range<P> range{};
  };

  [[nodiscard]] bool stays_positive(const typename Margin<S>::Sum& sum, const Segment<System>& segment, const S& time) {
    const P slope = value_of(sum.per_second);
    P low = value_of(sum.constant) + slope * value_of(time) + (slope < P(0) ? slope * until_ : P(0)),
      size = math::abs(low);
    for (std::size_t i = 0; i < sum.size; ++i) {
      const P factor = value_of(sum.terms[i].factor);
      const Range<P> term = range(sum.terms[i].a, segment) * range(sum.terms[i].b, segment) * Range<P>{factor, factor};
      low += term.low;
      size += math::abs(term.low);
    }
    return low > P(1e3) * round_off<S> * size;
  }
  [[nodiscard]] const Range<P>& range(const Quantity& q, const Segment<System>& segment) {
    static constexpr Range<P> one{P(1), P(1)};
    if (q.kind == Quantity::Kind::one) return one;
    const bool unknown = q.kind == Quantity::Kind::unknown;
    Kept& kept = unknown ? unknowns_[q.index] : followers_[q.index];
    if (kept.segment != segment_)
      kept = {segment_, unknown ? segment.unknown_range(q.index, until_) : segment.follower_range(q.index, until_)};
    return kept.range;
  }

  Storage<Kept, System::extent> unknowns_;
  Storage<Kept, System::follower_extent> followers_;
  P until_ = P(0);
  long segment_ = 0;
};

}  // namespace gastube::exact
