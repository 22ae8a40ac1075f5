// SPDX-License-Identifier: MIT
#pragma once
/// LU factors of a few equations whose number is known at compile time: every entry takes part, in loops of fixed
/// length, which for so few is quicker than to look for zeros.

#include "gastube/support/lu.hpp"

namespace gastube {

namespace detail {
/// Calls f with 0, 1, ... N - 1 as compile-time numbers: a loop that is sure to be unrolled.
template <std::size_t N, class Function>
constexpr void unrolled(Function&& f) {
  [&]<std::size_t... I>(std::index_sequence<I...>) { (f(std::integral_constant<std::size_t, I>{}), ...); }
  (std::make_index_sequence<N>{});
}
}  // namespace detail

/// The same as Lu for small fixed N: scaled partial pivoting, nothing allocated. Scales only choose pivots and tell
/// what is singular; entries stay as they are, so that solve() has nothing to scale. Rows above the diagonal are kept
/// divided by it.
template <Real S, std::size_t N>
class DenseLu {
 public:
  explicit DenseLu(std::size_t) {}

  /// Row-major entries, to be written before factor().
  [[nodiscard]] S* entries() noexcept { return a_.data(); }
  /// True: what was written to the entries is there. The counterpart of SparseLu::take().
  [[nodiscard]] static constexpr bool take() { return true; }
  /// Nothing is kept from one factorisation to the next.
  static constexpr void forget_pattern() {}
  [[nodiscard]] static constexpr std::size_t size() noexcept { return N; }

  /// Factors the entries in place.
  /// @return false if the matrix is singular to working precision or holds a NaN
  [[nodiscard]] bool factor() {
    if (!scale()) return false;
    for (std::size_t k = 0; k < N; ++k) order_[k] = k;
    bool regular = true;
    detail::unrolled<N>([&](auto k) { regular = regular && eliminate<k>(); });
    return regular;
  }

  /// Replaces b by the solution of A x = b.
  void solve(S* b) const {
    solve([b](std::size_t i) { return b[i]; }, [b](std::size_t j, const S& x) { b[j] = x; });
  }
  /// Solves A x = b: right(i) is asked for b_i, in any order but before take(j, x_j) is told the first of the unknowns.
  template <class Right, class Take>
  void solve(Right&& right, Take&& take) const {
    std::array<S, N> w;
    detail::unrolled<N>([&](auto row) {
      constexpr std::size_t i = row;
      S sum = right(order_[i]);
      detail::unrolled<i>([&](auto j) { sum -= a_[i * N + j] * w[j]; });
      w[i] = sum;
    });
    detail::unrolled<N>([&](auto k) { w[k] = S(w[k] * a_[k * N + k]); });  // the diagonal holds reciprocals
    detail::unrolled<N>([&](auto back) {
      constexpr std::size_t i = N - 1 - back;
      S sum = w[i];
      detail::unrolled<back>([&](auto j) { sum -= a_[i * N + N - 1 - j] * w[N - 1 - j]; });
      w[i] = sum;
      take(i, sum);
    });
  }

 private:
  using P = Plain<S>;

  template <std::size_t K>
  [[nodiscard]] bool eliminate() {
    std::size_t p = K;
    P greatest = math::abs(value_of(a_[K * N + K])) * row_scale_[K];
    for (std::size_t i = K + 1; i < N; ++i)
      if (const P here = math::abs(value_of(a_[i * N + K])) * row_scale_[i]; here > greatest) p = i, greatest = here;
    if (!(greatest > P(8) * round_off<S> * column_size_[K])) return false;
    if (p != K) exchange(p, K);
    const S reciprocal = S(S(1) / a_[K * N + K]);
    a_[K * N + K] = reciprocal;
    detail::unrolled<N - 1 - K>([&](auto below) {
      constexpr std::size_t i = K + 1 + below;
      const S factor = S(a_[i * N + K] * reciprocal);
      detail::unrolled<N - 1 - K>([&](auto j) { a_[i * N + K + 1 + j] -= factor * a_[K * N + K + 1 + j]; });
      a_[i * N + K] = factor;
    });
    detail::unrolled<N - 1 - K>([&](auto j) { a_[K * N + K + 1 + j] *= reciprocal; });
    return true;
  }
  void exchange(std::size_t p, std::size_t k) {
    std::swap(order_[p], order_[k]);
    std::swap(row_scale_[p], row_scale_[k]);
    for (std::size_t j = 0; j < N; ++j) std::swap(a_[p * N + j], a_[k * N + j]);
  }
  /// Rows by their greatest entries; then columns by theirs.
  [[nodiscard]] bool scale() {
    P sum(0);  // finds a NaN, which no comparison does
    for (P& size : column_size_) size = P(0);
    for (std::size_t i = 0; i < N; ++i) {
      P greatest(0);
      for (std::size_t j = 0; j < N; ++j) {
        const P size = math::abs(value_of(a_[i * N + j]));
        greatest = math::max(greatest, size);
        sum += size;
      }
      if (!(greatest > P(0))) return false;
      row_scale_[i] = P(1) / greatest;
      for (std::size_t j = 0; j < N; ++j)
        column_size_[j] = math::max(column_size_[j], math::abs(value_of(a_[i * N + j])) * row_scale_[i]);
    }
    if (!math::is_finite(sum)) return false;
    for (const P size : column_size_)
      if (!(size > P(0))) return false;
    return true;
  }

  std::array<S, N * N> a_{};
  std::array<P, N> row_scale_{}, column_size_{};
  std::array<std::size_t, N> order_{};
};

namespace detail {
template <class S, std::size_t N, bool Small>
struct SmallLuOf {
  using type = Lu<S, N>;
};
template <class S, std::size_t N>
struct SmallLuOf<S, N, true> {
  using type = DenseLu<S, N>;
};
}  // namespace detail

/// DenseLu up to eight equations, else Lu.
template <class S, std::size_t N>
using SmallLu = typename detail::SmallLuOf<S, N, (N <= 8)>::type;

}  // namespace gastube
