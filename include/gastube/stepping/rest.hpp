// SPDX-License-Identifier: MIT
#pragma once
/// The state right after an instant at which something changed, where nothing jumps but unknowns without charge: one
/// matrix, instead of the many short steps that sort out impulses.

#include "gastube/stepping/stages.hpp"
#include "gastube/support/small_lu.hpp"

namespace gastube {

/// With the charges of a position kept, finds its unknowns without charge and the rates of all. It speaks only where
/// equations with charge fix the rates of their unknowns and those without fix the rest (index 1, no charge shared by
/// impulse), and where nothing moves noticeably in the settings' restart step; else it leaves everything as it was. Its
/// matrix is dense, so it does not speak of systems too large for that.
template <HybridSystem System>
class Rest {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  using Unknowns = Storage<S, System::extent>;

  explicit Rest(const System& system)
      : serves_(system.unknowns() <= 64)
      , lu_(serves_ ? system.unknowns() : 0)
      , charges_(zeros<S, System::extent>(system.unknowns()))
      , currents_(charges_)
      , later_(charges_)
      , change_(charges_)
      , step_(charges_)
      , rates_(charges_)
      , x_(charges_)
      , slopes_(zeros<S, extent_product(System::extent, System::extent)>(serves_ ? system.unknowns() * system.unknowns()
                                                                                 : 0))
      , follow_(filled<FollowRate<S>, System::follower_extent>(system.followers(), FollowRate<S>{}))
      , y_(zeros<S, System::follower_extent>(system.followers()))
      , nominal_(zeros<P, System::extent>(system.unknowns()))
      , algebraic_(zeros<char, System::extent>(system.unknowns())) {
    for (std::size_t k = 0; k < nominal_.size(); ++k) nominal_[k] = system.nominal(k);
  }

  /// @param ahead s over which sources are smooth from here on, above 0
  /// @return true if unknowns(), currents() and time_scale() hold what was found
  [[nodiscard]] bool find(const System& system, const Mode& mode, const Position<System>& at, P ahead,
                          const Settings<S>& settings) {
    if (!serves_) return false;
    const std::size_t n = nominal_.size();
    x_ = at.x;
    for (auto& c : change_) c = S(0);
    if (!write_matrix(system, mode, at) || !lu_.factor()) return false;
    P before(0);
    for (int iteration = 0; iteration < 8; ++iteration) {
      for (std::size_t k = 0; k < n; ++k) step_[k] = S(algebraic_[k] != 0 ? -currents_[k] : -charges_[k]);
      lu_.solve(step_.data());
      P size(0);
      for (std::size_t k = 0; k < n; ++k) {
        change_[k] += step_[k];
        x_[k] = S(at.x[k] + change_[k]);
        if (!math::is_finite(x_[k])) return false;
        size = math::max(size, math::abs(value_of(step_[k])) / weight(k, settings));
      }
      if (iteration > 1 && size > P(0.5) * before && size > P(1e-3)) return false;  // not nearly linear
      before = size;
      write(system, mode, at.time, at.y.data(), at, currents_);
      if (size <= P(1e-3) && (iteration > 0 || size == P(0))) return find_rates(system, mode, at, ahead, settings);
    }
    return false;
  }

  [[nodiscard]] const Unknowns& unknowns() const { return x_; }
  /// f there.
  [[nodiscard]] const Unknowns& currents() const { return currents_; }
  /// Marks of equations without charge.
  [[nodiscard]] const Storage<char, System::extent>& algebraic() const { return algebraic_; }
  /// s in which the fastest unknown would change by its own size (or its nominal one).
  [[nodiscard]] P time_scale() const { return time_scale_; }

 private:
  [[nodiscard]] P weight(std::size_t k, const Settings<S>& s) const {
    return s.absolute * nominal_[k] + s.relative * math::abs(value_of(x_[k]));
  }
  void write(const System& system, const Mode& mode, const S& time, const S* y, const Position<System>& at,
             Unknowns& currents) {
    Equations<S> equations(x_.size(), x_.data(), at.x.data(), S(0), charges_.data(), currents.data(), nullptr,
                           change_.data());
    system.write({time, x_.data(), y}, mode, equations);
  }
  /// Rows of dq/dx where there is charge, of df/dx where there is none.
  [[nodiscard]] bool write_matrix(const System& system, const Mode& mode, const Position<System>& at) {
    const std::size_t n = x_.size();
    Equations<S> charges(n, x_.data(), at.x.data(), S(0), charges_.data(), currents_.data(), slopes_.data(),
                         change_.data());
    system.write({at.time, x_.data(), at.y.data()}, mode, charges);
    if (charges.has_nonlinear_charge()) return false;
    Equations<S> both(n, x_.data(), at.x.data(), S(1), charges_.data(), currents_.data(), lu_.entries(),
                      change_.data());
    system.write({at.time, x_.data(), at.y.data()}, mode, both);
    for (std::size_t k = 0; k < n; ++k) {
      algebraic_[k] = 1;
      for (std::size_t j = 0; j < n; ++j)
        if (value_of(slopes_[k * n + j]) != P(0)) algebraic_[k] = 0;
      if (algebraic_[k] == 0)
        for (std::size_t j = 0; j < n; ++j) lu_.entries()[k * n + j] = slopes_[k * n + j];
    }
    return true;
  }
  /// Rates of all unknowns: those with charge by f, the others by what keeps their equations as time and followers go
  /// on.
  [[nodiscard]] bool find_rates(const System& system, const Mode& mode, const Position<System>& at, P ahead,
                                const Settings<S>& settings) {
    later_ = currents_;
    if (y_.size() > 0) {
      system.follow({at.time, x_.data(), at.y.data()}, mode, follow_.data());
      for (std::size_t k = 0; k < y_.size(); ++k)
        y_[k] = S(at.y[k] + ahead * (follow_[k].source - follow_[k].decay * at.y[k]));
    }
    write(system, mode, S(at.time + S(ahead)), y_.data(), at, later_);
    for (std::size_t k = 0; k < rates_.size(); ++k)
      rates_[k] = S(algebraic_[k] != 0 ? S(S(currents_[k] - later_[k]) / S(ahead)) : S(-currents_[k]));
    lu_.solve(rates_.data());
    time_scale_ = unlimited<P>();
    for (std::size_t k = 0; k < rates_.size(); ++k) {
      const P rate = math::abs(value_of(rates_[k])), size = nominal_[k] + math::abs(value_of(x_[k]));
      if (!(rate <= std::numeric_limits<P>::max())) return false;
      if (rate * time_scale_ > size) time_scale_ = size / rate;
    }
    return time_scale_ > P(20) * settings.restart_step;
  }

  bool serves_;
  SmallLu<S, System::extent> lu_;
  Unknowns charges_, currents_, later_, change_, step_, rates_, x_;
  Storage<S, extent_product(System::extent, System::extent)> slopes_;
  Storage<FollowRate<S>, System::follower_extent> follow_;
  Storage<S, System::follower_extent> y_;
  Storage<P, System::extent> nominal_;
  Storage<char, System::extent> algebraic_;
  P time_scale_ = P(0);
};

}  // namespace gastube
