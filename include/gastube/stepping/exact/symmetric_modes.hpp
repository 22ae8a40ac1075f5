// SPDX-License-Identifier: MIT
#pragma once
/// Modes of E v' + K v = 0 for symmetric E and K, E positive definite, as circuits of resistors and capacitors give
/// them. Rotations that end only when each coupling is small beside the two rates it couples keep slow rates exact
/// beside fast ones. Source: J. Demmel, K. Veselic, Jacobi's method is more accurate than QR, SIAM J. Matrix Anal.
/// Appl. 13 (1992) 1204.

#include "gastube/stepping/exact/rank_one_update.hpp"
#include "gastube/stepping/exact/tridiagonal.hpp"
#include "gastube/support/storage.hpp"

#include <cstddef>
#include <utility>

namespace gastube::exact {

/// True if both are symmetric to round-off and E has a positive diagonal.
template <class P>
[[nodiscard, gnu::cold]] bool look_symmetric(std::size_t m, const P* e, const P* k) {
  for (const P* const a : {e, k})
    for (std::size_t i = 0; i < m; ++i) {
      if (a == e && !(a[i * m + i] > P(0))) return false;
      for (std::size_t j = 0; j < i; ++j) {
        if (a[i * m + j] == a[j * m + i]) continue;
        const P own = math::sqrt(math::abs(a[i * m + i])) * math::sqrt(math::abs(a[j * m + j]));
        const P size = math::abs(a[i * m + j]) + math::abs(a[j * m + i]) + own;
        if (!(math::abs(a[i * m + j] - a[j * m + i]) <= P(16) * round_off<P> * size)) return false;
      }
    }
  return true;
}

/// Solver with room for m unknowns.
template <class P, std::size_t Extent>
class SymmetricModes {
  static constexpr std::size_t Square = extent_product(Extent, Extent);
  static constexpr std::size_t few = 20;

 public:
  explicit SymmetricModes(std::size_t m)
      : m_(m)
      , v_(zeros<P, Square>(m * m))
      , g_(v_)
      , work_(v_)
      , rate_(zeros<P, Extent>(m))
      , beside_(rate_)
      , order_(zeros<std::size_t, Extent>(m))
      , change_(m) {}

  /// Finds V with V^T E V = 1 and V^T K V diagonal.
  /// @return false if E is not positive definite to working precision, or nothing settles
  [[nodiscard]] bool find(const P* e, const P* k) {
    if (!start_from_factor(e, k)) return false;
    project(k);
    if (!(m_ <= few ? rotate(P(0)) : settle_many(k))) return false;
    measure(e, k);
    return true;
  }
  /// From known modes, of which component r of mode k is `known[r * m + k]`, and `decays` the rates in ascending order,
  /// to those where K has grown by rho u u^T.
  /// @return false where digits would be lost: a rate falls to less than a hundredth
  [[nodiscard]] bool update(const P* known, const P* decays, const P* u, P rho, const P* e, const P* k) {
    if (!turn_from(known, decays, u, rho)) return false;
    measure(e, k);
    sort();
    for (std::size_t j = 0; j < m_; ++j)
      if (!(rate_[j] >= P(0.01) * decays[j])) return false;
    return true;
  }
  /// The same where K has shrunk: then what is left is settled on K itself.
  [[nodiscard]] bool update_down(const P* known, const P* decays, const P* u, P rho, const P* e, const P* k) {
    if (!turn_from(known, decays, u, rho)) return false;
    project(k);
    if (!rotate(P(1e-7))) return false;
    correct();
    measure(e, k);
    sort();
    return true;
  }
  /// All components: row r holds that of each mode.
  [[nodiscard]] const Storage<P, Square>& components() const { return v_; }
  [[nodiscard]] const Storage<P, Extent>& decays() const { return rate_; }
  void assign(const Storage<P, Square>& components, const Storage<P, Extent>& decays) {
    v_ = components;
    rate_ = decays;
  }
  /// Takes others in, and gives its own away.
  void exchange(Storage<P, Square>& components, Storage<P, Extent>& decays) {
    std::swap(v_, components);
    std::swap(rate_, decays);
  }
  [[nodiscard]] std::size_t size() const { return m_; }
  /// Component r of mode k.
  [[nodiscard]] P entry(std::size_t r, std::size_t k) const { return v_[r * m_ + k]; }
  /// Decay rate of mode k, 1/s: exactly 0 if no more than the round-off of its terms.
  [[nodiscard]] P decay(std::size_t k) const { return rate_[k]; }
  /// Orders modes by decay, slowest first.
  void sort() {
    bool sorted = true;
    for (std::size_t k = 0; k < m_; ++k) {
      std::size_t place = k;
      for (; place > 0 && rate_[order_[place - 1]] > rate_[k]; --place) order_[place] = order_[place - 1];
      order_[place] = k;
      sorted = sorted && place == k;
    }
    if (sorted) return;
    const auto arrange = [&](P* row) {
      for (std::size_t k = 0; k < m_; ++k) beside_[k] = row[order_[k]];
      for (std::size_t k = 0; k < m_; ++k) row[k] = beside_[k];
    };
    arrange(rate_.data());
    for (std::size_t r = 0; r < m_; ++r) arrange(v_.data() + r * m_);
  }

