// SPDX-License-Identifier: MIT
#pragma once
/// Dense output of one step, and the search for the first fall of a guard along it.

#include "gastube/stepping/decay.hpp"
#include "gastube/stepping/stages.hpp"

#include <optional>

namespace gastube {

/// A position anywhere within a step, from what its engine offers as nodes: unknowns by the polynomial through them (at
/// most a cubic), followers by their own equation from the node before, so that fast ones do not ring.
template <HybridSystem System>
class DenseOutput {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;

  explicit DenseOutput(const System& system)
      : there_(system)
      , rates_{rates(system), rates(system), rates(system), rates(system)}
      , missed_{none(system), none(system), none(system)} {}

  /// To be called when the engine has made another step.
  void forget() {
    rates_known_ = false;
    missed_known_ = {};
  }

  /// The position at `share` (0 to 1) of the engine's last step of `length`; valid until the next call.
  template <class Engine>
  [[nodiscard]] const Position<System>& at(const System& system, const Mode& mode, const Engine& engine, P length,
                                           P share) {
    constexpr int nodes = Engine::nodes;
    std::array<P, std::size_t(nodes)> weights;
    for (int i = 0; i < nodes; ++i) {
      P weight = scales<Engine>[std::size_t(i)];
      for (int j = 0; j < nodes; ++j)
        if (j != i) weight *= share - P(Engine::node_time(j));
      weights[std::size_t(i)] = weight;
    }
    for (std::size_t k = 0; k < there_.x.size(); ++k) {
      S sum(0);
      for (int i = 0; i < nodes; ++i) sum += weights[std::size_t(i)] * engine.node(i).x[k];
      there_.x[k] = sum;
    }
    there_.time = S(engine.node(0).time + S(length * share));
    if (there_.y.size() > 0) set_followers(system, mode, engine, length, share);
    return there_;
  }

 private:
  using Rates = Storage<FollowRate<S>, System::follower_extent>;
  using Followers = Storage<S, System::follower_extent>;
  static constexpr std::size_t most_nodes = 4;
  static Rates rates(const System& system) {
    return filled<FollowRate<S>, System::follower_extent>(system.followers(), FollowRate<S>{});
  }
  static Followers none(const System& system) { return zeros<S, System::follower_extent>(system.followers()); }

  /// Reciprocals of the products that Lagrange's weights are divided by.
  template <class Engine>
  static constexpr std::array<P, std::size_t(Engine::nodes)> scales = [] {
    std::array<P, std::size_t(Engine::nodes)> result{};
    for (int i = 0; i < Engine::nodes; ++i) {
      P product(1);
      for (int j = 0; j < Engine::nodes; ++j)
        if (j != i) product *= P(Engine::node_time(i) - Engine::node_time(j));
      result[std::size_t(i)] = P(1) / product;
    }
    return result;
  }();

  template <class Engine>
  void set_followers(const System& system, const Mode& mode, const Engine& engine, P length, P share) {
    constexpr int nodes = Engine::nodes;
    if (!rates_known_)
      for (int i = 0; i < nodes; ++i) system.follow(engine.node(i).instant(), mode, rates_[std::size_t(i)].data());
    rates_known_ = true;
    int i = 0;
    while (i + 2 < nodes && P(Engine::node_time(i + 1)) <= share) ++i;
    const P begins = P(Engine::node_time(i)), whole = P(Engine::node_time(i + 1)) - begins;
    const P part = math::clamp((share - begins) / whole, P(0), P(1));
    const auto &from = engine.node(i).y, &to = engine.node(i + 1).y;
    const auto& first = rates_[std::size_t(i)];
    const auto& last = rates_[std::size_t(i + 1)];
    auto& missed = missed_[std::size_t(i)];
    if (!missed_known_[std::size_t(i)])  // what the run below lacks at the next node
      for (std::size_t k = 0; k < missed.size(); ++k)
        missed[k] = S(to[k] - run(first[k], last[k], from[k], S(length * whole), P(1)));
    missed_known_[std::size_t(i)] = true;
    for (std::size_t k = 0; k < there_.y.size(); ++k)
      there_.y[k] = S(run(first[k], last[k], from[k], S(length * whole * part), part) + part * missed[k]);
  }
  /// A follower after `length`, which is `part` of a stretch over which its source goes straight from one to the next.
  [[nodiscard]] static S run(const FollowRate<S>& first, const FollowRate<S>& last, const S& y, const S& length,
                             P part) {
    if (is_plain<S> && first.source == last.source && value_of(first.decay) > P(0)) {
      const S rest = S(first.source / first.decay);
      return y == rest ? y : S(rest + (y - rest) * math::exp(S(-first.decay * length)));
    }
    const S source = S(first.source + part * (last.source - first.source));
    return FollowerDecay<S>(first.decay, length)(y, first.source, source);
  }

