// SPDX-License-Identifier: MIT
#pragma once
/// The loops that linear algebra is made of, kept out of line: compiled once, however many places call them. Four
/// numbers are read before any is written, so that compilers see that they may be worked on together.

#include <cstddef>

namespace gastube::exact {

/// to += factor * from, `length` numbers.
template <class P>
[[gnu::noinline]] void add_scaled(std::size_t length, P* to, P factor, const P* from) {
  if (factor == P(0)) return;
  std::size_t j = 0;
  for (; j + 4 <= length; j += 4) {
    const P sum[4] = {to[j] + factor * from[j], to[j + 1] + factor * from[j + 1], to[j + 2] + factor * from[j + 2],
                      to[j + 3] + factor * from[j + 3]};
    for (std::size_t k = 0; k < 4; ++k) to[j + k] = sum[k];
  }
  for (; j < length; ++j) to[j] += factor * from[j];
}
/// Replaces (a, b) by (c a - s b, s a + c b), `length` pairs.
template <class P>
[[gnu::noinline]] void rotate_vectors(std::size_t length, P* a, P* b, P c, P s) {
  std::size_t j = 0;
  for (; j + 2 <= length; j += 2) {
    const P x[2] = {c * a[j] - s * b[j], c * a[j + 1] - s * b[j + 1]};
    const P y[2] = {s * a[j] + c * b[j], s * a[j + 1] + c * b[j + 1]};
    for (std::size_t k = 0; k < 2; ++k) a[j + k] = x[k], b[j + k] = y[k];
  }
  if (j == length) return;
  const P x = a[j];
  a[j] = c * x - s * b[j];
  b[j] = s * x + c * b[j];
}
template <class P>
[[nodiscard, gnu::noinline]] P dot(std::size_t length, const P* a, const P* b) {
  P first(0), second(0), third(0), fourth(0);  // four sums at a time: none waits for the one before
  std::size_t j = 0;
  for (; j + 4 <= length; j += 4) {
    first += a[j] * b[j];
    second += a[j + 1] * b[j + 1];
    third += a[j + 2] * b[j + 2];
    fourth += a[j + 3] * b[j + 3];
  }
  for (; j < length; ++j) first += a[j] * b[j];
  return (first + second) + (third + fourth);
}

}  // namespace gastube::exact
