// SPDX-License-Identifier: MIT
#pragma once
/// Eigenvalues and vectors of D + rho z z^T, D diagonal, by the roots of its secular equation.
/// Sources (from memory): J. R. Bunch, C. P. Nielsen, D. C. Sorensen, Numer. Math. 31 (1978) 31 (equation, deflation);
/// R.-C. Li, LAPACK Working Note 89 (1993) (steps towards a root between two poles); M. Gu, S. C. Eisenstat, SIAM J.
/// Matrix Anal. Appl. 15 (1994) 1266 (orthogonal vectors from the roots found).

#include "gastube/stepping/exact/vector_sums.hpp"
#include "gastube/support/math.hpp"
#include "gastube/support/storage.hpp"

#include <cstddef>
#include <utility>

namespace gastube::exact {

/// Writes `after` - `before` (m x m, row-major, symmetric) as rho u u^T, the greatest |u| 1.
/// @return false if it is not of that form to the round-off of its entries; rho 0 if there is no change
template <class P>
[[nodiscard]] bool split_change(std::size_t m, const P* before, const P* after, P* u, P& rho) {
  std::size_t p = 0;
  const auto change = [&](std::size_t i, std::size_t j) { return after[i * m + j] - before[i * m + j]; };
  for (std::size_t i = 1; i < m; ++i)
    if (math::abs(change(i, i)) > math::abs(change(p, p))) p = i;
  rho = change(p, p);
  for (std::size_t i = 0; i < m; ++i) u[i] = rho == P(0) ? P(0) : change(i, p) / rho;
  for (std::size_t i = 0; i < m; ++i)
    for (std::size_t j = 0; j <= i; ++j) {
      const P size =
          math::max(math::abs(before[i * m + j]), math::abs(after[i * m + j])) + math::abs(rho * u[i] * u[j]);
      if (!(math::abs(change(i, j) - rho * u[i] * u[j]) <= P(16) * round_off<P> * size)) return false;
    }
  return true;
}

/// Solver with room for m rates.
template <class P, std::size_t Extent>
class RankOneUpdate {
 public:
  explicit RankOneUpdate(std::size_t m)
      : pole_(zeros<P, Extent>(m))
      , z_(pole_)
      , offset_(pole_)
      , cosine_(pole_)
      , sine_(pole_)
      , index_(zeros<std::size_t, Extent>(m))
      , origin_(index_)
      , first_(index_)
      , second_(index_) {}

  /// Fills q (m x m, row-major) with the orthogonal matrix whose columns are the eigenvectors; the column of an
  /// eigenvalue has its place. `d` ascends.
  /// @return false if a root does not settle, or at a NaN
  [[nodiscard]] bool find(std::size_t m, const P* d, const P* z, P rho, P* q) {
    for (std::size_t i = 0; i < m * m; ++i) q[i] = P(i % (m + 1) == 0 ? 1 : 0);
    weight_ = math::abs(rho);
    const bool up = rho > P(0);  // else the poles change sign and order
    gather(m, d, z, up);
    for (std::size_t a = 0; a < count_; ++a)
      if (!find_root(a)) return false;
    restore_weights();
    for (std::size_t a = 0; a < count_; ++a) write_vector(m, a, q);
    for (std::size_t t = turns_; t-- > 0;)
      rotate_vectors(m, q + first_[t] * m, q + second_[t] * m, cosine_[t], P(-sine_[t]));
    return true;
  }

 private:
  /// Collects the poles that move; equal ones are turned so that only one of them does.
  void gather(std::size_t m, const P* d, const P* z, bool up) {
    count_ = turns_ = 0;
    for (std::size_t n = 0; n < m; ++n) {
      const std::size_t i = up ? n : m - 1 - n;
      const P pole = up ? d[i] : -d[i];
      if (z[i] == P(0)) continue;
      if (count_ > 0 && pole - pole_[count_ - 1] <= P(8) * round_off<P> * math::abs(pole)) {
        const P before = z_[count_ - 1], length = std::hypot(before, z[i]);
        first_[turns_] = index_[count_ - 1];
        second_[turns_] = i;
        cosine_[turns_] = z[i] / length;
        sine_[turns_++] = before / length;
        --count_;
        z_[count_] = length;
      } else {
        z_[count_] = z[i];
      }
      pole_[count_] = pole;
      index_[count_++] = i;
    }
  }

