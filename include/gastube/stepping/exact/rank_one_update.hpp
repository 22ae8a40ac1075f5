// SPDX-License-Identifier: MIT
#pragma once
/// Eigenvalues and vectors of D + rho z z^T, D diagonal, by the roots of its secular equation.
/// Sources (from memory): J. R. Bunch, C. P. Nielsen, D. C. Sorensen, Numer. Math. 31 (1978) 31 (equation, deflation);
/// R.-C. Li, LAPACK Working Note 89 (1993) (steps towards a root between two poles); M. Gu, S. C. Eisenstat, SIAM J.
/// Matrix Anal. Appl. 15 (1994) 1266 (orthogonal vectors from the roots found).

#include "gastube/stepping/exact/vector_sums.hpp"
#include "gastube/support/math.hpp"
#include "gastube/support/storage.hpp"

#include <array>
#include <cstddef>
#include <utility>

namespace gastube::exact {

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
      , second_(index_)
      , shares_{pole_, pole_, pole_, pole_} {}

  /// Finds eigenvalues and vectors; `d` ascends.
  /// @return false if a root does not settle, or at a NaN
  [[nodiscard]] bool find(std::size_t m, const P* d, const P* z, P rho) {
    weight_ = math::abs(rho);
    gather(m, d, z, rho > P(0));  // else the poles change sign and order
    for (std::size_t a = 0; a < count_; ++a)
      if (!find_root(a)) return false;
    restore_weights();
    return true;
  }
  /// Takes the vectors of D, rows of m numbers each, to those of D + rho z z^T; the vector of an eigenvalue has its
  /// place. `room` is for as many numbers.
  void turn(std::size_t m, P* vectors, P* room) {
    for (std::size_t t = 0; t < turns_; ++t)
      rotate_vectors(m, vectors + first_[t] * m, vectors + second_[t] * m, cosine_[t], sine_[t]);
    for (std::size_t i = 0; i < count_ * m; ++i) room[i] = P(0);
    for (std::size_t a = 0; a < count_; a += 4) {
      const std::size_t width = count_ - a < 4 ? count_ - a : 4;
      if (width < 4)
        for (std::size_t b = a; b < count_; ++b) combine(m, b, vectors, room + b * m);
      else
        combine_four(m, a, vectors, room + a * m);
    }
    for (std::size_t a = 0; a < count_; ++a)
      for (std::size_t r = 0; r < m; ++r) vectors[index_[a] * m + r] = room[a * m + r];
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
    f.below = add_poles(0, a + 1, pole_[origin], offset, f);
    f.above = add_poles(a + 1, count_, pole_[origin], offset, f);
    return f;
  }
  /// Adds the terms of poles [i, end), several at a time; returns their slope.
  [[nodiscard]] P add_poles(std::size_t i, std::size_t end, P origin, P offset, Value& f) const {
    constexpr std::size_t lanes = 4;
    P sum[lanes]{}, size[lanes]{}, slope[lanes]{};
    const auto add = [&](std::size_t k, std::size_t l) {
      const P share = z_[k] / ((pole_[k] - origin) - offset), term = z_[k] * share;
      sum[l] += term;
      size[l] += math::abs(term);
      slope[l] += share * share;
    };
    for (; i + lanes <= end; i += lanes)
      for (std::size_t l = 0; l < lanes; ++l) add(i + l, l);
    for (; i < end; ++i) add(i, 0);
    f.sum += weight_ * ((sum[0] + sum[1]) + (sum[2] + sum[3]));
    f.size += weight_ * ((size[0] + size[1]) + (size[2] + size[3]));
    return weight_ * ((slope[0] + slope[1]) + (slope[2] + slope[3]));
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
  /// Shares of the vectors before in the vector of root a, of length 1.
  void write_shares(std::size_t a, P* shares) const {
    P squares(0);
    for (std::size_t i = 0; i < count_; ++i) {
      shares[i] = z_[i] / distance(i, a);
      squares += shares[i] * shares[i];
    }
    const P factor = P(1) / math::sqrt(squares);
    for (std::size_t i = 0; i < count_; ++i) shares[i] *= factor;
  }
  void combine(std::size_t m, std::size_t a, const P* vectors, P* out) {
    write_shares(a, shares_[0].data());
    for (std::size_t i = 0; i < count_; ++i) add_scaled(m, out, shares_[0][i], vectors + index_[i] * m);
  }
  /// The vectors of four roots from four of the vectors before at a time.
  void combine_four(std::size_t m, std::size_t a, const P* vectors, P* out) {
    for (std::size_t l = 0; l < 4; ++l) write_shares(a + l, shares_[l].data());
    std::size_t i = 0;
    for (; i + 4 <= count_; i += 4) {
      const P* v[4];
      for (std::size_t k = 0; k < 4; ++k) v[k] = vectors + index_[i + k] * m;
      for (std::size_t l = 0; l < 4; ++l) add_four(m, out + l * m, v, shares_[l].data() + i);
    }
    for (; i < count_; ++i)
      for (std::size_t l = 0; l < 4; ++l) add_scaled(m, out + l * m, shares_[l][i], vectors + index_[i] * m);
  }
  /// to += the sum of factors[k] v[k].
  [[gnu::noinline]] static void add_four(std::size_t m, P* __restrict to, const P* const* v, const P* factors) {
    const P *const a = v[0], *const b = v[1], *const c = v[2], *const d = v[3];
    const P p = factors[0], q = factors[1], r = factors[2], s = factors[3];
    for (std::size_t j = 0; j < m; ++j) to[j] += (p * a[j] + q * b[j]) + (r * c[j] + s * d[j]);
  }

  Storage<P, Extent> pole_, z_, offset_, cosine_, sine_;
  Storage<std::size_t, Extent> index_, origin_, first_, second_;
  std::array<Storage<P, Extent>, 4> shares_;
  std::size_t count_ = 0, turns_ = 0;
  P weight_ = P(0);
};

}  // namespace gastube::exact
