// SPDX-License-Identifier: MIT
#pragma once
/// The engine under the Rosenbrock schemes; rosenbrock_schemes.hpp says what it solves.

#include "gastube/stepping/rosenbrock_followers.hpp"
#include "gastube/stepping/stages.hpp"
#include "gastube/support/small_lu.hpp"

namespace gastube {

/// Workspace of one Rosenbrock scheme on one system, with the same questions and answers as Stages. Never allocates
/// after construction at a fixed size; at a size known at run time equations are sparse, and nothing is allocated once
/// their pattern is known. Jumps, rest points and ports are the business of the backward Euler engine inside.
template <HybridSystem System, RosenbrockScheme Scheme>
class RosenbrockStages {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  using FollowersOfStep = RosenbrockFollowers<System, Scheme>;
  static constexpr int count = Scheme::stages;
  static constexpr bool followers_act = FollowersOfStep::act;

  explicit RosenbrockStages(const System& system)
      : still_(system)
      , lu_(system.unknowns())
      , followers_(system)
      , charges_(zeros<S, System::extent>(system.unknowns()))
      , change_(charges_)
      , drift_(charges_)
      , next_x_(charges_)
      , next_change_(charges_)
      , uncorrected_(charges_)
      , argument_(system)
      , nominal_(zeros<P, System::extent>(system.unknowns()))
      , start_(system)
      , end_(system)
      , inner_{Position<System>(system), Position<System>(system)} {
    for (std::size_t k = 0; k < nominal_.size(); ++k) nominal_[k] = system.nominal(k);
    for (auto& u : u_) u = zeros<S, System::extent>(system.unknowns());
  }

  void learn_structure(const System& system, const Mode& mode, const Position<System>& at) {
    still_.learn_structure(system, mode, at);
    forget();
    lu_.forget_pattern();
  }
  /// Takes which equations have no charge from elsewhere.
  void take_structure(const Storage<char, System::extent>& algebraic) {
    still_.take_structure(algebraic);
    forget();
  }
  /// Forgets all that a run from here must not depend on.
  void forget_all() {
    still_.forget_all();
    lu_.forget_pattern();
    drift_known_ = false;
  }
  void forget() {
    still_.forget();
    drift_known_ = false;
  }
  void learn_trend(const S&) {}

  /// Tries a step of length h > 0 from `from`; its new position is then in end().
  /// @return singular, no_convergence if it leads to no finite state, or unsuited if a charge is not linear
  /// Compiled into one piece: that is where the time goes.
  [[nodiscard, gnu::flatten]] StageStatus attempt(const System& system, const Mode& mode, const Position<System>& from,
                                                  const S& h, const Settings<S>&) {
    begin(system, mode, from, h);
    if (const StageStatus status = linearise(system, mode, h); status != StageStatus::solved) return status;
    later_stages(system, mode, h, std::make_integer_sequence<int, count - 1>{});
    if (!all_finite(end_.x)) return StageStatus::no_convergence;
    finish(system, mode, h);
    return StageStatus::solved;
  }

  [[nodiscard]] const Position<System>& end() const { return end_; }
  /// What the last jump(), spread() or polish() left, as in Stages.
  [[nodiscard]] const Position<System>& stage(int i) const { return still_.stage(i); }

  /// Positions on the step's dense output, in order of time: its start, two inside, its end.
  static constexpr int nodes = 4;
  static constexpr double node_time(int i) { return double(i) / 3.0; }
  [[nodiscard]] const Position<System>& node(int i) const {
    return i == 0 ? start_ : i == nodes - 1 ? end_ : inner_[std::size_t(i - 1)];
  }