 private:
  /// Turns known vectors to those of K + rho u u^T.
  [[nodiscard]] bool turn_from(const P* known, const P* decays, const P* u, P rho) {
    P* const z = beside_.data();
    P* const size = rate_.data();
    for (std::size_t j = 0; j < m_; ++j) z[j] = size[j] = P(0);
    for (std::size_t r = 0; r < m_; ++r) {
      if (u[r] == P(0)) continue;
      for (std::size_t j = 0; j < m_; ++j) {
        const P term = known[r * m_ + j] * u[r];
        z[j] += term;
        size[j] += math::abs(term);
      }
    }
    for (std::size_t j = 0; j < m_; ++j)
      if (math::abs(z[j]) <= P(4) * round_off<P> * size[j]) z[j] = P(0);
    if (!change_.find(m_, decays, z, rho)) return false;
    transpose(known, g_.data());
    change_.turn(m_, g_.data(), work_.data());
    transpose(g_.data(), v_.data());
    return true;
  }
  /// Rotations alone would take long where modes are many: they start from vectors that are nearly right.
  [[nodiscard]] bool settle_many(const P* k) {
    if constexpr (Extent > few) {
      if (!start_from_tridiagonal()) return false;
      project(k);
      if (!rotate(P(1e-7))) return false;
      correct();
    }
    return true;
  }
  /// V = L^-T of E = L L^T, in the order of the coordinates' own rates: so that what is fast does not get into the
  /// vectors of what is slow.
  [[nodiscard]] bool start_from_factor(const P* e, const P* k) {
    for (std::size_t i = 0; i < m_; ++i) {
      rate_[i] = math::abs(k[i * m_ + i]) / e[i * m_ + i];
      std::size_t place = i;
      for (; place > 0 && rate_[order_[place - 1]] > rate_[i]; --place) order_[place] = order_[place - 1];
      order_[place] = i;
    }
    P* const l = work_.data();
    for (std::size_t i = 0; i < m_; ++i)
      for (std::size_t j = 0; j <= i; ++j) {
        const std::size_t r = order_[i], s = order_[j];
        const P sum = (e[r * m_ + s] + e[s * m_ + r]) / P(2) - dot(j, l + i * m_, l + j * m_);
        if (j < i)
          l[i * m_ + j] = sum / l[j * m_ + j];
        else if (sum > P(m_ + 8) * round_off<P> * e[r * m_ + r])
          l[i * m_ + i] = math::sqrt(sum);
        else
          return false;
      }
    for (P& v : v_) v = P(0);
    for (std::size_t i = m_; i-- > 0;) {
      P* const row = v_.data() + order_[i] * m_;
      row[i] = P(1);
      for (std::size_t j = i + 1; j < m_; ++j) add(row, -l[j * m_ + i], v_.data() + order_[j] * m_);
      for (std::size_t c = i; c < m_; ++c) row[c] /= l[i * m_ + i];
    }
    return true;
  }
  void add(P* to, P factor, const P* from) const { add_scaled(m_, to, factor, from); }
  /// In blocks that stay at hand.
  void transpose(const P* from, P* to) const {
    constexpr std::size_t block = 8;
    for (std::size_t i = 0; i < m_; i += block)
      for (std::size_t j = 0; j < m_; j += block)
        for (std::size_t r = i; r < m_ && r < i + block; ++r)
          for (std::size_t s = j; s < m_ && s < j + block; ++s) to[s * m_ + r] = from[r * m_ + s];
  }
  /// G = V^T K V.
  void project(const P* k) {
    for (std::size_t i = 0; i < m_; ++i) {
      P* const row = work_.data() + i * m_;
      for (std::size_t j = 0; j < m_; ++j) row[j] = P(0);
      for (std::size_t j = 0; j < m_; ++j)
        add(row, j == i ? k[i * m_ + i] : (k[i * m_ + j] + k[j * m_ + i]) / P(2), v_.data() + j * m_);
    }
    for (P& g : g_) g = P(0);
    for (std::size_t r = 0; r < m_; ++r)
      for (std::size_t i = 0; i < m_; ++i) add(g_.data() + i * m_, v_[r * m_ + i], work_.data() + r * m_);
    for (std::size_t i = 0; i < m_; ++i)
      for (std::size_t j = 0; j < i; ++j) g_[j * m_ + i] = g_[i * m_ + j];
  }
  [[nodiscard]] bool start_from_tridiagonal() {
    reduce_to_tridiagonal(m_, g_.data(), rate_.data(), beside_.data());
    if (!settle_tridiagonal(m_, rate_.data(), beside_.data(), g_.data())) return false;
    for (std::size_t i = 0; i < m_; ++i)
      for (std::size_t j = 0; j < i; ++j) std::swap(g_[i * m_ + j], g_[j * m_ + i]);
    turn_by(g_.data());
    return true;
  }

