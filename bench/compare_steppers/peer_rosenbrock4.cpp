// SPDX-License-Identifier: MIT
/// Boost.odeint's rosenbrock4 with dense output; events by bisection of that. Not on P2: Boost 1.74's looks wrong where
/// the right-hand side depends on time. On P4 the lagged supply is a state, so that it does not.
/// Its matrices do not compile as C++20.
#include "peers.hpp"

#ifdef GASTUBE_WITH_ODEINT
#include "ode_run.hpp"
#include "ring_ode.hpp"

// These two must come before the steppers, which use but do not include them.
// clang-format off
#include <boost/numeric/odeint/util/bind.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>
// clang-format on

#include <boost/numeric/odeint/stepper/rosenbrock4.hpp>
#include <boost/numeric/odeint/stepper/rosenbrock4_controller.hpp>
#include <boost/numeric/odeint/stepper/rosenbrock4_dense_output.hpp>

namespace compare {

namespace {

namespace odeint = boost::numeric::odeint;

template <class Ode>
class Rosenbrock4 {
 public:
  using Stepper = odeint::rosenbrock4<double>;
  using Controller = odeint::rosenbrock4_controller<Stepper>;
  using State = Stepper::state_type;
  using Matrix = Stepper::matrix_type;

  Rosenbrock4(const Ode& ode, double relative)
      : ode_(ode)
      , tolerance_(relative)
      , stepper_(Controller(absolute_share * relative, relative))
      , now_(ode.states())
      , seen_(ode.states()) {}
  double* state() { return &now_[0]; }
  const double* look(double t) {
    if (t == 0) return &now_[0];
    stepper_.calc_state(t, seen_);
    return &seen_[0];
  }
  void begin(double first) { stepper_.initialize(now_, 0.0, first); }
  double step(double longest) {
    static_cast<void>(longest);  // no problem it is used for has one
    const auto rates = [this](const State& x, State& dx, double t) {
      ++calls_;
      ode_.rhs(t, &x[0], &dx[0]);
    };
    const auto slopes = [this](const State& x, Matrix& j, double t, State& by_time) {
      ode_.slopes(t, &x[0], &j(0, 0));  // row-major, as ublas has it
      for (double& rate : by_time) rate = 0;
    };
    stepper_.do_step(std::make_pair(rates, slopes));
    return stepper_.current_time();
  }
  void take(double t) {
    stepper_.calc_state(t, seen_);
    now_ = seen_;
  }
  [[nodiscard]] double tolerance() const { return tolerance_; }
  [[nodiscard]] long solves() const { return calls_; }
  Ode& ode() { return ode_; }

 private:
  Ode ode_;
  double tolerance_;
  odeint::rosenbrock4_dense_output<Controller> stepper_;
  State now_, seen_;
  long calls_ = 0;
};

template <class Ode>
PeerRun runner(const Ode& ode, double relative) {
  return [ode, relative](Outcome& out) {
    Rosenbrock4<Ode> solver(ode, relative);
    run_ode(solver, out);
  };
}

}  // namespace

PeerRun rosenbrock4_run(const std::string& problem, std::size_t count, double relative) {
  if (problem == "P1") return runner(OscillatorOde<double>(), relative);
  if (problem == "P3") return runner(FlipFlopOde<double>(), relative);
  if (problem == "P3s") return runner(StrayFlipFlopOde<double>(), relative);
  if (problem == "P4") return runner(LampOde<double, true>(), relative);
  if (problem == "P5" && count <= 10) {
    Ring ring;
    ring.count = count;
    return runner(RingOde<double>(ring), relative);
  }
  return {};
}

}  // namespace compare
#else
namespace compare {
PeerRun rosenbrock4_run(const std::string&, std::size_t, double) { return {}; }
}  // namespace compare
#endif
