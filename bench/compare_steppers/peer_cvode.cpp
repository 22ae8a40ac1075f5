// SPDX-License-Identifier: MIT
/// CVODE of SUNDIALS: BDF with root finding, exact slopes, a dense matrix. For rings of 50 and more a band: the slopes
/// of the cathodes reach all round the ring, but fall off so quickly that Newton's method does without the far ones.
#include "peers.hpp"

#ifdef GASTUBE_WITH_SUNDIALS
#include "ode_events.hpp"
#include "ring_fold.hpp"
#include "ring_ode.hpp"

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_band.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <stdexcept>

namespace compare {

namespace {

void check(int flag) {
  if (flag < 0) throw std::runtime_error("CVODE failed");
}

/// A form as it is, with a dense matrix.
template <class Ode>
class AsItIs {
 public:
  explicit AsItIs(const Ode& form) : ode(form), slopes_(form.states() * form.states()) {}
  void start(double* x) const { ode.start(x); }
  void rhs(double t, const double* x, double* dx) { ode.rhs(t, x, dx); }
  void margins(double t, const double* x, double* g) const { ode.margins(t, x, g); }
  [[nodiscard]] const double* unfold(const double* x) const { return x; }
  [[nodiscard]] SUNMatrix matrix(SUNContext context) const { return SUNDenseMatrix(size(), size(), context); }
  [[nodiscard]] SUNLinearSolver solver(N_Vector y, SUNMatrix matrix, SUNContext context) const {
    return SUNLinSol_Dense(y, matrix, context);
  }
  void slopes(double t, const double* x, SUNMatrix matrix) {
    ode.slopes(t, x, slopes_.data());
    const std::size_t n = ode.states();
    double* const columns = SUNDenseMatrix_Data(matrix);
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < n; ++j) columns[j * n + i] = slopes_[i * n + j];
  }
  Ode ode;

 private:
  [[nodiscard]] sunindextype size() const { return static_cast<sunindextype>(ode.states()); }
  std::vector<double> slopes_;
};

/// The ring laid flat, with a band.
class Folded {
 public:
  explicit Folded(const RingOde<double>& form)
      : ode(form), fold_{form.count()}, x_(form.states()), dx_(form.states()), inverse_(form.count()) {
    inverse_[0] = 1;
    RingCapacitances<double>(form.values()).solve(inverse_.data());
  }
  void start(double* x) const {
    std::vector<double> plain(ode.states());
    ode.start(plain.data());
    for (std::size_t k = 0; k < fold_.count; ++k) {
      x[fold_.volts(k)] = plain[k];
      x[fold_.prepared(k)] = plain[fold_.count + k];
    }
  }
  void rhs(double t, const double* x, double* dx) {
    ode.rhs(t, unfold(x), dx_.data());
    for (std::size_t k = 0; k < fold_.count; ++k) {
      dx[fold_.volts(k)] = dx_[k];
      dx[fold_.prepared(k)] = dx_[fold_.count + k];
    }
  }
  void margins(double t, const double* x, double* g) const {
    ode.margins_by(
        t, [&](std::size_t k) { return x[fold_.volts(k)]; }, [&](std::size_t k) { return x[fold_.prepared(k)]; }, g);
  }
  [[nodiscard]] const double* unfold(const double* x) {
    for (std::size_t k = 0; k < fold_.count; ++k) {
      x_[k] = x[fold_.volts(k)];
      x_[fold_.count + k] = x[fold_.prepared(k)];
    }
    return x_.data();
  }
  [[nodiscard]] SUNMatrix matrix(SUNContext context) const {
    return SUNBandMatrix(static_cast<sunindextype>(ode.states()), width, width, context);
  }
  [[nodiscard]] SUNLinearSolver solver(N_Vector y, SUNMatrix matrix, SUNContext context) const {
    return SUNLinSol_Band(y, matrix, context);
  }
  void slopes(double, const double*, SUNMatrix matrix) {
    SUNMatZero(matrix);
    const double rate = 1 / ode.values().prepare_lag;
    const std::size_t n = fold_.count;
    for (std::size_t m = 0; m < n; ++m) {
      for (std::size_t away = 0; away <= reach; ++away) {
        add(matrix, fold_.volts((m + away) % n), fold_.volts(m), -inverse_[away] * ode.siemens_at(m));
        if (away > 0) add(matrix, fold_.volts((m + n - away) % n), fold_.volts(m), -inverse_[away] * ode.siemens_at(m));
      }
      add(matrix, fold_.prepared(m), fold_.prepared(m), -rate);
      add(matrix, fold_.prepared(m), fold_.volts(fold_.before(m)), rate);
    }
  }
  RingOde<double> ode;

