// SPDX-License-Identifier: MIT
// Answers of a pattern against frequency responses and ramp responses of small circuits.
#include <gastube/stepping/exact/pattern.hpp>
#include <gastube/stepping/exact/pattern_builder.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <array>
#include <complex>

using namespace gastube;
using namespace gastube::exact;
using closeness::absolute_gap;

namespace {

/// Two equations E dx/dt + G x = s without followers, row-major.
struct Pair : QuietLinearSystem<double, 2> {
  std::array<double, 4> e{}, g{};

  void write(const Instant<double>& at, const Mode&, Equations<double>& to) const {
    for (std::size_t i = 0; i < 2; ++i)
      for (std::size_t j = 0; j < 2; ++j) {
        to.store(i, j, e[2 * i + j]);
        to.flow(i, g[2 * i + j] * at.x[j]);
        to.flow_slope(i, j, g[2 * i + j]);
      }
  }
};
using Form = Pattern<Pair>;
using Number = std::complex<double>;

/// Unknowns: the voltage of C, the current through R and L.
[[nodiscard]] Pair branch(double r, double l, double c) { return {{}, {c, 0, 0, l}, {0, -1, 1, r}}; }

[[nodiscard]] Form built(const Pair& system) {
  Form form(system);
  PatternBuilder<Pair>(system).build(system, {}, 0, form);
  REQUIRE(form.status == Status::done);
  return form;
}

/// What a polynomial source on one equation comes to.
struct Forced {
  std::array<Powers<double>, 2> of{};
  bool fits;

  Forced(const Form& form, std::size_t row, const Powers<double>& source) {
    std::array<Powers<Complex<double>>, 2> rates{};
    form.add_push(row, source, rates.data());
    form.add_at_once(row, source, of.data());
    fits = form.add_forced(rates.data(), of.data());
  }
  [[nodiscard]] bool is(std::size_t unknown, const Powers<double>& expected) const {
    for (std::size_t p = 0; p <= top_power; ++p)
      if (!(absolute_gap(of[unknown][p], expected[p]) < 1e-12)) return false;
    return true;
  }
};

}  // namespace

TEST_CASE("answers to exp(rate t): RC, C alone, ringing RLC, RLC on the edge of ringing") {
  for (const Pair& system : {branch(0.5, 0, 3), branch(0, 0, 3), branch(0.6, 2, 0.5), branch(4, 2, 0.5)}) {
    const Form form = built(system);
    const double c = system.e[0], l = system.e[3], r = system.g[3];
    for (const Number s : {Number(0, 0), Number(0, 0.3), Number(0, 40), Number(-0.2, 0), Number(0.4, -2)}) {
      std::array<Complex<double>, 2> answer{Complex<double>{1, 2}, Complex<double>{0, 0}};
      form.add_answer({s.real(), s.imag()}, 1, 3.0, answer.data());  // a voltage in series
      const Number v = Number(1, 2) + 3.0 / (1.0 + s * r * c + s * s * l * c), i = s * c * (v - Number(1, 2));
      CHECK(absolute_gap(answer[0].re, v.real()) < 1e-12);
      CHECK(absolute_gap(answer[0].im, v.imag()) < 1e-12);
      CHECK(absolute_gap(answer[1].re, i.real()) < 1e-12);
      CHECK(absolute_gap(answer[1].im, i.imag()) < 1e-12);
      answer = {};
      form.add_answer({s.real(), s.imag()}, 0, 1.0, answer.data());  // a current into C
      const Number across = (r + s * l) / (1.0 + s * r * c + s * s * l * c);
      CHECK(absolute_gap(answer[0].re, across.real()) < 1e-12);
      CHECK(absolute_gap(answer[0].im, across.imag()) < 1e-12);
    }
  }
}

TEST_CASE("ramps and squares through an RC lag by its time constant") {
  const double tau = 1.5;
  const Form form = built(branch(0.5, 0, 3));
  CHECK(form.modes == 1);
  const Forced ramp(form, 1, {2, 7, 0, 0}), square(form, 1, {0, 0, 1, 0});
  CHECK((ramp.fits && square.fits));
  CHECK(ramp.is(0, {2 - 7 * tau, 7, 0, 0}));
  CHECK(ramp.is(1, {3 * 7, 0, 0, 0}));
  CHECK(square.is(0, {2 * tau * tau, -2 * tau, 1, 0}));
  CHECK(square.is(1, {3 * -2 * tau, 6, 0, 0}));
}

TEST_CASE("a ramp where two modes share one eigenvalue") {
  const Forced ramp(built(branch(4, 2, 0.5)), 1, {0, 1, 0, 0});  // rc = 2 s
  CHECK(ramp.fits);
  CHECK(ramp.is(0, {-2, 1, 0, 0}));
  CHECK(ramp.is(1, {0.5, 0, 0, 0}));
}

TEST_CASE("what integrates a source raises its power, and has no room beyond the highest") {
  const Form form = built({{}, {2, 0, 0, 0}, {0, 0, 0, 1}});  // a current into a capacitor alone
  REQUIRE(form.groups == 1);
  CHECK(form.group[0].stands_still());
  const Forced twice(form, 0, {4, 0, 6, 0}), beyond(form, 0, {0, 0, 0, 1});
  CHECK(twice.fits);
  CHECK(twice.is(0, {0, 2, 0, 1}));
  CHECK_FALSE(beyond.fits);
}
