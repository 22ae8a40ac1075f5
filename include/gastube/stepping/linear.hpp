// SPDX-License-Identifier: MIT
#pragma once
/// What a piecewise-linear system says of itself beyond stepping/system.hpp, so that it can be stepped on its closed
/// form from event to event.
///
/// Between events such a system obeys   E dx/dt + G x = s(t)   with E and G fixed by its pattern: a few small numbers,
/// one for each thing that has states. It also writes
///   | expression                        | meaning                                                                  |
///   | System::piecewise_linear          | static constexpr bool, true                                              |
///   | System::pattern_extent            | how many small numbers, or dynamic_extent                                |
///   | s.pattern_size()                  | the same at run time                                                     |
///   | s.pattern(mode, numbers)          | fills them (unsigned char); where they are equal, write() and follow()   |
///   |                                   | differ by nothing but the drives, and constants in followers' sources    |
///   | s.drives(time, mode, drives)      | what time alone changes in write(), until the next breakpoint            |
///   | s.margin(k, mode, margin)         | guard k as sums of products; false if it is no such thing                |
///   | s.follows_straight(k)             | true if the source of follower k is linear in the unknowns and followers |
/// Optional, with ports:
///   | s.steady_need(k, mode)            | V, steady, at port k where margins change; unlimited if that is not all  |

#include "gastube/stepping/system.hpp"
#include "gastube/support/real.hpp"

#include <array>

namespace gastube {

/// A guard written out in sums of terms factor * a * b over unknowns and followers. Its sign is that of the guard.
/// The sums stand in groups, by default of one: the guard lasts as long as every group has a positive sum (the least
/// over groups of the greatest in each), or, with greatest(), as long as in any group all sums are positive.
template <Real S>
class Margin {
 public:
  static constexpr std::size_t most_sums = 8, most_terms = 12;

  /// An unknown, a follower, or (by default) the number 1.
  struct Quantity {
    enum class Kind : unsigned char { one, unknown, follower } kind = Kind::one;
    std::size_t index = 0;
    [[nodiscard]] bool operator==(const Quantity&) const = default;
  };
  [[nodiscard]] static Quantity unknown(std::size_t k) { return {Quantity::Kind::unknown, k}; }
  [[nodiscard]] static Quantity follower(std::size_t k) { return {Quantity::Kind::follower, k}; }

  struct Term {
    S factor = S(0);
    Quantity a{}, b{};
  };
  struct Sum {
    S constant = S(0);    ///< at time 0
    S per_second = S(0);  ///< what time alone adds
    bool joined = false;  ///< stands in one group with the sum before
    std::size_t size = 0;
    std::array<Term, most_terms> terms{};
  };

  /// Begins another sum, in a group of its own; terms are added to the latest. At most most_sums.
  Margin& begin() {
    Sum& fresh = sums_[count_++];
    fresh.constant = fresh.per_second = S(0);
    fresh.joined = false;
    fresh.size = 0;
    return *this;
  }
  /// Begins another sum in the group of the one before.
  Margin& join() {
    begin();
    latest().joined = true;
    return *this;
  }
  Margin& constant(const S& value) {
    latest().constant += value;
    return *this;
  }
  Margin& per_second(const S& value) {
    latest().per_second += value;
    return *this;
  }
  Margin& add(const S& factor, const Quantity& a, const Quantity& b = {}) {
    if (a.kind == Quantity::Kind::one && b.kind == Quantity::Kind::one) return constant(factor);
    Sum& sum = latest();
    Term& term = sum.terms[sum.size++];  // member by member: a copy of a whole one would wait for its bytes
    term.factor = factor;
    term.a.kind = a.kind;
    term.a.index = a.index;
    term.b.kind = b.kind;
    term.b.index = b.index;
    return *this;
  }
  /// The guard lasts as long as any of its groups does; by default as long as all do.
  Margin& greatest() {
    greatest_ = true;
    return *this;
  }
  void clear() {
    count_ = 0;
    greatest_ = false;
  }

  [[nodiscard]] bool is_greatest() const { return greatest_; }
  [[nodiscard]] std::size_t size() const { return count_; }
  [[nodiscard]] const Sum& sum(std::size_t k) const { return sums_[k]; }

  [[nodiscard]] static S value(const Quantity& q, const Instant<S>& at) {
    return q.kind == Quantity::Kind::one ? S(1) : q.kind == Quantity::Kind::unknown ? at.x[q.index] : at.y[q.index];
  }
  [[nodiscard]] static S value(const Sum& sum, const Instant<S>& at) {
    S total = S(sum.constant + sum.per_second * at.time);
    for (std::size_t k = 0; k < sum.size; ++k) {
      const Term& term = sum.terms[k];
      total += term.factor * value(term.a, at) * value(term.b, at);
    }
    return total;
  }
  /// Of the sign of the guard.
  [[nodiscard]] S value(const Instant<S>& at) const {
    S overall(0), group(0);
    for (std::size_t k = 0; k < count_; ++k) {
      const S one = value(sums_[k], at);
      group = sums_[k].joined ? extreme(!greatest_, group, one) : one;
      if (k + 1 < count_ && sums_[k + 1].joined) continue;
      overall = in_first_group(k) ? group : extreme(greatest_, overall, group);
    }
    return overall;
  }

 private:
  [[nodiscard]] Sum& latest() { return sums_[count_ - 1]; }
  [[nodiscard]] static S extreme(bool greatest, const S& a, const S& b) {
    return greatest ? math::max(a, b) : math::min(a, b);
  }
  [[nodiscard]] bool in_first_group(std::size_t k) const {
    while (k > 0 && sums_[k].joined) --k;
    return k == 0;
  }

  std::array<Sum, most_sums> sums_{};
  std::size_t count_ = 0;
  bool greatest_ = false;
};

/// What time alone puts on the right-hand side of an equation: write() takes it off the currents (its flow there has
/// the opposite sign).   level + slope t + cosine cos(turn t) + sine sin(turn t),   t counted from the time asked for.
template <Real S>
struct Drive {
  std::size_t row = 0;
  S level = S(0), slope = S(0);  ///< V or A; per second
  S cosine = S(0), sine = S(0);  ///< V or A
  S turn = S(0);                 ///< rad/s
};

/// Piecewise linear as described above; a system that is not may still be stepped by every other scheme.
template <class System>
concept PiecewiseLinearSystem = HybridSystem<System> && System::piecewise_linear && requires(
    const System& s, const typename System::Mode& mode, const typename System::Scalar& time, unsigned char* numbers,
    Margin<typename System::Scalar>& margin, std::size_t k) {
  { System::pattern_extent } -> std::convertible_to<std::size_t>;
  { s.pattern_size() } -> std::convertible_to<std::size_t>;
  s.pattern(mode, numbers);
  s.drives(time, mode, [](const Drive<typename System::Scalar>&) {});
  { s.margin(k, mode, margin) } -> std::convertible_to<bool>;
  { s.follows_straight(k) } -> std::convertible_to<bool>;
};

}  // namespace gastube
