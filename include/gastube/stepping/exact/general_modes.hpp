// SPDX-License-Identifier: MIT
#pragma once
/// Modes of E v' + K v = 0 for any real matrices, E regular. Rates that differ by many powers of ten are found in
/// tiers: the fastest first, then the rest on the subspace that is left, where the round-off of the fast ones is gone.

#include "gastube/stepping/exact/feeding_order.hpp"
#include "gastube/stepping/exact/grouping.hpp"
#include "gastube/stepping/exact/modal_basis.hpp"
#include "gastube/stepping/exact/real_basis.hpp"
#include "gastube/stepping/exact/right_sides.hpp"
#include "gastube/stepping/exact/schur.hpp"

#include <cstddef>

namespace gastube::exact {

/// Whether all went well.
enum class ModesStatus { found, singular, not_settled };

template <class P, std::size_t Extent>
class GeneralModes {
  static constexpr std::size_t Square = extent_product(Extent, Extent);
  using C = Complex<P>;
  using Matrix = Storage<P, Square>;
  using ComplexMatrix = Storage<C, Square>;

 public:
  /// E and K are m x m, row-major. Rates closer than `together` (relative) share a group even if uncoupled.
  GeneralModes(std::size_t m, const P* e, const P* k, P together)
      : m_(m)
      , e_(e)
      , k_(k)
      , together_(together)
      , right_(zeros<P, Square>(m * m))
      , left_(right_)
      , small_e_(right_)
      , small_k_(right_)
      , z_(right_)
      , product_(zeros<P, extent_product(2, Square)>(2 * m * m))
      , scale_(zeros<P, Extent>(m))
      , size_(scale_)
      , work_(scale_)
      , noise_(scale_)
      , t_(filled<C, Square>(m * m, {}))
      , u_(t_)
      , y_(t_)
      , x_(t_)
      , row_(filled<C, Extent>(m, {}))
      , order_(zeros<std::size_t, Extent>(m))
      , block_(order_) {}

  [[nodiscard]] ModesStatus find(ModalBasis<P, Extent>& found) {
    found.columns = found.count = 0;
    std::size_t n = m_;
    while (n > 0) {
      if (!prepare_tier(n)) return ModesStatus::singular;
      put_in_order(n);
      reduce_to_hessenberg(n, small_k_.data(), z_.data(), size_.data());
      if (!QrSteps<P>(n, small_k_.data(), z_.data()).run()) return ModesStatus::not_settled;
      Separation<P> parts(n, t_.data(), u_.data(), y_.data(), x_.data(), row_.data(), noise_.data());
      parts.start(small_k_.data(), z_.data(), block_.data());
      const std::size_t fast = part_fast(parts);
      if (!take_groups(parts, fast, found)) return ModesStatus::singular;
      keep_rest(parts, fast);
      n -= fast;
    }
    return ModesStatus::found;
  }

