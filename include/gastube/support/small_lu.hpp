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

/// The same as Lu for small fixed N: scaled partial pivoting, nothing allocated.
template <Real S, std::size_t N>
class DenseLu {
 public:
  explicit DenseLu(std::size_t) {}

  /// Row-major entries, to be written before factor().
  [[nodiscard]] S* entries() noexcept { return a_.data(); }
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
    std::array<S, N> w;
    detail::unrolled<N>([&](auto row) {
      constexpr std::size_t i = row;
      S sum = S(b[order_[i]] * row_scale_[order_[i]]);
      detail::unrolled<i>([&](auto j) { sum -= a_[i * N + j] * w[j]; });
      w[i] = sum;
    });
    detail::unrolled<N>([&](auto back) {
      constexpr std::size_t i = N - 1 - back;
      S sum = w[i];
      detail::unrolled<back>([&](auto j) { sum -= a_[i * N + N - 1 - j] * w[N - 1 - j]; });
      w[i] = S(sum * a_[i * N + i]);  // the diagonal holds reciprocals
      b[i] = S(w[i] * column_scale_[i]);
    });
  }

 private:
  using P = Plain<S>;

  template <std::size_t K>
  [[nodiscard]] bool eliminate() {
    std::size_t p = K;
    P greatest = math::abs(value_of(a_[K * N + K]));
    for (std::size_t i = K + 1; i < N; ++i)
      if (const P here = math::abs(value_of(a_[i * N + K])); here > greatest) p = i, greatest = here;
    if (!(greatest > P(8) * round_off<S>)) return false;
    if (p != K) exchange(p, K);
    const S reciprocal = S(S(1) / a_[K * N + K]);
    a_[K * N + K] = reciprocal;
    detail::unrolled<N - 1 - K>([&](auto below) {
      constexpr std::size_t i = K + 1 + below;
      const S factor = S(a_[i * N + K] * reciprocal);
      a_[i * N + K] = factor;
      detail::unrolled<N - 1 - K>([&](auto j) { a_[i * N + K + 1 + j] -= factor * a_[K * N + K + 1 + j]; });
    });
    return true;
  }
  void exchange(std::size_t p, std::size_t k) {
    std::swap(order_[p], order_[k]);
    for (std::size_t j = 0; j < N; ++j) std::swap(a_[p * N + j], a_[k * N + j]);
  }
  [[nodiscard]] bool scale() {
    std::array<P, N> columns{};
    P sum(0);  // finds a NaN, which no comparison does
    for (std::size_t i = 0; i < N; ++i) {
      P greatest(0);
      for (std::size_t j = 0; j < N; ++j) {
        const P size = math::abs(value_of(a_[i * N + j]));
        greatest = math::max(greatest, size);
        sum += size;
      }
      if (!(greatest > P(0))) return false;
      row_scale_[i] = P(1) / greatest;
      for (std::size_t j = 0; j < N; ++j) {
        a_[i * N + j] = S(a_[i * N + j] * row_scale_[i]);
        columns[j] = math::max(columns[j], math::abs(value_of(a_[i * N + j])));
      }
    }
    if (!math::is_finite(sum)) return false;
    for (std::size_t j = 0; j < N; ++j) {
      if (!(columns[j] > P(0))) return false;
      column_scale_[j] = P(1) / columns[j];
    }
    for (std::size_t i = 0; i < N; ++i)
      for (std::size_t j = 0; j < N; ++j) a_[i * N + j] = S(a_[i * N + j] * column_scale_[j]);
    return true;
  }

  std::array<S, N * N> a_{};
  std::array<P, N> row_scale_{}, column_scale_{};
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
