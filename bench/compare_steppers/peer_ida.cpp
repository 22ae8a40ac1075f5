// SPDX-License-Identifier: MIT
/// IDA of SUNDIALS on P5: the ring's charges and currents as they are, with root finding and a band matrix.
#include "peers.hpp"

#ifdef GASTUBE_WITH_SUNDIALS
#include "ode_events.hpp"
#include "ring_fold.hpp"
#include "ring_ode.hpp"

#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunmatrix/sunmatrix_band.h>

#include <algorithm>
#include <stdexcept>

namespace compare {

namespace {

void check(int flag) {
  if (flag < 0) throw std::runtime_error("IDA failed");
}

class IdaRing {
 public:
  IdaRing(const RingOde<double>& form, double relative)
      : ode_(form), fold_{form.count()}, x_(form.states()), dx_(form.states()), margins_(form.guards()) {
    const auto size = static_cast<sunindextype>(ode_.states());
    SUNContext_Create(nullptr, &context_);
    y_ = N_VNew_Serial(size, context_);
    dy_ = N_VNew_Serial(size, context_);
    ode_.start(x_.data());
    fold(x_, y_);
    set_rates();
    memory_ = IDACreate(context_);
    check(IDAInit(memory_, residual, 0, y_, dy_));
    check(IDASStolerances(memory_, relative, absolute_share * relative));
    matrix_ = SUNBandMatrix(size, 4, 5, context_);
    solver_ = SUNLinSol_Band(y_, matrix_, context_);
    check(IDASetLinearSolver(memory_, solver_, matrix_));
    check(IDASetJacFn(memory_, slopes));
    check(IDASetUserData(memory_, this));
    check(IDASetMaxNumSteps(memory_, 100000000));
    check(IDARootInit(memory_, int(margins_.size()), roots));
    std::vector<int> falling(margins_.size(), -1);
    check(IDASetRootDirection(memory_, falling.data()));
    check(IDASetNoInactiveRootWarn(memory_));
  }
  IdaRing(const IdaRing&) = delete;
  IdaRing& operator=(const IdaRing&) = delete;
  ~IdaRing() {
    IDAFree(&memory_);
    SUNLinSolFree(solver_);
    SUNMatDestroy(matrix_);
    N_VDestroy(dy_);
    N_VDestroy(y_);
    SUNContext_Free(&context_);
  }

  void run(Outcome& out) {
    while (ode_.time() < ode_.end() * (1 - 1e-15) && out.failure.empty()) {
      const double corner = ode_.next_corner(), rest = ode_.end() - ode_.time(), until = std::min(corner, rest);
      set_rates();
      check(IDAReInit(memory_, 0, y_, dy_));
      check(IDASetInitStep(memory_, std::min(ode_.first_step(), until)));
      check(IDASetStopTime(memory_, until));
      double reached = 0;
      const int flag = IDASolve(memory_, until, &reached, y_, dy_, IDA_NORMAL);
      check(flag);
      count(out);
      if (flag == IDA_ROOT_RETURN) {
        std::vector<int> found(margins_.size());
        check(IDAGetRootInfo(memory_, found.data()));
        const auto which = std::find_if(found.begin(), found.end(), [](int f) { return f != 0; });
        ode_.advance(reached);
        unfold(y_);
        fire_all(ode_, std::size_t(which - found.begin()), x_.data(), margins_, out);
      } else {
        ode_.advance(until);
        if (corner < rest) ode_.pass_corner();
      }
    }
  }

