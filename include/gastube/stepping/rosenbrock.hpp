// SPDX-License-Identifier: MIT
#pragma once
/// Linearly implicit schemes of order four (Rosenbrock): one matrix a step, no iteration, one solution a stage. Each is
/// a type that holds its coefficients; one engine runs them all. They serve where charges are linear.
///
/// With M = dq/dx, J = df/dx and W = M + h gamma J, stage i of a step h from (t, x) solves
///   W u_i = -h gamma f(t + alpha_i h, x + sum a_ij u_j) + gamma M sum c_ij u_j - h^2 gamma d_i df/dt,
/// the new state is the last stage's argument plus its u, and the last u is the error estimate (E. Hairer and G.
/// Wanner, "Solving Ordinary Differential Equations II", 2nd ed., 1996, section IV.7, eq. 7.25, and section VI.4).

#include "gastube/stepping/decay.hpp"
#include "gastube/stepping/stages.hpp"
#include "gastube/support/small_lu.hpp"

namespace gastube {

/// Order 4, stiffly accurate, L-stable, embedded order 3, for ordinary and index-1 algebraic equations.
/// E. Hairer and G. Wanner (as above), section VI.4, "RODAS", coefficients from memory; the order tests measure them.
struct Rodas4 {
  static constexpr const char* name = "RODAS4";
  static constexpr int order = 4, stages = 6, estimate_order = 3, dense_rows = 2;
  static constexpr double gamma = 0.25;
  static constexpr double alpha(int stage) { return times_[stage]; }
  static constexpr double d(int stage) { return drifts_[stage]; }
  static constexpr double a(int stage, int column) { return shifts_[stage][column]; }
  static constexpr double c(int stage, int column) { return memories_[stage][column]; }
  /// Dense output  x(s) = (1 - s) x0 + s (x1 + (1 - s) (p_0 + s p_1)),  p_row = sum dense(row, j) u_j: of order 3.
  static constexpr double dense(int row, int column) { return inside_[row][column]; }

 private:
  static constexpr double times_[6] = {0.0, 0.386, 0.21, 0.63, 1.0, 1.0};
  static constexpr double drifts_[6] = {0.25, -0.1043, 0.1035, -0.0362, 0.0, 0.0};
  static constexpr double shifts_[6][6] = {
      {},
      {1.544},
      {0.9466785280815826, 0.2557011698983284},
      {3.314825187068521, 2.896124015972201, 0.9986419139977817},
      {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950},
      {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0}};
  static constexpr double memories_[6][6] = {
      {},
      {-5.6688},
      {-2.430093356833875, -0.2063599157091915},
      {-0.1073529058151375, -9.594562251023355, -20.47028614809616},
      {7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160},
      {8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054}};
  static constexpr double inside_[2][6] = {
      {10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662, 0.0},
      {-0.6762803392801253, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872, 0.0}};
};

/// The same for parabolic problems: its order does not fall as stiffness grows. G. Steinebach, "Order-reduction of
/// ROW-methods for DAEs and method of lines applications", preprint 1741, TH Darmstadt (1995), from memory; the order
/// tests measure it.
struct Rodas4P {
  static constexpr const char* name = "RODAS4P";
  static constexpr int order = 4, stages = 6, estimate_order = 3, dense_rows = 2;
  static constexpr double gamma = 0.25;
  static constexpr double alpha(int stage) { return times_[stage]; }
  static constexpr double d(int stage) { return drifts_[stage]; }
  static constexpr double a(int stage, int column) { return shifts_[stage][column]; }
  static constexpr double c(int stage, int column) { return memories_[stage][column]; }
  static constexpr double dense(int row, int column) { return inside_[row][column]; }

