// SPDX-License-Identifier: MIT
#pragma once
/// What passed in an instant: a jump moves charges and fluxes at once, so some unknowns without charge were without
/// bound for no time. The integral of each over the instant follows from what moved,
///   d q + (df/dx) impulse = 0,   where an unknown that holds charge has none.

#include "gastube/stepping/system.hpp"
#include "gastube/support/real.hpp"

#include <algorithm>
#include <vector>

namespace gastube {

/// For observers, not for the step path: it takes memory once, at the first jump.
template <HybridSystem System>
class Impulse {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;

  /// @param mode what held during the jump
  /// @return share of the charges that moved, against all there are, which no impulse accounts for; 0 but for rounding
  ///         where charge was conserved, and 0 where it lies within the round-off of the unknowns
  P find(const System& system, const Mode& mode, const Instant<S>& before, const Instant<S>& after) {
    size_ = system.unknowns();
    read(system, mode, before, after);
    scale();
    const std::size_t rank = eliminate();
    missing_ = P(0);
    for (std::size_t r = rank; r < rows_.size(); ++r) missing_ = std::max(missing_, math::abs(at(rows_[r], size_)));
    if (!(missing_ > rounding(before, after))) missing_ = P(0);
    substitute(rank);
    return greatest_ > P(0) ? missing_ / greatest_ : P(0);
  }
  /// Of the jump found last, the charge that no impulse accounts for and the greatest charge there was, each divided by
  /// the greatest capacity of its equation: V or A. What lies within the round-off of the unknowns is none missing.
  [[nodiscard]] P missing() const noexcept { return missing_; }
  [[nodiscard]] P greatest() const noexcept { return greatest_; }
  /// The integral of each unknown over the instant found last: C of a current, V s of a voltage. 0 where the equations
  /// leave it open, as in a loop of parts without resistance.
  [[nodiscard]] const std::vector<P>& passed() const noexcept { return passed_; }

 private:
  /// One row for each charge (an impulse moves none that an unknown holds) and one for each equation, the change of its
  /// charge on the right.
  void read(const System& system, const Mode& mode, const Instant<S>& before, const Instant<S>& after) {
    const std::size_t n = size_;
    const S great = S(P(1e9));  // s, so that charges vanish beside currents
    charges_.assign(n, S(0));
    currents_.assign(n, S(0));
    capacities_.assign(n * n, S(0));
    slopes_.assign(n * n, S(0));
    Equations<S> still(n, after.x, before.x, S(0), charges_.data(), currents_.data(), capacities_.data());
    system.write(after, mode, still);
    Equations<S> moving(n, after.x, before.x, great, charges_.data(), currents_.data(), slopes_.data());
    system.write(after, mode, moving);
    matrix_.assign(2 * n * (n + 1), P(0));
    sizes_.assign(2 * n, P(0));
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < n; ++j) {
        const P capacity = value_of(capacities_[i * n + j]);
        at(i, j) = capacity;
        at(n + i, j) = value_of(S((slopes_[i * n + j] - capacities_[i * n + j]) / great));
        sizes_[n + i] += math::abs(capacity) * (math::abs(value_of(before.x[j])) + math::abs(value_of(after.x[j])));
      }
      at(n + i, n) = -value_of(charges_[i]);
    }
  }
  /// What the greatest of the unknowns leaves in the least of the others as equations are solved, V or A.
  [[nodiscard]] P rounding(const Instant<S>& before, const Instant<S>& after) const {
    P most(0);
    for (std::size_t k = 0; k < size_; ++k)
      most = std::max({most, math::abs(value_of(before.x[k])), math::abs(value_of(after.x[k]))});
    return P(4) * round_off<S> * most;
  }
  void scale() {
    rows_.clear();
    columns_.resize(size_);
    greatest_ = P(0);
    for (std::size_t j = 0; j < size_; ++j) columns_[j] = j;
    for (std::size_t i = 0; i < 2 * size_; ++i) {
      P most(0);
      for (std::size_t j = 0; j < size_; ++j) most = std::max(most, math::abs(at(i, j)));
      if (!(most > P(0))) continue;
      for (std::size_t j = 0; j <= size_; ++j) at(i, j) /= most;
      greatest_ = std::max(greatest_, sizes_[i] / most);
      rows_.push_back(i);
    }
    widths_.assign(size_, P(0));
    for (const std::size_t i : rows_)
      for (std::size_t j = 0; j < size_; ++j) widths_[j] = std::max(widths_[j], math::abs(at(i, j)));
    for (const std::size_t i : rows_)
      for (std::size_t j = 0; j < size_; ++j)
        if (widths_[j] > P(0)) at(i, j) /= widths_[j];
  }
  /// Gauss's elimination with the greatest entry left as pivot. Returns the rank.
  std::size_t eliminate() {
    const std::size_t most = std::min(rows_.size(), size_);
    for (std::size_t k = 0; k < most; ++k) {
      if (!take_pivot(k)) return k;
      for (std::size_t r = k + 1; r < rows_.size(); ++r) {
        const P factor = at(rows_[r], columns_[k]) / at(rows_[k], columns_[k]);
        if (factor == P(0)) continue;
        for (std::size_t c = k; c < size_; ++c) at(rows_[r], columns_[c]) -= factor * at(rows_[k], columns_[c]);
        at(rows_[r], size_) -= factor * at(rows_[k], size_);
      }
    }
    return most;
  }
  [[nodiscard]] bool take_pivot(std::size_t k) {
    P greatest(0);
    std::size_t row = k, column = k;
    for (std::size_t r = k; r < rows_.size(); ++r)
      for (std::size_t c = k; c < size_; ++c)
        if (const P here = math::abs(at(rows_[r], columns_[c])); here > greatest) greatest = here, row = r, column = c;
    std::swap(rows_[k], rows_[row]);
    std::swap(columns_[k], columns_[column]);
    return greatest > P(1e5) * round_off<S>;
  }
  void substitute(std::size_t rank) {
    passed_.assign(size_, P(0));
    for (std::size_t k = rank; k-- > 0;) {
      P sum = at(rows_[k], size_);
      for (std::size_t c = k + 1; c < rank; ++c) sum -= at(rows_[k], columns_[c]) * passed_[columns_[c]];
      passed_[columns_[k]] = sum / at(rows_[k], columns_[k]);
    }
    for (std::size_t j = 0; j < size_; ++j)
      if (widths_[j] > P(0)) passed_[j] /= widths_[j];
  }
  [[nodiscard]] P& at(std::size_t row, std::size_t column) { return matrix_[row * (size_ + 1) + column]; }

  std::size_t size_ = 0;
  P greatest_ = P(0), missing_ = P(0);  // of all charges, scaled as their rows
  std::vector<S> charges_, currents_, capacities_, slopes_;
  std::vector<P> matrix_, sizes_, widths_, passed_;
  std::vector<std::size_t> rows_, columns_;
};

}  // namespace gastube
