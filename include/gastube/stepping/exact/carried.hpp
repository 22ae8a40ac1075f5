// SPDX-License-Identifier: MIT
#pragma once
/// What is not linear but acts on no current until an event (a firing integral, an ionisation that follows the current
/// only so far, a guard on a curved characteristic) is carried along the closed form: over windows so short that a
/// cubic tells it within the tolerance. The unknowns stay exact; only these are approximate.

#include "gastube/stepping/exact/segment.hpp"

namespace gastube::exact {

/// Integral of s^p exp(-decay (length - s)) over s from 0 to length.
template <Real S>
[[nodiscard]] S faded_power(std::size_t p, const S& decay, const S& length) {
  const S z = S(decay * length);
  S power = length;
  for (std::size_t k = 0; k < p; ++k) power *= length;
  if (value_of(z) < Plain<S>(p + 2)) {  // length^(p+1) p! sum of (-z)^k / (k + p + 1)!
    S term = S(S(1) / S(Plain<S>(p + 1))), sum = term;
    for (std::size_t k = 1; k < 60 && math::abs(value_of(term)) > round_off<S> * Plain<S>(0.01); ++k) {
      term = S(term * -z / S(Plain<S>(k + p + 1)));
      sum += term;
    }
    return S(power * sum);
  }
  S integral = S((S(1) - math::exp(S(-z))) / decay), so_far(1);
  for (std::size_t k = 1; k <= p; ++k) {
    so_far *= length;
    integral = S((so_far - S(Plain<S>(k)) * integral) / decay);
  }
  return integral;
}

template <PiecewiseLinearSystem System>
class Carried {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  static constexpr std::size_t nodes = 5;  // at quarters of the window

  explicit Carried(const System& system)
      : curves_(filled<Powers<S>, System::follower_extent>(system.followers(), {}))
      , curved_(filled<char, System::follower_extent>(system.followers(), 0))
      , rates_(filled<FollowRate<S>, System::follower_extent>(system.followers(), {})) {
    for (std::size_t f = 0; f < curved_.size(); ++f) {
      curved_[f] = system.follows_straight(f) ? 0 : 1;
      any_ = any_ || curved_[f] != 0;
    }
    for (auto& x : x_) x = zeros<S, System::extent>(system.unknowns());
    for (auto* at_nodes : {&y_, &sources_})
      for (auto& y : *at_nodes) y = zeros<S, System::follower_extent>(system.followers());
  }

  /// True if this system has something to carry besides guards.
  [[nodiscard]] bool any() const { return any_; }

  /// Carries the curved followers over a window of `length`, s, from the start of the segment.
  /// @return the greatest error as a multiple of what is allowed
  [[nodiscard]] P carry(const System& system, const Mode& mode, Segment<System>& segment, const S& time, const S* y,
                        P length, const Settings<S>& settings) {
    look_at_nodes(segment, y, length);
    P worst(0);
    for (int round = 0; round < 2; ++round) {  // the second with followers that the first has found
      for (std::size_t i = 0; i < nodes; ++i) {
        system.follow({S(time + node(i, length)), x_[i].data(), y_[i].data()}, mode, rates_.data());
        for (std::size_t f = 0; f < curved_.size(); ++f) sources_[i][f] = rates_[f].source;
      }
      worst = P(0);
      for (std::size_t f = 0; f < curved_.size(); ++f)
        if (curved_[f] != 0) worst = math::max(worst, carry(f, y[f], rates_[f].decay, length, settings));
    }
    for (std::size_t f = 0; f < curved_.size(); ++f)
      if (curved_[f] != 0) segment.carry(f, curves_[f]);
    return worst;
  }

  /// A cubic through what a guard says over the window, and by how much it misses it, as a multiple of what is allowed.
  [[nodiscard]] P follow_guard(const System& system, const Mode& mode, std::size_t k, const S& time, P length,
                               const Settings<S>& settings, Powers<S>& curve) const {
    std::array<S, nodes> g;
    P size(0);
    for (std::size_t i = 0; i < nodes; ++i) {
      g[i] = system.guard(k, {S(time + node(i, length)), x_[i].data(), y_[i].data()}, mode);
      size = math::max(size, math::abs(value_of(g[i])));
    }
    curve = through(g[0], g[1], g[3], g[4], length);
    return math::abs(value_of(S(at(curve, S(P(0.5) * length)) - g[2])))
           / (share * (settings.relative * size + settings.absolute));
  }
  /// Unknowns and followers at the window's nodes, for guards; needed before follow_guard() where nothing is carried.
  void look_at_nodes(Segment<System>& segment, const S* y, P length) {
    for (std::size_t i = 0; i < nodes; ++i) {
      segment.unknowns(node(i, length), x_[i].data());
      segment.followers(node(i, length), y_[i].data());
      for (std::size_t f = 0; f < curved_.size(); ++f)
        if (curved_[f] != 0) y_[i][f] = y[f];
    }
  }
  [[nodiscard]] static S at(const Powers<S>& c, const S& t) { return S(c[0] + t * (c[1] + t * (c[2] + t * c[3]))); }

