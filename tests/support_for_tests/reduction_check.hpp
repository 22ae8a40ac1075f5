// SPDX-License-Identifier: MIT
#pragma once
/// How far a reduction is from what it promises, each as a share of the terms that should cancel.

#include <gastube/stepping/exact/reduction.hpp>

#include "support_for_tests/linear_net.hpp"

#include <cmath>
#include <random>
#include <vector>

namespace reduction_check {

using Vector = std::vector<long double>;

template <class S>
[[nodiscard]] long double wide(const S& x) {
  return static_cast<long double>(x);
}

/// Greatest share that is left of sums E p + G q - r, row by row; p may be a difference of vectors of size `p_size`.
template <class Net>
[[nodiscard]] double left_over(const Net& net, const Vector& p, const Vector& q, const Vector& r,
                               const Vector& p_size) {
  long double worst = 0;
  for (std::size_t i = 0; i < net.n; ++i) {
    long double sum = -r[i], size = std::fabs(r[i]);
    for (std::size_t j = 0; j < net.n; ++j) {
      const long double e = wide(net.charges[i * net.n + j]) * p[j], g = wide(net.currents[i * net.n + j]) * q[j];
      sum += e + g;
      size += std::fabs(wide(net.charges[i * net.n + j]) * p_size[j]) + std::fabs(g);
    }
    if (!std::isfinite(size)) return HUGE_VAL;
    if (std::fabs(sum) > worst * size) worst = std::fabs(sum) / size;
  }
  return double(worst);
}

/// Solution of a small regular system in long double, for states only.
[[nodiscard]] inline Vector solved(std::vector<long double> a, Vector b) {
  const std::size_t n = b.size();
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t p = k;
    const auto share = [&](std::size_t i) {
      long double greatest = 0;
      for (std::size_t j = k; j < n; ++j) greatest = std::fmax(greatest, std::fabs(a[i * n + j]));
      return std::fabs(a[i * n + k]) / greatest;
    };
    for (std::size_t i = k + 1; i < n; ++i)
      if (share(i) > share(p)) p = i;
    for (std::size_t j = 0; j < n; ++j) std::swap(a[p * n + j], a[k * n + j]);
    std::swap(b[p], b[k]);
    for (std::size_t i = 0; i < n; ++i) {
      if (i == k) continue;
      const long double f = a[i * n + k] / a[k * n + k];
      for (std::size_t j = k; j < n; ++j) a[i * n + j] -= f * a[k * n + j];
      b[i] -= f * b[k];
    }
  }
  for (std::size_t k = 0; k < n; ++k) b[k] /= a[k * n + k];
  return b;
}

struct Gaps {
  double flow = 0;      ///< E x' + G x = s along any solution, for sources with any slope and curvature
  double jump = 0;      ///< E (x+ - x-) + G xi = 0
  double impulse = 0;   ///< E xi = 0
  double identity = 0;  ///< states of X v are v, as a share of the greatest unknown
};

/// x = X v + D0 s + D1 s'.
template <class Reduction>
[[nodiscard]] Vector unknowns(const Reduction& r, const Vector& v, const Vector& s, const Vector& slope) {
  Vector x(r.size(), 0);
  for (std::size_t i = 0; i < r.size(); ++i) {
    for (std::size_t k = 0; k < r.order(); ++k) x[i] += wide(r.shape(i, k)) * v[k];
    for (std::size_t j = 0; j < r.size(); ++j)
      x[i] += wide(r.forced(i, j)) * s[j] + wide(r.forced_by_slope(i, j)) * slope[j];
  }
  return x;
}

/// v' from E_r v' + K_r v = Q s.
template <class Reduction>
[[nodiscard]] Vector rates(const Reduction& r, const Vector& v, const Vector& s) {
  const std::size_t m = r.order();
  Vector right(m, 0);
  for (std::size_t k = 0; k < m; ++k) {
    for (std::size_t j = 0; j < r.size(); ++j) right[k] += wide(r.drive(k, j)) * s[j];
    for (std::size_t l = 0; l < m; ++l) right[k] -= wide(r.current_matrix()[k * m + l]) * v[l];
  }
  return solved({r.charge_matrix(), r.charge_matrix() + m * m}, right);
}

/// Tries all promises on random states, sources and unknowns before a jump.
template <class Net, class Reduction, class Random>
[[nodiscard]] Gaps gaps(const Net& net, Reduction& r, Random& random) {
  using S = typename std::decay_t<decltype(net.charges)>::value_type;
  std::uniform_real_distribution<double> any(-1, 1);
  const auto vector = [&](std::size_t length) {
    Vector v(length);
    for (auto& entry : v) entry = wide(any(random));
    return v;
  };
  const Vector v = vector(r.order()), s = vector(net.n), slope = vector(net.n), curvature = vector(net.n);
  const Vector none(net.n, 0);
  Gaps result;
  const Vector rate = unknowns(r, rates(r, v, s), slope, curvature);
  result.flow = left_over(net, rate, unknowns(r, v, s, slope), s, rate);

  std::vector<S> before(net.n), kept(net.n), change(net.n), impulse(net.n);
  for (auto& entry : before) entry = S(any(random));
  r.conserve(before.data(), kept.data());
  const Vector after = unknowns(r, Vector(kept.begin(), kept.begin() + long(r.order())), s, slope);
  Vector both(net.n);
  for (std::size_t i = 0; i < net.n; ++i) {
    change[i] = S(after[i] - wide(before[i]));
    both[i] = std::fabs(after[i]) + std::fabs(wide(before[i]));
  }
  r.impulses(change.data(), impulse.data());
  const Vector step(change.begin(), change.end()), xi(impulse.begin(), impulse.end());
  result.jump = left_over(net, step, xi, none, both);
  result.impulse = left_over(net, xi, none, none, xi);

  std::vector<S> state(net.n), back(net.n);
  const Vector consistent = unknowns(r, v, none, none);
  for (std::size_t i = 0; i < net.n; ++i) state[i] = S(consistent[i]);
  r.conserve(state.data(), back.data());
  long double size = 0;
  for (const auto& entry : consistent) size = std::fmax(size, std::fabs(entry));
  for (std::size_t k = 0; k < r.order(); ++k)
    result.identity = std::fmax(result.identity, double(std::fabs(wide(back[k]) - v[k]) / size));
  return result;
}

}  // namespace reduction_check