 private:
  static constexpr std::size_t reach = 6;
  static constexpr sunindextype width = 4 * reach + 2;
  static void add(SUNMatrix matrix, std::size_t row, std::size_t column, double slope) {
    SM_ELEMENT_B(matrix, static_cast<sunindextype>(row), static_cast<sunindextype>(column)) += slope;
  }
  RingFold fold_;
  std::vector<double> x_, dx_, inverse_;
};

template <class Form>
class Cvode {
 public:
  Cvode(const Form& form, double relative) : form_(form), margins_(form.ode.guards()) {
    SUNContext_Create(nullptr, &context_);
    y_ = N_VNew_Serial(static_cast<sunindextype>(form_.ode.states()), context_);
    form_.start(y());
    memory_ = CVodeCreate(CV_BDF, context_);
    check(CVodeInit(memory_, evaluate, 0, y_));
    check(CVodeSStolerances(memory_, relative, absolute_share * relative));
    matrix_ = form_.matrix(context_);
    solver_ = form_.solver(y_, matrix_, context_);
    check(CVodeSetLinearSolver(memory_, solver_, matrix_));
    check(CVodeSetJacFn(memory_, slopes));
    check(CVodeSetUserData(memory_, this));
    check(CVodeSetMaxNumSteps(memory_, 100000000));
    if (form_.ode.longest_step() < 1e29) check(CVodeSetMaxStep(memory_, form_.ode.longest_step()));
    check(CVodeRootInit(memory_, int(margins_.size()), roots));
    std::vector<int> falling(margins_.size(), -1);
    check(CVodeSetRootDirection(memory_, falling.data()));
    check(CVodeSetNoInactiveRootWarn(memory_));
  }
  Cvode(const Cvode&) = delete;
  Cvode& operator=(const Cvode&) = delete;
  ~Cvode() {
    CVodeFree(&memory_);
    SUNLinSolFree(solver_);
    SUNMatDestroy(matrix_);
    N_VDestroy(y_);
    SUNContext_Free(&context_);
  }

  void run(Outcome& out) {
    auto& ode = form_.ode;
    while (ode.time() < ode.end() * (1 - 1e-15) && out.failure.empty()) {
      const double corner = ode.next_corner(), rest = ode.end() - ode.time(), until = std::min(corner, rest);
      check(CVodeReInit(memory_, 0, y_));
      check(CVodeSetInitStep(memory_, std::min(ode.first_step(), until)));
      check(CVodeSetStopTime(memory_, until));
      double reached = 0;
      const int flag = CVode(memory_, until, y_, &reached, CV_NORMAL);
      check(flag);
      count(out);
      if (flag == CV_ROOT_RETURN) {
        std::vector<int> found(margins_.size());
        check(CVodeGetRootInfo(memory_, found.data()));
        const auto which = std::find_if(found.begin(), found.end(), [](int f) { return f != 0; });
        ode.advance(reached);
        fire_all(ode, std::size_t(which - found.begin()), form_.unfold(y()), margins_, out);
      } else {
        ode.advance(until);
        if (corner < rest) ode.pass_corner();
      }
    }
    out.temperature = y()[0];
  }

 private:
  [[nodiscard]] double* y() { return N_VGetArrayPointer(y_); }
  static int evaluate(double t, N_Vector y, N_Vector dy, void* self) {
    static_cast<Cvode*>(self)->form_.rhs(t, N_VGetArrayPointer(y), N_VGetArrayPointer(dy));
    return 0;
  }
  static int slopes(double t, N_Vector y, N_Vector, SUNMatrix matrix, void* self, N_Vector, N_Vector, N_Vector) {
    static_cast<Cvode*>(self)->form_.slopes(t, N_VGetArrayPointer(y), matrix);
    return 0;
  }
  static int roots(double t, N_Vector y, double* g, void* self) {
    static_cast<Cvode*>(self)->form_.margins(t, N_VGetArrayPointer(y), g);
    return 0;
  }
  void count(Outcome& out) {
    long steps = 0, calls = 0;
    check(CVodeGetNumSteps(memory_, &steps));
    check(CVodeGetNumRhsEvals(memory_, &calls));
    out.steps += steps;
    out.solves += calls;
  }

  Form form_;
  std::vector<double> margins_;
  SUNContext context_ = nullptr;
  N_Vector y_ = nullptr;
  SUNMatrix matrix_ = nullptr;
  SUNLinearSolver solver_ = nullptr;
  void* memory_ = nullptr;
};

template <class Form, class Ode>
PeerRun runner(const Ode& ode, double relative) {
  return [ode, relative](Outcome& out) {
    try {
      Cvode<Form>(Form(ode), relative).run(out);
    } catch (const std::runtime_error& error) { out.failure = error.what(); }
  };
}
template <class Ode>
PeerRun dense(const Ode& ode, double relative) {
  return runner<AsItIs<Ode>>(ode, relative);
}

}  // namespace

PeerRun cvode_run(const std::string& problem, std::size_t count, double relative) {
  if (problem == "P1") return dense(OscillatorOde<double>(), relative);
  if (problem == "P2") return dense(RectifierOde<double>(), relative);
  if (problem == "P3") return dense(FlipFlopOde<double>(), relative);
  if (problem == "P3s") return dense(StrayFlipFlopOde<double>(), relative);
  if (problem == "P4") return dense(LampOde<double>(), relative);
  if (problem != "P5") return {};
  Ring ring;
  ring.count = count;
  if (count >= 50) return runner<Folded>(RingOde<double>(ring), relative);
  return dense(RingOde<double>(ring), relative);
}

}  // namespace compare
#else
namespace compare {
PeerRun cvode_run(const std::string&, std::size_t, double) { return {}; }
}  // namespace compare
#endif
