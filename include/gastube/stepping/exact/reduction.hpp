// SPDX-License-Identifier: MIT
#pragma once
/// A linear circuit between events,  E x' + G x = s(t),  reduced to the ordinary equations of its independent states.
///
/// With the constraints' l, z, n and u (constraints.hpp) the unknowns split into  x = X v + (span of n, u)  and the
/// equations into  Q, (l, z)  where  (l, z) G X = 0  and  Q G (n, u) = 0. Then  E_r v' + K_r v = Q s  has no derivative
/// of s, and a jump of s leaves v as it is. For symmetric E and G, Q is the transpose of X.

#include "gastube/stepping/exact/constraints.hpp"
#include "gastube/stepping/exact/regularity.hpp"
#include "gastube/stepping/exact/stated_unknowns.hpp"

namespace gastube::exact {

enum class ReductionStatus {
  reduced,
  not_finite,      ///< row() holds a NaN or an infinity
  singular,        ///< nothing determines unknown row(), or not it alone
  index_too_high,  ///< unknown row() would follow a second derivative of a source; needs ideal amplifiers or the like
};

/// Owns all results; sized by Extent at compile time, or at the first reduce() if that is dynamic_extent.
template <Real S, std::size_t Extent>
class Reduction : private Constraints<S, Extent> {
  using Base = Constraints<S, Extent>;
  using typename Base::P;
  using typename Base::Square;

 public:
  /// @param n number of unknowns, at most Extent; below 65536
  /// @param charges E, n x n row-major
  /// @param currents G, n x n row-major
  /// @param sizes what counts as an ordinary value of each unknown (so many volts, so many amperes), or null for all
  ///        alike. Helps to choose states: a contact of a milliohm is then better told by its current.
  ReductionStatus reduce(std::size_t n, const S* charges, const S* currents, const P* sizes = nullptr) {
    make_room_for(n);
    m_ = 0;
    stated_.take_out(n, charges, currents, d0_.data());
    if (row_ = e_.assign(n, charges); row_ < n) return ReductionStatus::not_finite;
    if (row_ = g_.assign(n, d0_.data()); row_ < n) return ReductionStatus::not_finite;
    mutual_ = e_.is_symmetric() && g_.is_symmetric();
    if (!this->find() || !find_states(sizes)) return refuse();
    restore_stated();
    return ReductionStatus::reduced;
  }

  [[nodiscard]] std::size_t size() const { return n_; }
  /// m, the number of independent states.
  [[nodiscard]] std::size_t order() const { return m_; }
  /// Unknown that state k is, apart from what sources force. Of nodes joined to each other by capacitors only, but not
  /// to ground, one stands for the level of all, and the states of the others are what they are above it.
  [[nodiscard]] std::size_t state(std::size_t k) const { return states_[k]; }
  /// 1, or 2 if some unknown follows the derivative of a source or takes an impulse.
  [[nodiscard]] int index() const { return hidden_ > 0 ? 2 : 1; }
  /// True if E and G were symmetric, but for currents that an equation of their own states (an open contact's); then
  /// E_r and K_r are, exactly.
  [[nodiscard]] bool is_mutual() const { return mutual_; }
  /// After a refusal: the unknown at fault (for not_finite: the equation).
  [[nodiscard]] std::size_t row() const { return row_; }

  /// E_r and K_r of  E_r v' + K_r v = Q s,  m x m row-major.
  [[nodiscard]] const S* charge_matrix() const { return e_r_.data(); }
  [[nodiscard]] const S* current_matrix() const { return k_r_.data(); }
  /// X of  x = X v + D0 s + D1 s':  unknown i by state k.
  [[nodiscard]] const S& shape(std::size_t i, std::size_t k) const { return x_[k * n_ + i]; }
  /// D0 and D1: unknown i by source row r. D1 is zero if index() is 1.
  [[nodiscard]] const S& forced(std::size_t i, std::size_t r) const { return d0_[i * n_ + r]; }
  [[nodiscard]] const S& forced_by_slope(std::size_t i, std::size_t r) const { return d1_[i * n_ + r]; }
  /// Q: state equation k by source row r.
  [[nodiscard]] const S& drive(std::size_t k, std::size_t r) const { return q_[k * n_ + r]; }