  /// Estimated error of the last attempt as a multiple of what the settings allow. Unknowns without charge follow from
  /// the others, except for what their equations are not linear in: that is what the last stage still had to correct in
  /// these equations alone, and it counts. But not in steps as short as the first: what they lack at the start is made
  /// good by a step of any length, and would refuse them all.
  [[nodiscard]] P error(const System&, const S& h, const Settings<S>& settings) {
    const bool counts_algebraic = value_of(h) > settings.first_step && find_algebraic_error();
    P worst(0);
    for (std::size_t k = 0; k < nominal_.size(); ++k) {
      const bool algebraic = still_.is_algebraic(k);
      if (start_.rate_bound[k] > P(0) || (algebraic && !counts_algebraic)) continue;
      const P size = math::max(math::abs(value_of(start_.x[k])), math::abs(value_of(end_.x[k])));
      const P wrong = math::abs(value_of(algebraic ? uncorrected_[k] : u_[count - 1][k]));
      worst = math::max(worst, wrong / (settings.absolute * nominal_[k] + settings.relative * size));
    }
    return math::max(worst, followers_.error(end_, settings));
  }
  [[nodiscard]] P rate_bound_error(const System&, const Settings<S>&) const { return P(0); }

  // What the backward Euler engine does.
  template <class... Arguments>
  [[nodiscard]] StageStatus jump(Arguments&&... arguments) {
    return still_.jump(std::forward<Arguments>(arguments)...);
  }
  template <class... Arguments>
  [[nodiscard]] StageStatus spread(Arguments&&... arguments) {
    return still_.spread(std::forward<Arguments>(arguments)...);
  }
  template <class... Arguments>
  [[nodiscard]] StageStatus soft_jump(Arguments&&... arguments) {
    return still_.soft_jump(std::forward<Arguments>(arguments)...);
  }
  template <class... Arguments>
  [[nodiscard]] StageStatus polish(Arguments&&... arguments) {
    return still_.polish(std::forward<Arguments>(arguments)...);
  }
  template <class... Arguments>
  [[nodiscard]] StageStatus steady_state(Arguments&&... arguments) {
    return still_.steady_state(std::forward<Arguments>(arguments)...);
  }
  template <class... Arguments>
  void evaluate_currents(Arguments&&... arguments) {
    still_.evaluate_currents(std::forward<Arguments>(arguments)...);
  }
  template <class... Arguments>
  void settle_rates(Arguments&&... arguments) {
    still_.settle_rates(std::forward<Arguments>(arguments)...);
  }
  template <class... Arguments>
  [[nodiscard]] PortReading<S> measure(Arguments&&... arguments) {
    return still_.measure(std::forward<Arguments>(arguments)...);
  }
  template <class... Arguments>
  void measure_all(Arguments&&... arguments) {
    still_.measure_all(std::forward<Arguments>(arguments)...);
  }

 private:
  using Unknowns = Storage<S, System::extent>;
  using Factors = std::conditional_t<System::extent == dynamic_extent, SparseLu<S>, SmallLu<S, System::extent>>;

  template <class Values>
  [[nodiscard]] static bool all_finite(const Values& values) {
    for (const S& v : values)
      if (!math::is_finite(v)) return false;
    return true;
  }

  void begin(const System& system, const Mode& mode, const Position<System>& from, const S& h) {
    if (!(drift_known_ && is_start(from))) {
      start_ = from;
      drift_known_ = false;
      followers_.start(system, mode, start_);
    }
    argument_.x = start_.x;
    argument_.y = start_.y;
    argument_.time = start_.time;
    for (auto& c : change_) c = S(0);
    followers_.foresee(system, mode, start_, argument_, h);
  }
  [[nodiscard]] bool is_start(const Position<System>& from) const {
    if constexpr (!is_plain<S>)
      return false;  // derivatives may differ where values do not
    else
      return from.time == start_.time && from.x == start_.x && from.y == start_.y;
  }

