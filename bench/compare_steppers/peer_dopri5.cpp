// SPDX-License-Identifier: MIT
/// Boost.odeint's dopri5 with dense output; events by bisection of that.
#include "peers.hpp"

#ifdef GASTUBE_WITH_ODEINT
#include "ode_events.hpp"
#include "ode_run.hpp"
#include "ring_ode.hpp"

// These two must come before the steppers, which use but do not include them.
// clang-format off
#include <boost/numeric/odeint/util/bind.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>
// clang-format on

#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/generation/generation_dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/generation/generation_runge_kutta_dopri5.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>

#include <memory>
#include <type_traits>

namespace compare {

namespace {

namespace odeint = boost::numeric::odeint;

template <class Ode>
class Dopri5 {
 public:
  using State =
      std::conditional_t<Ode::extent == 0, std::vector<double>, std::array<double, Ode::extent + (Ode::extent == 0)>>;

  explicit Dopri5(const Ode& ode, double relative)
      : ode_(ode)
      , tolerance_(relative)
      , stepper_(odeint::make_dense_output(absolute_share * relative, relative, odeint::runge_kutta_dopri5<State>())) {
    if constexpr (Ode::extent == 0) now_.resize(ode.states());
  }
  double* state() { return now_.data(); }
  const double* look(double t) {
    if (t == 0) return now_.data();
    stepper_.calc_state(t, seen_);
    return seen_.data();
  }
  void begin(double first) {
    stepper_.initialize(now_, 0.0, first);
    if constexpr (Ode::extent == 0) seen_ = now_;
  }
  /// One step; returns its end.
  double step(double longest) {
    if (stepper_.current_time_step() > longest)
      stepper_.initialize(stepper_.current_state(), stepper_.current_time(), longest);
    stepper_.do_step([this](const State& x, State& dx, double t) {
      ++calls_;
      ode_.rhs(t, x.data(), dx.data());
    });
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
  decltype(odeint::make_dense_output(0.0, 0.0, odeint::runge_kutta_dopri5<State>())) stepper_;
  State now_{}, seen_{};
  long calls_ = 0;
};

template <class Ode>
PeerRun runner(const Ode& ode, double relative) {
  return [ode, relative](Outcome& out) {
    Dopri5<Ode> solver(ode, relative);
    run_ode(solver, out);
  };
}

}  // namespace

PeerRun dopri5_run(const std::string& problem, std::size_t count, double relative) {
  if (problem == "P1") return runner(OscillatorOde<double>(), relative);
  if (problem == "P2") return runner(RectifierOde<double>(), relative);
  if (problem == "P3") return runner(FlipFlopOde<double>(), relative);
  if (problem == "P4") return runner(LampOde<double>(), relative);
  if (problem == "P5") {
    Ring ring;
    ring.count = count;
    return runner(RingOde<double>(ring), relative);
  }
  return {};  // P3s: an explicit method would need a step each nanosecond
}

}  // namespace compare
#else
namespace compare {
PeerRun dopri5_run(const std::string&, std::size_t, double) { return {}; }
}  // namespace compare
#endif