  /// States that hold the charge and flux of x, whether or not x meets the algebraic equations: E_r v = Q E x. After a
  /// change of pattern, the states that the unknowns from before the change leave behind.
  /// @param x n unknowns, @param v room for n states, of which order() are set
  void conserve(const S* x, S* v) {
    S* const gap = sums_.data();
    S* const charge = charge_.data();
    for (std::size_t i = 0; i < n_; ++i) gap[i] = x[i];
    for (std::size_t k = 0; k < m_; ++k) {
      const S level = relative(x, states_[k]);
      for (std::size_t i = 0; i < n_; ++i) gap[i] -= shape(i, k) * level;
    }
    e_.times(gap, charge);  // 0 for charges that stay, so that those states are x's own, bit for bit
    for (std::size_t k = 0; k < m_; ++k) {
      v[k] = S(0);
      for (std::size_t i = 0; i < n_; ++i) v[k] += narrow(left_)[k * n_ + i] * charge[i];
    }
    charge_factors_.solve(v, 1, gap);
    for (std::size_t k = 0; k < m_; ++k) v[charge_factors_.column_at(k)] = gap[k];
    for (std::size_t k = 0; k < m_; ++k) v[k] += relative(x, states_[k]);
  }
  /// Time integral of each unknown over the instant of a jump: xi with E change + G xi = 0 and E xi = 0.
  /// @param change x after the jump - x before it, @param impulse room for n
  void impulses(const S* change, S* impulse) {
    g_.times(change, sums_.data());
    for (std::size_t k = 0; k < stated_.count(); ++k) sums_[stated_[k]] = S(0);  // these equations take no impulse
    for (std::size_t i = 0; i < n_; ++i) {
      impulse[i] = S(0);
      for (std::size_t r = 0; hidden_ > 0 && r < n_; ++r) impulse[i] += forced_by_slope(i, r) * sums_[r];
    }
  }

 private:
  using Base::bounds_;
  using Base::c_;
  using Base::d0_;
  using Base::d1_;
  using Base::e_;
  using Base::e_r_;
  using Base::errors_;
  using Base::g_;
  using Base::hidden_;
  using Base::k_r_;
  using Base::left_;
  using Base::n_;
  using Base::own_left_;
  using Base::own_right_;
  using Base::q_;
  using Base::right_;
  using Base::sums_;
  using Base::t_;
  using Base::used_;
  using Base::work_;
  using Base::x_;