 private:
  static constexpr double times_[6] = {0.0, 0.75, 0.21, 0.63, 1.0, 1.0};
  static constexpr double drifts_[6] = {0.25, -0.5, -0.023504, -0.0362, 0.0, 0.0};
  static constexpr double shifts_[6][6] = {
      {},
      {3.0},
      {1.831036793486759, 0.4955183967433795},
      {2.304376582692669, -0.05249275245743001, -1.176798761832782},
      {-7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401},
      {-7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401, 1.0}};
  static constexpr double memories_[6][6] = {
      {},
      {-12.0},
      {-8.791795173947035, -2.207865586973518},
      {10.81793056857153, 6.780270611428266, 19.53485944642410},
      {34.19095006749676, 15.49671153725963, 54.74760875964130, 14.16005392148534},
      {34.62605830930532, 15.30084976114473, 56.99955578662667, 18.40807009793095, -5.714285714285717}};
  static constexpr double inside_[2][6] = {
      {25.09876703708589, 11.62013104361867, 28.49148307714626, -5.664021568594133, 0.0, 0.0},
      {1.638054557396973, -0.7373619806678748, 8.477918219238990, 15.99253148779520, -1.882352941176471, 0.0}};
};

/// Order 5, stiffly accurate, L-stable, embedded order 4; its order does not fall as stiffness grows. G. Steinebach,
/// "Construction of Rosenbrock-Wanner method Rodas5P and numerical benchmarks within the Julia Differential Equations
/// package", BIT Numerical Mathematics 63, 27 (2023), from memory; the order tests measure it.
struct Rodas5P {
  static constexpr const char* name = "RODAS5P";
  static constexpr int order = 5, stages = 8, estimate_order = 4, dense_rows = 3;
  static constexpr double gamma = 0.21193756319429014;
  static constexpr double alpha(int stage) { return times_[stage]; }
  static constexpr double d(int stage) { return drifts_[stage]; }
  static constexpr double a(int stage, int column) { return shifts_[stage][column]; }
  static constexpr double c(int stage, int column) { return memories_[stage][column]; }
  static constexpr double dense(int row, int column) { return inside_[row][column]; }

 private:
  static constexpr double times_[8] = {
      0.0, 0.6358126895828704, 0.4095798393397535, 0.9769306725060716, 0.4288403609558664, 1.0, 1.0, 1.0};
  static constexpr double drifts_[8] = {0.21193756319429014,
                                        -0.42387512638858027,
                                        -0.3384627126235924,
                                        1.8046452872882734,
                                        2.325825639765069,
                                        0.0,
                                        0.0,
                                        0.0};
  static constexpr double shifts_[8][8] = {
      {},
      {3.0},
      {2.849394379747939, 0.45842242204463923},
      {-6.954028509809101, 2.489845061869568, -10.358996098473584},
      {2.8029986275628964, 0.5072464736228206, -0.3988312541770524, -0.04721187230404641},
      {-7.502846399306121, 2.561846144803919, -11.627539656261098, -0.18268767659942256, 0.030198172008377946},
      {-7.502846399306121, 2.561846144803919, -11.627539656261098, -0.18268767659942256, 0.030198172008377946, 1.0},
      {-7.502846399306121, 2.561846144803919, -11.627539656261098, -0.18268767659942256, 0.030198172008377946, 1.0,
       1.0}};
  static constexpr double memories_[8][8] = {
      {},
      {-14.155112264123755},
      {-17.97296035885952, -2.859693295451294},
      {147.12150275711716, -1.41221402718213, 71.68940251302358},
      {165.43517024871676, -0.4592823456491126, 42.90938336958603, -5.961986721573306},
      {24.854864614690072, -3.0009227002832186, 47.4931110020768, 5.5814197821558125, -0.6610691825249471},
      {30.91273214028599, -3.1208243349937974, 77.79954646070892, 34.28646028294783, -19.097331116725623,
       -28.087943162872662},
      {37.80277123390563, -3.2571969029072276, 112.26918849496327, 66.9347231244047, -40.06618937091002,
       -54.66780262877968, -9.48861652309627}};
  static constexpr double inside_[3][8] = {
      {25.948786856663858, -2.5579724845846235, 10.433815404888879, -2.3679251022685204, 0.524948541321073,
       1.1241088310450404, 0.4272876194431874, -0.17202221070155493},
      {-9.91568850695171, -0.9689944594115154, 3.0438037242978453, -24.495224566215796, 20.176138334709044,
       15.98066361424651, -6.789040303419874, -6.710236069923372},
      {11.419903575922262, 2.8879645146136994, 72.92137995996029, 80.12511834622643, -52.072871366152654,
       -59.78993625266729, -0.15582684282751913, 4.883087185713722}};
};

/// What the engine asks of a Rosenbrock scheme.
template <class Scheme>
concept RosenbrockScheme = requires(int i) {
  { Scheme::name } -> std::convertible_to<const char*>;
  { Scheme::order } -> std::convertible_to<int>;
  { Scheme::stages } -> std::convertible_to<int>;
  { Scheme::estimate_order } -> std::convertible_to<int>;
  { Scheme::gamma } -> std::convertible_to<double>;
  { Scheme::alpha(i) } -> std::convertible_to<double>;
  { Scheme::d(i) } -> std::convertible_to<double>;
  { Scheme::a(i, i) } -> std::convertible_to<double>;
  { Scheme::c(i, i) } -> std::convertible_to<double>;
  { Scheme::dense(i, i) } -> std::convertible_to<double>;
};
static_assert(RosenbrockScheme<Rodas4> && RosenbrockScheme<Rodas4P> && RosenbrockScheme<Rodas5P>);

/// Any scheme a stepper can run.
template <class Scheme>
concept AnyScheme = SteppingScheme<Scheme> || RosenbrockScheme<Scheme>;

/// Workspace of one Rosenbrock scheme on one system, with the same questions and answers as Stages; never allocates
/// after construction. Jumps, rest points and ports are the business of the backward Euler engine inside.
template <HybridSystem System, RosenbrockScheme Scheme>
class RosenbrockStages {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  static constexpr int count = Scheme::stages;

