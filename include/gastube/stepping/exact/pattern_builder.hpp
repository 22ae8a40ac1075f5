// SPDX-License-Identifier: MIT
#pragma once
/// Works out a pattern from what the system writes: matrices by one evaluation, the rest by differences, which are
/// exact as everything is linear.

#include "gastube/stepping/exact/modes.hpp"
#include "gastube/stepping/exact/pattern.hpp"
#include "gastube/stepping/exact/reduction.hpp"

namespace gastube::exact {

template <PiecewiseLinearSystem System>
class PatternBuilder {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  using Made = Pattern<System>;
  static constexpr std::size_t extent = System::extent, follower_extent = System::follower_extent;

  explicit PatternBuilder(const System& system)
      : n_(system.unknowns())
      , followers_(system.followers())
      , x_(zeros<S, extent>(n_))
      , charges_(x_)
      , currents_(x_)
      , still_(x_)
      , y_(zeros<S, follower_extent>(followers_))
      , stored_(zeros<S, Made::square>(n_ * n_))
      , conducted_(stored_)
      , rates_(filled<FollowRate<S>, follower_extent>(followers_, {}))
      , still_rates_(rates_)
      , pushed_(filled<Powers<Complex<S>>, extent>(n_, {}))
      , answer_(filled<Complex<S>, extent>(n_, {}))
      , nominal_(zeros<P, extent>(n_)) {
    for (std::size_t k = 0; k < n_; ++k) nominal_[k] = system.nominal(k);
  }

  /// Fills `made` for this mode; its status says whether the system can be solved there.
  void build(const System& system, const Mode& mode, const S& time, Made& made) {
    made.groups = made.modes = made.source_swings = 0;
    made.base.rate_count = made.base.swing_count = 0;
    made.status = Status::unsolvable;
    write_matrices(system, mode, time);
    if (reduction_.reduce(n_, stored_.data(), conducted_.data(), nominal_.data()) != ReductionStatus::reduced) return;
    made.modes = reduction_.order();
    if (modes_.find(made.modes, reduction_.charge_matrix(), reduction_.current_matrix()) != ModesStatus::found) return;
    made.horizon = modes_.horizon();
    if (!place_groups(made)) return;
    copy_matrices(made);
    learn_followers(system, mode, time, made);
    learn_sources(system, mode, time, made);
  }

 private:
  void evaluate(const System& system, const Mode& mode, const S& time, S* slopes, const S& alpha) {
    Equations<S> equations(n_, x_.data(), x_.data(), alpha, charges_.data(), currents_.data(), slopes);
    system.write({time, x_.data(), y_.data()}, mode, equations);
  }
  /// Slopes come as stored + alpha conducted: a power of two far beyond any ratio of the two parts them exactly.
  void write_matrices(const System& system, const Mode& mode, const S& time) {
    const S alpha = S(P(0x1p90));
    for (S& x : x_) x = S(0);
    for (S& y : y_) y = S(0);
    evaluate(system, mode, time, stored_.data(), S(0));
    evaluate(system, mode, time, conducted_.data(), alpha);
    for (std::size_t k = 0; k < conducted_.size(); ++k) conducted_[k] = S((conducted_[k] - stored_[k]) / alpha);
    still_ = currents_;
  }

  /// False if the modes of a group want a higher power of time than there is room for.
  [[nodiscard]] bool place_groups(Made& made) {
    const std::size_t m = made.modes;
    made.coupling.clear(m * m);
    made.only_fades = true;
    for (std::size_t k = 0; k < modes_.groups(); ++k) {
      const ModeGroup<S>& found = modes_.group(k);
      if (found.degree + 1 > top_swing_power) return false;
      PlacedGroup<S>& g = made.group[made.groups++];
      g = {found.first, found.size, found.degree, {found.growth, found.turn}, false, 0};
      for (std::size_t i = 0; i < g.size; ++i)
        for (std::size_t j = 0; j < g.size; ++j)
          made.coupling.add((g.first + i) * m + g.first + j, S(1), modes_.coupling(k, i, j));
      g.swings = g.size > 1 || g.is_pair();
      made.only_fades = made.only_fades && !g.swings && value_of(found.growth) < P(0);
      if (g.swings) {
        // A follower that integrates a group which stands still needs one power more.
        g.slot = made.base.swing_count++;
        made.base.swings[g.slot] = {found.growth, found.turn, g.degree + (g.stands_still() ? 1 : 0)};
      } else {
        g.slot = made.base.rate_count++;
        made.base.rates[g.slot] = found.growth;
      }
    }
    return true;
  }

