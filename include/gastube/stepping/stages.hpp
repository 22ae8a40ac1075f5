// SPDX-License-Identifier: MIT
#pragma once
/// The engine under all schemes: solves the implicit stages of one step and estimates its error.

#include "gastube/stepping/ports.hpp"
#include "gastube/stepping/schemes.hpp"
#include "gastube/stepping/settings.hpp"
#include "gastube/stepping/stage_followers.hpp"
#include "gastube/support/lu.hpp"
#include "gastube/support/sparse_lu.hpp"

namespace gastube {

enum class StageStatus { solved, no_convergence, singular, unsuited };

namespace detail {
/// s in which sources that swing move apart, if ever so little; 0 if there are none.
template <HybridSystem System>
[[nodiscard]] Plain<typename System::Scalar> a_moment(const System& system, const typename System::Mode& mode) {
  using P = Plain<typename System::Scalar>;
  if constexpr (requires { system.longest_step(mode); })
    if (const auto longest = system.longest_step(mode); is_limited(longest)) return P(1e-6) * P(value_of(longest));
  return P(0);
}
}  // namespace detail

/// Workspace of one scheme on one system; never allocates after construction.
template <HybridSystem System, SteppingScheme Scheme>
class Stages {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  static constexpr int count = Scheme::stages;

  explicit Stages(const System& system)
      : lu_(system.unknowns())
      , charges_(zeros<S, System::extent>(system.unknowns()))
      , carry_(charges_)
      , change_(charges_)
      , correction_(charges_)
      , last_(charges_)
      , trend_(charges_)
      , nominal_(zeros<P, System::extent>(system.unknowns()))
      , algebraic_(zeros<char, System::extent>(system.unknowns()))
      , ports_(system)
      , followers_(system)
      , positions_(make(system, std::make_index_sequence<std::size_t(count)>{})) {
    for (std::size_t k = 0; k < nominal_.size(); ++k) nominal_[k] = system.nominal(k);
  }

  /// Learns which equations of a mode have no charge; to be called when a run goes on from a saved state.
  void learn_structure(const System& system, const Mode& mode, const Position<System>& at) {
    find_algebraic(system, mode, at);
    forget_all();
  }

  /// The same, from one who knows already.
  void take_structure(const Storage<char, System::extent>& algebraic) {
    algebraic_ = algebraic;
    forget();
  }

  /// True for an equation without charge, as learnt last.
  [[nodiscard]] bool is_algebraic(std::size_t k) const { return algebraic_[k] != 0; }

  /// Forgets all that a run from here must not depend on.
  void forget_all() {
    forget();
    lu_.forget_pattern();
  }
  /// Forgets matrix factors; to be called whenever mode or system changed.
  void forget() { factored_ = trend_known_ = false; }
  /// To be called after an attempt of length h that was accepted: the search for the next one starts along this trend.
  void learn_trend(const S& h) {
    const S length = S(h * S(Scheme::c(count - 1) - Scheme::c(count - 2)));
    for (std::size_t k = 0; k < trend_.size(); ++k) trend_[k] = S((end().x[k] - stage(count - 2).x[k]) / length);
    trend_known_ = true;
  }

  /// Tries a step of length h > 0 from `from`. Stages are then in stage(i), the new position in end().
  [[nodiscard]] StageStatus attempt(const System& system, const Mode& mode, const Position<System>& from, const S& h,
                                    const Settings<S>& settings) {
    positions_[0] = from;
    followers_.note_sources(system, mode, positions_[0], 0);
    for (int i = 1; i < count; ++i) {
      begin_stage(system, mode, i, h);
      const StageStatus status = solve_stage(system, mode, i, S(h * S(Scheme::a(i, i))), settings);
      if (status != StageStatus::solved) return status;
      followers_.finish_stage(system, mode, positions_, i);
    }
    return StageStatus::solved;
  }

  [[nodiscard]] const Position<System>& stage(int i) const { return positions_[std::size_t(i)]; }
  [[nodiscard]] const Position<System>& end() const { return positions_[std::size_t(count - 1)]; }

