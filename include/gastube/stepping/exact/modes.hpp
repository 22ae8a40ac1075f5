// SPDX-License-Identifier: MIT
#pragma once
/// The free motion of a linear system in closed form: E v' + K v = 0 as a sum of exponentials.

#include "gastube/stepping/exact/general_modes.hpp"
#include "gastube/stepping/exact/mode_refinement.hpp"
#include "gastube/stepping/exact/related_modes.hpp"

#include <cstddef>
#include <utility>

namespace gastube::exact {

/// One mode (size 1), or several that cannot be told apart without losing digits.
template <class S>
struct ModeGroup {
  std::size_t first = 0, size = 1;  // its columns of U and rows of W
  std::size_t degree = 0;           // highest power of t that counts; 0 for a single mode
  S growth = S(0), turn = S(0);     // 1/s and rad/s; turn >= 0: a group that turns stands for its conjugate too
};

/// Modes of E v' + K v = 0, so that
///   v(t) = sum over groups of Re( U_g exp((growth + i turn) t) (sum over p = 0 .. degree of t^p / p! N_g^p) W_g v(0)
///   ).
/// U_g are the group's columns, W_g its rows (with the factor 2 of a conjugate pair in W), N_g its coupling (size x
/// size; 0 for a single mode). Where turn is 0, all of these are real and the turned parts 0. Equal rates that do not
/// act on each other are single modes; in scalars with derivatives they share a group, because their derivatives may
/// act. Rates of conserved quantities are exactly 0.
template <Real S, std::size_t Extent>
class Modes {
 public:
  using P = Plain<S>;

  /// Room for m unknowns (at most Extent, unless that is dynamic).
  explicit Modes(std::size_t m = 0) { reserve(m); }

  /// @param m number of unknowns
  /// @param e, k E (regular) and K, m x m, row-major
  /// @return found; singular if E is singular to working precision; not_settled for NaN or infinite
  /// entries, or where more equal rates drive each other than can be told apart from round-off
  [[nodiscard]] ModesStatus find(std::size_t m, const S* e, const S* k) {
    reserve(m);
    if (m == 0) return ModesStatus::found;
    if (find_symmetric(m, e, k)) return ModesStatus::found;
    const ModesStatus status = find_values(m, e, k);
    if (status != ModesStatus::found) return status;
    if (!refine(e, k)) return ModesStatus::not_settled;
    finish(e);
    return status;
  }
  /// Number of unknowns, and of columns of U (a conjugate pair has one).
  [[nodiscard]] std::size_t order() const { return m_; }
  [[nodiscard]] std::size_t columns() const { return is_symmetric_ ? m_ : basis_.columns; }
  [[nodiscard]] std::size_t groups() const { return is_symmetric_ ? m_ : basis_.count; }
  [[nodiscard]] const ModeGroup<S>& group(std::size_t i) const { return groups_[i]; }
  /// Entry r of column k of U, and entry c of row k of W.
  [[nodiscard]] Complex<S> column(std::size_t k, std::size_t r) const {
    return is_symmetric_ ? Complex<S>{component(r)[k]} : basis_.right[k * m_ + r];
  }
  [[nodiscard]] Complex<S> row(std::size_t k, std::size_t c) const {
    if (!is_symmetric_) return rows_[k * m_ + c];
    Complex<S> sum;
    for (std::size_t r = 0; r < m_; ++r) sum.re += component(r)[k] * charge(r, c);
    return sum;
  }
  /// Entry c of row k of W E^-1, which takes charges to amplitudes.
  [[nodiscard]] Complex<S> left(std::size_t k, std::size_t c) const {
    return is_symmetric_ ? column(k, c) : basis_.left[k * m_ + c];
  }
  /// Entry (row, column) of the coupling N of group i.
  [[nodiscard]] Complex<S> coupling(std::size_t i, std::size_t row, std::size_t column) const {
    return is_symmetric_ ? Complex<S>{} : basis_.block[(groups_[i].first + row) * m_ + column];
  }
  /// True if all modes are real, none is coupled to another, and W E^-1 is the transpose of U.
  [[nodiscard]] bool is_symmetric() const { return is_symmetric_; }
  /// Component r of each mode; only if is_symmetric().
  [[nodiscard]] const S* component(std::size_t r) const {
    if constexpr (is_plain<S>)
      return related_.modes().components().data() + r * m_;
    else
      return static_cast<void>(r), nullptr;
  }
  /// Time up to which the sum is exact to round-off, s; unlimited but for groups of slightly different rates that do
  /// not decay.
  [[nodiscard]] P horizon() const { return horizon_; }

