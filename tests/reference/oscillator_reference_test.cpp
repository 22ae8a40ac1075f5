// SPDX-License-Identifier: MIT
/// A relaxation oscillator of 44 cycles against SUNDIALS' CVODE with root finding, and against its closed form.
///
/// 250 V, 100 kohm, 10 nF with the tube across it. The tube: leaks 1 nS when out, 16 V and 50 ohm when lit; strikes
/// when its voltage passes 100 V (1 - q), goes out when its current passes 5 mA. q is what an extinction leaves, 0.83,
/// and dies away with 30 us.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include <cvode/cvode.h>
#include <doctest/doctest.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string_view>
#include <vector>

namespace {

constexpr double supply = 250, feed = 100e3, farads = 10e-9, leak = 1e-9, arc = 16, arc_ohms = 50, striking = 100,
                 sustaining = 5e-3, left_over = 0.83, fading = 30e-6, run_time = 0.02;

/// Control comes back as the striking voltage rises from the arc's own, an exponential in time.
struct FadingResidual {
  static constexpr double floor = arc + arc_ohms * sustaining + 1;  // V, from where a tube of the library counts
  void check() const {}
  [[nodiscard]] double source_lit(const double&) const { return 0; }
  [[nodiscard]] double source_out(const double&) const { return 0; }
  [[nodiscard]] double decay() const { return 1 / fading; }
  [[nodiscard]] double at_extinction(const double&) const { return left_over; }
  [[nodiscard]] double control(const double& residual, const double&) const {
    return std::max((striking * (1 - residual) - floor) / (striking - floor), 0.0);
  }
  [[nodiscard]] double left(const double&) const { return 1; }  // stays in recovery till the next strike
};

struct Strikes {
  std::vector<double> times, extinctions;
  long steps = 0;
  void change(double time, const gastube::Change& change) {
    if (std::string_view(change.to) == "conducting") times.push_back(time);
    if (std::string_view(change.to) == "recovering") extinctions.push_back(time);
  }
};

[[nodiscard]] Strikes ours(double relative) {
  using namespace gastube;
  enum { ground, line, plate, grid, node_count };
  const auto tube = IdealTube<double>{.control_ratio = 20,
                                      .arc_drop = arc,
                                      .sustaining_current = sustaining,
                                      .arc_resistance = arc_ohms,
                                      .leakage = leak}
                        .build(FadingResidual{});
  const auto circuit = wire<node_count>(DcSource{line, ground, supply}, Resistor{line, plate, feed},
                                        Capacitor{plate, ground, farads}, DcSource{grid, ground, -striking / 20},
                                        wired(tube, {.plate = plate, .grid = grid, .cathode = ground}));
  Settings<double> settings;
  settings.relative = settings.absolute = relative;
  auto run = start(circuit, settings);
  Strikes strikes;
  REQUIRE(run.run_until(run_time, strikes) == Status::done);
  strikes.steps = run.steps();
  return strikes;
}

/// The same by CVODE. Its time counts from the last event.
class CvodeOscillator {
 public:
  explicit CvodeOscillator(double relative) {
    SUNContext_Create(nullptr, &context_);
    y_ = N_VNew_Serial(2, context_);
    volts() = residual() = 0;
    memory_ = CVodeCreate(CV_BDF, context_);
    matrix_ = SUNDenseMatrix(2, 2, context_);
    solver_ = SUNLinSol_Dense(y_, matrix_, context_);
    check(CVodeInit(memory_, rates, 0, y_));
    check(CVodeSStolerances(memory_, relative, relative));
    check(CVodeSetLinearSolver(memory_, solver_, matrix_));
    check(CVodeSetUserData(memory_, &lit_));
    check(CVodeSetMaxNumSteps(memory_, 1000000));
    check(CVodeRootInit(memory_, 1, margin));
    int falling = -1;
    check(CVodeSetRootDirection(memory_, &falling));
  }
  CvodeOscillator(const CvodeOscillator&) = delete;
  CvodeOscillator& operator=(const CvodeOscillator&) = delete;
  ~CvodeOscillator() {
    CVodeFree(&memory_);
    SUNLinSolFree(solver_);
    SUNMatDestroy(matrix_);
    N_VDestroy(y_);
    SUNContext_Free(&context_);
  }
  [[nodiscard]] Strikes run() {
    Strikes strikes;
    for (double base = 0;;) {
      double reached = 0;
      check(CVodeSetStopTime(memory_, run_time - base));
      const int flag = CVode(memory_, run_time - base, y_, &reached, CV_NORMAL);
      check(flag);
      if (flag != CV_ROOT_RETURN) return strikes;
      base += reached;
      lit_ = !lit_;
      (lit_ ? strikes.times : strikes.extinctions).push_back(base);
      if (!lit_) residual() = left_over;
      check(CVodeReInit(memory_, 0, y_));
    }
  }