  /// Positions that the step's dense output runs through, in order of time: its start first, its end last.
  static constexpr int nodes = detail::dense_nodes<Scheme>;
  static constexpr double node_time(int i) { return Scheme::c(detail::dense_node<Scheme>(i)); }
  [[nodiscard]] const Position<System>& node(int i) const { return stage(detail::dense_node<Scheme>(i)); }

  /// Estimated error of the last attempt as a multiple of what the settings allow.
  [[nodiscard]] P error(const System& system, const S& h, const Settings<S>& settings) {
    for (std::size_t k = 0; k < correction_.size(); ++k) {
      S sum(0);
      for (int j = 0; j < count; ++j) sum += S(Scheme::estimate(j)) * stage(j).currents[k];
      // An equation without charge is solved at every stage; what is left of it is round-off, at any length of step.
      correction_[k] = value_of(charges_[k]) == P(0) ? S(0) : S(-h * sum);
    }
    lu_.solve(correction_.data());
    P worst(0);
    for (std::size_t k = 0; k < correction_.size(); ++k)
      if (!(stage(0).rate_bound[k] > P(0)) && algebraic_[k] == 0)  // the algebraic ones follow from the others
        worst = math::max(worst, weigh(system, k, correction_[k], end().x[k], settings));
    return math::max(worst, followers_.error(positions_, h, settings));
  }

  /// The same for the rate-bound unknowns, to be asked after error(). What they were at the start of the step counts in
  /// the estimate but not in the step: where they were wrong a shorter step estimates no less.
  [[nodiscard]] P rate_bound_error(const System& system, const Settings<S>& settings) const {
    P worst(0);
    for (std::size_t k = 0; k < correction_.size(); ++k)
      if (stage(0).rate_bound[k] > P(0)) worst = math::max(worst, weigh_rate_bound(system, k, settings));
    return worst;
  }

  /// The state that remains after impulses at `from`: charge is conserved, and no time passes. Linear extrapolation of
  /// two backward Euler steps towards length 0 (the restart step of the settings). Afterwards stage(1) holds the
  /// shorter of the two, where an impulse shows as a huge current of its sign.
  [[nodiscard]] StageStatus jump(const System& system, const Mode& mode, const Position<System>& from,
                                 const Settings<S>& settings, Position<System>& result) {
    positions_[0] = from;
    for (int half = 0; half < 2; ++half) {
      forget();
      positions_[1] = from;
      for (auto& c : carry_) c = S(0);
      const S length = S(P(half == 0 ? 1 : 0.5) * settings.restart_step);
      const StageStatus status = solve_stage(system, mode, 1, length, settings);
      if (status != StageStatus::solved) return status;
      if (half == 0) result = positions_[1], result.x = change_;
    }
    for (std::size_t k = 0; k < result.x.size(); ++k)
      result.x[k] = S(from.x[k] + limit(result.x[k], change_[k], nominal_[k]));
    forget();
    return StageStatus::solved;
  }

  /// A backward Euler step of this length into stage(1), with sources as they are at `from`: what an impulse comes to
  /// when it is spread over that time.
  [[nodiscard]] StageStatus spread(const System& system, const Mode& mode, const Position<System>& from, P length,
                                   const Settings<S>& settings) {
    positions_[0] = from;
    positions_[1] = from;
    for (auto& c : carry_) c = S(0);
    forget();
    const StageStatus status = solve_stage(system, mode, 1, S(length), settings);
    forget();
    return status;
  }

  /// Where jump() finds no single solution: the same with a little resistance in every equation that states a voltage.
  /// Only the signs of the currents in stage(1) mean anything.
  [[nodiscard]] StageStatus soft_jump(const System& system, const Mode& mode, const Position<System>& from,
                                      const Settings<S>& settings, Position<System>& scratch) {
    using std::sqrt;
    give_ = sqrt(round_off<S>);
    const StageStatus status = jump(system, mode, from, settings, scratch);
    give_ = P(0);
    return status;
  }