  /// False where the system says that its followers act on guards only: System::followers_act.
  static constexpr bool followers_act = [] {
    if constexpr (requires { System::followers_act; })
      return bool(System::followers_act);
    else
      return System::follower_extent != 0;
  }();

  explicit RosenbrockStages(const System& system)
      : still_(system)
      , lu_(system.unknowns())
      , charges_(zeros<S, System::extent>(system.unknowns()))
      , change_(charges_)
      , drift_(charges_)
      , argument_(system)
      , nominal_(zeros<P, System::extent>(system.unknowns()))
      , rates_(filled<FollowRate<S>, System::follower_extent>(system.followers(), FollowRate<S>{}))
      , followed_{rates_, rates_, rates_}
      , start_(system)
      , end_(system)
      , inner_{Position<System>(system), Position<System>(system)} {
    for (std::size_t k = 0; k < nominal_.size(); ++k) nominal_[k] = system.nominal(k);
    for (auto& u : u_) u = zeros<S, System::extent>(system.unknowns());
    for (auto& y : y_at_) y = zeros<S, System::follower_extent>(system.followers());
  }

  void learn_structure(const System& system, const Mode& mode, const Position<System>& at) {
    still_.learn_structure(system, mode, at);
    forget();
  }
  /// Takes which equations have no charge from elsewhere.
  void take_structure(const Storage<char, System::extent>& algebraic) {
    still_.take_structure(algebraic);
    forget();
  }
  /// Forgets all that a run from here must not depend on.
  void forget_all() {
    still_.forget_all();
    drift_known_ = false;
  }
  void forget() {
    still_.forget();
    drift_known_ = false;
  }
  void learn_trend(const S&) {}

  /// Tries a step of length h > 0 from `from`; its new position is then in end().
  /// @return singular, no_convergence if it leads to no finite state, or unsuited if a charge is not linear
  [[nodiscard]] StageStatus attempt(const System& system, const Mode& mode, const Position<System>& from, const S& h,
                                    const Settings<S>&) {
    begin(system, mode, from, h);
    if (const StageStatus status = linearise(system, mode, h); status != StageStatus::solved) return status;
    later_stages(system, mode, h, std::make_integer_sequence<int, count - 1>{});
    for (std::size_t k = 0; k < end_.x.size(); ++k) end_.x[k] = S(argument_.x[k] + u_[count - 1][k]);
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

  /// Estimated error of the last attempt as a multiple of what the settings allow. Equations without charge count too:
  /// where they are not linear a step solves them only as well as the others. But not in steps as short as the first:
  /// what they lack at the start is made good by a step of any length, and would refuse them all.
  [[nodiscard]] P error(const System&, const S& h, const Settings<S>& settings) const {
    const bool is_short = value_of(h) <= settings.first_step;
    P worst(0);
    for (std::size_t k = 0; k < nominal_.size(); ++k) {
      if (start_.rate_bound[k] > P(0) || (is_short && still_.is_algebraic(k))) continue;
      const P allowed = settings.absolute * nominal_[k] + settings.relative * math::abs(value_of(end_.x[k]));
      worst = math::max(worst, math::abs(value_of(u_[count - 1][k])) / allowed);
    }
    for (std::size_t k = 0; k < rates_.size(); ++k) {
      const P allowed = settings.absolute + settings.relative * math::abs(value_of(end_.y[k]));
      worst = math::max(worst, follower_wrong_[k] / allowed);
    }
    return worst;
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
  using Followers = Storage<S, System::follower_extent>;
  using Rates = Storage<FollowRate<S>, System::follower_extent>;

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
      if (rates_.size() > 0) system.follow(start_.instant(), mode, followed_[0].data());
    }
    argument_.x = start_.x;
    argument_.y = start_.y;
    argument_.time = start_.time;
    for (auto& c : change_) c = S(0);
    if (followers_act && rates_.size() > 0) foresee_followers(system, mode, h);
  }
  [[nodiscard]] bool is_start(const Position<System>& from) const {
    if constexpr (!is_plain<S>)
      return false;  // derivatives may differ where values do not
    else
      return from.time == start_.time && from.x == start_.x && from.y == start_.y;
  }

