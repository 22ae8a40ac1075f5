// SPDX-License-Identifier: MIT
#pragma once
/// Within what unknowns and followers stay over a segment, whole and in stretches: cheap beside writing a guard out,
/// and enough to tell of most guards of a large circuit that they cannot fall, and of the others where to search.
///
/// Where all is constants and fading exponentials, values are known at the ends of each stretch. In between the chord
/// of an exponential lies above it, by no more than a known share of it; so a sum of them stays within its values at
/// both ends, widened by the sum of these shares. What cancels at the ends (a far corner of a large network, where many
/// modes add up to nothing) cancels here.

#include "gastube/stepping/exact/segment.hpp"

namespace gastube::exact {

template <PiecewiseLinearSystem System>
class Ranges {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Quantity = typename Margin<S>::Quantity;

  /// The part of a segment in which a guard may fall.
  struct Window {
    P from = P(0), until = P(0);  ///< s; nowhere if from is not below until
  };

  explicit Ranges(const System& system)
      : unknowns_(filled<Kept, System::extent>(system.unknowns(), {}))
      , followers_(filled<Kept, System::follower_extent>(system.followers(), {}))
      , amplitudes_(zeros<P, System::extent>(system.unknowns()))
      , sizes_(amplitudes_)
      , kept_(filled<Shares, Segment<System>::Form::rate_extent>(system.unknowns() + system.followers(), {})) {
    at_end_.fill(amplitudes_);
    above_.fill(amplitudes_);
  }

  /// To be called for each new segment; @param until s, its length at most
  void begin(const Segment<System>& segment, P until) {
    until_ = until;
    ++segment_;
    in_stretches_ = segment.only_fades();
    if (in_stretches_) divide(segment);
  }
  /// Within what an unknown or a follower stays.
  [[nodiscard]] const Range<P>& range(const Quantity& q, const Segment<System>& segment) {
    return range(q, segment, whole);
  }
  /// True if the guard cannot fall. @param time of the segment's start
  [[nodiscard]] bool keep_up(const Margin<S>& margin, const Segment<System>& segment, const S& time) {
    return stays_positive(margin, segment, time, whole);
  }
  /// Where a guard may fall that whole ranges say nothing of.
  [[nodiscard]] Window window(const Margin<S>& margin, const Segment<System>& segment, const S& time) {
    if (!in_stretches_) return {P(0), until_};
    std::size_t first = 0, last = stretches;
    while (first < stretches && stays_positive(margin, segment, time, first)) ++first;
    while (last > first && stays_positive(margin, segment, time, last - 1)) --last;
    return {first == 0 ? P(0) : ends_[first - 1], last == stretches ? until_ : last == 0 ? P(0) : ends_[last - 1]};
  }

 private:
  static constexpr std::size_t stretches = 4;      // each ends at four times the time of the one before
  static constexpr std::size_t whole = stretches;  // all of these joined
  using Shares = std::array<P, stretches>;
  struct Kept {
    long segment = 0;           ///< for which this holds
    bool in_stretches = false;  ///< holds not only for the whole
    std::array<Range<P>, stretches + 1> range{};
  };

  /// Chooses the stretches and looks at what each exponential does in them.
  void divide(const Segment<System>& segment) {
    const auto& form = segment.form();
    P slowest = unlimited<P>();
    for (std::size_t k = 0; k < form.groups; ++k) slowest = math::min(slowest, -value_of(form.group[k].rate.re));
    const P faded = P(44) / slowest;  // by then nothing is left of it beside a round-off
    endless_ = form.groups == 0 || !(until_ <= faded);
    const P length = form.groups == 0 ? P(1) : endless_ ? faded : until_;
    for (std::size_t i = stretches, part = 1; i-- > 0; part *= 4) ends_[i] = length / P(part);
    for (std::size_t k = 0; k < form.base.rate_count; ++k) kept_[k] = shares_kept(value_of(form.base.rates[k]));
    for (std::size_t k = 0; k < form.groups; ++k) {
      const auto& group = form.group[k];
      const P amplitude = value_of(segment.real_amplitude(group.first));
      weigh(group.first, value_of(group.rate.re), kept_[group.slot], amplitude);
    }
  }
  /// exp(rate t) at the end of each stretch.
  [[nodiscard]] Shares shares_kept(P rate) const {
    Shares kept;
    kept[0] = math::exp(P(rate * ends_[0]));
    for (std::size_t i = 1; i < stretches; ++i) {
      const P square = kept[i - 1] * kept[i - 1];
      kept[i] = square * square;
    }
    if (endless_) kept[stretches - 1] = P(0);
    return kept;
  }
  /// What a mode comes to at the end of each stretch, and at most how far its chord is above it there.
  void weigh(std::size_t mode, P rate, const Shares& kept, P amplitude) {
    const P size = math::abs(amplitude);
    P before(1), from(0);
    amplitudes_[mode] = amplitude;
    sizes_[mode] = size;
    for (std::size_t i = 0; i < stretches; ++i) {
      const P z = rate * (ends_[i] - from);  // chord - exponential <= before z^2 / 8
      const bool open_end = endless_ && i + 1 == stretches;
      at_end_[i][mode] = amplitude * kept[i];
      above_[i][mode] = size * before * (open_end ? P(1) : math::min(P(1), P(z * z / P(8))));
      before = kept[i];
      from = ends_[i];
    }
  }

