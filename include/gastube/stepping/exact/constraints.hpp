// SPDX-License-Identifier: MIT
#pragma once
/// What the unknowns of  E x' + G x = s(t)  owe to each other and to the sources at once, hidden constraints included:
/// the forced part of the solution, D0 s + D1 s'.
///
/// Vectors l with l E = 0 make algebraic equations, l G x = l s; vectors n with E n = 0 are what those determine. Where
/// they do not (y = l combined so that y G n = 0 for all n: capacitors across sources, cut-sets of inductors), the
/// derivative of y G x = y s does: z with z E = y G gives z G x = z s - y s', and u with E u = G n belongs to it.
///
/// Source: these chains of null vectors are those of Weierstrass's and Kronecker's canonical form of a pencil (F. R.
/// Gantmacher, The Theory of Matrices, 1959, vol. 2, ch. XII; from memory), broken off after the second.

#include "gastube/stepping/exact/sparse_rows.hpp"

namespace gastube::exact {

/// The constraints of one pencil; part of Reduction, which goes on from here. What runs once for each pattern and costs
/// little is marked cold, which spares every user compile time.
template <Real S, std::size_t Extent>
class Constraints {
 protected:
  using P = Plain<S>;
  using Square = Storage<S, extent_product(Extent, Extent)>;
  using Numbers = Storage<std::size_t, Extent>;

  void make_room_for(std::size_t n) {
    n_ = n;
    c_ = hidden_ = 0;
    for (auto* square : {&left_, &right_, &t_, &d0_, &d1_, &x_, &q_, &e_r_, &k_r_}) make_room(*square, n * n);
    make_room(errors_, n * n);
    make_room(sums_, n);
    make_room(bounds_, n);
    for (auto* numbers : {&used_, &own_left_, &own_right_}) make_room(*numbers, n);
  }
  /// Finds all. False if the pencil is singular or its index above 2.
  [[nodiscard]] bool find() {
    find_algebraic();
    return find_hidden() && find_forced();
  }
  /// A direction in which the unknowns are free as far as the constraints go; after find() has failed.
  [[nodiscard]] const S* loose() { return hidden_ > 0 ? nu() : right_.data(); }
  /// Rows of t = (l, z) G from `first` on, with errors.
  void follow_left(std::size_t first) {
    for (std::size_t k = first; k < c_; ++k)
      g_.times_left(left_.data() + k * n_, t_.data() + k * n_, errors_.data() + k * n_);
  }
  std::size_t n_ = 0, c_ = 0, hidden_ = 0;  // unknowns; constraints, of which hidden
  bool crowded_ = false;                    // more constraints than unknowns: nothing but a singular system has that
  SparseRows<S, Extent> e_, g_;
  Elimination<S, Extent> work_;
  Square left_{}, right_{};           // (l, z) and (n, u), each vector a row
  Numbers own_left_{}, own_right_{};  // unknown on which a null vector of E is 1 and the others 0
  Square t_{};                        // (l, z) G
  Storage<P, extent_product(Extent, Extent)> errors_{};
  Square d0_{}, d1_{};
  Square x_{}, q_{}, e_r_{}, k_r_{};  // results of the reduction; scratch until these are there
  Numbers used_{};
  Storage<S, Extent> sums_{};
  Storage<P, Extent> bounds_{};