  void copy_matrices(Made& made) {
    const std::size_t n = n_, m = made.modes;
    made.reply.clear(n * m);
    made.push.clear(n * m);
    made.pick.clear(n * m);
    for (std::size_t j = 0; j < n; ++j)
      for (std::size_t i = 0; i < m; ++i)
        if (const S& share = reduction_.shape(j, i); counts(share))
          for (std::size_t k = 0; k < m; ++k) made.reply.add(j * m + k, share, modes_.column(k, i));
    for (std::size_t i = 0; i < m; ++i)
      for (std::size_t r = 0; r < n; ++r)
        if (const S& share = reduction_.drive(i, r); counts(share))
          for (std::size_t k = 0; k < m; ++k) made.push.add(k * n + r, share, modes_.left(k, i));
    for (std::size_t r = 0; r < n; ++r)
      for (std::size_t j = 0; j < n; ++j)
        if (const S& charge = stored_[r * n + j]; counts(charge))
          for (std::size_t k = 0; k < m; ++k) made.pick.add(k * n + j, charge, made.push[k * n + r]);
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t r = 0; r < n; ++r) {
        made.at_once[i * n + r] = reduction_.forced(i, r);
        made.by_slope[i * n + r] = reduction_.forced_by_slope(i, r);
        made.impulse[i * n + r] = S(0);
      }
    made.impulsive = reduction_.index() > 1;
    if (!made.impulsive) return;
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t r = 0; r < n; ++r)
        if (const S& share = made.by_slope[i * n + r]; counts(share))
          for (std::size_t j = 0; j < n; ++j) made.impulse[i * n + j] += share * conducted_[r * n + j];
  }
  [[nodiscard]] static bool counts(const S& v) { return !is_plain<S> || value_of(v) != P(0); }

  /// Constants, decays, and how followers hang on unknowns and unknowns on followers.
  void learn_followers(const System& system, const Mode& mode, const S& time, Made& made) {
    made.any_acts = false;
    if (followers_ == 0) return;
    system.follow({time, x_.data(), y_.data()}, mode, still_rates_.data());
    for (std::size_t f = 0; f < followers_; ++f) {
      FollowerLaw<S>& law = made.law[f];
      law = {};
      law.decay = still_rates_[f].decay;
      if (value_of(law.decay) > P(0)) law.slot = rate_slot(made.base, S(-law.decay));
    }
    for (std::size_t j = 0; j < n_; ++j) {
      x_[j] = S(1);
      system.follow({time, x_.data(), y_.data()}, mode, rates_.data());
      x_[j] = S(0);
      for (std::size_t f = 0; f < followers_; ++f) {
        const S slope = S(rates_[f].source - still_rates_[f].source);
        made.follows[f * n_ + j] = system.follows_straight(f) ? slope : S(0);
        if (value_of(made.follows[f * n_ + j]) == P(0)) continue;
        if (!made.law[f].driven) made.law[f].first = j;
        made.law[f].driven = true;
        made.law[f].last = j + 1;
      }
    }
    for (std::size_t f = 0; f < followers_; ++f)
      if (made.law[f].driven) find_resonance(made, made.law[f]);
    learn_actions(system, mode, time, made);
  }
  /// Place of that rate among the followers' own; a new one if none has it yet.
  [[nodiscard]] std::size_t rate_slot(typename Made::Base& base, const S& rate) const {
    for (std::size_t k = 0; k < base.rate_count; ++k)
      if (is_plain<S> && value_of(base.rates[k]) == value_of(rate)) return k;
    base.rates[base.rate_count] = rate;
    return base.rate_count++;
  }
  /// A follower that a mode drives at (nearly) its own decay rises as t exp(-decay t).
  void find_resonance(Made& made, FollowerLaw<S>& law) const {
    if (!(value_of(law.decay) > P(0))) return;
    bool found = false;
    for (std::size_t k = 0; k < made.groups; ++k)
      found = found || (!made.group[k].swings && resounds(made.group[k].rate.re, law.decay));
    if (!found) return;
    law.resonance = made.base.swing_count++;
    made.base.swings[law.resonance] = {S(-law.decay), S(0), 3};
  }
  void learn_actions(const System& system, const Mode& mode, const S& time, Made& made) {
    for (std::size_t f = 0; f < followers_; ++f) y_[f] = S(1);
    evaluate(system, mode, time, nullptr, S(0));
    made.any_acts = false;
    for (std::size_t j = 0; j < n_; ++j) made.any_acts |= value_of(currents_[j]) != value_of(still_[j]);
    for (S& y : y_) y = S(0);
    for (std::size_t f = 0; made.any_acts && f < followers_; ++f) learn_action(system, mode, time, made, f);
  }
  void learn_action(const System& system, const Mode& mode, const S& time, Made& made, std::size_t f) {
    FollowerLaw<S>& law = made.law[f];
    y_[f] = S(1);
    evaluate(system, mode, time, nullptr, S(0));
    y_[f] = S(0);
    for (auto& a : answer_) a = {};
    for (std::size_t j = 0; j < n_; ++j) {
      const S source = S(still_[j] - currents_[j]);
      made.acts[f * n_ + j] = source;
      if (!counts(source)) continue;
      law.acts = true;
      made.add_answer({S(-law.decay)}, j, source, answer_.data());
    }
    for (std::size_t j = 0; j < n_; ++j) made.acting[f * n_ + j] = answer_[j].re;
  }

  /// What the constant sources come to, and the answers to sources that swing.
  void learn_sources(const System& system, const Mode& mode, const S& time, Made& made) {
    made.first_source_swing = made.base.swing_count;
    made.quick_drives = true;
    bool too_many = false;
    std::size_t number = 0;
    system.drives(time, mode, [&](const Drive<S>& drive) {
      if (number == n_) {
        too_many = true;
        return;
      }
      still_[drive.row] += drive.level + drive.cosine;
      if (value_of(drive.turn) > P(0)) learn_swing(made, drive, number);
      learn_drive(made, drive.row, number);
      ++number;
    });
    for (std::size_t j = 0; j < n_; ++j) made.rest[j] = {}, pushed_[j] = {};
    for (std::size_t j = 0; j < n_; ++j) {
      if (!counts(still_[j])) continue;
      made.add_push(j, {S(-still_[j])}, pushed_.data());
      made.add_at_once(j, {S(-still_[j])}, made.rest.data());
    }
    made.rest_moves = false;
    const bool fits = made.add_forced(pushed_.data(), made.rest.data());
    made.status = fits && !too_many ? Status::done : Status::unsolvable;
    for (const Powers<S>& reply : made.rest)
      for (std::size_t p = 1; p <= top_power; ++p) made.rest_moves |= counts(reply[p]);
  }
  /// Levels and slopes have answers of the same kind, unless something integrates them.
  void learn_drive(Made& made, std::size_t row, std::size_t number) {
    for (std::size_t j = 0; j < n_; ++j) made.rest[j] = {}, pushed_[j] = {};
    made.add_push(row, {S(0), S(1)}, pushed_.data());
    made.add_at_once(row, {S(0), S(1)}, made.rest.data());
    if (!made.add_forced(pushed_.data(), made.rest.data())) made.quick_drives = false;
    for (std::size_t j = 0; j < n_; ++j) {
      const Powers<S>& reply = made.rest[j];
      made.drive_lag[number * n_ + j] = reply[0];
      made.drive_reply[number * n_ + j] = reply[1];
      if (value_of(reply[2]) != P(0) || value_of(reply[3]) != P(0)) made.quick_drives = false;
    }
  }
  void learn_swing(Made& made, const Drive<S>& drive, std::size_t number) {
    std::size_t slot = made.first_source_swing;
    while (slot < made.base.swing_count && value_of(made.base.swings[slot].turn) != value_of(drive.turn)) ++slot;
    if (slot == made.base.swing_count) {
      made.base.swings[made.base.swing_count++] = {S(0), drive.turn, 0};
      ++made.source_swings;
    }
    made.swing_of_source[number] = slot;
    for (auto& a : answer_) a = {};
    made.add_answer({S(0), drive.turn}, drive.row, S(1), answer_.data());
    for (std::size_t j = 0; j < n_; ++j) {
      made.swing_answer.re[number * n_ + j] = answer_[j].re;
      made.swing_answer.im[number * n_ + j] = answer_[j].im;
    }
  }

  std::size_t n_, followers_;
  Storage<S, extent> x_, charges_, currents_, still_;
  Storage<S, follower_extent> y_;
  Storage<S, Made::square> stored_, conducted_;
  Storage<FollowRate<S>, follower_extent> rates_, still_rates_;
  Storage<Powers<Complex<S>>, extent> pushed_;
  Storage<Complex<S>, extent> answer_;
  Storage<P, extent> nominal_;
  Reduction<S, extent> reduction_;
  Modes<S, extent> modes_;
};

}  // namespace gastube::exact