  /// The matrix and the first stage, whose argument is the start.
  [[nodiscard]] StageStatus linearise(const System& system, const Mode& mode, const S& h) {
    do {
      Equations<S> equations(change_.size(), argument_.x.data(), start_.x.data(), S(h * S(P(Scheme::gamma))),
                             charges_.data(), argument_.currents.data(), lu_.entries(), change_.data());
      system.write(argument_.instant(), mode, equations);
      if (equations.has_nonlinear_charge()) return StageStatus::unsuited;
    } while (!lu_.take());
    start_.currents = argument_.currents;
    if (!drift_known_) find_drift(system, mode, h);
    if (!lu_.factor()) return all_finite(start_.currents) ? StageStatus::singular : StageStatus::no_convergence;
    foresee_argument<1>(std::integer_sequence<int>{});
    solve_stage<0>(h);
    return StageStatus::solved;
  }
  template <int... I>
  void later_stages(const System& system, const Mode& mode, const S& h, std::integer_sequence<int, I...>) {
    (later_stage<I + 1>(system, mode, h), ...);
  }
  template <int I>
  void later_stage(const System& system, const Mode& mode, const S& h) {
    argument_.time = S(start_.time + S(P(Scheme::alpha(I))) * h);
    if (followers_act && followers_.any()) argument_.y = followers_.at_stage(I);
    if constexpr (I + 1 < count) foresee_argument<I + 1>(std::make_integer_sequence<int, I>{});
    write_currents(system, mode, argument_.instant(), argument_.currents);
    solve_stage<I>(h);
  }
  /// Charges of change_ and currents, without slopes.
  void write_currents(const System& system, const Mode& mode, const Instant<S>& at, Unknowns& currents) {
    Equations<S> equations(change_.size(), at.x, start_.x.data(), S(0), charges_.data(), currents.data(), nullptr,
                           change_.data());
    system.write(at, mode, equations);
  }
  /// True if stage I's argument is that of the stage before, moved by that stage's u.
  template <int I>
  static constexpr bool goes_on = [] {
    bool same = Scheme::a(I, I - 1) == 1.0;
    for (int j = 0; j < I - 1; ++j) same = same && Scheme::a(I, j) == Scheme::a(I - 1, j);
    return same;
  }();
  /// All that the table says of stage I's argument but what the stage just before adds, with its numbers at compile
  /// time. So most of the sums are done while that stage is still being solved.
  template <int I, int... J>
  void foresee_argument(std::integer_sequence<int, J...>) {
    for (std::size_t k = 0; k < change_.size(); ++k) {
      if constexpr (goes_on<I>)
        next_x_[k] = argument_.x[k];
      else
        next_x_[k] = S((start_.x[k] + ... + S(P(Scheme::a(I, J)) * u_[J][k])));
      if constexpr (sizeof...(J) > 0)
        next_change_[k] = S((S(P(Scheme::c(I, J)) * u_[J][k]) + ...));
      else
        next_change_[k] = S(0);
    }
  }
  /// Solves stage I, and moves on to the next one's argument, or to the end.
  template <int I>
  void solve_stage(const S& h) {
    const S weight = S(h * S(P(Scheme::gamma)));
    auto& u = u_[I];
    const auto right = [&](std::size_t k) {
      const S steady = S(P(Scheme::gamma) * charges_[k] - weight * argument_.currents[k]);
      if constexpr (Scheme::d(I) == 0.0) return steady;
      return S(steady - h * weight * P(Scheme::d(I)) * drift_[k]);
    };
    if constexpr (I + 1 == count)
      for (std::size_t k = 0; k < u.size(); ++k) uncorrected_[k] = still_.is_algebraic(k) ? right(k) : S(0);
    const auto take = [&](std::size_t k, const S& x) {
      u[k] = x;
      if constexpr (I + 1 < count) {
        argument_.x[k] = S(next_x_[k] + P(Scheme::a(I + 1, I)) * x);
        change_[k] = S(next_change_[k] + P(Scheme::c(I + 1, I)) * x);
      } else {
        end_.x[k] = S(argument_.x[k] + x);
      }
    };
    if constexpr (requires { lu_.solve(right, take); }) {
      lu_.solve(right, take);
    } else {
      for (std::size_t k = 0; k < u.size(); ++k) u[k] = right(k);
      lu_.solve(u.data());
      for (std::size_t k = 0; k < u.size(); ++k) take(k, u[k]);
    }
  }

  /// Turns what the last stage found wrong in equations without charge into what it changed in their unknowns.
  /// @return false if nothing was wrong
  [[nodiscard]] bool find_algebraic_error() {
    bool any = false;
    for (const S& wrong : uncorrected_) any = any || value_of(wrong) != P(0);
    if (any) lu_.solve(uncorrected_.data());
    return any;
  }