 private:
  void eliminate_charges() {
    work_.begin(n_, n_);
    for (std::size_t i = 0; i < n_; ++i)
      e_.each(i, [&](std::size_t j, const S& a) { work_.set(i, j, a, round_off<S> * math::abs(value_of(a))); });
    work_.run();
  }
  /// l and n: the null spaces of E. From one pattern to the next E seldom changes.
  void find_algebraic() {
    if (is_plain<S> && known_.charges.equals(e_) && n_ > 0) {
      recall();
    } else {
      find_null_spaces();
      remember();
    }
    follow_left(0);
  }
  void remember() {
    known_.charges = e_;
    known_.count = c_;
    make_room(known_.left, c_ * n_);
    make_room(known_.right, c_ * n_);
    for (std::size_t e = 0; e < c_ * n_; ++e) known_.left[e] = left_[e], known_.right[e] = right_[e];
    known_.own_left = own_left_;
    known_.own_right = own_right_;
  }
  void recall() {
    c_ = known_.count;
    for (std::size_t e = 0; e < c_ * n_; ++e) left_[e] = known_.left[e], right_[e] = known_.right[e];
    for (std::size_t k = 0; k < c_; ++k) own_left_[k] = known_.own_left[k], own_right_[k] = known_.own_right[k];
  }
  void find_null_spaces() {
    eliminate_charges();
    c_ = n_ - work_.rank();
    for (std::size_t j = 0, k = 0; j < n_; ++j)
      if (work_.is_free(j)) own_left_[k] = own_right_[k] = j, ++k;
    work_.kernel(right_.data());
    tidy(right_, false);
    if (e_.is_symmetric())
      for (std::size_t e = 0; e < c_ * n_; ++e) left_[e] = right_[e];
    else {
      work_.left_kernel(left_.data());
      for (std::size_t k = 0; k < c_; ++k) own_left_[k] = work_.row_at(n_ - c_ + k);
      tidy(left_, true);
    }
  }
  /// Makes entries exactly 0, 1 or -1 where these do as well: nodes joined by capacitors rise and fall together, and
  /// whether a contact between two of them says anything about their level hangs on the last digit.
  [[gnu::cold]] void tidy(Square& null, bool left) {
    S* const tried = x_.data();
    S* const product = q_.data();
    for (std::size_t k = 0; k < c_; ++k) {
      S* const vector = null.data() + k * n_;
      for (std::size_t i = 0; i < n_; ++i) {
        const P value = value_of(vector[i]), whole = value > P(0.5) ? P(1) : value < P(-0.5) ? P(-1) : P(0);
        tried[i] = math::abs(value - whole) < P(1e-3) ? S(vector[i] + S(whole - value)) : vector[i];
      }
      if (left)
        e_.times_left(tried, product, bounds_.data());
      else
        e_.times(tried, product);
      bool holds = true;
      for (std::size_t i = 0; i < n_; ++i) holds = holds && value_of(product[i]) == P(0);
      for (std::size_t i = 0; holds && i < n_; ++i) vector[i] = tried[i];
    }
  }
  /// y and z, n and u, as far as there are any.
  [[nodiscard, gnu::cold]] bool find_hidden() {
    eliminate_constraints();
    hidden_ = c_ - work_.rank();
    crowded_ = c_ + hidden_ > n_;
    if (hidden_ == 0) return true;
    S* const combined = d0_.data();  // y, then n, as combinations of l and of the null space of E
    work_.left_kernel(combined);
    combine(combined, left_, y());
    work_.kernel(combined);
    combine(combined, right_, nu());
    if (crowded_) return false;
    eliminate_charges();
    for (std::size_t h = 0; h < hidden_; ++h) {
      g_.times_left(y() + h * n_, d0_.data(), errors_.data() + c_ * n_);
      work_.solve_left(d0_.data(), left_.data() + (c_ + h) * n_);
      g_.times(nu() + h * n_, d0_.data());
      work_.solve(d0_.data(), 1, d1_.data());
      S* const u = right_.data() + (c_ + h) * n_;
      for (std::size_t i = 0; i < n_; ++i) u[i] = S(0);
      for (std::size_t k = 0; k < work_.rank(); ++k) u[work_.column_at(k)] = d1_[k];
    }
    c_ += hidden_;
    follow_left(c_ - hidden_);
    return find_impulses();
  }
  /// D1 = -n P^-1 y, where P = z G n.
  [[nodiscard, gnu::cold]] bool find_impulses() {
    const std::size_t z = (c_ - hidden_) * n_;
    work_.begin(hidden_, hidden_);
    gram(t_.data() + z, errors_.data() + z, hidden_, nu(), hidden_);
    work_.run();
    if (work_.rank() < hidden_) return false;
    work_.solve(y(), n_, d0_.data());
    for (std::size_t e = 0; e < n_ * n_; ++e) d1_[e] = S(0);
    for (std::size_t h = 0; h < hidden_; ++h) add_outer(nu() + work_.column_at(h) * n_, d0_.data() + h * n_, true, d1_);
    return true;
  }
  /// D0 = (n, u) H^-1 (l, z), where H = (l, z) G (n, u).
  [[nodiscard]] bool find_forced() {
    if (hidden_ > 0) {
      eliminate_constraints();
      if (work_.rank() < c_) return false;
    } else
      for (std::size_t e = 0; e < n_ * n_; ++e) d1_[e] = S(0);
    for (std::size_t e = 0; e < n_ * n_; ++e) d0_[e] = S(0);
    add_forced(left_.data());
    bool lacking = false;
    for (std::size_t k = 0; k < c_; ++k) lacking = lacks(k) || lacking;
    if (lacking) add_forced(e_r_.data());
    return true;
  }
  void add_forced(const S* wanted) {
    work_.solve(wanted, n_, x_.data());
    for (std::size_t k = 0; k < c_; ++k)
      add_outer(right_.data() + work_.column_at(k) * n_, x_.data() + k * n_, false, d0_);
  }
  /// What constraint k lacks with D0 as it is, beyond the round-off of its own terms. A second solution for it makes
  /// each constraint hold to its own digits (R. D. Skeel, "Iterative refinement implies numerical stability for
  /// Gaussian elimination", Math. Comp. 35, 1980; from memory).
  [[nodiscard]] bool lacks(std::size_t k) {
    S* const lack = e_r_.data() + k * n_;
    for (std::size_t j = 0; j < n_; ++j) {
      lack[j] = left_[k * n_ + j];
      bounds_[j] = math::abs(value_of(lack[j]));
    }
    for (std::size_t i = 0; i < n_; ++i) {
      const S& factor = t_[k * n_ + i];
      if (is_nothing(factor)) continue;
      for (std::size_t j = 0; j < n_; ++j) {
        const S term = S(factor * d0_[i * n_ + j]);
        lack[j] -= term;
        bounds_[j] += math::abs(value_of(term));
      }
    }
    bool any = false;
    for (std::size_t j = 0; j < n_; ++j) {
      lack[j] = beyond_error(lack[j], P(round_off<S> * bounds_[j]), n_);
      any = any || !is_nothing(lack[j]);
    }
    return any;
  }