 private:
  [[nodiscard]] static S node(std::size_t i, P length) { return S(length * P(i) / P(nodes - 1)); }

  [[nodiscard]] P carry(std::size_t f, const S& start, const S& decay, P length, const Settings<S>& settings) {
    const std::array<S, nodes> source = quartic(f, length);
    for (std::size_t i = 1; i < nodes; ++i) {
      const S reach = node(i, length);
      S sum = S(start * math::exp(S(-decay * reach)));
      for (std::size_t p = 0; p < nodes; ++p) sum += source[p] * faded_power(p, decay, reach);
      y_[i][f] = sum;
    }
    y_[0][f] = start;
    const S first = S(sources_[0][f] - decay * start), last = S(sources_[nodes - 1][f] - decay * y_[nodes - 1][f]);
    curves_[f] = hermite(start, first, y_[nodes - 1][f], last, length);
    P wrong(0);
    for (std::size_t i = 1; i + 1 < nodes; ++i)
      wrong = math::max(wrong, math::abs(value_of(S(at(curves_[f], node(i, length)) - y_[i][f]))));
    // What the middle differs from a cubic through the others is how well the source itself is known.
    const S middle =
        at(through(sources_[0][f], sources_[1][f], sources_[3][f], sources_[4][f], length), S(P(0.5) * length));
    wrong = math::max(wrong, length * math::abs(value_of(S(middle - sources_[2][f]))));
    return wrong / (share * (settings.relative * math::abs(value_of(y_[nodes - 1][f])) + settings.absolute));
  }
  /// The source of follower f through all nodes, by powers of time.
  [[nodiscard]] std::array<S, nodes> quartic(std::size_t f, P length) const {
    std::array<S, nodes> d;  // divided differences, by quarters
    for (std::size_t i = 0; i < nodes; ++i) d[i] = sources_[i][f];
    for (std::size_t order = 1; order < nodes; ++order)
      for (std::size_t i = nodes; i-- > order;) d[i] = S((d[i] - d[i - 1]) / S(P(order)));
    std::array<S, nodes> c{d[nodes - 1]};  // Horner's scheme over (s - i), s in quarters
    for (std::size_t i = nodes - 1; i-- > 0;) {
      for (std::size_t p = nodes; p-- > 1;) c[p] = S(c[p - 1] - S(P(i)) * c[p]);
      c[0] = S(d[i] - S(P(i)) * c[0]);
    }
    P unit(1);
    for (std::size_t p = 0; p < nodes; ++p, unit *= P(nodes - 1) / length) c[p] *= S(unit);
    return c;
  }
  [[nodiscard]] static Powers<S> hermite(const S& a, const S& slope_a, const S& b, const S& slope_b, P length) {
    const S rise = S((b - a) / S(length));
    return {a, slope_a, S((S(3) * rise - S(2) * slope_a - slope_b) / S(length)),
            S((slope_a + slope_b - S(2) * rise) / S(length * length))};
  }
  /// The cubic through values at 0, 1/4, 3/4 and 1 of the window.
  [[nodiscard]] static Powers<S> through(const S& a, const S& b, const S& c, const S& d, P length) {
    const S ab = S((b - a) * S(4)), bc = S((c - b) * S(2)), cd = S((d - c) * S(4));
    const S abc = S((bc - ab) / S(0.75)), bcd = S((cd - bc) / S(0.75)), abcd = S(bcd - abc);
    // a + ab s + abc s (s - 1/4) + abcd s (s - 1/4) (s - 3/4), s = t / length
    return {a, S((ab - S(0.25) * abc + S(0.1875) * abcd) / S(length)), S((abc - abcd) / S(length * length)),
            S(abcd / S(length * length * length))};
  }

  static constexpr P share = P(0.01);  // of the tolerance that a window may spend

  bool any_ = false;
  Storage<Powers<S>, System::follower_extent> curves_;
  Storage<char, System::follower_extent> curved_;
  Storage<FollowRate<S>, System::follower_extent> rates_;
  std::array<Storage<S, System::extent>, nodes> x_;
  std::array<Storage<S, System::follower_extent>, nodes> y_, sources_;
};

}  // namespace gastube::exact
