// SPDX-License-Identifier: MIT
#pragma once
/// The two loops that linear algebra is made of, kept out of line: compiled once, however many places call them.

#include <cstddef>

namespace gastube::exact {

/// to += factor * from, `length` numbers.
template <class P>
[[gnu::noinline]] void add_scaled(std::size_t length, P* to, P factor, const P* from) {
  if (factor == P(0)) return;
  for (std::size_t j = 0; j < length; ++j) to[j] += factor * from[j];
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
