// SPDX-License-Identifier: MIT
#pragma once
/// Vectors whose length is known at compile time (no heap) or only at run time, from one spelling.

#include <array>
#include <cstddef>
#include <vector>

namespace gastube {

/// Marks a length that is known only at run time.
inline constexpr std::size_t dynamic_extent = static_cast<std::size_t>(-1);

/// Sum of two lengths, dynamic if either is.
[[nodiscard]] constexpr std::size_t extent_sum(std::size_t a, std::size_t b) {
  return a == dynamic_extent || b == dynamic_extent ? dynamic_extent : a + b;
}
[[nodiscard]] constexpr std::size_t extent_product(std::size_t a, std::size_t b) {
  return a == dynamic_extent || b == dynamic_extent ? dynamic_extent : a * b;
}

namespace detail {
template <class T, std::size_t N>
struct StorageOf {
  using type = std::array<T, N>;
};
template <class T>
struct StorageOf<T, dynamic_extent> {
  using type = std::vector<T>;
};
}  // namespace detail

/// std::array<T, N>, or std::vector<T> for a dynamic length.
template <class T, std::size_t N>
using Storage = typename detail::StorageOf<T, N>::type;

/// A storage of `length` times `value`. For a fixed length `length` is ignored.
template <class T, std::size_t N>
[[nodiscard]] Storage<T, N> filled(std::size_t length, const T& value) {
  if constexpr (N == dynamic_extent)
    return Storage<T, N>(length, value);
  else {
    static_cast<void>(length);
    Storage<T, N> s;
    s.fill(value);
    return s;
  }
}
template <class T, std::size_t N>
[[nodiscard]] Storage<T, N> zeros(std::size_t length) {
  return filled<T, N>(length, T(0));
}

}  // namespace gastube