  [[nodiscard]] bool stays_positive(const Margin<S>& margin, const Segment<System>& segment, const S& time,
                                    std::size_t stretch) {
    bool all = true, group = false, any = false;
    for (std::size_t k = 0; k < margin.size(); ++k) {
      const bool first = !margin.sum(k).joined, positive = stays_positive(margin.sum(k), segment, time, stretch);
      group = first ? positive : margin.is_greatest() ? group && positive : group || positive;
      if (k + 1 < margin.size() && margin.sum(k + 1).joined) continue;
      all = all && group;
      any = any || group;
    }
    return margin.is_greatest() ? any : all;
  }
  [[nodiscard]] bool stays_positive(const typename Margin<S>::Sum& sum, const Segment<System>& segment, const S& time,
                                    std::size_t stretch) {
    P low = value_of(sum.constant), size = math::abs(low);
    if (const P slope = value_of(sum.per_second); slope != P(0)) {
      const P from = stretch == 0 || stretch == whole ? P(0) : ends_[stretch - 1];
      const P until = stretch + 1 >= stretches ? until_ : ends_[stretch];
      low += slope * (value_of(time) + (slope < P(0) ? until : from));
      size += math::abs(slope * value_of(time)) + math::abs(low);
    }
    for (std::size_t i = 0; i < sum.size; ++i) {
      const auto& term = sum.terms[i];
      const P factor = value_of(term.factor);
      Range<P> product = range(term.a, segment, stretch);
      if (term.b.kind != Quantity::Kind::one) product = product * range(term.b, segment, stretch);
      const P least = factor * (factor < P(0) ? product.high : product.low);
      low += least;
      size += math::abs(least);
    }
    return low > P(1e3) * round_off<S> * size;
  }
  [[nodiscard]] const Range<P>& range(const Quantity& q, const Segment<System>& segment, std::size_t stretch) {
    static constexpr Range<P> one{P(1), P(1)};
    if (q.kind == Quantity::Kind::one) return one;
    const bool unknown = q.kind == Quantity::Kind::unknown;
    return look(unknown ? unknowns_[q.index] : followers_[q.index], unknown, q.index, segment, stretch).range[stretch];
  }
  [[nodiscard]] const Kept& look(Kept& kept, bool unknown, std::size_t index, const Segment<System>& segment,
                                 std::size_t stretch) {
    if (kept.segment == segment_ && (kept.in_stretches || stretch == whole)) return kept;
    if (kept.segment != segment_) kept.in_stretches = false;
    kept.segment = segment_;
    if (unknown) {
      look_at_unknown(index, segment, kept);
    } else if (!segment.is_filtered(index)) {
      kept.range.fill({-unlimited<P>(), unlimited<P>()});
      kept.in_stretches = true;
    } else if (stretch == whole) {
      look_at_follower(index, segment, kept);
    } else {
      look_at_stretches(index, segment, kept);
    }
    return kept;
  }