  /// Factors (l, z) G (n, u).
  void eliminate_constraints() {
    work_.begin(c_, c_);
    gram(t_.data(), errors_.data(), c_, right_.data(), c_);
    work_.run();
  }
  void gram(const S* a, const P* a_errors, std::size_t a_rows, const S* b, std::size_t b_rows) {
    for (std::size_t i = 0; i < a_rows; ++i) {
      products(n_, a + i * n_, a_errors + i * n_, b, b_rows, used_.data(), sums_.data(), bounds_.data());
      for (std::size_t j = 0; j < b_rows; ++j) work_.set(i, j, sums_[j], bounds_[j]);
    }
  }
  /// out = combinations (hidden x c) of the rows of `of`.
  [[gnu::cold]] void combine(const S* combinations, const Square& of, S* out) {
    for (std::size_t h = 0; h < hidden_; ++h)
      for (std::size_t i = 0; i < n_; ++i) {
        out[h * n_ + i] = S(0);
        for (std::size_t k = 0; k < c_; ++k) out[h * n_ + i] += combinations[h * c_ + k] * of[k * n_ + i];
      }
  }
  /// to += column row^T, or -=.
  void add_outer(const S* column, const S* row, bool negative, Square& to) {
    for (std::size_t i = 0; i < n_; ++i) {
      if (is_nothing(column[i])) continue;
      const S factor = negative ? S(-column[i]) : column[i];
      for (std::size_t j = 0; j < n_; ++j) to[i * n_ + j] += factor * row[j];
    }
  }

  [[nodiscard]] S* y() { return q_.data(); }
  [[nodiscard]] S* nu() { return k_r_.data(); }

  /// The null spaces of the E before.
  struct Known {
    SparseRows<S, Extent> charges;
    std::size_t count = 0;
    Square left{}, right{};
    Numbers own_left{}, own_right{};
  };
  Known known_;
};

}  // namespace gastube::exact
