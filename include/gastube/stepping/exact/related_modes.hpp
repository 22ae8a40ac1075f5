// SPDX-License-Identifier: MIT
#pragma once
/// Symmetric modes of one network after another, E always the same and K changed by a few conductances: as tubes light
/// and go out. They are found from modes known before, where K has only grown since: by one change of rank one a
/// conductance. Taking a conductance away would lose digits; so where one has gone, the modes without any of those that
/// came and went are found once, from the ground up, and what comes later grows from these.

#include "gastube/stepping/exact/symmetric_modes.hpp"

#include <array>

namespace gastube::exact {

/// Solver that remembers; @tparam Extent most unknowns, or dynamic_extent.
template <class P, std::size_t Extent>
class RelatedModes {
  static constexpr std::size_t Square = extent_product(Extent, Extent);

 public:
  RelatedModes() : solver_(0) {}

  /// V with V^T E V = 1 and V^T K V diagonal, rates in ascending order.
  /// @return false if E is not positive definite to working precision, or nothing settles
  [[nodiscard]] bool find(std::size_t m, const P* e, const P* k) {
    prepare(m);
    if (last_.valid) solver_.exchange(last_.v, last_.decays);  // they are those found last
    if (m < least || !knows(e)) return find_anew(e, k);
    if (grow(last_, k, e)) return true;
    if (grow(root_, k, e)) return true;
    return change_.usable && has_lost_ ? find_root(e, k) : find_anew(e, k);
  }
  /// The solver with the modes that were found.
  [[nodiscard]] const SymmetricModes<P, Extent>& modes() const { return solver_; }
  /// E of those modes.
  [[nodiscard]] const P* charges() const { return e_.data(); }

 private:
  static constexpr std::size_t least = 8;         // unknowns; fewer are found anew as quickly
  static constexpr std::size_t most_changes = 4;  // of one conductance each, made one after the other
  static constexpr std::size_t most_depth = 4;    // of modes that were found from others
  static constexpr P widest = P(1e12);            // between rates, where the slowest keep their digits

  /// Modes of an earlier K.
  struct Known {
    Storage<P, Square> k = zeros<P, Square>(0), v = k;
    Storage<P, Extent> decays = zeros<P, Extent>(0);
    std::size_t depth = 0;
    bool valid = false;
  };
  /// What one conductance changes: rho u u^T on a few unknowns.
  struct Piece {
    std::size_t first = 0, last = 0;  ///< of its entries in touched_
    P rho = P(0);
  };
  struct Difference {
    std::array<Piece, most_changes> pieces{};
    std::size_t count = 0;
    bool usable = false;  ///< it is a few changes of rank one
  };

  void prepare(std::size_t m) {
    if (m == m_ && solver_.size() == m) return;
    m_ = m;
    if (solver_.size() != m || Extent != dynamic_extent) solver_ = SymmetricModes<P, Extent>(m);
    root_.valid = last_.valid = false;
    if constexpr (Extent == dynamic_extent) {
      e_.assign(m * m, P(0));
      u_.assign(m, P(0));
      step_.assign(m * m, P(0));
      touched_.assign(m, 0);
    }
  }
  [[nodiscard]] bool knows(const P* e) const {
    if (!root_.valid) return false;
    for (std::size_t i = 0; i < m_ * m_; ++i)
      if (!(e_[i] == e[i])) return false;
    return true;
  }
  [[nodiscard]] bool find_anew(const P* e, const P* k) {
    if (!solver_.find(e, k)) return false;
    solver_.sort();
    for (std::size_t i = 0; i < m_ * m_; ++i) e_[i] = e[i];
    if (m_ < least) return true;
    keep(root_, k, 0);
    last_.valid = false;
    return true;
  }
  void keep(Known& known, const P* k, std::size_t depth) {
    keep_matrix(known, k, depth);
    known.v = solver_.components();
    known.decays = solver_.decays();
  }
  /// The solver still has the vectors; they are taken over when it is asked again.
  void keep_last(const P* k, std::size_t depth) {
    keep_matrix(last_, k, depth);
    if constexpr (Extent == dynamic_extent) {
      last_.v.resize(m_ * m_);
      last_.decays.resize(m_);
    }
  }
  void keep_matrix(Known& known, const P* k, std::size_t depth) {
    if constexpr (Extent == dynamic_extent) known.k.resize(m_ * m_);
    for (std::size_t i = 0; i < m_ * m_; ++i) known.k[i] = k[i];
    known.depth = depth;
    const P slowest = solver_.decays()[0], fastest = solver_.decays()[m_ - 1];
    known.valid = slowest > P(0) && fastest < widest * slowest;
  }

