// SPDX-License-Identifier: MIT
#pragma once
/// Holds the slopes that a part writes against differences of the currents that it writes, and what enters it against
/// what leaves it.

#include <gastube/circuit/part.hpp>

#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <vector>

/// One evaluation of a part alone among `nodes` nodes (with ground), at unknowns x: nodes first, then its own.
template <class Part, class Memory>
struct WrittenPart {
  using S = typename Part::Scalar;
  std::size_t nodes;
  const Part& part;
  const Memory& memory;
  std::vector<S> followers = std::vector<S>(8, S(0));

  [[nodiscard]] std::vector<S> currents(const std::vector<S>& x, std::vector<S>* slopes = nullptr) const {
    const std::size_t n = x.size();
    std::vector<S> charges(n), flows(n);
    if (slopes) slopes->assign(n * n, S(0));
    gastube::Equations<S> equations(n, x.data(), x.data(), S(1), charges.data(), flows.data(),
                                    slopes ? slopes->data() : nullptr);
    gastube::PartEquations<S> eq({S(0), x.data(), followers.data()}, {nodes - 1, 0}, equations);
    part.write(eq, memory);
    return flows;
  }
  /// The matrix with the weight 0 of currents: what is stored.
  [[nodiscard]] std::vector<S> stores(const std::vector<S>& x) const {
    const std::size_t n = x.size();
    std::vector<S> charges(n), flows(n), slopes(n * n);
    gastube::Equations<S> equations(n, x.data(), x.data(), S(0), charges.data(), flows.data(), slopes.data());
    gastube::PartEquations<S> eq({S(0), x.data(), followers.data()}, {nodes - 1, 0}, equations);
    part.write(eq, memory);
    return slopes;
  }
};

/// @param x unknowns to look at; away from kinks
/// @param blur what rounding within the part may change a current by
template <class Part, class Memory>
void check_slopes(const Part& part, const Memory& memory, std::size_t nodes,
                  const std::vector<typename Part::Scalar>& x, typename Part::Scalar blur = 0) {
  using S = typename Part::Scalar;
  const WrittenPart<Part, Memory> written{nodes, part, memory};
  const std::size_t n = x.size();
  std::vector<S> stated, stores = written.stores(x);
  static_cast<void>(written.currents(x, &stated));
  for (std::size_t row = 0; row < n; ++row)
    for (std::size_t column = 0; column < n; ++column) {
      CAPTURE(row);
      CAPTURE(column);
      const auto flow = [&](S value) {
        std::vector<S> moved = x;
        moved[column] = value;
        return written.currents(moved)[row];
      };
      CHECK(slopes::agrees(flow, x[column], S(stated[row * n + column] - stores[row * n + column]), blur));
    }
}