 private:
  static constexpr std::size_t Square = extent_product(Extent, Extent);

  [[nodiscard]] S charge(std::size_t r, std::size_t c) const {
    if constexpr (is_plain<S>)
      return related_.charges()[r * m_ + c];
    else
      return S(0);
  }
  void reserve(std::size_t m) {
    m_ = m;
    horizon_ = unlimited<P>();
    is_symmetric_ = false;
    if constexpr (Extent == dynamic_extent) groups_.resize(m);
    basis_.count = basis_.columns = 0;
  }
  /// Room that symmetric modes do without.
  void reserve_basis(std::size_t m) {
    if constexpr (Extent == dynamic_extent)
      if (rows_.size() != m * m) {
        basis_ = ModalBasis<S, Extent>(m);
        rows_.assign(m * m, {});
      }
    basis_.count = basis_.columns = 0;
  }

  [[nodiscard]] bool find_symmetric(std::size_t m, const S* e, const S* k) {
    if constexpr (is_plain<S>) {
      if (!look_symmetric(m, e, k) || !related_.find(m, e, k)) return false;
      is_symmetric_ = true;
      for (std::size_t j = 0; j < m; ++j) groups_[j] = {j, 1, 0, -related_.modes().decay(j), S(0)};
    }
    return is_symmetric_;
  }

  [[nodiscard]] ModesStatus find_values(std::size_t m, const S* e, const S* k) {
    reserve_basis(m);
    if constexpr (is_plain<S>) {
      return find_plain(m, e, k, basis_);
    } else {
      auto plain_e = zeros<P, Square>(m * m), plain_k = plain_e;
      for (std::size_t i = 0; i < m * m; ++i) {
        plain_e[i] = value_of(e[i]);
        plain_k[i] = value_of(k[i]);
      }
      ModalBasis<P, Extent> found(m);
      const ModesStatus status = find_plain(m, plain_e.data(), plain_k.data(), found);
      for (std::size_t i = 0; i < m * m; ++i) {
        basis_.right[i] = {S(found.right[i].re), S(found.right[i].im)};
        basis_.left[i] = {S(found.left[i].re), S(found.left[i].im)};
        basis_.block[i] = {S(found.block[i].re), S(found.block[i].im)};
      }
      for (std::size_t i = 0; i < found.count; ++i)
        basis_.groups[i] = {found.groups[i].first, found.groups[i].size, found.groups[i].turning, found.groups[i].still,
                            S(found.groups[i].spread)};
      basis_.columns = found.columns;
      basis_.count = found.count;
      return status;
    }
  }
  /// Equal rates must share a group where derivatives are asked for.
  static constexpr P together = is_plain<S> ? P(0) : P(1e-6);

  [[nodiscard]] ModesStatus find_plain(std::size_t m, const P* e, const P* k, ModalBasis<P, Extent>& found) {
    if constexpr (!is_plain<S>)
      if (look_symmetric(m, e, k)) {
        SymmetricModes<P, Extent> solver(m);
        if (solver.find(e, k)) {
          take_symmetric(solver, found);
          return ModesStatus::found;
        }
      }
    return GeneralModes<P, Extent>(m, e, k, together).find(found);
  }
  void take_symmetric(SymmetricModes<P, Extent>& solver, ModalBasis<P, Extent>& found) {
    solver.sort();
    found.columns = m_;
    for (std::size_t j = 0; j < m_; ++j) {
      for (std::size_t r = 0; r < m_; ++r) found.right[j * m_ + r] = found.left[j * m_ + r] = {solver.entry(r, j)};
      const P rate = -solver.decay(j), before = j > 0 ? -solver.decay(j - 1) : P(0);
      auto* group = found.count > 0 ? &found.groups[found.count - 1] : nullptr;
      if (!is_plain<S> && group != nullptr && math::abs(rate - before) <= together * math::abs(rate)) {
        ++group->size;
        group->spread = math::abs(rate + solver.decay(group->first));
      } else {
        group = &found.groups[found.count++];
        *group = {j, 1, false, rate == P(0), P(0)};
      }
      for (std::size_t l = 0; l < m_; ++l) found.block[j * m_ + l] = {};
      found.block[j * m_ + (j - group->first)] = {rate};
    }
  }

