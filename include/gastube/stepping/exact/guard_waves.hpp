// SPDX-License-Identifier: MIT
#pragma once
/// Guards along a segment: margins turned into waveforms, and the first of them to fall.

#include "gastube/stepping/exact/first_fall.hpp"
#include "gastube/stepping/exact/ranges.hpp"
#include "gastube/stepping/exact/simple_guard.hpp"

namespace gastube::exact {

template <PiecewiseLinearSystem System>
class GuardWaves {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Form = Pattern<System>;
  using Wave = typename Form::Wave;
  using Guard = GuardWave<S, Form::rate_extent, Form::swing_extent>;
  using Quantity = typename Margin<S>::Quantity;

  /// An event ahead; `open` if none is known up to its time, and nothing beyond that.
  struct Event {
    FallStatus status = FallStatus::none;
    S time = S(0);  ///< s since the start of the segment
    std::size_t guard = 0;
  };

  explicit GuardWaves(const System& system) : ranges_(system) {
    if constexpr (Form::rate_extent == dynamic_extent) {
      const std::size_t most = system.unknowns() + system.followers();
      for (auto& sum : guard_.sum) sum.resize(most, most);
      moving_.resize(most, most);
    }
  }

  /// The first guard that is written out to fall within `until`, s, of a segment that began at `time`; at one instant
  /// the lowest.
  [[nodiscard]] Event first(const System& system, const typename System::Mode& mode, Segment<System>& segment,
                            const S& time, P until) {
    Event earliest;
    left_some_out_ = false;
    const bool many = system.guards() > few;
    if (many) ranges_.begin(segment, until);
    for (std::size_t k = 0; k < system.guards(); ++k) {
      margin_.clear();
      if (!system.margin(k, mode, margin_)) {
        left_some_out_ = true;
        continue;
      }
      if (margin_.size() == 0 || (many && ranges_.keep_up(margin_, segment, time))) continue;
      typename Ranges<System>::Window window{P(0), until};
      if (many) {
        window = ranges_.window(margin_, segment, time);
        window.until = math::min(window.until, until);
        if (!(window.from < window.until)) continue;
      }
      const Fall<P> fall = fall_of_written(segment, time, window.until, window.from);
      if (fall.status == FallStatus::none) continue;
      if (fall.status == FallStatus::lost) return {fall.status, S(fall.time), k};
      if (fall.status == FallStatus::open)
        earliest = {fall.status, S(fall.time), k};
      else
        earliest = {fall.status, refined(segment.form().base, guard_.sum[fall.sum], fall.time), k};
      until = fall.time;
      if (!(until > P(0))) break;
    }
    return earliest;
  }
  /// Whether a guard that is below zero at the start of a segment falls there by more than round-off, or stays there.
  [[nodiscard]] bool falls_at_once(const System& system, const typename System::Mode& mode, Segment<System>& segment,
                                   const S& time, std::size_t k) {
    margin_.clear();
    if (!system.margin(k, mode, margin_) || margin_.size() == 0) return true;
    if (simple_.take(margin_, segment, value_of(time)) && simple_.value() > simple_.noise()) return false;
    write(segment, time);
    constexpr P no_time = P(1) / unlimited<P>();
    return first_fall(segment.form().base, guard_, no_time, noise_).status != FallStatus::none;
  }

  /// True if a guard of this mode hangs on a follower that is not linear, or is not written out.
  [[nodiscard]] bool ask_for_curves(const System& system, const typename System::Mode& mode) {
    for (std::size_t k = 0; k < system.guards(); ++k) {
      margin_.clear();
      if (!system.margin(k, mode, margin_)) return true;
      for (std::size_t s = 0; s < margin_.size(); ++s)
        for (std::size_t i = 0; i < margin_.sum(s).size; ++i)
          for (const Quantity& q : {margin_.sum(s).terms[i].a, margin_.sum(s).terms[i].b})
            if (q.kind == Quantity::Kind::follower && !system.follows_straight(q.index)) return true;
    }
    return false;
  }
  /// True if the last first() met a guard that is not written out.
  [[nodiscard]] bool left_some_out() const { return left_some_out_; }
  /// The same for a guard that is known as a cubic, if it falls before `earliest` does.
  void note(const Powers<S>& curve, std::size_t k, const typename Form::Base& base, P until, Event& earliest) {
    auto& sum = begin_curve(base);
    sum.smooth.powers = curve;
    noise_[0] = P(64) * round_off<S> * math::abs(value_of(curve[0]));
    const bool found = earliest.status == FallStatus::found;
    const Fall<P> fall = first_fall(base, guard_, found ? value_of(earliest.time) : until, noise_);
    const bool first =
        fall.status == FallStatus::found && !(found && k > earliest.guard && fall.time == value_of(earliest.time));
    if (fall.status == FallStatus::lost || first) earliest = {fall.status, refined(base, sum, fall.time), k};
  }

  /// When `level`, which moves as the sources do, has come through zero.
  /// @param gain called with the row of a drive: what of it adds to the level
  /// @return s since the start of the segment; `until` if not before that
  template <class Gain>
  [[nodiscard, gnu::cold]] S first_change(const System& system, const typename System::Mode& mode,
                                          Segment<System>& segment, const S& time, const S& level, Gain&& gain,
                                          P until) {
    const auto& form = segment.form();
    const P side = value_of(level) > P(0) ? P(1) : P(-1);
    auto& sum = begin_curve(form.base);
    sum.smooth.powers[0] = S(side * level);
    std::size_t number = 0;
    segment.drives(system, mode, time, [&](const Drive<S>& drive) {
      const S factor = S(side * gain(drive.row));
      sum.smooth.powers[1] += factor * drive.slope;
      if (value_of(drive.turn) > P(0)) {
        auto& swing = sum.smooth.swings[form.swing_of_source[number]];
        swing.along[0] += factor * drive.cosine;
        swing.across[0] -= factor * drive.sine;
        sum.smooth.powers[0] -= factor * drive.cosine;
      }
      ++number;
    });
    // A little later rather than earlier, so that it has come through for sure by then.
    const P leeway =
        P(1e4) * round_off<S> * (sum.size(form.base) + math::abs(value_of(time)) * sum.lasting_slope(form.base));
    sum.smooth.powers[0] += leeway;
    noise_[0] = P(0);
    const Fall<P> fall = first_fall(form.base, guard_, until, noise_);
    if (fall.status == FallStatus::none || !(fall.time > P(0))) return S(until);
    return refined(form.base, sum, fall.time);
  }