  /// df/dt at the start with unknowns held, from differences to later times that the clock resolves; exactly 0 where
  /// nothing moves.
  void find_drift(const System& system, const Mode& mode, const S& h) {
    drift_known_ = true;
    for (auto& d : drift_) d = S(0);
    const P length = value_of(h), now = math::abs(value_of(start_.time));
    const P apart = math::min(math::max(P(1e-3) * length, P(1024) * round_off<S> * now), P(0.5) * length);
    if (!later_currents(system, mode, apart)) return;
    for (std::size_t k = 0; k < drift_.size(); ++k) drift_[k] = S(P(4) * (argument_.currents[k] - start_.currents[k]));
    static_cast<void>(later_currents(system, mode, P(2) * apart));
    for (std::size_t k = 0; k < drift_.size(); ++k)
      drift_[k] = S((drift_[k] - (argument_.currents[k] - start_.currents[k])) / (P(2) * apart));
    argument_.currents = start_.currents;
    for (auto& c : charges_) c = S(0);
  }
  /// Writes f at the start's unknowns but `later`; false if nothing differs from then.
  [[nodiscard]] bool later_currents(const System& system, const Mode& mode, P later) {
    const std::size_t n = change_.size();
    Position<System>& at = end_;  // not in use yet
    at.time = S(start_.time + S(later));
    for (std::size_t k = 0; k < at.y.size(); ++k) at.y[k] = followers_.later(k, start_.y[k], later);
    write_currents(system, mode, {at.time, start_.x.data(), at.y.data()}, argument_.currents);
    for (std::size_t k = 0; k < n; ++k)
      if (value_of(argument_.currents[k]) != value_of(start_.currents[k]) || !is_plain<S>) return true;
    return false;
  }

  /// Dense output, followers from sources along it, and all that goes with the new position.
  void finish(const System& system, const Mode& mode, const S& h) {
    end_.time = S(start_.time + h);
    end_.currents = argument_.currents;
    end_.rate_bound = start_.rate_bound;
    set_inner(std::make_integer_sequence<int, count>{});
    for (int i = 1; i <= 2; ++i) inner_[std::size_t(i - 1)].time = S(start_.time + S(P(node_time(i))) * h);
    argument_.time = S(start_.time + P(0.5) * h);
    followers_.finish(system, mode, start_, argument_, inner_, end_, h);
  }
  /// Unknowns inside the step, and those of its middle into the argument.
  template <int... J>
  void set_inner(std::integer_sequence<int, J...>) {
    for (std::size_t k = 0; k < end_.x.size(); ++k) {
      const auto row = [&](auto number) { return S(((P(Scheme::dense(number, J)) * u_[J][k]) + ...)); };
      const S level = row(std::integral_constant<int, 0>{}), tilt = row(std::integral_constant<int, 1>{});
      S bend(0);
      if constexpr (Scheme::dense_rows > 2) bend = row(std::integral_constant<int, 2>{});
      const S rise = S(end_.x[k] - start_.x[k]);
      const auto at = [&](P s) { return S(start_.x[k] + s * (rise + (P(1) - s) * (level + s * (tilt + s * bend)))); };
      inner_[0].x[k] = at(P(node_time(1)));
      inner_[1].x[k] = at(P(node_time(2)));
      argument_.x[k] = at(P(0.5));
    }
  }

  Stages<System, BackwardEuler> still_;
  Factors lu_;
  FollowersOfStep followers_;
  Unknowns charges_, change_, drift_;
  Unknowns next_x_, next_change_;  // of the argument of the stage after this, but for what this one adds
  Unknowns uncorrected_;           // by the stages before the last, of equations without charge
  Position<System> argument_;      // of the stage at hand
  Storage<P, System::extent> nominal_;
  std::array<Unknowns, std::size_t(count)> u_{};
  Position<System> start_, end_;
  std::array<Position<System>, 2> inner_;
  bool drift_known_ = false;
};

namespace detail {
template <class System, class Scheme>
struct EngineOf {
  using type = Stages<System, Scheme>;
};
template <class System, RosenbrockScheme Scheme>
struct EngineOf<System, Scheme> {
  using type = RosenbrockStages<System, Scheme>;
};
}  // namespace detail

}  // namespace gastube