 private:
  void fold(const std::vector<double>& plain, N_Vector folded) const {
    double* const to = N_VGetArrayPointer(folded);
    for (std::size_t k = 0; k < fold_.count; ++k) {
      to[fold_.volts(k)] = plain[k];
      to[fold_.prepared(k)] = plain[fold_.count + k];
    }
  }
  void unfold(N_Vector folded) {
    const double* const from = N_VGetArrayPointer(folded);
    for (std::size_t k = 0; k < fold_.count; ++k) {
      x_[k] = from[fold_.volts(k)];
      x_[fold_.count + k] = from[fold_.prepared(k)];
    }
  }
  void set_rates() {
    unfold(y_);
    ode_.rhs(0, x_.data(), dx_.data());
    fold(dx_, dy_);
  }
  static int residual(double, N_Vector y, N_Vector dy, N_Vector r, void* self) {
    const IdaRing& ring = *static_cast<IdaRing*>(self);
    const RingFold& fold = ring.fold_;
    const Ring& v = ring.ode_.values();
    const double *x = N_VGetArrayPointer(y), *rate = N_VGetArrayPointer(dy);
    double* const out = N_VGetArrayPointer(r);
    for (std::size_t k = 0; k < fold.count; ++k) {
      const std::size_t here = fold.volts(k), before = fold.volts(fold.before(k)), after = fold.volts(fold.after(k));
      out[here] = (v.ground + 2 * v.coupling) * rate[here] - v.coupling * (rate[before] + rate[after])
                  - ring.ode_.amperes(k, x[here]);
      const std::size_t prepared = fold.prepared(k);
      out[prepared] = rate[prepared] - (x[before] - x[prepared]) / v.prepare_lag;
    }
    return 0;
  }
  static int slopes(double, double cj, N_Vector, N_Vector, N_Vector, SUNMatrix matrix, void* self, N_Vector, N_Vector,
                    N_Vector) {
    const IdaRing& ring = *static_cast<IdaRing*>(self);
    const RingFold& fold = ring.fold_;
    const Ring& v = ring.ode_.values();
    SUNMatZero(matrix);
    for (std::size_t k = 0; k < fold.count; ++k) {
      const std::size_t here = fold.volts(k), before = fold.volts(fold.before(k)), prepared = fold.prepared(k);
      add(matrix, here, here, cj * (v.ground + 2 * v.coupling) + ring.ode_.siemens_at(k));
      add(matrix, here, before, -cj * v.coupling);
      add(matrix, here, fold.volts(fold.after(k)), -cj * v.coupling);
      add(matrix, prepared, prepared, cj + 1 / v.prepare_lag);
      add(matrix, prepared, before, -1 / v.prepare_lag);
    }
    return 0;
  }
  static void add(SUNMatrix matrix, std::size_t row, std::size_t column, double slope) {
    SM_ELEMENT_B(matrix, static_cast<sunindextype>(row), static_cast<sunindextype>(column)) += slope;
  }
  static int roots(double t, N_Vector y, N_Vector, double* g, void* self) {
    const IdaRing& ring = *static_cast<IdaRing*>(self);
    const double* const x = N_VGetArrayPointer(y);
    ring.ode_.margins_by(
        t, [&](std::size_t k) { return x[ring.fold_.volts(k)]; },
        [&](std::size_t k) { return x[ring.fold_.prepared(k)]; }, g);
    return 0;
  }
  void count(Outcome& out) {
    long steps = 0, calls = 0;
    check(IDAGetNumSteps(memory_, &steps));
    check(IDAGetNumResEvals(memory_, &calls));
    out.steps += steps;
    out.solves += calls;
  }

  RingOde<double> ode_;
  RingFold fold_;
  std::vector<double> x_, dx_, margins_;
  SUNContext context_ = nullptr;
  N_Vector y_ = nullptr, dy_ = nullptr;
  SUNMatrix matrix_ = nullptr;
  SUNLinearSolver solver_ = nullptr;
  void* memory_ = nullptr;
};

}  // namespace

PeerRun ida_run(const std::string& problem, std::size_t count, double relative) {
  if (problem != "P5") return {};
  Ring ring;
  ring.count = count;
  return [ring, relative](Outcome& out) {
    try {
      IdaRing(RingOde<double>(ring), relative).run(out);
    } catch (const std::runtime_error& error) { out.failure = error.what(); }
  };
}

}  // namespace compare
#else
namespace compare {
PeerRun ida_run(const std::string&, std::size_t, double) { return {}; }
}  // namespace compare
#endif
