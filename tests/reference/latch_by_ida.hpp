// SPDX-License-Identifier: MIT
#pragma once
/// The lamp latch's hand-written equations, solved by IDA of SUNDIALS with its root finding; after each event or corner
/// it is started again from a state made consistent here.

#include "latch_equations.hpp"

#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <span>

namespace latch {

/// Solves A x = b in place by elimination with partial pivoting.
inline void eliminate(std::array<Vector, unknowns>& a, Vector& b) {
  for (std::size_t k = 0; k < unknowns; ++k) {
    std::size_t p = k;
    for (std::size_t i = k + 1; i < unknowns; ++i)
      if (std::fabs(a[i][k]) > std::fabs(a[p][k])) p = i;
    std::swap(a[p], a[k]);
    std::swap(b[p], b[k]);
    for (std::size_t i = k + 1; i < unknowns; ++i) {
      const double factor = a[i][k] / a[k][k];
      for (std::size_t j = k; j < unknowns; ++j) a[i][j] -= factor * a[k][j];
      b[i] -= factor * b[k];
    }
  }
  for (std::size_t k = unknowns; k-- > 0;) {
    for (std::size_t j = k + 1; j < unknowns; ++j) b[k] -= a[k][j] * b[j];
    b[k] /= a[k][k];
  }
}

/// Finds rates of differential unknowns and values of the others by Newton's method with differenced slopes, down to
/// where rounding stops it.
inline void make_consistent(const HandLatch& latch, double* y, double* dy) {
  const auto slot = [&](std::size_t k) -> double& { return latch.differential(k) ? dy[k] : y[k]; };
  double before = 1e300;
  for (int round = 0; round < 60; ++round) {
    Vector r{}, moved{};
    std::array<Vector, unknowns> slopes{};
    latch.residual(0, y, dy, r.data());
    for (std::size_t k = 0; k < unknowns; ++k) {
      const double kept = slot(k), step = latch.differential(k) ? std::max(1.0, std::fabs(kept)) : 1e-6;
      slot(k) = kept + step;
      latch.residual(0, y, dy, moved.data());
      slot(k) = kept;
      for (std::size_t i = 0; i < unknowns; ++i) slopes[i][k] = (moved[i] - r[i]) / step;
    }
    eliminate(slopes, r);
    double greatest = 0;
    for (std::size_t k = 0; k < unknowns; ++k) {
      slot(k) -= r[k];
      greatest = std::max(greatest, std::fabs(r[k]) / std::max(1.0, std::fabs(slot(k))));
    }
    if (greatest < 1e-5 && greatest >= 0.5 * before) return;
    before = greatest;
  }
  throw std::runtime_error("no consistent state found");
}

class IdaLatch {
 public:
  /// @param relative tolerance; absolute ones are the same share of 1 V, of rated temperature and of the formation, and
  ///   of a hundred-thousandth of the residual ionisation, whose threshold is about 5e-8
  IdaLatch(const Values& values, bool with_capacitances, double relative)
      : latch_(values, with_capacitances), end_(values.end) {
    SUNContext_Create(nullptr, &context_);
    y_ = N_VNew_Serial(unknowns, context_);
    dy_ = N_VNew_Serial(unknowns, context_);
    N_Vector absolute = N_VNew_Serial(unknowns, context_);
    for (std::size_t k = 0; k < unknowns; ++k) {
      N_VGetArrayPointer(dy_)[k] = 0;
      N_VGetArrayPointer(absolute)[k] = relative * (k == residual_a || k == residual_b ? 1e-5 : 1);
    }
    const Vector start = latch_.start();
    std::copy(start.begin(), start.end(), y());
    memory_ = IDACreate(context_);
    check(IDAInit(memory_, evaluate, 0, y_, dy_));
    check(IDASVtolerances(memory_, relative, absolute));
    N_VDestroy(absolute);
    matrix_ = SUNDenseMatrix(unknowns, unknowns, context_);
    solver_ = SUNLinSol_Dense(y_, matrix_, context_);
    check(IDASetLinearSolver(memory_, solver_, matrix_));
    check(IDASetJacFn(memory_, slopes));
    check(IDASetUserData(memory_, &latch_));
    check(IDASetMaxNumSteps(memory_, 10000000));
    check(IDARootInit(memory_, HandLatch::guards, roots));
    std::array<int, HandLatch::guards> falling{-1, -1, -1, -1, -1, -1};
    check(IDASetRootDirection(memory_, falling.data()));
    check(IDASetNoInactiveRootWarn(memory_));
  }
  IdaLatch(const IdaLatch&) = delete;
  IdaLatch& operator=(const IdaLatch&) = delete;
  ~IdaLatch() {
    IDAFree(&memory_);
    SUNLinSolFree(solver_);
    SUNMatDestroy(matrix_);
    N_VDestroy(dy_);
    N_VDestroy(y_);
    SUNContext_Free(&context_);
  }