  void look_at_follower(std::size_t f, const Segment<System>& segment, Kept& kept) {
    const P now = value_of(segment.follower_at_start(f));
    const Range<P> goal = goal_of(f, segment, whole);
    kept.range[whole] = widened({math::min(now, goal.low), math::max(now, goal.high)}, P(0));
  }
  void look_at_unknown(std::size_t j, const Segment<System>& segment, Kept& kept) const {
    kept.in_stretches = true;
    if (!in_stretches_) return kept.range.fill(segment.unknown_range(j, until_));
    const std::size_t modes = segment.form().modes;
    const S* const reply = segment.form().reply.re.data() + j * modes;
    const P level = value_of(segment.level(j)), start = weighted<false>(reply, amplitudes_.data(), modes);
    P before = level + start;
    for (std::size_t i = 0; i < stretches; ++i) {
      const P after = level + weighted<false>(reply, at_end_[i].data(), modes);
      const Range<P> ends{math::min(before, after), math::max(before, after)};
      kept.range[i] = widened(ends, weighted<true>(reply, above_[i].data(), modes));
      before = after;
    }
    join(kept);
    // All that rises and all that falls ends at nothing.
    const P size = weighted<true>(reply, sizes_.data(), modes);
    const Range<P> bound = widened({level + (start - size) / P(2), level + (start + size) / P(2)}, P(0));
    Range<P>& all = kept.range[whole];
    all.low = math::max(all.low, bound.low);
    all.high = math::min(all.high, bound.high);
  }
  /// Sum of the replies times weights, or of their sizes; several sums at once, none of which waits for the one before.
  template <bool Sizes>
  [[nodiscard]] static P weighted(const S* reply, const P* weights, std::size_t modes) {
    constexpr std::size_t lanes = 8;
    P sum[lanes]{};
    const auto part = [&](std::size_t k) {
      const P share = value_of(reply[k]);
      return (Sizes ? math::abs(share) : share) * weights[k];
    };
    std::size_t k = 0;
    for (; k + lanes <= modes; k += lanes)
      for (std::size_t l = 0; l < lanes; ++l) sum[l] += part(k + l);
    for (; k < modes; ++k) sum[0] += part(k);
    return ((sum[0] + sum[4]) + (sum[1] + sum[5])) + ((sum[2] + sum[6]) + (sum[3] + sum[7]));
  }
  /// With its source within a range a follower moves towards that, divided by the decay, and not beyond.
  void look_at_stretches(std::size_t f, const Segment<System>& segment, Kept& kept) {
    kept.in_stretches = true;
    const P now = value_of(segment.follower_at_start(f));
    const Shares& left = kept_[segment.form().law[f].slot];
    Range<P> here{now, now};
    P before(1);
    for (std::size_t i = 0; i < stretches; ++i) {
      const Range<P> goal = goal_of(f, segment, i);
      const P share = before > P(0) ? left[i] / before : P(0);
      kept.range[i] = widened({math::min(here.low, goal.low), math::max(here.high, goal.high)}, P(0));
      here = widened({goal.low + (here.low - goal.low) * share, goal.high + (here.high - goal.high) * share}, P(0));
      before = left[i];
    }
  }
  [[nodiscard]] Range<P> goal_of(std::size_t f, const Segment<System>& segment, std::size_t stretch) {
    const auto& form = segment.form();
    const auto& law = form.law[f];
    const P source = value_of(segment.source_of_follower(f));
    Range<P> goal{source, source};
    for (std::size_t j = law.first; law.driven && j < law.last; ++j)
      if (const P share = value_of(form.share(law, j)); share != P(0)) {
        const Range<P>& driver = look(unknowns_[j], true, j, segment, stretch).range[stretch];
        goal.add(share * driver.low, share * driver.high);
      }
    const P per_decay = P(1) / value_of(law.decay);
    return {goal.low * per_decay, goal.high * per_decay};
  }
  /// By `more`, and by what rounding may have taken.
  [[nodiscard]] static Range<P> widened(Range<P> range, P more) {
    range.widen(more + P(256) * round_off<P> * (math::abs(range.low) + math::abs(range.high) + more));
    return range;
  }
  static void join(Kept& kept) {
    Range<P>& all = kept.range[whole];
    all = kept.range[0];
    for (std::size_t i = 1; i < stretches; ++i) {
      all.low = math::min(all.low, kept.range[i].low);
      all.high = math::max(all.high, kept.range[i].high);
    }
  }

  Storage<Kept, System::extent> unknowns_;
  Storage<Kept, System::follower_extent> followers_;
  Storage<P, System::extent> amplitudes_, sizes_;                     // by mode
  std::array<Storage<P, System::extent>, stretches> at_end_, above_;  // by stretch and mode
  Storage<Shares, Segment<System>::Form::rate_extent> kept_;          // by slot
  Shares ends_{};
  bool in_stretches_ = false, endless_ = false;
  P until_ = P(0);
  long segment_ = 0;
};

}  // namespace gastube::exact