  /// Makes a position obey its algebraic equations to Newton's tolerance, where jump() leaves the error of its
  /// extrapolation. Charges stay: a short step whose charging currents are taken back.
  [[nodiscard]] StageStatus polish(const System& system, const Mode& mode, Position<System>& at,
                                   const Settings<S>& settings) {
    find_algebraic(system, mode, at);
    evaluate_currents(system, mode, at);
    positions_[0] = at;
    positions_[1] = at;
    const S length = S(settings.restart_step);
    for (std::size_t k = 0; k < carry_.size(); ++k) carry_[k] = algebraic_[k] != 0 ? S(0) : S(-length * at.currents[k]);
    forget();
    const StageStatus status = solve_stage(system, mode, 1, length, settings);
    forget();
    if (status == StageStatus::solved) at.x = positions_[1].x;
    return status;
  }

  /// The position that is reached when sources stay as they are at `from` and charging has died away: Newton's method
  /// from where the circuit is, or else along a path from there. On failure `result` stays as it was.
  [[nodiscard]] StageStatus steady_state(const System& system, const Mode& mode, const Position<System>& from,
                                         const Settings<S>& settings, Position<System>& result) {
    positions_[0] = from;
    if (positions_[0].y.size() > 0) followers_.rest(system, mode, positions_[0]);  // none that acts looks at unknowns
    StageStatus status = move_on(system, mode, steady, P(0), settings);
    if (status != StageStatus::solved && start_moving(system, mode, settings) && come_to_rest(system, mode, settings))
      status = StageStatus::solved;
    positions_[0] = positions_[1];
    // Once more: a step leaves the share of what was to settle that its length is short of for ever.
    if (status == StageStatus::solved) status = move_on(system, mode, steady, P(0), settings);
    if (status != StageStatus::solved) return status;
    result.x = positions_[1].x;
    followers_.rest(system, mode, result);
    return StageStatus::solved;
  }

  /// Writes f at a position into its currents.
  void evaluate_currents(const System& system, const Mode& mode, Position<System>& at) {
    Equations<S> equations(at.x.size(), at.x.data(), at.x.data(), S(0), charges_.data(), at.currents.data(), nullptr);
    system.write(at.instant(), mode, equations);
  }

  /// Marks the rate-bound unknowns of a position that is consistent otherwise, and gives them their values.
  /// @param ahead s over which sources are smooth from here on, above 0
  void settle_rates(const System& system, const Mode& mode, Position<System>& at, P ahead,
                    const Settings<S>& settings) {
    for (P& share : at.rate_bound) share = P(0);
    find_algebraic(system, mode, at);
    const P length = settings.restart_step;
    if (!probe(system, mode, at, P(4) * length, last_) || !probe(system, mode, at, P(2) * length, change_)
        || !probe(system, mode, at, length, correction_))
      return;
    bool any = false;
    // What grows ever more as the step is halved again is a rate's doing; anything else changes ever less.
    for (std::size_t k = 0; k < change_.size(); ++k) {
      const P growth = math::abs(value_of(S(correction_[k] - change_[k])));
      const P before = math::abs(value_of(S(change_[k] - last_[k])));
      const P noise = P(1e3) * round_off<S> * math::abs(value_of(correction_[k]));
      if (!(growth > P(1.5) * before && growth > noise)) continue;
      at.rate_bound[k] = growth * P(2) * length;
      any = true;
    }
    if (any) add_rate_bound(system, mode, at, ahead, S(length));
  }

  /// Measures and tells all ports of a position that wanted(port) picks, with one factorisation for all of them.
  template <class Wanted>
  void measure_all(const System& system, Mode& mode, const Position<System>& at, const Settings<S>& settings,
                   Wanted&& wanted) {
    ports_.begin();
    for (std::size_t k = 0; k < system.ports(); ++k)
      if (const Port port = system.port(k, mode); wanted(port)) ports_.ask(k, port);
    if (ports_.asked().empty()) return;
    measure_asked(system, mode, at, settings.restart_step);
    measure_asked(system, mode, at, steady);
    for (const auto& asked : ports_.asked()) system.accept_port(asked.number, asked.reading, mode);
  }
  /// Measures a port at a position.
  [[nodiscard]] PortReading<S> measure(const System& system, const Mode& mode, const Position<System>& at,
                                       const Port& port, const Settings<S>& settings) {
    PortReading<S> reading;
    reading.resistance = port_resistance(system, mode, at, port, S(settings.restart_step));
    reading.steady_resistance = port_resistance(system, mode, at, port, S(steady));
    reading.steady_voltage = steady_voltage(at, port);
    return reading;
  }
  /// Right after measure(): by how much the steady voltage rises for what time alone adds to the right-hand side of
  /// equation `row`, per unit of that.
  [[nodiscard]] S steady_gain(std::size_t row, const Port& port) {
    if (row == port.branch) return S(0);
    for (auto& c : correction_) c = S(0);
    correction_[row] = S(steady);
    lu_.solve(correction_.data());
    return detail::across(port, correction_);
  }