 private:
  /// Leaves -E^-1 K of the present subspace in small_k_, and E^-1 times its left basis in left_.
  [[nodiscard, gnu::cold]] bool prepare_tier(std::size_t n) {
    if (n == m_)
      for (std::size_t i = 0; i < n * n; ++i) right_[i] = left_[i] = P(i % (n + 1) == 0 ? 1 : 0);
    compress(n, e_, small_e_.data());
    if (!solve_sides<P>(n, small_e_.data(), {left_.data(), m_}, {}, scale_.data(), size_.data())) return false;
    compress(n, k_, small_k_.data());
    for (std::size_t i = 0; i < n * n; ++i) small_k_[i] = -small_k_[i];
    return true;
  }
  /// left matrix right on the subspace, 0 for what is no more than the round-off of its terms: so conserved charge
  /// keeps.
  void compress(std::size_t n, const P* matrix, P* result) {
    P* const sums = product_.data();
    P* const sizes = sums + m_;
    for (std::size_t j = 0; j < n; ++j) {
      for (std::size_t i = 0; i < m_; ++i) {
        sums[i] = sizes[i] = P(0);
        for (std::size_t l = 0; l < m_; ++l) {
          const P term = matrix[i * m_ + l] * right_[j * m_ + l];
          sums[i] += term;
          sizes[i] += math::abs(term);
        }
      }
      for (std::size_t i = 0; i < n; ++i) {
        P sum(0), size(0);
        for (std::size_t l = 0; l < m_; ++l) {
          sum += left_[i * m_ + l] * sums[l];
          size += math::abs(left_[i * m_ + l]) * sizes[l];
        }
        result[i * n + j] = math::abs(sum) <= P(8) * round_off<P> * size ? P(0) : sum;
      }
    }
  }
  /// Balances -E^-1 K and makes it block triangular; z_ starts as the permutation. Later tiers stand in turned bases:
  /// their zeros are none of structure.
  [[gnu::cold]] void put_in_order(std::size_t n) {
    balance(n, small_k_.data(), scale_.data(), n == m_);
    for (std::size_t i = 0; i < n; ++i) {
      order_[i] = i;
      block_[i] = 0;
    }
    if (n == m_) find_feeding_order(n, small_k_.data(), order_.data(), block_.data(), z_.data());
    for (std::size_t i = 0; i < n * n; ++i) {
      small_e_[i] = small_k_[i];
      z_[i] = P(0);
    }
    for (std::size_t i = 0; i < n; ++i) {
      z_[order_[i] * n + i] = P(1);
      for (std::size_t j = 0; j < n; ++j) small_k_[i * n + j] = small_e_[order_[i] * n + order_[j]];
    }
  }
  /// The least rate of a block that belongs to this tier: within a factor 100 of the greatest, and on to the next wide
  /// gap.
  [[nodiscard]] P least_fast(const Separation<P>& parts, std::size_t begin, std::size_t end) {
    for (std::size_t k = begin; k < end; ++k) {
      const P size = size_of(parts.rate(k));
      std::size_t i = k;
      for (; i > begin && size_[i - 1] < size; --i) size_[i] = size_[i - 1];
      size_[i] = size;
    }
    std::size_t best = end;
    auto widest = P(0.9);
    for (std::size_t k = begin + 1; k < end; ++k) {
      if (!(size_[k] < P(1e-2) * size_[begin])) continue;
      if (best < end && size_[k - 1] < P(1e-6) * size_[begin]) break;
      const P ratio = size_[k] / size_[k - 1];
      if (ratio < widest) best = k, widest = ratio;
      if (ratio < P(0.5)) break;
    }
    return size_[lift_zeros(parts.scale(begin), begin, end, best) - 1];
  }
  /// Rates that may all be 0, spread by round-off, go to the next tier together, not some of them.
  [[nodiscard]] std::size_t lift_zeros(P scale, std::size_t begin, std::size_t end, std::size_t cut) const {
    for (std::size_t count = 1; count <= most_equal_rates && count <= end - begin; ++count) {
      const std::size_t first = end - count;
      const bool all = first == begin, apart = all || size_[first] < size_[first - 1] / P(2);
      if (apart && size_[first] <= equal_rates_spread<P>(count) * scale) {
        if (all) return end;
        cut = first < cut ? first : cut;
      }
    }
    return cut;
  }
  /// Brings the rates of this tier forward and uncouples the rest from them; returns how many they are.
  [[nodiscard, gnu::cold]] std::size_t part_fast(Separation<P>& parts) {
    const std::size_t n = parts.size();
    std::size_t fast = 0;
    for (std::size_t begin = 0, end = 0; begin < n; begin = end) {
      while (end < n && block_[end] == begin) ++end;
      const P least = least_fast(parts, begin, end);
      for (std::size_t k = begin; k < end; ++k)
        if (size_of(parts.rate(k)) >= least) parts.move(k, fast++);
    }
    return fast == n || parts.uncouple(0, fast, n, P(1e8)) ? fast : n;
  }