  /// The matrix and the first stage, whose argument is the start.
  [[nodiscard]] StageStatus linearise(const System& system, const Mode& mode, const S& h) {
    const std::size_t n = change_.size();
    Equations<S> equations(n, argument_.x.data(), start_.x.data(), S(h * S(P(Scheme::gamma))), charges_.data(),
                           argument_.currents.data(), lu_.entries(), change_.data());
    system.write(argument_.instant(), mode, equations);
    if (equations.has_nonlinear_charge()) return StageStatus::unsuited;
    start_.currents = argument_.currents;
    if (!drift_known_) find_drift(system, mode, h);
    if (!lu_.factor()) return all_finite(start_.currents) ? StageStatus::singular : StageStatus::no_convergence;
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
    if (followers_act && rates_.size() > 0) argument_.y = y_at_[std::size_t(I)];
    set_argument<I>(std::make_integer_sequence<int, I>{});
    write_currents(system, mode, argument_.instant(), argument_.currents);
    solve_stage<I>(h);
  }
  /// Charges of change_ and currents, without slopes: eight times a step, hence compiled into one piece, from which
  /// what only slopes need drops out.
  [[gnu::flatten]] void write_currents(const System& system, const Mode& mode, const Instant<S>& at,
                                       Unknowns& currents) {
    Equations<S> equations(change_.size(), at.x, start_.x.data(), S(0), charges_.data(), currents.data(), nullptr,
                           change_.data());
    system.write(at, mode, equations);
  }
  /// What the table says of the stages before, with its numbers at compile time: it is a third of a step's work.
  template <int I, int... J>
  void set_argument(std::integer_sequence<int, J...>) {
    constexpr bool goes_on =
        Scheme::a(I, I - 1) == 1.0 && ((J == I - 1 || Scheme::a(I, J) == Scheme::a(I - 1, J)) && ...);
    for (std::size_t k = 0; k < change_.size(); ++k) {
      if constexpr (goes_on)
        argument_.x[k] = S(argument_.x[k] + u_[I - 1][k]);
      else
        argument_.x[k] = S(start_.x[k] + ((P(Scheme::a(I, J)) * u_[J][k]) + ...));
      change_[k] = S(((P(Scheme::c(I, J)) * u_[J][k]) + ...));
    }
  }
  template <int I>
  void solve_stage(const S& h) {
    const S weight = S(h * S(P(Scheme::gamma))), drift = S(-h * weight * S(P(Scheme::d(I))));
    auto& u = u_[I];
    for (std::size_t k = 0; k < u.size(); ++k)
      u[k] = S(P(Scheme::gamma) * charges_[k] - weight * argument_.currents[k] + drift * drift_[k]);
    lu_.solve(u.data());
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
    for (std::size_t k = 0; k < rates_.size(); ++k)
      at.y[k] = FollowerDecay<S>(followed_[0][k].decay, S(later))(start_.y[k], followed_[0][k].source,
                                                                  followed_[0][k].source);
    write_currents(system, mode, {at.time, start_.x.data(), at.y.data()}, argument_.currents);
    for (std::size_t k = 0; k < n; ++k)
      if (value_of(argument_.currents[k]) != value_of(start_.currents[k]) || !is_plain<S>) return true;
    return false;
  }

