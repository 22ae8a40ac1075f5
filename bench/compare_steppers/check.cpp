// SPDX-License-Identifier: MIT
/// The closed forms against another method altogether: the right-hand sides, written independently of them, are solved
/// by extrapolation of the modified midpoint rule (W. B. Gragg, "On extrapolation algorithms for ordinary initial value
/// problems", SIAM J. Numer. Anal. 2, 384 (1965)) in long double; events by bisection, each trial a step of its own.
#include "closed_forms.hpp"
#include "ode_events.hpp"
#include "report.hpp"
#include "ring_ode.hpp"

#include <algorithm>
#include <cstdio>
#include <string>

namespace compare {

namespace {

using Real = long double;
using State = std::vector<Real>;

template <class Ode>
class Extrapolation {
 public:
  explicit Extrapolation(const Ode& ode) : ode_(ode), x_(ode.states()), margins_(ode.guards()) {
    ode_.start(x_.data());
    for (State& row : rows_) row.resize(x_.size());
    for (State* s : {&before_, &now_, &after_, &rates_, &end_}) s->resize(x_.size());
  }

  Outcome run(double span) {
    Outcome out;
    while (ode_.time() < Real(span) && out.failure.empty()) stretch(Real(span), out);
    return out;
  }

 private:
  static constexpr std::size_t columns = 6;

  /// To the next event or corner; x_ and the form's time move on together.
  void stretch(Real span, Outcome& out) {
    const Real corner = ode_.next_corner(), rest = span - ode_.time(), until = std::min(corner, rest);
    Real t = 0;
    step_ = std::min(step_, Real(1e-9));
    while (t < until) {
      const Real h = std::min(step_, until - t), error = attempt(t, h);
      if (error > 1) {
        step_ = h * std::max(Real(0.2), Real(0.8) * std::pow(error, -Real(1) / (2 * columns - 1)));
        continue;
      }
      if (fallen(t + h)) return cross(t, h, out);
      x_ = end_;
      t = h < until - t ? t + h : until;
      step_ = std::max(step_,
                       h * std::min(Real(3), Real(0.8) * std::pow(error + Real(1e-9), -Real(1) / (2 * columns - 1))));
    }
    ode_.advance(until);
    if (corner < rest) ode_.pass_corner();
  }
  void cross(Real t, Real h, Outcome& out) {
    const auto fallen_after = [&](Real part) {
      static_cast<void>(attempt(t, part));
      return fallen(t + part);
    };
    const Real part = bisect(fallen_after, Real(0), h, Real(1e-21));
    static_cast<void>(attempt(t, part));
    static_cast<void>(fallen(t + part));
    const auto least = std::min_element(margins_.begin(), margins_.end());
    x_ = end_;
    ode_.advance(t + part);
    fire_all(ode_, std::size_t(least - margins_.begin()), x_.data(), margins_, out);
  }
  [[nodiscard]] bool fallen(Real t) {
    ode_.margins(t, end_.data(), margins_.data());
    return *std::min_element(margins_.begin(), margins_.end()) < 0;
  }
  /// A step from x_ into end_; its error as a multiple of what is allowed.
  [[nodiscard]] Real attempt(Real t, Real h) {
    for (std::size_t k = 0; k < columns; ++k) {
      midpoint(t, h, 2 * (k + 1));
      std::swap(rows_[k], now_);
      for (std::size_t j = k; j-- > 0;) {  // towards substeps of no length
        const Real n = Real(2 * (k + 1)), m = Real(2 * (j + 1)), share = 1 / ((n / m) * (n / m) - 1);
        for (std::size_t i = 0; i < x_.size(); ++i)
          rows_[j][i] = rows_[j + 1][i] + share * (rows_[j + 1][i] - rows_[j][i]);
      }
    }
    Real worst = 0;
    for (std::size_t i = 0; i < x_.size(); ++i)
      worst = std::max(worst, std::fabs(rows_[0][i] - rows_[1][i]) / (Real(1e-18) * (1 + std::fabs(x_[i]))));
    end_ = rows_[0];
    return worst;
  }
  void midpoint(Real t, Real h, std::size_t substeps) {
    const Real d = h / Real(substeps);
    before_ = x_;
    ode_.rhs(t, x_.data(), rates_.data());
    for (std::size_t i = 0; i < x_.size(); ++i) now_[i] = x_[i] + d * rates_[i];
    for (std::size_t k = 1; k < substeps; ++k) {
      ode_.rhs(t + Real(k) * d, now_.data(), rates_.data());
      for (std::size_t i = 0; i < x_.size(); ++i) after_[i] = before_[i] + 2 * d * rates_[i];
      before_.swap(now_);
      now_.swap(after_);
    }
    ode_.rhs(t + h, now_.data(), rates_.data());
    for (std::size_t i = 0; i < x_.size(); ++i) now_[i] = (now_[i] + before_[i] + d * rates_[i]) / 2;
  }

  Ode ode_;
  State x_, before_, now_, after_, rates_, end_, margins_;
  std::array<State, columns> rows_;
  Real step_ = Real(1e-9);  // s
};

/// Where a margin is as good as level at an event, the time cannot be had more finely.
constexpr double allowed = 1e-15;  // s

template <class Ode>
bool check(const char* name, const char* kind, std::size_t count, const Ode& ode, double span) {
  const Outcome found = Extrapolation<Ode>(ode).run(span);
  Outcome closed;
  closed_form_in_long_double(kind, count)(closed);
  double worst = 0;
  bool same = found.failure.empty() && !found.events.empty() && found.events.size() < closed.events.size()
              && closed.events[found.events.size()].time > span;
  for (std::size_t k = 0; same && k < found.events.size(); ++k) {
    const Event &a = found.events[k], &b = closed.events[k];
    same = a.tube == b.tube && a.lit == b.lit;
    worst = std::max(worst, std::fabs(a.time - b.time));
  }
  const bool good = same && worst <= allowed;
  std::printf("%-6s %3zu events in %g s, closed form %s, at most %.1e s apart%s\n", name, found.events.size(), span,
              same ? "has the same" : "has OTHERS", worst, good ? "" : ": WRONG");
  return good;
}

RingOde<Real> ring_of(std::size_t count) {
  Ring ring;
  ring.count = count;
  return RingOde<Real>(ring);
}

}  // namespace

bool check_closed_forms() {
  bool good = check("P1", "P1", 0, OscillatorOde<Real>(), 20e-3);
  good = check("P2", "P2", 0, RectifierOde<Real>(), 0.11) && good;
  good = check("P3", "P3", 0, FlipFlopOde<Real>(), 10.5e-3) && good;
  good = check("P3s", "P3s", 0, StrayFlipFlopOde<Real>(), 1.15e-3) && good;
  good = check("P4", "P4", 0, LampOde<Real>(), 2) && good;
  good = check("P5/4", "P5", 4, ring_of(4), 6e-3) && good;
  good = check("P5/5", "P5", 5, ring_of(5), 6e-3) && good;
  return check("P5/10", "P5", 10, ring_of(10), 3e-3) && good;
}

}  // namespace compare
