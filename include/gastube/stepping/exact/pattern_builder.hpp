// SPDX-License-Identifier: MIT
#pragma once
/// Works out a pattern from what the system writes: matrices by one evaluation, the rest by differences, which are
/// exact as everything is linear.

#include "gastube/stepping/exact/modes.hpp"
#include "gastube/stepping/exact/pattern.hpp"
#include "gastube/stepping/exact/reduction.hpp"

#include <cmath>
#include <utility>

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
    if constexpr (extent == dynamic_extent) std::swap(made.push, push_);
    write_matrices(system, mode, time);
    if (reduction_.reduce(n_, stored_.data(), conducted_.data(), nominal_.data()) != ReductionStatus::reduced) return;
    made.modes = reduction_.order();
    if (modes_.find(made.modes, reduction_.charge_matrix(), reduction_.current_matrix()) != ModesStatus::found) return;
    made.horizon = modes_.horizon();
    if (!place_groups(made)) return;
    copy_matrices(made);
    learn_followers(system, mode, time, made);
    learn_sources(system, mode, time, made);
    // Few patterns need it later: room for one is lent to each.
    if constexpr (extent == dynamic_extent)
      if (made.quick_drives && !made.any_acts) std::swap(made.push, push_);
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
    const S per_alpha = S(P(0x1p-90));
    for (std::size_t k = 0; k < conducted_.size(); ++k) conducted_[k] = S((conducted_[k] - stored_[k]) * per_alpha);
    still_ = currents_;
  }

  /// False if the modes of a group want a higher power of time than there is room for.
  [[nodiscard]] bool place_groups(Made& made) {
    const std::size_t m = made.modes;
    bool coupled = false;
    for (std::size_t k = 0; k < modes_.groups(); ++k) coupled = coupled || modes_.group(k).size > 1;
    made.coupling.clear(coupled ? m * m : 0, coupled);
    made.only_fades = true;
    for (std::size_t k = 0; k < modes_.groups(); ++k) {
      const ModeGroup<S>& found = modes_.group(k);
      if (found.degree + 1 > top_swing_power) return false;
      PlacedGroup<S>& g = made.group[made.groups++];
      g = {found.first, found.size, found.degree, {found.growth, found.turn}, false, 0};
      for (std::size_t i = 0; g.size > 1 && i < g.size; ++i)
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
    bool turned = false;
    for (std::size_t k = 0; k < made.groups; ++k) turned = turned || made.group[k].swings;
    for (auto* matrix : {&made.reply, &made.push, &made.pick}) matrix->clear(n * m, turned);
    for (std::size_t j = 0; j < n; ++j)
      for (std::size_t i = 0; i < m; ++i) {
        if (const S& share = reduction_.shape(j, i); counts(share)) add_columns(share, i, j * m, made.reply);
        if (const S& share = reduction_.drive(i, j); counts(share)) add_lefts(share, i, j * m, made.push);
      }
    for (std::size_t r = 0; r < n; ++r)
      for (std::size_t j = 0; j < n; ++j)
        if (const S& charge = stored_[r * n + j]; counts(charge)) {
          add_row(m, charge, made.push.re.data() + r * m, made.pick.re.data() + j * m);
          if (turned) add_row(m, charge, made.push.im.data() + r * m, made.pick.im.data() + j * m);
        }
    made.impulsive = reduction_.index() > 1;
    copy_forced(made);
    if (made.impulsive) copy_impulses(made);
  }
  void copy_forced(Made& made) {
    for (std::size_t& place : made.acts_at_once) place = Made::none;
    std::size_t count = 0;
    for (std::size_t i = 0; i < n_; ++i)
      for (std::size_t r = 0; r < n_; ++r)
        if (made.acts_at_once[r] == Made::none && counts(reduction_.forced(i, r))) made.acts_at_once[r] = count++;
    make_room(made.at_once, count * n_);
    for (std::size_t r = 0; r < n_; ++r)
      for (std::size_t i = 0; made.acts_at_once[r] != Made::none && i < n_; ++i)
        made.at_once[made.acts_at_once[r] * n_ + i] = reduction_.forced(i, r);
  }
  void copy_impulses(Made& made) {
    const std::size_t n = n_;
    make_room(made.by_slope, n * n);
    make_room(made.impulse, n * n);
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t r = 0; r < n; ++r) {
        made.by_slope[i * n + r] = reduction_.forced_by_slope(i, r);
        made.impulse[i * n + r] = S(0);
      }
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t r = 0; r < n; ++r)
        if (const S& share = made.by_slope[i * n + r]; counts(share))
          add_row(n, share, conducted_.data() + r * n, made.impulse.data() + i * n);
  }
  /// Adds share times state i of every mode.
  void add_columns(const S& share, std::size_t i, std::size_t at, typename Made::Matrix& to) const {
    if (modes_.is_symmetric())
      add_row(modes_.order(), share, modes_.component(i), to.re.data() + at);
    else
      for (std::size_t k = 0; k < modes_.columns(); ++k) to.add(at + k, share, modes_.column(k, i));
  }
  void add_lefts(const S& share, std::size_t i, std::size_t at, typename Made::Matrix& to) const {
    if (modes_.is_symmetric())
      add_row(modes_.order(), share, modes_.component(i), to.re.data() + at);
    else
      for (std::size_t k = 0; k < modes_.columns(); ++k) to.add(at + k, share, modes_.left(k, i));
  }
  static void add_row(std::size_t length, const S& factor, const S* from, S* to) {
    for (std::size_t k = 0; k < length; ++k) to[k] += factor * from[k];
  }
  /// At run-time size room is made only where it is used.
  template <class T, std::size_t Extent>
  static void make_room(std::array<T, Extent>&, std::size_t) {}
  template <class T>
  static void make_room(std::vector<T>& storage, std::size_t size) {
    storage.resize(size);
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
    if (!follow_as_before(system, mode, time)) learn_drivers(system, mode, time);
    make_room(made.shares, driver_shares_.size());
    for (std::size_t k = 0; k < driver_shares_.size(); ++k) made.shares[k] = driver_shares_[k];
    P checked(0);  // followers often share their decay
    for (std::size_t f = 0; f < followers_; ++f) {
      FollowerLaw<S>& law = made.law[f];
      const Drivers& drivers = drivers_[f];
      if (drivers.first == drivers.last) continue;
      law.driven = true;
      law.first = drivers.first;
      law.last = drivers.last;
      law.place = drivers.place;
      if (value_of(law.decay) == checked) continue;
      if (!find_resonance(made, law)) checked = value_of(law.decay);
    }
    learn_actions(system, mode, time, made);
  }
  /// True if, for all that one set of unknowns can tell, the followers hang on unknowns as in the pattern before: bit
  /// for bit the same sources, or sources that do not move at all.
  [[nodiscard]] bool follow_as_before(const System& system, const Mode& mode, const S& time) {
    for (std::size_t j = 0; j < n_; ++j) x_[j] = S(probe(j));
    system.follow({time, x_.data(), y_.data()}, mode, rates_.data());
    for (std::size_t j = 0; j < n_; ++j) x_[j] = S(0);
    bool same = is_plain<S> && knows_drivers_;
    for (std::size_t f = 0; f < followers_; ++f) {
      const S &still = still_rates_[f].source, &moved = rates_[f].source;
      Drivers& drivers = drivers_[f];
      const bool alike = value_of(still) == value_of(drivers.still) && value_of(moved) == value_of(drivers.moved);
      const bool idle = drivers.first == drivers.last && value_of(moved) == value_of(still);
      same = same && (alike || idle);
      drivers.still = still;
      drivers.moved = moved;
    }
    return same;
  }
  /// Unlike numbers between 1 and 2.
  [[nodiscard]] static P probe(std::size_t j) {
    const P steps = P(j + 1) * P(0.6180339887498949);
    return P(1) + (steps - std::floor(steps));
  }
  /// One unknown at a time.
  void learn_drivers(const System& system, const Mode& mode, const S& time) {
    make_room(all_shares_, followers_ * n_);
    for (Drivers& drivers : drivers_) drivers.first = drivers.last = 0;
    for (std::size_t j = 0; j < n_; ++j) {
      x_[j] = S(1);
      system.follow({time, x_.data(), y_.data()}, mode, rates_.data());
      x_[j] = S(0);
      for (std::size_t f = 0; f < followers_; ++f) {
        const S slope = S(rates_[f].source - still_rates_[f].source);
        S& share = all_shares_[f * n_ + j];
        share = system.follows_straight(f) ? slope : S(0);
        if (value_of(share) == P(0)) continue;
        if (drivers_[f].first == drivers_[f].last) drivers_[f].first = j;
        drivers_[f].last = j + 1;
      }
    }
    std::size_t place = 0;
    for (Drivers& drivers : drivers_) {
      drivers.place = place;
      place += drivers.last - drivers.first;
    }
    make_room(driver_shares_, place);
    for (std::size_t f = 0; f < followers_; ++f)
      for (std::size_t j = drivers_[f].first; j < drivers_[f].last; ++j)
        driver_shares_[drivers_[f].place + j - drivers_[f].first] = all_shares_[f * n_ + j];
    knows_drivers_ = true;
  }
  /// Place of that rate among the followers' own; a new one if none has it yet.
  [[nodiscard]] std::size_t rate_slot(typename Made::Base& base, const S& rate) const {
    for (std::size_t k = base.rate_count; is_plain<S> && k-- > 0;)  // most likely among the last
      if (value_of(base.rates[k]) == value_of(rate)) return k;
    base.rates[base.rate_count] = rate;
    return base.rate_count++;
  }
  /// A follower that a mode drives at (nearly) its own decay rises as t exp(-decay t).
  bool find_resonance(Made& made, FollowerLaw<S>& law) const {
    if (!(value_of(law.decay) > P(0))) return false;
    bool found = false;
    for (std::size_t k = 0; k < made.groups; ++k)
      found = found || (!made.group[k].swings && resounds(made.group[k].rate.re, law.decay));
    if (!found) return false;
    law.resonance = made.base.swing_count++;
    made.base.swings[law.resonance] = {S(-law.decay), S(0), 3};
    return true;
  }
  void learn_actions(const System& system, const Mode& mode, const S& time, Made& made) {
    for (std::size_t f = 0; f < followers_; ++f) y_[f] = S(1);
    evaluate(system, mode, time, nullptr, S(0));
    made.any_acts = false;
    for (std::size_t j = 0; j < n_; ++j) made.any_acts |= value_of(currents_[j]) != value_of(still_[j]);
    for (S& y : y_) y = S(0);
    if (made.any_acts) {
      make_room(made.acts, followers_ * n_);
      make_room(made.acting, followers_ * n_);
    }
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
    bool too_many = false, swings = false;
    std::size_t count = 0;
    system.drives(time, mode, [&](const Drive<S>& drive) {
      swings = swings || value_of(drive.turn) > P(0);
      ++count;
    });
    count = count < n_ ? count : n_;
    make_room(made.drive_reply, count * n_);
    make_room(made.drive_lag, count * n_);
    made.swing_answer.clear(swings ? count * n_ : 0, swings);
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
  /// The unknowns that drive one follower: their span, its place among the shares; and what its source came to.
  struct Drivers {
    std::size_t first = 0, last = 0, place = 0;
    S still = S(0), moved = S(0);
  };

  Storage<FollowRate<S>, follower_extent> rates_, still_rates_;
  Storage<Drivers, follower_extent> drivers_ = filled<Drivers, follower_extent>(followers_, {});
  Storage<S, Made::oblong> driver_shares_ = zeros<S, Made::oblong>(0), all_shares_ = driver_shares_;
  bool knows_drivers_ = false;
  Storage<Powers<Complex<S>>, extent> pushed_;
  Storage<Complex<S>, extent> answer_;
  Storage<P, extent> nominal_;
  Reduction<S, extent> reduction_;
  Modes<S, extent> modes_;
  typename Made::Matrix push_;
};

}  // namespace gastube::exact