  /// From the modes of `known`, if K has only grown since.
  [[nodiscard]] bool grow(const Known& known, const P* k, const P* e) {
    if (!known.valid || known.depth >= most_depth) return false;
    compare(known.k.data(), k);
    if (!change_.usable || has_lost_) return false;
    if (change_.count > 0) return add_pieces(known, k, e);
    solver_.assign(known.v, known.decays);  // states may differ where conductances do not
    keep_last(k, known.depth);
    return true;
  }
  [[nodiscard]] bool add_pieces(const Known& known, const P* k, const P* e) {
    begin_changes(known);
    for (std::size_t c = 0; c < change_.count; ++c)
      if (!add_piece(change_.pieces[c], known, k, e)) return false;
    keep_last(k, known.depth + change_.count);
    return true;
  }
  void begin_changes(const Known& known) {
    for (std::size_t i = 0; i < m_ * m_; ++i) step_[i] = known.k[i];
    from_v_ = known.v.data();
    from_decays_ = known.decays.data();
  }
  /// One piece more of what leads from `known` to K.
  [[nodiscard]] bool add_piece(const Piece& piece, const Known& known, const P* k, const P* e) {
    for (P& u : u_) u = P(0);
    const std::size_t p = touched_[piece.first];
    for (std::size_t a = piece.first; a < piece.last; ++a) {
      const std::size_t i = touched_[a];
      u_[i] = (k[i * m_ + p] - known.k[i * m_ + p]) / piece.rho;
      for (std::size_t b = piece.first; b < piece.last; ++b) step_[i * m_ + touched_[b]] = k[i * m_ + touched_[b]];
    }
    const bool done = piece.rho > P(0)
                          ? solver_.update(from_v_, from_decays_, u_.data(), piece.rho, e, step_.data())
                          : solver_.update_down(from_v_, from_decays_, u_.data(), piece.rho, e, step_.data());
    last_.valid = false;
    if (&piece + 1 == change_.pieces.data() + change_.count) return done;
    last_.v = solver_.components();
    last_.decays = solver_.decays();
    from_v_ = last_.v.data();
    from_decays_ = last_.decays.data();
    return done;
  }
  /// The root without the conductances that have gone, and from there to K.
  [[nodiscard]] bool find_root(const P* e, const P* k) {
    begin_changes(root_);
    std::size_t gone = 0;
    for (std::size_t c = 0; c < change_.count; ++c)
      if (change_.pieces[c].rho < P(0)) change_.pieces[gone++] = change_.pieces[c];
    change_.count = gone;
    for (std::size_t c = 0; c < gone; ++c)
      if (!add_piece(change_.pieces[c], root_, k, e)) return find_anew(e, k);
    keep(root_, step_.data(), 0);
    compare(root_.k.data(), k);
    return change_.count == 0 || grow(root_, k, e) || find_anew(e, k);
  }

  /// Splits K's change since `before` into pieces of rank one on unknowns of their own.
  void compare(const P* before, const P* after) {
    change_.count = 0;
    change_.usable = false;
    has_lost_ = false;
    std::size_t filled = 0;
    for (std::size_t i = 0; i < m_; ++i) {
      const P *const a = before + i * m_, *const b = after + i * m_;
      bool differs = false;
      for (std::size_t j = 0; j < m_; ++j) differs = differs || a[j] != b[j];
      if (!differs || is_taken(i, filled)) continue;
      if (change_.count == most_changes) return;
      Piece& piece = change_.pieces[change_.count++];
      piece.first = filled;
      for (std::size_t j = 0; j < m_; ++j)
        if (a[j] != b[j]) {
          if (is_taken(j, filled)) return;
          touched_[filled++] = j;
        }
      piece.last = filled;
      if (!measure(piece, before, after)) return;
      has_lost_ = has_lost_ || piece.rho < P(0);
    }
    change_.usable = true;
  }
  [[nodiscard]] bool is_taken(std::size_t i, std::size_t filled) const {
    for (std::size_t a = 0; a < filled; ++a)
      if (touched_[a] == i) return true;
    return false;
  }
  /// Finds rho, and puts the unknown where u is greatest first. False if the piece is not of rank one to round-off, or
  /// changes other unknowns too.
  [[nodiscard]] bool measure(Piece& piece, const P* before, const P* after) {
    const auto change = [&](std::size_t i, std::size_t j) { return after[i * m_ + j] - before[i * m_ + j]; };
    for (std::size_t a = piece.first + 1; a < piece.last; ++a)
      if (const std::size_t p = touched_[piece.first], q = touched_[a];
          math::abs(change(q, q)) > math::abs(change(p, p))) {
        touched_[piece.first] = q;
        touched_[a] = p;
      }
    const std::size_t p = touched_[piece.first];
    piece.rho = change(p, p);
    if (piece.rho == P(0)) return false;
    for (std::size_t a = piece.first; a < piece.last; ++a) {
      const std::size_t i = touched_[a];
      for (std::size_t j = 0; j < m_; ++j) {
        bool own = false;
        for (std::size_t b = piece.first; b < piece.last; ++b) own = own || touched_[b] == j;
        if (!own && change(i, j) != P(0)) return false;
        const P product = own ? P(change(i, p) * (change(j, p) / piece.rho)) : P(0);
        const P size = math::max(math::abs(before[i * m_ + j]), math::abs(after[i * m_ + j])) + math::abs(product);
        if (own && !(math::abs(change(i, j) - product) <= P(16) * round_off<P> * size)) return false;
      }
    }
    return true;
  }

  std::size_t m_ = 0;
  SymmetricModes<P, Extent> solver_;
  Known root_, last_;
  Difference change_;
  bool has_lost_ = false;
  const P *from_v_ = nullptr, *from_decays_ = nullptr;  // where the next change begins
  Storage<P, Square> e_ = zeros<P, Square>(0), step_ = e_;
  Storage<P, Extent> u_ = zeros<P, Extent>(0);
  Storage<std::size_t, Extent> touched_ = zeros<std::size_t, Extent>(0);
};

}  // namespace gastube::exact
