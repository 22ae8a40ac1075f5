// SPDX-License-Identifier: MIT
#pragma once
/// What tests of modes share: sums of modes, and the same motion by scaled and squared Taylor series.

#include <gastube/stepping/exact/modes.hpp>

#include <cmath>
#include <cstddef>
#include <vector>

namespace mode_checks {

using gastube::exact::Complex;
using Matrix = std::vector<long double>;  // n x n, row-major

/// Matrix of v(0) -> v(t) as the modes give it; with `slope`, its derivative by t.
template <class S, std::size_t Extent>
std::vector<S> motion(const gastube::exact::Modes<S, Extent>& modes, S t, bool slope = false) {
  const std::size_t m = modes.order();
  std::vector<S> result(m * m, S(0));
  for (std::size_t i = 0; i < modes.groups(); ++i) {
    const auto& group = modes.group(i);
    const S size = gastube::math::exp(S(group.growth * t)), angle = S(group.turn * t);
    const Complex<S> wave{S(size * gastube::math::cos(angle)), S(size * gastube::math::sin(angle))};
    for (std::size_t c = 0; c < m; ++c) {
      std::vector<Complex<S>> term(group.size), sum(group.size), next(group.size);
      for (std::size_t k = 0; k < group.size; ++k) sum[k] = term[k] = modes.row(group.first + k, c);
      for (std::size_t p = 1; p <= group.degree; ++p) {
        for (std::size_t k = 0; k < group.size; ++k) {
          next[k] = {};
          for (std::size_t l = 0; l < group.size; ++l)
            next[k] += S(t / S(double(p))) * modes.coupling(i, k, l) * term[l];
        }
        term = next;
        for (std::size_t k = 0; k < group.size; ++k) sum[k] += term[k];
      }
      if (slope)
        for (std::size_t k = 0; k < group.size; ++k) {
          next[k] = Complex<S>{group.growth, group.turn} * sum[k];
          for (std::size_t l = 0; l < group.size; ++l) next[k] += modes.coupling(i, k, l) * sum[l];
          if (k + 1 == group.size) sum = next;
        }
      for (std::size_t r = 0; r < m; ++r)
        for (std::size_t k = 0; k < group.size; ++k)
          result[r * m + c] += (wave * modes.column(group.first + k, r) * sum[k]).re;
    }
  }
  return result;
}

inline Matrix product(const Matrix& a, const Matrix& b) {
  const auto n = std::size_t(std::lround(std::sqrt(double(a.size()))));
  Matrix c(n * n, 0.0L);
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t k = 0; k < n; ++k)
      for (std::size_t j = 0; j < n; ++j) c[i * n + j] += a[i * n + k] * b[k * n + j];
  return c;
}
/// E^-1 K times -1.
inline Matrix rates(std::size_t n, Matrix e, Matrix k) {
  for (auto& entry : k) entry = -entry;
  std::vector<long double> row(n), column(n);

  if (!gastube::exact::solve_sides<long double>(n, e.data(), {k.data(), n}, {}, row.data(), column.data())) k.clear();
  return k;
}
/// exp(a t) by 30 terms of a Taylor series at t / 2^s, squared s times; E is left balanced by the caller.
inline Matrix exponential(Matrix a, long double t) {
  const auto n = std::size_t(std::lround(std::sqrt(double(a.size()))));
  std::vector<long double> scale(n);
  gastube::exact::balance(n, a.data(), scale.data());
  long double size = 0;
  for (auto& entry : a) size = std::fmax(size, std::fabs(entry *= t));
  const int halvings = size > 0 ? std::max(0, std::ilogb(size * static_cast<long double>(n)) + 4) : 0;
  Matrix sum(n * n, 0.0L), term(n * n, 0.0L);
  for (std::size_t i = 0; i < n; ++i) term[i * n + i] = 1;
  for (auto& entry : a) entry = std::ldexp(entry, -halvings);
  for (int p = 1; p <= 24; ++p) {
    term = product(term, a);
    for (auto& entry : term) entry /= p;
    for (std::size_t i = 0; i < n * n; ++i) sum[i] += term[i];
  }
  for (int s = 0; s < halvings; ++s) {  // of exp - 1, so that slow parts keep their digits
    term = product(sum, sum);
    for (std::size_t i = 0; i < n * n; ++i) sum[i] += sum[i] + term[i];
  }
  for (std::size_t i = 0; i < n; ++i) sum[i * n + i] += 1;
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = 0; j < n; ++j) sum[i * n + j] *= scale[i] / scale[j];
  return sum;
}

/// Greatest gap of the modes' motion from the series, over balanced entries: 1 is the size of what moves.
template <class S, std::size_t Extent>
double motion_gap(const gastube::exact::Modes<S, Extent>& modes, const std::vector<S>& e, const std::vector<S>& k,
                  S t) {
  const std::size_t n = modes.order();
  Matrix a = rates(n, Matrix(e.begin(), e.end()), Matrix(k.begin(), k.end())), balanced = a;
  std::vector<long double> scale(n);
  gastube::exact::balance(n, balanced.data(), scale.data());
  const Matrix expected = exponential(a, static_cast<long double>(t));
  const auto got = motion(modes, t);
  double gap = 0;
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = 0; j < n; ++j) {
      const double here =
          double(std::fabs(static_cast<long double>(got[i * n + j]) - expected[i * n + j]) * scale[j] / scale[i]);
      gap = here > gap || std::isnan(here) ? (std::isnan(here) ? 1e300 : here) : gap;
    }
  return gap;
}

}  // namespace mode_checks