  Position<System> there_;
  std::array<Rates, most_nodes> rates_;           // at the nodes
  std::array<Followers, most_nodes - 1> missed_;  // between them
  bool rates_known_ = false;
  std::array<bool, most_nodes - 1> missed_known_{};
};

/// Where a guard falls first along a step, as shares of the step.
template <Real P>
struct Fall {
  P low, high;     ///< it is above zero from low back to the start, and at or below zero at high
  P at;            ///< where it falls by the interpolant, or where it comes nearest to zero
  bool grazes;     ///< true: it comes within the margin of zero but stays above it
  P slope = P(0);  ///< by the interpolant there, below 0; 0 where it is not known
};

/// Searches a function on [0, 1] for its first fall through zero. A cubic is taken through four points of an interval
/// and held against the function at two more (and, at the start of the whole, at one near it). If its control points
/// lie above zero by four times the disagreement the interval is excluded. If it agrees to a thousandth, and no turning
/// point is nearer to zero than four times the disagreement, its own turning points and roots decide. Any other
/// interval is halved, at most `deepest` times. For a function that is a cubic (a guard that is affine in unknowns and
/// time) the answer is exact but for round-off. For any other it holds as long as the function's departure from the
/// cubic anywhere is no more than four times what those points show, and, in an interval of 1/4096, no more than
/// nothing.
template <Real P>
class FallSearch {
 public:
  /// @param margin how near to zero counts as grazing, at least 0
  explicit FallSearch(P margin) : margin_(margin) {}

  template <class Function>
  [[nodiscard]] std::optional<Fall<P>> operator()(Function&& f, P at_start, P at_end) const {
    return search(f, {P(0), P(1), at_start, at_end}, 0);
  }

 private:
  static constexpr int deepest = 12;
  struct Interval {
    P low, high, at_low, at_high;
  };

  template <class Function>
  [[nodiscard]] std::optional<Fall<P>> search(Function& f, const Interval& in, int depth) const {
    const P wide = in.high - in.low;
    const P f0 = in.at_low, f1 = f(in.low + wide / P(3)), f2 = f(in.low + wide * P(2) / P(3)), f3 = in.at_high;
    const P b1 = (P(-5) * f0 + P(18) * f1 - P(9) * f2 + P(2) * f3) / P(6);
    const P b2 = (P(2) * f0 - P(9) * f1 + P(18) * f2 - P(5) * f3) / P(6);
    const P half = f(in.low + wide / P(2)), sixth = f(in.low + wide / P(6));
    P wrong = math::max(math::abs(half - (f0 + P(3) * (b1 + b2) + f3) / P(8)),
                        math::abs(sixth - (P(125) * f0 + P(75) * b1 + P(15) * b2 + f3) / P(216)));
    if (!(wrong <= std::numeric_limits<P>::max())) return std::nullopt;
    if (in.low == P(0)) {  // a follower far faster than the step has left its start before the first sixth
      const P s = P(1) / P(50), t = P(1) - s, early = f(s);
      wrong = math::max(wrong, math::abs(early - on(s, t, {f0, b1, b2, f3})));
    }
    const P greatest = math::max(math::max(f0, f1), math::max(f2, f3));
    const P inner = math::min(math::min(b1, b2), f3), least = in.low > P(0) ? math::min(f0, inner) : inner;
    if (least > P(4) * wrong + margin_) return std::nullopt;
    const bool is_cubic = wrong <= P(1e-3) * (greatest - math::min(f0, inner));
    const std::array<P, 4> b{f0, b1, b2, f3};
    if (depth == deepest || (is_cubic && is_decided(b, P(4) * wrong))) return on_cubic(in, b);
    const P middle = in.low + wide / P(2);
    if (const auto found = search(f, {in.low, middle, f0, half}, depth + 1)) return found;
    return half > P(0) ? search(f, {middle, in.high, half, f3}, depth + 1)
                       : std::optional(Fall<P>{in.low, middle, middle, false});
  }