  /// V = V Q.
  void turn_by(const P* q) {
    for (std::size_t i = 0; i < m_; ++i) {
      P* const row = work_.data() + i * m_;
      for (std::size_t j = 0; j < m_; ++j) row[j] = P(0);
      for (std::size_t j = 0; j < m_; ++j) add(row, v_[i * m_ + j], q + j * m_);
    }
    std::swap(v_, work_);
  }

  /// Rotates until no coupling counts; those below `small` times the gap of their rates may be left to correct().
  [[nodiscard]] bool rotate(P small) {
    P sum(0);  // finds a NaN, which no comparison does
    for (std::size_t i = 0; i < m_ * m_; ++i) sum += math::abs(g_[i]);
    if (!math::is_finite(sum)) return false;
    const P floor = round_off<P> * round_off<P> * sum / P(m_);
    for (int sweep = 0; sweep < 40; ++sweep) {
      bool quiet = true;
      for (std::size_t i = 0; i < m_; ++i)
        for (std::size_t j = i + 1; j < m_; ++j)
          if (counts(i, j, small, floor)) {
            rotate_pair(i, j);
            quiet = false;
          }
      if (quiet) return true;
    }
    return false;
  }
  [[nodiscard]] bool counts(std::size_t i, std::size_t j, P small, P floor) const {
    const P link = math::abs(g_[i * m_ + j]);
    if (link <= floor) return false;
    const P a = math::abs(g_[i * m_ + i]), b = math::abs(g_[j * m_ + j]);
    if (link <= round_off<P> * math::sqrt(a) * math::sqrt(b)) return false;
    const P gap = math::abs(g_[i * m_ + i] - g_[j * m_ + j]);
    return link > small * gap || link * (link / gap) > round_off<P> * (a < b ? a : b);
  }
  /// Makes g_ij zero. The rows of G are kept whole.
  void rotate_pair(std::size_t i, std::size_t j) {
    P* const gi = g_.data() + i * m_;
    P* const gj = g_.data() + j * m_;
    const P link = gi[j], half = (gj[j] - gi[i]) / (P(2) * link);
    const P t = std::copysign(P(1), half) / (math::abs(half) + std::hypot(half, P(1)));
    const P c = P(1) / std::hypot(t, P(1)), s = t * c;
    gi[i] -= t * link;
    gj[j] += t * link;
    gi[j] = gj[i] = P(0);
    for (std::size_t k = 0; k < m_; ++k) {
      P* const vk = v_.data() + k * m_;
      const P v = vk[i];
      vk[i] = c * v - s * vk[j];
      vk[j] = s * v + c * vk[j];
      if (k == i || k == j) continue;
      const P g = gi[k];
      g_[k * m_ + i] = gi[k] = c * g - s * gj[k];
      g_[k * m_ + j] = gj[k] = s * g + c * gj[k];
    }
  }
  /// V += V X to first order, with what the rotations left off the diagonal.
  void correct() {
    for (std::size_t i = 0; i < m_; ++i) {
      rate_[i] = g_[i * m_ + i];
      g_[i * m_ + i] = P(0);
      for (std::size_t j = 0; j < i; ++j) {
        const P gap = rate_[j] - rate_[i], link = g_[i * m_ + j];
        const P x = math::abs(link) < P(1e-6) * math::abs(gap) ? link / gap : P(0);
        g_[i * m_ + j] = x;
        g_[j * m_ + i] = -x;
      }
    }
    for (std::size_t i = 0; i < m_; ++i) {
      P* const row = work_.data() + i * m_;
      for (std::size_t j = 0; j < m_; ++j) row[j] = v_[i * m_ + j];
      for (std::size_t j = 0; j < m_; ++j) add(row, v_[i * m_ + j], g_.data() + j * m_);
    }
    std::swap(v_, work_);
  }
  /// Rates and lengths straight from E and K.
  void measure(const P* e, const P* k) {
    P* const length = beside_.data();
    P* const size = work_.data();
    for (std::size_t j = 0; j < m_; ++j) length[j] = rate_[j] = size[j] = P(0);
    for (std::size_t r = 0; r < m_; ++r)
      for (std::size_t s = 0; s < m_; ++s) {
        const P mass = e[r * m_ + s], link = k[r * m_ + s];
        if (mass == P(0) && link == P(0)) continue;
        for (std::size_t j = 0; j < m_; ++j) {
          const P product = v_[r * m_ + j] * v_[s * m_ + j], term = link * product;
          length[j] += mass * product;
          rate_[j] += term;
          size[j] += math::abs(term);
        }
      }
    for (std::size_t j = 0; j < m_; ++j) {
      rate_[j] = math::abs(rate_[j]) <= P(8) * round_off<P> * size[j] ? P(0) : rate_[j] / length[j];
      length[j] = P(1) / math::sqrt(length[j]);
    }
    for (std::size_t r = 0; r < m_; ++r)
      for (std::size_t j = 0; j < m_; ++j) v_[r * m_ + j] *= length[j];
  }

  std::size_t m_;
  Storage<P, Square> v_, g_, work_;  // v_: column k is mode k
  Storage<P, Extent> rate_, beside_;
  Storage<std::size_t, Extent> order_;
  RankOneUpdate<P, Extent> change_;
};

}  // namespace gastube::exact