 private:
  using Factors = std::conditional_t<System::extent == dynamic_extent, SparseLu<S>, Lu<S, System::extent>>;

  template <std::size_t... I>
  static std::array<Position<System>, sizeof...(I)> make(const System& system, std::index_sequence<I...>) {
    return {{(static_cast<void>(I), Position<System>(system))...}};
  }

  [[nodiscard]] P weigh(const System&, std::size_t k, const S& change, const S& x, const Settings<S>& s) const {
    return math::abs(value_of(change)) / (s.absolute * nominal_[k] + s.relative * math::abs(value_of(x)));
  }

  /// The same for the error of a rate-bound unknown. It is of one order less, hence the power; and the shorter the
  /// step, the more of it is round-off of what it is the rate of, and of the clock.
  [[nodiscard]] P weigh_rate_bound(const System&, std::size_t k, const Settings<S>& s) const {
    P greatest(0);
    for (const S& x : end().x) greatest = math::max(greatest, math::abs(value_of(x)));
    const P size = math::abs(value_of(end().x[k])), by_clock = math::abs(value_of(end().time)) * size;
    const P noise = P(32) * round_off<S> * (greatest * stage(0).rate_bound[k] + by_clock) / alpha_;
    const P allowed =
        math::pow(s.absolute, P(2) / P(3)) * nominal_[k] + math::pow(s.relative, P(2) / P(3)) * size + noise;
    return math::abs(value_of(correction_[k])) / allowed;
  }

  /// Change in a step of length 0 from those in a step and in half of it. An unknown that doubles as the step halves is
  /// an impulse, which leaves nothing behind.
  [[nodiscard]] static S limit(const S& whole, const S& half, P nominal) {
    const bool impulse = math::abs(value_of(half)) > P(1e6) * nominal
                         && math::abs(value_of(S(half - S(2) * whole))) < P(0.1) * math::abs(value_of(whole));
    return impulse ? S(0) : S(S(2) * half - whole);
  }

  /// A backward Euler step from stage(0) to stage(1), with sources and followers as they are, for equations that
  /// differ from the true ones by a share of the residue in trend_.
  [[nodiscard]] StageStatus move_on(const System& system, const Mode& mode, P length, P share,
                                    const Settings<S>& settings) {
    positions_[1] = positions_[0];
    for (std::size_t k = 0; k < carry_.size(); ++k) carry_[k] = share > P(0) ? S(-share * length * trend_[k]) : S(0);
    forget();
    const StageStatus status = solve_stage(system, mode, 1, S(length), settings);
    forget();
    return status;
  }
  /// Takes stage(0) to where equations without charge are obeyed: their residue there is taken away bit by bit, as if
  /// sources were turned up slowly.
  [[nodiscard]] bool start_moving(const System& system, const Mode& mode, const Settings<S>& settings) {
    const P length = settings.restart_step;
    evaluate_currents(system, mode, positions_[0]);
    trend_ = positions_[0].currents;
    P share(1), less(1);  // the whole of it at once first
    while (share > P(0)) {
      const P next = less < share ? share - less : P(0);
      if (move_on(system, mode, length, next, settings) == StageStatus::solved) {
        positions_[0] = positions_[1];
        share = next;
        less *= P(2);
      } else if ((less *= P(0.25)) < P(1e-4)) {
        return false;
      }
    }
    return true;
  }
  /// From stage(0) along the circuit's own way to rest into stage(1), in steps that grow as long as they can be solved:
  /// what they miss of the way does not matter, for the last is as long as any that goes straight there.
  [[nodiscard]] bool come_to_rest(const System& system, const Mode& mode, const Settings<S>& settings) {
    P length = settings.restart_step, growth(2);
    for (int tried = 0; tried < 1000 && length > P(1e-3) * settings.restart_step; ++tried) {
      if (move_on(system, mode, length, P(0), settings) != StageStatus::solved) {
        length *= P(0.125);
        growth = P(2);
        continue;
      }
      if (length >= steady) return true;
      positions_[0] = positions_[1];
      length = math::min(length * growth, steady);
      growth = math::min(P(2) * growth, P(16));
    }
    return false;
  }