  void make_room_for(std::size_t n) {
    Base::make_room_for(n);
    make_room(states_, n);
    make_room(weights_, n);
    make_room(charge_, n);
  }
  /// Sizes of the unknowns as their equations suggest them: where else only leaks flow, currents are small. Charges
  /// and fluxes shall be states, so their unknowns are seen as small to be determined last; small at all events, or
  /// only so small that what ties them very closely does determine them. Of two capacitors so tied the larger is to
  /// stay.
  [[gnu::cold]] void weigh(const P* sizes, bool closely_tied) {
    const auto given = [&](std::size_t j) { return sizes ? sizes[j] : P(1); };
    for (std::size_t j = 0; j < n_; ++j) weights_[j] = given(j);
    for (std::size_t i = 0; i < n_; ++i) {
      P first(0), second(0);  // the greatest terms
      g_.each(i, [&](std::size_t j, const S& entry) {
        const P term = math::abs(value_of(entry)) * given(j);
        second = math::max(second, math::min(first, term));
        first = math::max(first, term);
      });
      g_.each(i, [&](std::size_t j, const S& entry) {
        const P size = math::abs(value_of(entry)), other = size * given(j) < first ? first : second;
        if (other > P(0)) weights_[j] = math::min(weights_[j], P(other / size));
      });
    }
    const P least = closely_tied ? P(1) / P(1024) : P(1e-20);
    for (std::size_t j = 0; j < n_; ++j) bounds_[j] = least;
    for (std::size_t k = 0; k < c_ - hidden_; ++k) bounds_[own_right_[k]] = P(1);  // these carry no charge
    for (std::size_t i = 0; i < n_; ++i) {
      weights_[i] *= bounds_[i];
      e_.each(i, [&](std::size_t j, const S& entry) {
        if (i == j) weights_[i] *= math::pow(math::abs(value_of(entry)), P(-1) / P(64));
      });
    }
  }
  /// X and Q, and the equations of the states. First with the current of a contact of a milliohm as a state, which
  /// tells what the two voltages would tell by their last digits; if charges are then hard to tell apart, without.
  [[nodiscard]] bool find_states(const P* sizes) {
    m_ = n_ - c_;
    for (const bool closely_tied : {true, false}) {
      weigh(sizes, closely_tied);
      if (!split()) return false;
      factor_charges();
      if (charge_factors_.rank() == m_ && (charge_factors_.least_pivot() > P(1e-4) || natural())) break;
      if (closely_tied) this->follow_left(0);
    }
    return charge_factors_.rank() == m_;
  }
  /// Factors E_r, unless it is the one before.
  void factor_charges() {
    bool same = is_plain<S> && factored_ == m_;
    for (std::size_t e = 0; same && e < m_ * m_; ++e) same = value_of(factored_charges_[e]) == value_of(e_r_[e]);
    if (same) return;
    charge_factors_.begin(m_, m_);
    make_room(factored_charges_, m_ * m_);
    for (std::size_t i = 0; i < m_; ++i)
      for (std::size_t j = 0; j < m_; ++j) {
        charge_factors_.set(i, j, e_r_[i * m_ + j], P(0));
        factored_charges_[i * m_ + j] = e_r_[i * m_ + j];
      }
    charge_factors_.run();
    factored_ = m_;
  }
  /// True if only unknowns with charge are states.
  [[nodiscard]] bool natural() const {
    std::size_t algebraic = 0;
    for (std::size_t k = 0; k < m_; ++k)
      for (std::size_t l = 0; l < c_ - hidden_; ++l) algebraic += states_[k] == own_right_[l] ? 1 : 0;
    return algebraic == 0;
  }
  [[nodiscard]] bool split() {
    if (!complement(x_, right_, own_right_)) return false;
    for (std::size_t j = 0, k = 0; j < n_; ++j)
      if (work_.is_free(j)) states_[k++] = j;
    spread(x_, right_, own_right_);
    if (mutual_) {
      for (std::size_t e = 0; e < m_ * n_; ++e) q_[e] = x_[e], narrow(left_)[e] = narrow(right_)[e];
    } else {
      for (std::size_t k = 0; k < c_; ++k)
        g_.times(right_.data() + k * n_, t_.data() + k * n_, errors_.data() + k * n_);
      if (!complement(q_, left_, own_left_)) return false;
      spread(q_, left_, own_left_);
    }
    reduce_charges();
    reduce_currents();
    return true;
  }
  [[gnu::cold]] void restore_stated() {
    stated_.state_rows(d0_.data(), n_);
    stated_.state_rows(d1_.data(), n_);
    stated_.state_vectors(x_.data(), m_);
    stated_.drive_vectors(d0_.data(), n_);
    stated_.drive_vectors(d1_.data(), n_);
    stated_.drive_vectors(q_.data(), m_);
  }
  /// The null space of the c rows of t, with identity on the unknowns that t determines worst. In relative unknowns:
  /// of nodes joined by capacitors only, one stands for the level of all, and the others count from it. Otherwise E_r
  /// would tell voltages across apart from levels only by its last digits.
  [[nodiscard]] bool complement(Square& out, const Square& null, const Storage<std::size_t, Extent>& own) {
    work_.begin(c_, n_);
    for (std::size_t i = 0; i < c_; ++i) {
      S* const here = t_.data() + i * n_;
      P* const errors = errors_.data() + i * n_;
      products(n_, here, errors, null.data(), c_ - hidden_, used_.data(), sums_.data(), bounds_.data());
      for (std::size_t k = 0; k < c_ - hidden_; ++k) here[own[k]] = sums_[k], errors[own[k]] = bounds_[k];
      for (std::size_t j = 0; j < n_; ++j) work_.set(i, j, here[j], errors[j]);
    }
    work_.run(weights_.data());
    if (work_.rank() < c_) return false;
    work_.kernel(out.data());
    bool lacking = false;
    for (std::size_t i = 0; i < c_; ++i) {
      products<S>(n_, t_.data() + i * n_, nullptr, out.data(), m_, used_.data(), sums_.data(), bounds_.data());
      for (std::size_t j = 0; j < m_; ++j) {
        e_r_[i * m_ + j] = beyond_error(sums_[j], bounds_[j], n_);
        lacking = lacking || !is_nothing(e_r_[i * m_ + j]);
      }
    }
    if (!lacking) return true;
    work_.solve(e_r_.data(), m_, k_r_.data());  // once more, as for D0
    for (std::size_t k = 0; k < c_; ++k)
      for (std::size_t j = 0; j < m_; ++j) out[j * n_ + work_.column_at(k)] -= k_r_[k * m_ + j];
    return true;
  }
  /// From relative unknowns to unknowns; without the null vectors' part they are kept beside, as products with E need
  /// them.
  void spread(Square& vectors, Square& null, const Storage<std::size_t, Extent>& own) {
    S* const out = narrow(null);
    for (std::size_t e = 0; e < m_ * n_; ++e) out[e] = vectors[e];
    for (std::size_t k = 0; k < c_ - hidden_; ++k) {
      const S* const part = null.data() + k * n_;
      std::size_t count = 0;
      for (std::size_t i = 0; i < n_; ++i)
        if (i != own[k] && !is_nothing(part[i])) used_[count++] = i;
      for (std::size_t r = 0; r < m_; ++r) {
        S* const here = vectors.data() + r * n_;
        const S share = here[own[k]];
        out[r * n_ + own[k]] = S(0);
        if (is_nothing(share)) continue;
        for (std::size_t e = 0; e < count; ++e) here[used_[e]] += share * part[used_[e]];
      }
    }
  }
  void reduce_charges() {
    for (std::size_t k = 0; k < m_; ++k) times(e_, narrow(right_) + k * n_, t_.data() + k * n_);
    multiply(narrow(left_), t_.data(), e_r_, true);
    for (std::size_t i = 0; mutual_ && i < m_; ++i)
      for (std::size_t j = 0; j < i; ++j) e_r_[i * m_ + j] = e_r_[j * m_ + i];
  }
  /// Q (G X) and (Q G) X, whichever has less round-off in each entry.
  void reduce_currents() {
    for (std::size_t k = 0; k < m_; ++k) times(g_, x_.data() + k * n_, t_.data() + k * n_);
    multiply(narrow(left_), t_.data(), k_r_, true);
    if (!mutual_) {
      for (std::size_t k = 0; k < m_; ++k) g_.times_left(q_.data() + k * n_, t_.data() + k * n_, bounds_.data());
      multiply(t_.data(), narrow(right_), k_r_, false);
      return;
    }
    for (std::size_t i = 0; i < m_; ++i)
      for (std::size_t j = 0; j < i; ++j) {
        const bool upper = errors_[j * m_ + i] < errors_[i * m_ + j];
        const S better = k_r_[upper ? j * m_ + i : i * m_ + j];
        k_r_[i * m_ + j] = k_r_[j * m_ + i] = better;
      }
  }
  /// By the side from which zeros in the vector save work, if the matrix is symmetric.
  void times(const SparseRows<S, Extent>& matrix, const S* vector, S* out) {
    if (mutual_)
      matrix.times_left(vector, out, bounds_.data());
    else
      matrix.times(vector, out);
  }
  /// out = scalar products of m rows with m rows, and their round-off in errors; the second time where it is less.
  void multiply(const S* a, const S* b, Square& out, bool first) {
    for (std::size_t i = 0; i < m_; ++i) {
      products<S>(n_, a + i * n_, nullptr, b, m_, used_.data(), sums_.data(), bounds_.data());
      for (std::size_t j = 0; j < m_; ++j) {
        P& error = errors_[i * m_ + j];
        if (first || bounds_[j] < error) out[i * m_ + j] = sums_[j], error = bounds_[j];
      }
    }
  }