  /// Runs to the end, with samples at these rising times.
  [[nodiscard]] Outcome run(std::span<const double> times) {
    restart();
    while (latch_.base() < end_) stretch(times);
    return std::move(outcome_);
  }

 private:
  static int evaluate(double t, N_Vector y, N_Vector dy, N_Vector r, void* latch) {
    static_cast<const HandLatch*>(latch)->residual(t, N_VGetArrayPointer(y), N_VGetArrayPointer(dy),
                                                   N_VGetArrayPointer(r));
    return 0;
  }
  /// Slopes by differences with steps of a sensible size: IDA's own follow its tolerances, too finely for tight ones.
  static int slopes(double t, double cj, N_Vector y, N_Vector dy, N_Vector r, SUNMatrix matrix, void* latch, N_Vector,
                    N_Vector, N_Vector) {
    double* const at = N_VGetArrayPointer(y);
    double* const rates = N_VGetArrayPointer(dy);
    const double* const here = N_VGetArrayPointer(r);
    constexpr double step = 1e-7;
    for (std::size_t k = 0; k < unknowns; ++k) {
      const double kept = at[k], kept_rate = rates[k];
      at[k] = kept + step;
      rates[k] = kept_rate + cj * step;
      Vector moved{};
      static_cast<const HandLatch*>(latch)->residual(t, at, rates, moved.data());
      at[k] = kept;
      rates[k] = kept_rate;
      double* const column = SUNDenseMatrix_Column(matrix, static_cast<sunindextype>(k));
      for (std::size_t i = 0; i < unknowns; ++i) column[i] = (moved[i] - here[i]) / step;
    }
    return 0;
  }
  static int roots(double, N_Vector y, N_Vector, double* g, void* latch) {
    static_cast<const HandLatch*>(latch)->margins(N_VGetArrayPointer(y), g);
    return 0;
  }
  static void check(int flag) {
    if (flag < 0) throw std::runtime_error("IDA failed");
  }
  [[nodiscard]] double* y() { return N_VGetArrayPointer(y_); }
  [[nodiscard]] double* dy() { return N_VGetArrayPointer(dy_); }

  /// Goes on to the next event, corner, sample or the end.
  void stretch(std::span<const double> times) {
    const double corner = std::min(latch_.next_corner(), end_);
    const std::size_t taken = outcome_.samples.size();
    const bool at_sample = taken < times.size() && times[taken] < corner;
    check(IDASetStopTime(memory_, corner - latch_.base()));
    double reached = 0;
    const double wanted = at_sample ? times[taken] : corner;
    const int flag = IDASolve(memory_, wanted - latch_.base(), &reached, y_, dy_, IDA_NORMAL);
    check(flag);
    if (flag == IDA_ROOT_RETURN) {
      std::array<int, HandLatch::guards> found{};
      check(IDAGetRootInfo(memory_, found.data()));
      latch_.rebase(latch_.base() + reached);
      const auto first = std::find_if(found.begin(), found.end(), [](int f) { return f != 0; });
      fire(static_cast<std::size_t>(first - found.begin()));
      restart();
    } else if (at_sample) {
      outcome_.samples.push_back(latch_.sample(y()));
    } else {
      latch_.rebase(corner);
      restart();
      if (taken < times.size() && times[taken] == corner) outcome_.samples.push_back(latch_.sample(y()));
    }
  }
  void fire(std::size_t guard) {
    latch_.fire(guard, y());
    if (!HandLatch::is_bend(guard))
      outcome_.events.push_back({latch_.base(), guard / 2, name(latch_.phase(guard / 2))});
  }
  /// Settles all that happens at this instant, and starts IDA again there.
  void restart() {
    count();
    for (int round = 0; round < 20; ++round) {
      make_consistent(latch_, y(), dy());
      std::array<double, HandLatch::guards> g{};
      latch_.margins(y(), g.data());
      const auto fallen = std::find_if(g.begin(), g.end(), [](double margin) { return margin < -1e-9; });
      if (fallen == g.end()) {
        check(IDAReInit(memory_, 0, y_, dy_));
        check(IDASetInitStep(memory_, 1e-16));
        return;
      }
      fire(static_cast<std::size_t>(fallen - g.begin()));
    }
    throw std::runtime_error("events at one instant without end");
  }
  void count() {
    long steps = 0;
    check(IDAGetNumSteps(memory_, &steps));
    outcome_.steps += steps;
  }

  HandLatch latch_;
  double end_;
  Outcome outcome_;
  SUNContext context_ = nullptr;
  N_Vector y_ = nullptr, dy_ = nullptr;
  SUNMatrix matrix_ = nullptr;
  SUNLinearSolver solver_ = nullptr;
  void* memory_ = nullptr;
};

}  // namespace latch
