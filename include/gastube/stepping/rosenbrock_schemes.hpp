// SPDX-License-Identifier: MIT
#pragma once
/// Linearly implicit schemes of order four and five (Rosenbrock): one matrix a step, no iteration, one solution a
/// stage. Each is a type that holds its coefficients; one engine (rosenbrock.hpp) runs them all. They serve where
/// charges are linear.
///
/// With M = dq/dx, J = df/dx and W = M + h gamma J, stage i of a step h from (t, x) solves
///   W u_i = -h gamma f(t + alpha_i h, x + sum a_ij u_j) + gamma M sum c_ij u_j - h^2 gamma d_i df/dt,
/// the new state is the last stage's argument plus its u, and the last u is the error estimate (E. Hairer and G.
/// Wanner, "Solving Ordinary Differential Equations II", 2nd ed., 1996, section IV.7, eq. 7.25, and section VI.4).

#include "gastube/stepping/schemes.hpp"

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

}  // namespace gastube