  /// Notes the equations without charge.
  void find_algebraic(const System& system, const Mode& mode, const Position<System>& at) {
    write_slopes(system, mode, at, S(0), carry_);
    lu_.mark_empty_rows(algebraic_.data());
  }
  void write_slopes(const System& system, const Mode& mode, const Position<System>& at, const S& alpha,
                    Storage<S, System::extent>& currents) {
    do {
      Equations<S> equations(at.x.size(), at.x.data(), at.x.data(), alpha, charges_.data(), currents.data(),
                             lu_.entries());
      system.write(at.instant(), mode, equations);
    } while (!lu_.take());
    forget();
  }
  /// The answer of a backward Euler step to a push on every algebraic equation, each push of another size.
  [[nodiscard]] bool probe(const System& system, const Mode& mode, const Position<System>& at, P length,
                           Storage<S, System::extent>& answer) {
    write_slopes(system, mode, at, S(length), carry_);
    if (!lu_.factor()) return false;
    const P n = P(answer.size());
    for (std::size_t k = 0; k < answer.size(); ++k)
      answer[k] = S(algebraic_[k] != 0 ? length * (P(1) - P(0.5) * P(k) / n) : P(0));
    lu_.solve(answer.data());
    return true;
  }
  /// Adds to rate-bound unknowns what a step of no length changes in them, with the sources moving on at their rates.
  /// The matrix is that of a backward Euler step of `length`; algebraic equations count as solved, for what round-off
  /// left in them is not a rate.
  void add_rate_bound(const System& system, const Mode& mode, Position<System>& at, P ahead, const S& length) {
    for (std::size_t k = 0; k < carry_.size(); ++k)
      correction_[k] =
          S(S(-length) * (algebraic_[k] != 0 ? S(0) : carry_[k]) + P(1.5) * length * length / ahead * carry_[k]);
    for (int step = 1; step <= 2; ++step) {  // rate = (-3 f(0) + 4 f(ahead) - f(2 ahead)) / (2 ahead)
      Equations<S> later(carry_.size(), at.x.data(), at.x.data(), S(0), charges_.data(), change_.data(), nullptr);
      system.write({S(at.time + S(P(step) * ahead)), at.x.data(), at.y.data()}, mode, later);
      const S share = S(P(step == 1 ? -2 : 0.5) * length * length / ahead);
      for (std::size_t k = 0; k < carry_.size(); ++k) correction_[k] += share * change_[k];
    }
    lu_.solve(correction_.data());
    for (std::size_t k = 0; k < carry_.size(); ++k)
      if (at.rate_bound[k] > P(0)) at.x[k] += correction_[k];
  }

