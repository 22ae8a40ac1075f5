// SPDX-License-Identifier: MIT
#pragma once
/// A guard of one sum over constants, exponentials and one steady swing, put down as numbers straight from its margin:
/// most guards are no more than that in most patterns.

#include "gastube/stepping/exact/segment.hpp"
#include "gastube/stepping/exact/swinging_fall.hpp"

#include <algorithm>

namespace gastube::exact {

template <PiecewiseLinearSystem System>
class SimpleGuard {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Quantity = typename Margin<S>::Quantity;

  /// @param time of the segment's start
  /// @return false if the guard is something else
  [[nodiscard]] bool take(const Margin<S>& margin, const Segment<System>& segment, P time) {
    const auto& base = segment.form().base;
    if (margin.size() != 1 || !segment.is_simple() || base.rate_count > most) return false;
    const auto& written = margin.sum(0);
    if (value_of(written.per_second) != P(0)) return false;
    constant_ = value_of(written.constant);
    products_ = 0;
    sum_.along = sum_.across = sum_.turn = P(0);
    amplitudes_.fill(P(0));
    for (std::size_t i = 0; i < written.size; ++i) {
      const auto& term = written.terms[i];
      const P factor = value_of(term.factor);
      const bool taken = term.b.kind == Quantity::Kind::one   ? add(segment, term.a, factor)
                         : term.a.kind == Quantity::Kind::one ? add(segment, term.b, factor)
                                                              : add_product(segment, term.a, term.b, factor);
      if (!taken) return false;
    }
    if (base.swing_count > 0) sum_.turn = value_of(base.swings[0].turn);
    finish(base, math::abs(value_of(written.constant)), time);
    return true;
  }
  /// At the start of the segment.
  [[nodiscard]] P value() const { return value_; }
  /// What counts as zero there.
  [[nodiscard]] P noise() const { return noise_; }
  /// See simple_fall().
  [[nodiscard]] P fall(P until) { return simple_fall(sum_, value_, until, noise_); }

 private:
  using Segmented = Segment<System>;
  static constexpr std::size_t most_products = 3,
                               most = std::min(Pattern<System>::rate_extent, FadingSum<P>::most - most_products - 1);

  [[nodiscard]] bool add(const Segmented& segment, const Quantity& q, P factor) {
    if (q.kind == Quantity::Kind::unknown) {
      segment.add_simple_unknown(q.index, factor, constant_, amplitudes_.data());
      if (segment.form().base.swing_count > 0) {
        const Complex<S> swing = segment.source_swing(0, q.index);
        sum_.along += factor * value_of(swing.re);
        sum_.across += factor * value_of(swing.im);
      }
      return true;
    }
    if (!segment.only_decays(q.index)) return false;
    constant_ += factor * value_of(segment.level_of_follower(q.index));
    amplitudes_[segment.form().law[q.index].slot] += factor * value_of(segment.free_part(q.index));
    return true;
  }
  /// Two followers that only decay: exponentials again.
  [[nodiscard]] bool add_product(const Segmented& segment, const Quantity& a, const Quantity& b, P factor) {
    constexpr auto follower = Quantity::Kind::follower;
    if (a.kind != follower || b.kind != follower || products_ == most_products) return false;
    if (!segment.only_decays(a.index) || !segment.only_decays(b.index)) return false;
    const auto& form = segment.form();
    const std::size_t slot_a = form.law[a.index].slot, slot_b = form.law[b.index].slot;
    const P level = factor * value_of(segment.level_of_follower(a.index)),
            free = factor * value_of(segment.free_part(a.index)),
            level_b = value_of(segment.level_of_follower(b.index)), free_b = value_of(segment.free_part(b.index));
    constant_ += level * level_b;
    amplitudes_[slot_a] += free * level_b;
    amplitudes_[slot_b] += level * free_b;
    product_amplitudes_[products_] = free * free_b;
    product_rates_[products_++] = value_of(form.base.rates[slot_a]) + value_of(form.base.rates[slot_b]);
    return true;
  }
  template <class Base>
  void finish(const Base& base, P written, P time) {
    const P swing = math::abs(sum_.along) + math::abs(sum_.across);
    P size = written + math::abs(constant_) + swing;
    value_ = constant_ + sum_.along;
    sum_.rest.clear();
    sum_.rest.add(constant_, P(0));
    const auto put = [&](P amplitude, P rate) {
      if (amplitude == P(0)) return;
      size += math::abs(amplitude);
      value_ += amplitude;
      sum_.rest.add(amplitude, rate);
    };
    for (std::size_t k = 0; k < base.rate_count; ++k) put(amplitudes_[k], value_of(base.rates[k]));
    for (std::size_t k = 0; k < products_; ++k) put(product_amplitudes_[k], product_rates_[k]);
    noise_ = round_off<S> * (P(64) * size + P(4) * math::abs(time) * sum_.turn * swing);
    if (swing == P(0)) sum_.turn = P(0);
  }

  SwingingSum<P> sum_;
  P constant_ = P(0), value_ = P(0), noise_ = P(0);
  std::array<P, most> amplitudes_;
  std::size_t products_ = 0;
  std::array<P, most_products> product_amplitudes_, product_rates_;
};

}  // namespace gastube::exact
