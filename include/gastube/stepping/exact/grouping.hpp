// SPDX-License-Identifier: MIT
#pragma once
/// Which eigenvalues of a triangular matrix stand alone, and which must stay together because they lie so near each
/// other, and act on each other so strongly, that their vectors would be all but parallel.

#include "gastube/stepping/exact/separation.hpp"

#include <cstddef>
#include <limits>

namespace gastube::exact {

/// Mean of the eigenvalues in places [first, first + size); `closed`: each has its conjugate among them.
template <class P>
[[nodiscard]] Complex<P> mean_rate(const Separation<P>& parts, std::size_t first, std::size_t size, bool closed) {
  Complex<P> sum;
  for (std::size_t k = first; k < first + size; ++k) sum += parts.rate(k);
  if (closed) sum.im = P(0);
  return P(P(1) / P(size)) * sum;
}

/// No more equal rates than these are looked for as such.
inline constexpr std::size_t most_equal_rates = 8;
/// How far round-off spreads `count` equal rates that drive each other in a row, beside the greatest entry of the
/// matrix.
template <class P>
[[nodiscard]] P equal_rates_spread(std::size_t count) {
  return std::pow(P(16) * round_off<P>, P(1) / P(count));
}

/// Walks over the groups among the first `end` places; each is moved to where the one before ends, and uncoupled from
/// all after it. Of conjugate groups only one is shown: the walk ends when none but those that turn backward are left.
template <class P>
class Grouping {
  static constexpr P worst_condition = P(1000);  // three digits lost; a group of two costs none and a few powers of t

 public:
  /// Eigenvalues closer than `together` (relative) share a group even if they do not act on each other.
  Grouping(Separation<P>& parts, std::size_t end, P together) : parts_(parts), end_(end), together_(together) {}

  [[nodiscard]] std::size_t first() const { return first_; }
  [[nodiscard]] std::size_t size() const { return size_; }
  /// Each eigenvalue has its conjugate in the group.
  [[nodiscard]] bool closed() const { return closed_; }

  /// @return false when no group is left
  [[nodiscard, gnu::cold]] bool next() {
    first_ += size_;
    size_ = 0;
    std::size_t seed = first_;
    while (seed < end_ && parts_.rate(seed).im < P(0)) ++seed;
    if (seed >= end_) return false;
    parts_.move(seed, first_);
    size_ = 1;
    closed_ = parts_.rate(first_).im == P(0);
    while (!stands_alone()) {
      parts_.move(nearest(mean()), first_ + size_);
      ++size_;
      closed_ = closed_ || !(parts_.rate(first_ + size_ - 1).im > P(0));
      if (closed_) take_conjugates();
    }
    return true;
  }

 private:
  [[nodiscard]] Complex<P> mean() const { return mean_rate(parts_, first_, size_, closed_); }
  [[nodiscard]] std::size_t nearest(const Complex<P>& to) const {
    std::size_t best = first_ + size_;
    for (std::size_t k = best + 1; k < end_; ++k)
      if (size_of(parts_.rate(k) - to) < size_of(parts_.rate(best) - to)) best = k;
    return best;
  }
  /// Uncouples the group from the rest, unless that would cost digits and the nearest eigenvalue is a reason why.
  [[nodiscard, gnu::cold]] bool stands_alone() {
    const Complex<P> centre = mean();
    const std::size_t near = nearest(centre);
    if (near >= end_) return true;
    const P distance = size_of(parts_.rate(near) - centre);
    if (together_ > P(0) && distance <= together_ * size_of(centre)) return false;
    if (parts_.uncouple(first_, size_, end_, worst_condition)) return true;
    return distance > reach(centre, near) && parts_.uncouple(first_, size_, end_, std::numeric_limits<P>::max());
  }
  /// How far round-off spreads equal rates, with some margin: the root of it of the order of their number.
  [[nodiscard]] P reach(const Complex<P>& centre, std::size_t near) const {
    P scale = parts_.scale(near);
    for (std::size_t k = first_; k < first_ + size_; ++k) scale = math::max(scale, size_of(parts_.entry(k, near)));
    P radius(0);
    for (std::size_t count = size_ + 1; count <= most_equal_rates && count <= end_ - first_; ++count) {
      const P wider = equal_rates_spread<P>(count) * scale;
      std::size_t within = 0;
      for (std::size_t k = first_; k < end_; ++k) within += size_of(parts_.rate(k) - centre) <= wider;
      if (within >= count) radius = wider;
    }
    return size_of(centre) / P(40) + radius;
  }
  /// Takes in the conjugates that the group still lacks.
  [[gnu::cold]] void take_conjugates() {
    for (std::size_t k = first_; k < first_ + size_; ++k) {
      const Complex<P> wanted = conjugate(parts_.rate(k));
      int excess = 0;
      for (std::size_t i = first_; i < first_ + size_; ++i) {
        excess += size_of(parts_.rate(i) - parts_.rate(k)) == P(0);
        excess -= size_of(parts_.rate(i) - wanted) == P(0);
      }
      const std::size_t other = nearest(wanted);
      if (wanted.im == P(0) || excess <= 0 || other >= end_) continue;
      parts_.move(other, first_ + size_);
      ++size_;
    }
  }

  Separation<P>& parts_;
  std::size_t end_;
  P together_;
  std::size_t first_ = 0, size_ = 0;
  bool closed_ = false;
};

}  // namespace gastube::exact