  /// Splits the first `end` places into groups; of complex conjugate ones, one is taken.
  [[nodiscard]] bool take_groups(Separation<P>& parts, std::size_t end, ModalBasis<P, Extent>& found) {
    for (Grouping<P> group(parts, end, together_); group.next();)
      if (!emit(parts, group.first(), group.size(), group.closed(), found)) return false;
    return true;
  }
  /// Writes group [first, first + size) to `found`.
  [[nodiscard]] bool emit(const Separation<P>& parts, std::size_t first, std::size_t size, bool closed,
                          ModalBasis<P, Extent>& found) {
    const std::size_t n = parts.size(), at = found.columns;
    BasisGroup<P>& group = found.groups[found.count++];
    group = {at, size, !closed, false, P(0)};
    const C mean = mean_rate(parts, first, size, closed);
    P greatest(0), scale(0);
    for (std::size_t k = 0; k < size; ++k) {
      group.spread = math::max(group.spread, size_of(parts.rate(first + k) - mean));
      greatest = math::max(greatest, size_of(parts.rate(first + k)));
      scale = math::max(scale, parts.scale(first + k));
      for (std::size_t l = 0; l < size; ++l) found.block[(at + k) * m_ + l] = parts.entry(first + k, first + l);
    }
    found.columns += size;
    if (closed && size > 1 && greatest <= equal_rates_spread<P>(size) * scale) {
      group.still = true;
      group.spread = P(0);
    }
    if (closed) {
      real_vectors(n, size, parts.column(first), right_.data(), z_.data(), false);
      for (std::size_t i = 0; i < size * m_; ++i) found.right[at * m_ + i] = {z_[i]};
      real_vectors(n, size, parts.row(first), left_.data(), z_.data(), true);
      for (std::size_t i = 0; i < size * m_; ++i) found.left[at * m_ + i] = {z_[i]};
      return make_dual(at, size, found);
    }
    for (std::size_t k = 0; k < size; ++k)
      for (std::size_t i = 0; i < m_; ++i) {
        C& right = found.right[(at + k) * m_ + i] = {};
        C& left = found.left[(at + k) * m_ + i] = {};
        for (std::size_t j = 0; j < n; ++j) {
          right += P(scale_[j] * right_[j * m_ + i]) * parts.column(first + k)[j];
          left += P(left_[j * m_ + i] / scale_[j]) * parts.row(first + k)[j];
        }
      }
    return true;
  }
  /// A real basis of some vectors of the subspace (n numbers each), in full coordinates (m numbers each).
  void real_vectors(std::size_t n, std::size_t count, const C* vectors, const P* basis, P* result, bool left) {
    P* const short_ones = small_k_.data();
    real_basis(n, count, vectors, short_ones, product_.data());
    for (std::size_t k = 0; k < count; ++k)
      for (std::size_t i = 0; i < m_; ++i) {
        P sum(0);
        for (std::size_t j = 0; j < n; ++j)
          sum += short_ones[k * n + j] * (left ? P(1) / scale_[j] : scale_[j]) * basis[j * m_ + i];
        result[k * m_ + i] = sum;
      }
  }
  /// Makes left E right = 1 for a real group, and its block -left K right.
  [[nodiscard, gnu::cold]] bool make_dual(std::size_t at, std::size_t size, ModalBasis<P, Extent>& found) {
    C* const left = found.left.data() + at * m_;
    // left matrix right, 0 if no more than the round-off of its terms
    const auto between = [&](const P* matrix, std::size_t k, std::size_t l) {
      P sum(0), size_of_terms(0);
      for (std::size_t i = 0; i < m_; ++i)
        for (std::size_t j = 0; j < m_; ++j) {
          const P term = left[k * m_ + i].re * matrix[i * m_ + j] * found.right[(at + l) * m_ + j].re;
          sum += term;
          size_of_terms += math::abs(term);
        }
      return P(math::abs(sum) <= P(8) * round_off<P> * size_of_terms ? 0 : sum);
    };
    for (std::size_t k = 0; k < size; ++k)
      for (std::size_t l = 0; l < size; ++l) small_e_[k * size + l] = between(e_, k, l);
    for (std::size_t i = 0; i < size * m_; ++i) z_[i] = left[i].re;
    if (!solve_sides<P>(size, small_e_.data(), {z_.data(), m_}, {}, size_.data(), work_.data())) return false;
    for (std::size_t i = 0; i < size * m_; ++i) left[i].re = z_[i];
    for (std::size_t k = 0; k < size; ++k)
      for (std::size_t l = 0; l < size; ++l) found.block[(at + k) * m_ + l] = {P(-between(k_, k, l))};
    if (size == 1) found.groups[found.count - 1].still = size_of(found.block[at * m_]) == P(0);
    return true;
  }
  /// The subspace of the slower rates becomes the present one.
  [[gnu::cold]] void keep_rest(const Separation<P>& parts, std::size_t fast) {
    const std::size_t n = parts.size(), rest = n - fast;
    if (rest == 0) return;
    real_vectors(n, rest, parts.column(fast), right_.data(), z_.data(), false);
    for (std::size_t i = 0; i < rest * m_; ++i) right_[i] = z_[i];
    real_vectors(n, rest, parts.row(fast), left_.data(), z_.data(), true);
    for (std::size_t i = 0; i < rest * m_; ++i) left_[i] = z_[i];
  }

  std::size_t m_;
  const P* e_;
  const P* k_;
  P together_;
  Matrix right_, left_;                            // bases of the present subspace, vectors contiguous
  Matrix small_e_, small_k_, z_;                   // of the present subspace
  Storage<P, extent_product(2, Square)> product_;  // room for sums
  Storage<P, Extent> scale_, size_, work_, noise_;
  ComplexMatrix t_, u_, y_, x_;
  Storage<C, Extent> row_;
  Storage<std::size_t, Extent> order_, block_;
};

}  // namespace gastube::exact