 private:
  /// A guard of one sum, all zero.
  [[nodiscard]] GuardSum<S, Form::rate_extent, Form::swing_extent>& begin_curve(const typename Form::Base& base) {
    guard_.greatest = false;
    guard_.sums = 1;
    auto& sum = guard_.sum[0];
    sum.joined = false;
    sum.products = sum.fading = 0;
    sum.smooth.clear(base);
    return sum;
  }
  /// The first fall of the guard in margin_.
  [[nodiscard]] Fall<P> fall_of_written(Segment<System>& segment, const S& time, P until, P from) {
    if (simple_.take(margin_, segment, value_of(time)))
      if (const P at = simple_.fall(until); at != not_decided<P>) {
        if (!(at < until)) return {};
        if constexpr (!is_plain<S>) write(segment, time);  // for refined()
        return {FallStatus::found, at, 0};
      }
    write(segment, time);
    return first_fall(segment.form().base, guard_, until, noise_, from);
  }
  void write(Segment<System>& segment, const S& time) {
    guard_.greatest = margin_.is_greatest();
    guard_.sums = margin_.size();
    for (std::size_t k = 0; k < guard_.sums; ++k) {
      guard_.sum[k].joined = margin_.sum(k).joined;
      write_sum(segment, margin_.sum(k), time, k);
    }
  }
  void write_sum(Segment<System>& segment, const typename Margin<S>::Sum& written, const S& time, std::size_t k) {
    const auto& base = segment.form().base;
    auto& sum = guard_.sum[k];
    sum.products = 0;
    sum.smooth.clear(base);
    sum.smooth.powers[0] = S(written.constant + written.per_second * time);
    sum.smooth.powers[1] = written.per_second;
    std::array<Quantity, 2> shared{};
    for (std::size_t i = 0; i < written.size; ++i) {
      const auto& term = written.terms[i];
      if (term.b.kind == Quantity::Kind::one)
        add(segment, term.a, term.factor, sum.smooth);
      else if (term.a.kind == Quantity::Kind::one)
        add(segment, term.b, term.factor, sum.smooth);
      else
        add_product(segment, term, sum, shared);
    }
    sum.list_fading(base);
    while (sum.products > 0) {
      const std::size_t before = sum.products;
      sum.write_out_product(base);
      if (sum.products == before) break;
    }
    const S elapsed = S(written.per_second * time);
    const P size = sum.size(base) + math::abs(value_of(written.constant)) + math::abs(value_of(elapsed));
    noise_[k] = round_off<S> * (P(64) * size + P(4) * math::abs(value_of(time)) * sum.lasting_slope(base));
    if (const P value = sum.at_start(base); value < P(0) && value > P(-1e8) * noise_[k])
      noise_[k] += doubt(segment, written);
  }
  /// Of a guard that begins below zero: whether only because a small difference of large voltages is none, seen through
  /// a small resistance.
  [[nodiscard, gnu::cold]] static P doubt(const Segment<System>& segment, const typename Margin<S>::Sum& written) {
    P sum(0);
    for (std::size_t i = 0; i < written.size; ++i) {
      const auto& term = written.terms[i];
      if (term.a.kind == Quantity::Kind::unknown && term.b.kind == Quantity::Kind::one)
        sum += math::abs(value_of(term.factor)) * segment.doubt(term.a.index);
    }
    return P(8) * sum;
  }
  static void add(Segment<System>& segment, const Quantity& q, const S& factor, Wave& wave) {
    if (q.kind == Quantity::Kind::unknown)
      segment.add_unknown(q.index, factor, wave);
    else
      segment.add_follower(q.index, factor, wave);
  }
  /// Products that share their second factor are one.
  template <class Sum>
  void add_product(Segment<System>& segment, const typename Margin<S>::Term& term, Sum& sum,
                   std::array<Quantity, 2>& shared) {
    const auto& base = segment.form().base;
    moving_.clear(base);
    add(segment, term.b, S(1), moving_);
    if (moving_.is_constant(base)) return add(segment, term.a, S(term.factor * moving_.powers[0]), sum.smooth);
    for (std::size_t k = 0; k < sum.products; ++k)
      if (shared[k] == term.b) return add(segment, term.a, term.factor, sum.first[k]);
    sum.first[sum.products].clear(base);
    add(segment, term.a, term.factor, sum.first[sum.products]);
    if (sum.first[sum.products].is_constant(base)) {
      sum.smooth.add(base, sum.first[sum.products].powers[0], moving_);
      return;
    }
    sum.second[sum.products].copy(base, moving_);
    shared[sum.products++] = term.b;
  }
  static constexpr std::size_t few = 4;  // guards, that are best looked at one by one

  Ranges<System> ranges_;
  bool left_some_out_ = false;
  Margin<S> margin_;
  SimpleGuard<System> simple_;
  Guard guard_;
  Wave moving_;
  std::array<P, Guard::most_sums> noise_{};
};

}  // namespace gastube::exact
