// SPDX-License-Identifier: MIT
#pragma once
/// Which unknown nothing determines, once it is known that something is wrong with E x' + G x = s.

#include "gastube/stepping/exact/sparse_rows.hpp"

namespace gastube::exact {

/// The first of the unknowns that take most part in a direction.
template <Real S>
[[nodiscard]] std::size_t foremost(std::size_t n, const S* direction) {
  std::size_t first = 0;
  for (std::size_t i = 1; i < n; ++i)
    if (math::abs(value_of(direction[i])) > Plain<S>(1.001) * math::abs(value_of(direction[first]))) first = i;
  return first;
}

/// Looks for a rate at which E * rate + G is regular: if there is one, all unknowns are determined.
/// @param room for n x n numbers, @param errors for n
/// @return an unknown that is not determined, or n
template <Real S, std::size_t Extent>
[[nodiscard, gnu::cold]] std::size_t undetermined(std::size_t n, const SparseRows<S, Extent>& charges,
                                                  const SparseRows<S, Extent>& currents, Elimination<S, Extent>& work,
                                                  S* room, Plain<S>* errors) {
  using P = Plain<S>;
  // per second; unlikely to hit a natural frequency, and far enough apart that E and G each get their say
  for (const double rate : {1.7e-3, 1.3, 1.9e3, 1.1e6, 1.5e9}) {
    work.begin(n, n);
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < n; ++j) room[j] = S(0), errors[j] = P(0);
      const auto add = [&](std::size_t j, const S& entry) {
        room[j] += entry;
        errors[j] += round_off<S> * math::abs(value_of(entry));
      };
      charges.each(i, [&](std::size_t j, const S& entry) { add(j, S(S(rate) * entry)); });
      currents.each(i, add);
      for (std::size_t j = 0; j < n; ++j) work.set(i, j, room[j], errors[j]);
    }
    work.run();
    if (work.rank() == n) return n;
  }
  work.kernel(room);
  return foremost(n, room);
}

}  // namespace gastube::exact