  [[nodiscard]] static P on(P s, P t, const std::array<P, 4>& b) {
    return t * t * (t * b[0] + P(3) * s * b[1]) + s * s * (P(3) * t * b[2] + s * b[3]);
  }
  [[nodiscard]] static P slope(const std::array<P, 4>& b, P s) {
    const P t = P(1) - s;
    return P(3) * (t * t * (b[1] - b[0]) + P(2) * s * t * (b[2] - b[1]) + s * s * (b[3] - b[2]));
  }
  /// True if no turning point of the cubic with these control points is so near zero that `doubt` could change its
  /// sign.
  [[nodiscard]] static bool is_decided(const std::array<P, 4>& b, P doubt) {
    for (const P turn : turning_points(b))
      if (turn < P(1) && math::abs(on(turn, P(1) - turn, b)) <= doubt) return false;
    return true;
  }
  /// The first fall of the cubic with these control points.
  [[nodiscard]] std::optional<Fall<P>> on_cubic(const Interval& in, const std::array<P, 4>& b) const {
    const auto value = [&](P s) { return on(s, P(1) - s, b); };
    const auto scaled = [&](P s) { return in.low + s * (in.high - in.low); };
    P before = P(0), nearest = P(2), least = margin_;
    for (const P turn : turning_points(b)) {
      const bool inside = turn > P(0) && turn < P(1);
      const P s = inside ? turn : P(1), here = inside ? value(turn) : b[3];
      if (here <= P(0)) {
        const P fall = root(value, before, s);
        return Fall<P>{scaled(before), scaled(s), scaled(fall), false, slope(b, fall) / (in.high - in.low)};
      }
      if (inside && here < least) least = here, nearest = s;
      before = s;
    }
    if (nearest <= P(1)) return Fall<P>{scaled(P(0)), scaled(nearest), scaled(nearest), true};
    return std::nullopt;
  }
  /// Zeros of the slope in rising order, then 1; those outside or missing stand as 1 too.
  [[nodiscard]] static std::array<P, 3> turning_points(const std::array<P, 4>& b) {
    const P first = b[1] - b[0], second = b[2] - b[1], third = b[3] - b[2];
    const P a = first - P(2) * second + third, half = first - second, c = first;  // a s^2 - 2 half s + c
    const P square = half * half - a * c;
    if (!(square > P(0))) return {P(1), P(1), P(1)};
    const P q = half + (half < P(0) ? -math::sqrt(square) : math::sqrt(square));
    const auto share = [](P over, P under) {
      const P s = under == P(0) ? P(1) : over / under;
      return s > P(0) && s < P(1) ? s : P(1);
    };
    const P one = share(q, a), other = share(c, q);
    return {math::min(one, other), math::max(one, other), P(1)};
  }
  /// Root in a stretch where the value falls through zero, by bisection and secants.
  template <class Function>
  [[nodiscard]] static P root(Function& f, P low, P high) {
    P at_low = f(low), at_high = f(high);
    if (!(at_low > P(0))) return low;
    for (int k = 0; k < 60 && high - low > P(4) * std::numeric_limits<P>::epsilon(); ++k) {
      const P secant = low + (high - low) * math::clamp(at_low / (at_low - at_high), P(0.02), P(0.98));
      const P s = k % 3 == 2 ? P(0.5) * (low + high) : secant, here = f(s);
      if (here == P(0)) return s;
      (here > P(0) ? low : high) = s;
      (here > P(0) ? at_low : at_high) = here;
    }
    return high;
  }

  P margin_;
};

}  // namespace gastube