  /// Followers at the stages, with the unknowns held: exact wherever they act on currents, for there their sources hang
  /// on time alone.
  void foresee_followers(const System& system, const Mode& mode, const S& h) {
    for (int part = 1; part <= 2; ++part) {
      argument_.time = S(start_.time + S(P(0.5) * P(part)) * h);
      system.follow(argument_.instant(), mode, followed_[std::size_t(part)].data());
    }
    argument_.time = start_.time;
    for (std::size_t k = 0; k < rates_.size(); ++k) {
      const S source = followed_[0][k].source, decay = followed_[0][k].decay;
      if (is_plain<S> && value_of(decay) > P(0) && has_constant_source(k))
        relax(k, S(source / decay), S(decay * h));
      else
        for (int i = 0; i < count; ++i) y_at_[std::size_t(i)][k] = follower(k, h, P(Scheme::alpha(i)));
    }
  }
  [[nodiscard]] bool has_constant_source(std::size_t k) const {
    const P first = value_of(followed_[0][k].source);
    return first == value_of(followed_[1][k].source) && first == value_of(followed_[2][k].source);
  }
  /// A follower that goes to `rest`, at the stages.
  void relax(std::size_t k, const S& rest, const S& z) {
    const S away = S(start_.y[k] - rest);
    const bool is_there = math::abs(value_of(away)) <= round_off<S> * math::abs(value_of(rest));
    for (int i = 0; i < count; ++i) {
      auto& y = y_at_[std::size_t(i)][k];
      if (i > 0 && Scheme::alpha(i) == Scheme::alpha(i - 1))
        y = y_at_[std::size_t(i - 1)][k];
      else
        y = is_there || i == 0 ? start_.y[k] : S(rest + away * math::exp(S(P(-Scheme::alpha(i)) * z)));
    }
  }
  /// Follower k at `share` of the step, its source a parabola through its values at start, middle and end.
  [[nodiscard]] S follower(std::size_t k, const S& h, P share) const {
    const FollowRate<S>& rate = followed_[0][k];
    return FollowerDecay<S>(rate.decay, S(h * share))
        .curved(start_.y[k], rate.source, followed_[1][k].source, followed_[2][k].source, share);
  }

  /// Dense output, followers from sources along it, and all that goes with the new position.
  void finish(const System& system, const Mode& mode, const S& h) {
    end_.time = S(start_.time + h);
    end_.currents = argument_.currents;
    end_.rate_bound = start_.rate_bound;
    set_inner(std::make_integer_sequence<int, count>{});
    for (int i = 1; i <= 2; ++i) inner_[std::size_t(i - 1)].time = S(start_.time + S(P(node_time(i))) * h);
    if (rates_.size() > 0) finish_followers(system, mode, h);
  }
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
  /// Followers run along the parabola through their sources at start, middle and end, in three equal parts. Their error
  /// is taken to be what a straight source would change, of an order less.
  void finish_followers(const System& system, const Mode& mode, const S& h) {
    argument_.time = S(start_.time + P(0.5) * h);
    if (followers_act) end_.y = y_at_[count - 1];
    system.follow(argument_.instant(), mode, followed_[1].data());
    system.follow(end_.instant(), mode, followed_[2].data());
    const S third = S(h / P(3));
    for (std::size_t k = 0; k < rates_.size(); ++k) {
      const S first = followed_[0][k].source, middle = followed_[1][k].source, last = followed_[2][k].source;
      const S decay = followed_[0][k].decay;
      if (is_plain<S> && value_of(decay) > P(0) && has_constant_source(k)) {
        const S rest = S(first / decay), kept = math::exp(S(-decay * third));
        S away = S(start_.y[k] - rest);
        const bool is_there = math::abs(value_of(away)) <= round_off<S> * math::abs(value_of(rest));
        for (int part = 0; part < 3; ++part) {
          away *= kept;
          (part == 2 ? end_ : inner_[std::size_t(part)]).y[k] = is_there ? start_.y[k] : S(rest + away);
        }
        follower_wrong_[k] = P(0);
        continue;
      }
      const S bend = S(P(2) * (first - P(2) * middle + last));
      const FollowerDecay<S> run(decay, third);
      const auto source = [&](P s) { return S(first + s * (last - first - (P(1) - s) * bend)); };
      S y = start_.y[k];
      for (int part = 0; part < 3; ++part) {
        const P begins = P(part) / P(3);
        y = run.curved(y, source(begins), source(begins + P(1) / P(6)), source(begins + P(1) / P(3)), P(1));
        (part == 2 ? end_ : inner_[std::size_t(part)]).y[k] = y;
      }
      follower_wrong_[k] = math::abs(value_of(bend)) * value_of(h) / (P(6) + P(4) * value_of(S(decay * h)));
    }
  }

  Stages<System, BackwardEuler> still_;
  SmallLu<S, System::extent> lu_;
  Unknowns charges_, change_, drift_;
  Position<System> argument_;  // of the stage at hand
  Storage<P, System::extent> nominal_;
  Rates rates_;
  std::array<Rates, 3> followed_;  // rates at start, middle and end
  std::array<Unknowns, std::size_t(count)> u_{};
  std::array<Followers, std::size_t(count)> y_at_{};
  Storage<P, System::follower_extent> follower_wrong_ = zeros<P, System::follower_extent>(rates_.size());
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