  /// All but plain symmetric modes want the step on E and K themselves.
  /// @return false if they are not what they should be, as may happen where many rates are equal and drive each other
  [[nodiscard]] bool refine(const S* e, const S* k) {
    ModeRefinement<S, Extent> refinement(m_, e, k, basis_);
    for (int round = 0; round < 4; ++round)
      if (refinement.step() < math::sqrt(round_off<S>) / P(16)) break;
    return refinement.defect() < math::sqrt(round_off<S>) * P(64);
  }
  /// W = left E, and what else is told of each group.
  void finish(const S* e) {
    for (std::size_t i = 0; i < m_ * m_; ++i) rows_[i] = {};
    for (std::size_t i = 0; i < basis_.count; ++i) {
      describe(i);
      if (!basis_.groups[i].turning) continue;
      for (std::size_t k = groups_[i].first * m_; k < (groups_[i].first + groups_[i].size) * m_; ++k)
        basis_.left[k] += basis_.left[k];
    }
    for (std::size_t r = 0; r < m_; ++r)
      for (std::size_t c = 0; c < m_; ++c) {
        const S& entry = e[r * m_ + c];
        if (is_plain<S> && value_of(entry) == P(0)) continue;
        for (std::size_t k = 0; k < basis_.columns; ++k) rows_[k * m_ + c] += entry * basis_.left[k * m_ + r];
      }
  }
  /// Splits a group's block into its mean rate and the coupling, and notes how many powers of t matter.
  [[gnu::cold]] void describe(std::size_t i) {
    const auto& basis = basis_.groups[i];
    Complex<S> mean;
    for (std::size_t k = 0; k < basis.size; ++k) mean += basis_.block[(basis.first + k) * m_ + k];
    mean = S(S(1) / S(double(basis.size))) * mean;
    P squares(0);
    for (std::size_t k = 0; k < basis.size; ++k) {
      Complex<S>* const entries = basis_.block.data() + (basis.first + k) * m_;
      entries[k] -= mean;
      if (basis.size == 1) entries[k] = {};
      for (std::size_t l = 0; l < basis.size; ++l) squares += size_of(entries[l]) * size_of(entries[l]);
    }
    if (!basis.turning) mean.im = S(0);
    if (basis.still) mean.re -= S(value_of(mean.re));
    groups_[i] = {basis.first, basis.size, 0, mean.re, mean.im};
    if (basis.size > 1) choose_degree(groups_[i], math::sqrt(squares), value_of(basis.spread));
  }
  /// N^size is of the order of the spread, and each further power brings another factor spread t / p. While the group
  /// decays, spread t never outgrows spread / |growth| by much.
  [[gnu::cold]] void choose_degree(ModeGroup<S>& group, P size_of_coupling, P spread) {
    const P decay = -value_of(group.growth);
    const std::size_t least = is_plain<S> ? 0 : 1;
    std::size_t powers = 1;  // of the spread that are not left out
    P rest = spread / decay;
    for (; powers < 10 && spread > P(0) && !(decay > P(0) && rest <= round_off<S>); ++powers) rest *= spread / decay;
    group.degree = group.size + powers - 2;
    if (!is_plain<S> && group.degree < 2 * group.size - 1) group.degree = 2 * group.size - 1;  // N dN N and such
    P term = size_of_coupling / decay;
    for (std::size_t p = least; p < group.degree; ++p, term *= size_of_coupling / decay)
      if (size_of_coupling == P(0) || (decay > P(0) && term <= round_off<S>)) group.degree = p;
    if (spread > P(0) && !(decay > P(0) && rest <= round_off<S>))
      horizon_ = math::min(horizon_, P(std::pow(round_off<S> * P(3628800), P(0.1)) / spread));
  }

  std::size_t m_ = 0;
  P horizon_ = unlimited<P>();
  bool is_symmetric_ = false;
  RelatedModes<P, Extent> related_;
  ModalBasis<S, Extent> basis_{0};
  Storage<Complex<S>, Square> rows_ = filled<Complex<S>, Square>(0, {});
  Storage<ModeGroup<S>, Extent> groups_ = filled<ModeGroup<S>, Extent>(0, {});
};

}  // namespace gastube::exact