 private:
  static double tube_current(double volts, bool lit) { return lit ? (volts - arc) / arc_ohms : leak * volts; }
  static int rates(double, N_Vector y, N_Vector dy, void* lit) {
    const double* at = N_VGetArrayPointer(y);
    double* rate = N_VGetArrayPointer(dy);
    rate[0] = ((supply - at[0]) / feed - tube_current(at[0], *static_cast<bool*>(lit))) / farads;
    rate[1] = -at[1] / fading;
    return 0;
  }
  static int margin(double, N_Vector y, double* g, void* lit) {
    const double* at = N_VGetArrayPointer(y);
    g[0] = *static_cast<bool*>(lit) ? tube_current(at[0], true) - sustaining : striking * (1 - at[1]) - at[0];
    return 0;
  }
  static void check(int flag) {
    if (flag < 0) throw std::runtime_error("CVODE failed");
  }
  double& volts() { return N_VGetArrayPointer(y_)[0]; }
  double& residual() { return N_VGetArrayPointer(y_)[1]; }

  bool lit_ = false;
  SUNContext context_ = nullptr;
  N_Vector y_ = nullptr;
  SUNMatrix matrix_ = nullptr;
  SUNLinearSolver solver_ = nullptr;
  void* memory_ = nullptr;
};

/// Closed form, worked here: exponentials towards the two end voltages; the strike by Newton's method, since q fades.
[[nodiscard]] Strikes closed_form() {
  const double siemens_out = 1 / feed + leak, siemens_lit = 1 / feed + 1 / arc_ohms;
  const double end_out = supply / feed / siemens_out, end_lit = (supply / feed + arc / arc_ohms) / siemens_lit;
  const double out_volts = arc + arc_ohms * sustaining, slow = farads / siemens_out, fast = farads / siemens_lit;
  Strikes strikes;
  double time = 0, from = 0, q = 0;
  for (;;) {
    double wait = slow * std::log((end_out - from) / (end_out - striking)), top = striking;
    for (int round = 0; round < 20; ++round) {
      const double left = q * std::exp(-wait / fading), gap = (end_out - from) * std::exp(-wait / slow);
      top = end_out - gap;
      wait -= (top - striking * (1 - left)) / (gap / slow - striking * left / fading);
    }
    time += wait;
    if (time >= run_time) return strikes;
    strikes.times.push_back(time);
    time += fast * std::log((top - end_lit) / (out_volts - end_lit));
    if (time >= run_time) return strikes;
    strikes.extinctions.push_back(time);
    from = out_volts;
    q = left_over;
  }
}

/// Greatest difference of two lists of times, as a share of the time; 1 if they are not equally long.
[[nodiscard]] double gap(const std::vector<double>& got, const std::vector<double>& expected) {
  if (got.size() != expected.size()) return 1;
  double greatest = 0;
  for (std::size_t k = 0; k < got.size(); ++k)
    greatest = std::max(greatest, std::fabs(got[k] - expected[k]) / expected[k]);
  return greatest;
}

}  // namespace

TEST_CASE("the oscillator's reference is converged, and agrees with its closed form") {
  const Strikes usual = CvodeOscillator(1e-10).run(), tight = CvodeOscillator(1e-12).run(), exact = closed_form();
  REQUIRE(exact.times.size() == 44);  // 0.02 s, a first charge of 0.51 ms, then periods of 0.45 ms
  REQUIRE(exact.extinctions.size() == 44);
  CHECK(gap(usual.times, tight.times) < 1e-9);
  CHECK(gap(usual.times, exact.times) < 1e-9);
  CHECK(gap(tight.times, exact.times) < 1e-10);
  CHECK(gap(usual.extinctions, exact.extinctions) < 1e-9);
}

TEST_CASE("a relaxation oscillator strikes and goes out when SUNDIALS says, through 44 cycles") {
  const Strikes got = ours(1e-11), expected = CvodeOscillator(1e-10).run();
  CHECK(gap(got.times, expected.times) < 1e-8);
  CHECK(gap(got.extinctions, expected.extinctions) < 1e-8);
}
