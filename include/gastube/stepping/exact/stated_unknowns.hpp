// SPDX-License-Identifier: MIT
#pragma once
/// Unknowns that an algebraic equation of their own states outright: the current of an open contact or of a dark tube.
/// Their equation is no mirror image of how they act on others, which would hide that the rest of the circuit is
/// mutual.

#include "gastube/stepping/exact/elimination.hpp"

namespace gastube::exact {

/// Takes such unknowns out of G and puts them back into the results: G' = R G C is G without the entries beside their
/// diagonals, where C expresses x by x' and R s' by s. E stays as it is.
template <Real S, std::size_t Extent>
class StatedUnknowns {
 public:
  /// @param charges E, @param currents G, n x n row-major; must outlive restore()
  /// @param cleared room for G'
  [[gnu::cold]] void take_out(std::size_t n, const S* charges, const S* currents, S* cleared) {
    n_ = n;
    count_ = 0;
    currents_ = currents;
    make_room(stated_, n);
    for (std::size_t e = 0; e < n * n; ++e) cleared[e] = currents[e];
    for (std::size_t i = n; i-- > 0;)  // currents usually come behind the nodes, and are what is meant
      if (is_stated(i, charges)) stated_[count_++] = i;
    for (std::size_t c = 0; c < count_; ++c) clear(stated_[c], cleared);
  }
  [[nodiscard]] std::size_t count() const { return count_; }
  [[nodiscard]] std::size_t operator[](std::size_t k) const { return stated_[k]; }

  /// rows = C rows, for rows of n x width: unknowns by what determines them.
  void state_rows(S* rows, std::size_t width) const { add_shares(rows, width, 1, width, false); }
  /// The same for `count` unknown vectors that are rows of length n.
  void state_vectors(S* vectors, std::size_t count) const { add_shares(vectors, 1, n_, count, false); }
  /// vectors = vectors R, for `count` rows of length n: effects by source.
  void drive_vectors(S* vectors, std::size_t count) const { add_shares(vectors, 1, n_, count, true); }

 private:
  [[nodiscard]] const S& at(std::size_t i, std::size_t j) const { return currents_[i * n_ + j]; }
  /// No charge, a diagonal that is a safe pivot, no tie to another such unknown, and no entry that acts as it is acted
  /// on; nodes have such entries.
  [[nodiscard, gnu::cold]] bool is_stated(std::size_t i, const S* charges) const {
    bool alone = true;
    for (std::size_t k = 0; k < n_; ++k) {
      if (!is_nothing(charges[i * n_ + k]) || !is_nothing(charges[k * n_ + i])) return false;
      if (k == i || (is_nothing(at(i, k)) && is_nothing(at(k, i)))) continue;
      if (exceeds(at(i, k), at(i, i)) || exceeds(at(k, i), at(i, i)) || is_nothing(S(at(i, k) - at(k, i))))
        return false;
      alone = false;
    }
    for (std::size_t c = 0; c < count_; ++c)
      if (!is_nothing(at(i, stated_[c])) || !is_nothing(at(stated_[c], i))) return false;
    return !alone;
  }
  [[nodiscard]] static bool exceeds(const S& a, const S& b) {
    return !(math::abs(value_of(a)) <= math::abs(value_of(b)));  // a NaN does
  }
  [[gnu::cold]] void clear(std::size_t i, S* cleared) const {
    for (std::size_t k = 0; k < n_; ++k) {
      if (k == i || is_nothing(at(k, i))) continue;
      const S share = S(at(k, i) / at(i, i));
      for (std::size_t j = 0; j < n_; ++j)
        if (j != i && !is_nothing(at(i, j))) cleared[k * n_ + j] -= share * at(i, j);
      cleared[k * n_ + i] = S(0);
    }
    for (std::size_t j = 0; j < n_; ++j)
      if (j != i) cleared[i * n_ + j] = S(0);
  }
  /// Entry i of each of `count` vectors loses its share of entry j; entries and vectors so far apart.
  [[gnu::cold]] void add_shares(S* from, std::size_t apart, std::size_t next, std::size_t count, bool by_column) const {
    for (std::size_t c = 0; c < count_; ++c) {
      const std::size_t i = stated_[c];
      for (std::size_t j = 0; j < n_; ++j) {
        const S& entry = by_column ? at(j, i) : at(i, j);
        if (j == i || is_nothing(entry)) continue;
        const S share = S(entry / at(i, i));
        for (std::size_t k = 0; k < count; ++k) from[i * apart + k * next] -= share * from[j * apart + k * next];
      }
    }
  }

  std::size_t n_ = 0, count_ = 0;
  const S* currents_ = nullptr;
  Storage<std::size_t, Extent> stated_{};
};

}  // namespace gastube::exact