  /// Secular function 1 + sum w / (pole - x) at x = pole_[origin] + offset, with slopes of the poles up to a and above.
  struct Value {
    P sum = P(1), size = P(1), below = P(0), above = P(0);
  };
  [[nodiscard]] Value evaluate(std::size_t a, std::size_t origin, P offset) const {
    Value f;
    for (std::size_t i = 0; i < count_; ++i) {
      const P share = z_[i] / ((pole_[i] - pole_[origin]) - offset), term = weight_ * z_[i] * share;
      f.sum += term;
      f.size += math::abs(term);
      (i <= a ? f.below : f.above) += weight_ * share * share;
    }
    return f;
  }
  /// Root a lies between poles a and a + 1, the last above all. It is kept as distance from the nearer pole.
  [[nodiscard]] bool find_root(std::size_t a) {
    const bool last = a + 1 == count_;
    P gap(0), sign(1);
    std::size_t origin = a;
    if (last)
      gap = P(2) * weight_ * dot(count_, z_.data(), z_.data());
    else if (gap = pole_[a + 1] - pole_[a]; evaluate(a, a, gap / P(2)).sum < P(0))
      origin = a + 1, sign = P(-1);
    P low(0), high = last ? gap : gap / P(2), x = high / P(2);  // distances
    for (int round = 0; round < 200; ++round) {
      const Value f = evaluate(a, origin, sign * x);
      if (!math::is_finite(f.size)) return false;
      if (math::abs(f.sum) <= P(2) * round_off<P> * f.size || high - low <= P(2) * round_off<P> * high) {
        origin_[a] = origin;
        offset_[a] = sign * x;
        return true;
      }
      if ((f.sum < P(0)) == (sign > P(0)))
        low = x;  // the function rises from minus to plus infinity between poles
      else
        high = x;
      const P to_a = origin == a ? -x : x - gap, to_next = origin == a ? gap - x : x;
      const P next = x + sign * (last ? step_above(f, to_a) : step_between(f, to_a, to_next));
      if (next > low && next < high)
        x = next;
      else
        x = low > P(0) && high > P(4) * low ? math::sqrt(low) * math::sqrt(high)
            : low > P(0)                    ? P((low + high) / P(2))
                                            : P(high / P(64));
    }
    return false;
  }
  /// From a model with one pole (`to_pole` away) and a constant.
  [[nodiscard]] static P step_above(const Value& f, P to_pole) {
    const P slope = f.below + f.above, strength = slope * to_pole * to_pole, rest = f.sum - slope * to_pole;
    return strength / rest + to_pole;
  }
  /// From a model with both neighbouring poles and a constant, each pole with the slope of all on its side.
  [[nodiscard]] static P step_between(const Value& f, P to_a, P to_next) {
    const P c = f.sum - to_a * f.below - to_next * f.above;
    const P a = (to_a + to_next) * f.sum - to_a * to_next * (f.below + f.above);
    const P b = to_a * to_next * f.sum;
    const P root = math::sqrt(math::max(P(0), P(a * a - P(4) * b * c)));
    return a <= P(0) ? P((a - root) / (P(2) * c)) : P(P(2) * b / (a + root));
  }
  /// Root j less pole i, without cancellation.
  [[nodiscard]] P distance(std::size_t i, std::size_t j) const { return (pole_[origin_[j]] - pole_[i]) + offset_[j]; }
  /// The z for which the roots found are exact, but for a common factor.
  void restore_weights() {
    for (std::size_t i = 0; i < count_; ++i) {
      P square = distance(i, i);
      for (std::size_t j = 0; j < count_; ++j)
        if (j != i) square *= distance(i, j) / (pole_[j] - pole_[i]);
      z_[i] = std::copysign(math::sqrt(math::abs(square)), z_[i]);
    }
  }
  void write_vector(std::size_t m, std::size_t a, P* q) {
    P squares(0);
    for (std::size_t i = 0; i < count_; ++i) {
      const P share = z_[i] / distance(i, a);
      q[index_[i] * m + index_[a]] = share;
      squares += share * share;
    }
    const P factor = P(1) / math::sqrt(squares);
    for (std::size_t i = 0; i < count_; ++i) q[index_[i] * m + index_[a]] *= factor;
  }

  Storage<P, Extent> pole_, z_, offset_, cosine_, sine_;
  Storage<std::size_t, Extent> index_, origin_, first_, second_;
  std::size_t count_ = 0, turns_ = 0;
  P weight_ = P(0);
};

}  // namespace gastube::exact