  /// A backward Euler step of `length` into the matrix and carry_, with slow unknowns held.
  void write_port_step(const System& system, const Mode& mode, const Position<System>& at, const S& length) {
    const std::size_t n = at.x.size();
    write_slopes(system, mode, at, length, carry_);
    for (std::size_t k = 0; k < n; ++k) carry_[k] = S(-length * carry_[k]);
    if constexpr (requires { system.slow(n); })
      for (std::size_t k = 0; k < n; ++k)
        if (system.slow(k)) hold(k, S(0));
  }
  /// Rise of x[plus] - x[minus] per ampere put in at plus, over `length`, while port.branch and slow unknowns are held.
  [[nodiscard]] S port_resistance(const System& system, const Mode& mode, const Position<System>& at, const Port& port,
                                  const S& length) {
    write_port_step(system, mode, at, length);
    hold(port.branch, S(-at.x[port.branch]));
    if (!lu_.factor()) return unlimited<S>();
    for (auto& c : correction_) c = S(0);
    if (port.plus != Port::no_row) correction_[port.plus] = length;
    if (port.minus != Port::no_row) correction_[port.minus] = S(-length);
    lu_.solve(correction_.data());
    return detail::across(port, correction_);
  }
  /// The voltage left at the port by the step of the last port_resistance().
  [[nodiscard]] S steady_voltage(const Position<System>& at, const Port& port) {
    lu_.solve(carry_.data());
    return S(detail::across(port, at.x) + detail::across(port, carry_));
  }
  /// One step for all ports that are asked: that of the parts as they are, updated for each port to hold its branch.
  void measure_asked(const System& system, const Mode& mode, const Position<System>& at, P length) {
    bool ready = false;  // the factors are those of the parts as they are
    for (auto& asked : ports_.asked()) {
      if (!ready) {
        write_port_step(system, mode, at, S(length));
        ready = lu_.factor();
        if (ready) ports_.take_step(lu_, carry_);
      }
      if (ready && ports_.measure(lu_, asked, at, length, length == steady)) continue;
      ready = false;
      PortReading<S>& reading = asked.reading;
      (length == steady ? reading.steady_resistance : reading.resistance) =
          port_resistance(system, mode, at, asked.port, S(length));
      if (length == steady) reading.steady_voltage = steady_voltage(at, asked.port);
    }
  }
  /// Replaces equation k by "unknown k changes by `change`".
  void hold(std::size_t k, const S& change) {
    lu_.make_unit_row(k);
    carry_[k] = change;
  }

  void begin_stage(const System& system, const Mode& mode, int i, const S& h) {
    auto& here = positions_[std::size_t(i)];
    here.time = S(stage(0).time + h * S(Scheme::c(i)));
    here.x = stage(i - 1).x;
    predict(here, i, h);
    here.rate_bound = stage(0).rate_bound;
    for (std::size_t k = 0; k < carry_.size(); ++k) {
      S sum(0);
      for (int j = 0; j < i; ++j) sum += S(Scheme::a(i, j)) * stage(j).currents[k];
      carry_[k] = S(h * sum);
    }
    followers_.begin_stage(system, mode, positions_, i, h);
  }

  /// Where the search for stage i starts: straight on from the last stages, or along the trend of the last step.
  void predict(Position<System>& here, int i, const S& h) {
    if (i == 1 && !trend_known_) return;
    const S reach = S(h * S(Scheme::c(i) - Scheme::c(i - 1)));
    const S past = i == 1 ? S(1) : S(h * S(Scheme::c(i - 1) - Scheme::c(i - 2)));
    for (std::size_t k = 0; k < here.x.size(); ++k)
      here.x[k] += i == 1 ? S(reach * trend_[k]) : S(reach / past * (stage(i - 1).x[k] - stage(i - 2).x[k]));
  }

  /// Newton's method on  charge increments + carry + alpha * currents = 0.  Factors are kept while alpha stays the same
  /// and convergence is quick; derivatives of an automatic-differentiation scalar get one more full iteration.
  [[nodiscard]] StageStatus solve_stage(const System& system, const Mode& mode, int i, const S& alpha,
                                        const Settings<S>& settings) {
    auto& here = positions_[std::size_t(i)];
    const std::size_t n = here.x.size();
    for (std::size_t k = 0; k < n; ++k) change_[k] = S(here.x[k] - stage(0).x[k]);
    bool refactor = !factored_ || !factors_serve(value_of(alpha)) || !is_plain<S>;
    const int extra = is_plain<S> ? 0 : 1;
    int polished = 0, halvings = 0;
    P before(-1);
    for (auto& last : last_) last = S(0);
    for (int iteration = 0; iteration < 60; ++iteration) {
      Equations<S> equations(n, here.x.data(), stage(0).x.data(), alpha, charges_.data(), here.currents.data(),
                             refactor ? SlopeTarget<S>(lu_.entries()) : nullptr, change_.data());
      equations.give_way(S(give_));
      system.write(here.instant(), mode, equations);
      if (refactor && !lu_.take()) continue;
      if (refactor && !lu_.factor()) {
        forget();
        for (const S& current : here.currents)
          if (!math::is_finite(current)) return StageStatus::no_convergence;  // iteration went astray
        return StageStatus::singular;
      }
      factored_ = true;
      if (refactor) alpha_ = value_of(alpha);
      const P size = find_correction(system, here, alpha, settings);
      if (!(size < std::numeric_limits<P>::max())) return StageStatus::no_convergence;
      const P rate = before > P(0) ? size / before : P(1);
      const bool at_round_off = iteration > 1 && size <= P(0.5) && rate > P(0.5);
      const bool next_is_close = size <= P(0.05) && rate < P(0.1) && rate * size <= newton_target;
      const bool close = size <= newton_target || next_is_close || at_round_off;
      if (!close && size > P(0.01) * before && takes_back_most()) {
        // Across a kink Newton's method would go to and fro for ever, and with slopes from elsewhere it may leap
        // anywhere.
        if (refactor) take_back_half(here);
        refactor = true;
        if (++halvings % 12 != 0) continue;
      }
      correct(here);
      if (close && iteration > 0 && polished++ >= extra) {
        factored_ = iteration < 3;  // else the factors have grown too old
        return StageStatus::solved;
      }
      refactor = !is_plain<S> || (before >= P(0) && rate > P(0.1));
      before = size;
    }
    return StageStatus::no_convergence;
  }