  [[nodiscard, gnu::cold]] ReductionStatus refuse() {
    const std::size_t hidden = foremost(n_, this->loose());
    m_ = 0;
    row_ = hidden;
    if (this->crowded_) return ReductionStatus::singular;
    row_ = undetermined(n_, e_, g_, work_, t_.data(), errors_.data());
    if (row_ < n_) return ReductionStatus::singular;
    row_ = hidden;
    return ReductionStatus::index_too_high;
  }

  /// Unknown j, less the level of the nodes it is joined to by capacitors only; itself if it is their level.
  [[nodiscard]] S relative(const S* x, std::size_t j) const {
    S result = x[j];
    for (std::size_t k = 0; k < c_ - hidden_; ++k) {
      if (own_right_[k] == j) return x[j];
      const S& part = right_[k * n_ + j];
      if (!is_nothing(part)) result -= part * x[own_right_[k]];
    }
    return result;
  }

  /// Q and X without null vectors, behind the c null vectors of the same side.
  [[nodiscard]] S* narrow(Square& null) { return null.data() + c_ * n_; }

  std::size_t m_ = 0, row_ = 0, factored_ = 0;
  bool mutual_ = false;
  Elimination<S, Extent> charge_factors_;  // of factored_charges_
  Square factored_charges_{};
  StatedUnknowns<S, Extent> stated_;
  Storage<std::size_t, Extent> states_{};
  Storage<S, Extent> charge_{};
  Storage<P, Extent> weights_{};
};

}  // namespace gastube::exact