  /// True if Newton's method may go on with the factors for alpha_. Where they cost far more than a solution, they may
  /// also be those of a somewhat longer or shorter step.
  [[nodiscard]] bool factors_serve(P alpha) const {
    return alpha == alpha_ || (lu_.is_costly() && math::abs(alpha - alpha_) < P(0.1) * alpha_);
  }
  /// Newton's correction from the present factors; returns its weighted size, or the greatest number if it is not
  /// finite.
  [[nodiscard]] P find_correction(const System& system, const Position<System>& here, const S& alpha,
                                  const Settings<S>& settings) {
    for (std::size_t k = 0; k < correction_.size(); ++k)
      correction_[k] = S(-(charges_[k] + carry_[k] + alpha * here.currents[k]));
    lu_.solve(correction_.data());
    P size(0);
    for (std::size_t k = 0; k < correction_.size(); ++k) {
      const S x = S(here.x[k] + correction_[k]);
      if (!math::is_finite(x)) return std::numeric_limits<P>::max();
      // What is lost in round-off as it is added to a change cannot be bettered, however much it weighs against a small
      // x.
      const P lost = round_off<S> * math::abs(value_of(change_[k]));
      if (math::abs(value_of(correction_[k])) > lost)
        size = math::max(size, weigh(system, k, correction_[k], x, settings));
    }
    return size;
  }
  void correct(Position<System>& here) {
    for (std::size_t k = 0; k < correction_.size(); ++k) {
      change_[k] += correction_[k];
      here.x[k] = S(stage(0).x[k] + change_[k]);
      last_[k] = correction_[k];
    }
  }
  /// True if the correction takes back more than half of the one before.
  [[nodiscard]] bool takes_back_most() const {
    P along(0), last(0);
    for (std::size_t k = 0; k < last_.size(); ++k) {
      const P unit = nominal_[k], before = value_of(last_[k]) / unit;
      along += value_of(correction_[k]) / unit * before;
      last += before * before;
    }
    return along < P(-0.5) * last;
  }
  void take_back_half(Position<System>& here) {
    for (std::size_t k = 0; k < last_.size(); ++k) {
      last_[k] = S(P(0.5) * last_[k]);
      change_[k] -= last_[k];
      here.x[k] = S(stage(0).x[k] + change_[k]);
    }
  }

  static constexpr P steady = P(1e6);          // s, after which charging currents have died away
  static constexpr P newton_target = P(1e-3);  // share of the error allowed that iteration may leave

  Factors lu_;
  Storage<S, System::extent> charges_, carry_, change_, correction_, last_, trend_;
  Storage<P, System::extent> nominal_;  // kept: asking each part costs
  Storage<char, System::extent> algebraic_;
  AskedPorts<System> ports_;
  StageFollowers<System, Scheme> followers_;
  std::array<Position<System>, std::size_t(count)> positions_;
  bool factored_ = false, trend_known_ = false;
  P alpha_ = P(0);
  P give_ = P(0);
};

}  // namespace gastube
