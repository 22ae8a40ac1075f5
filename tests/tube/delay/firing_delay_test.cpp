// SPDX-License-Identifier: MIT
// The formation of the discharge.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/delay/firing_delay.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/delay_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {
template <class S>
constexpr FormativeLag<S> law{S(0.3e-6L), S(10e-6L)};
template <class S>
constexpr FormativeLag<S> plate_law{S(0.3e-6L), S(10e-6L), S(0.5), S(100)};
}  // namespace

TEST_CASE("firing delays agree with what is published of them") { check_rows(published::delays::firing_delay); }

TEST_CASE_TEMPLATE("the formative lag is its least value plus a share that falls with overdrive", S, float, double,
                   long double) {
  const double close = 8 * double(round_off<S>);
  // By hand: 0.3 us + 10 us V / 50 V and so on.
  CHECK(relative_gap(law<S>.delay(S(50)), 0.5e-6L) < close);
  CHECK(relative_gap(law<S>.delay(S(1)), 10.3e-6L) < close);
  CHECK(relative_gap(law<S>.delay(S(1e6)), 0.3e-6L) < 1e-4);
}

TEST_CASE_TEMPLATE("without overdrive nothing forms", S, float, double, long double) {
  for (const S overdrive : {S(0), S(-1e-8L), S(-50)}) {
    CHECK(law<S>.delay(overdrive) == unlimited<S>());
    CHECK(law<S>.rate(overdrive) == S(0));
  }
  // 1e-8 V beside it: a thousand seconds, by hand 10e-6 / 1e-8.
  CHECK(relative_gap(law<S>.delay(S(1e-8L)), 1000.0L) < 1e-6);
  CHECK(relative_gap(law<S>.rate(S(1e-8L)), 1e-3L) < 1e-6);
}

TEST_CASE_TEMPLATE("at steady overdrive the rate is one over the delay", S, float, double, long double) {
  for (const S overdrive : {S(1e-3L), S(0.1L), S(1), S(50), S(1000)})
    CHECK(relative_gap(law<S>.rate(overdrive) * law<S>.delay(overdrive), 1.0L) < 1e-12 + 8 * double(round_off<S>));
}

TEST_CASE("overdrive shortens the delay and speeds the formation up") {
  const unsigned seed = 47;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(0.0, 200.0);
  for (int k = 0; k < 1000; ++k) {
    const double weak = volts(random), strong = weak + volts(random);
    CHECK(law<double>.delay(strong) < law<double>.delay(weak));
    CHECK(law<double>.rate(strong) > law<double>.rate(weak));
    CHECK(law<double>.rate(strong) < 1.0 / 0.3e-6);
  }
}

TEST_CASE("a lag without overdrive term is the same at any overdrive") {
  const FormativeLag<double> fixed{2e-6, 0.0};
  CHECK(fixed.delay(1e-3) == 2e-6);
  CHECK(relative_gap(fixed.rate(1e-3), 5e5) < 1e-8);
  CHECK(relative_gap(fixed.rate(50.0), 5e5) < 1e-8);
  CHECK(fixed.rate(0.0) == 0.0);
}

TEST_CASE("only the ideal delay is instant") {
  static_assert(NoDelay<double>::instant && !FormativeLag<double>::instant);
  NoDelay<double>{}.check();
  CHECK(NoDelay<double>{}.rate(100.0) == 0.0);
  CHECK(NoDelay<double>{}.rate(100.0, 300.0) == 0.0);
  CHECK(NoDelay<double>{}.delay(100.0) == 0.0);
  CHECK(NoDelay<double>{}.delay(100.0, 300.0) == 0.0);
}

TEST_CASE_TEMPLATE("four times the plate voltage halves what overdrive leaves of the lag, with an exponent of a half",
                   S, float, double, long double) {
  const double close = 32 * double(round_off<S>);
  // By hand: 0.3 us + 10 us V / 5 V, times 1, 1/2, 2 in the second term.
  CHECK(relative_gap(plate_law<S>.delay(S(5), S(100)), 2.3e-6L) < close);
  CHECK(relative_gap(plate_law<S>.delay(S(5), S(400)), 1.3e-6L) < close);
  CHECK(relative_gap(plate_law<S>.delay(S(5), S(25)), 4.3e-6L) < close);
  CHECK(plate_law<S>.delay(S(5)) == law<S>.delay(S(5)));  // at the reference plate voltage
  CHECK(plate_law<S>.rate(S(5)) == law<S>.rate(S(5)));
}

TEST_CASE_TEMPLATE("without an exponent the plate voltage does not count", S, float, double, long double) {
  for (const S plate : {S(-100), S(0), S(1e-3), S(50), S(1e5)}) {
    CHECK(law<S>.delay(S(5), plate) == law<S>.delay(S(5)));
    CHECK(law<S>.rate(S(5), plate) == law<S>.rate(S(5)));
  }
}

TEST_CASE_TEMPLATE("without plate voltage nothing forms where it counts", S, float, double, long double) {
  for (const S plate : {S(0), S(-0.0), S(-300)}) {
    CHECK(plate_law<S>.delay(S(5), plate) == unlimited<S>());
    CHECK(plate_law<S>.rate(S(5), plate) == S(0));
  }
  CHECK(plate_law<S>.rate(S(5), S(1e-5L)) > S(0));
  // The straight line close to zero joins the power: at a millionth of the reference, sqrt(1e-6) of the drive is left.
  for (const S beside : {S(0.999e-4L), S(1.001e-4L)})
    CHECK(relative_gap(plate_law<S>.delay(S(5), beside), 0.3e-6L + 10e-6L / (5 * 1e-3L)) < 2e-3);
}

TEST_CASE("the delay falls with overdrive and with plate voltage, never below the least") {
  const unsigned seed = 839;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int k = 0; k < 2000; ++k) {
    const FormativeLag<double> lag{1e-8 + 1e-6 * share(random), 1e-4 * share(random), 0.5 + 0.5 * share(random),
                                   20 + 500 * share(random)};
    lag.check();
    const double drive = 200 * share(random), plate = 1000 * share(random);
    CAPTURE(drive);
    CAPTURE(plate);
    const double delay = lag.delay(drive, plate);
    CHECK(lag.delay(drive * 1.1, plate) < delay);
    CHECK(lag.delay(drive, plate * 1.1) < delay);
    CHECK(lag.rate(drive * 1.1, plate) > lag.rate(drive, plate));
    CHECK(lag.rate(drive, plate * 1.1) > lag.rate(drive, plate));
    CHECK(delay > lag.least);
    CHECK(relative_gap(delay * lag.rate(drive, plate), 1.0) < 1e-9);
  }
}

TEST_CASE("a pulse shorter than the delay does not form the arc, a longer one does") {
  // The formation is the integral of the rate: over a pulse whose height and plate voltage vary, in 1000 steps.
  const auto formed = [](double length) {
    double sum = 0.0;
    for (int k = 0; k < 1000; ++k) {
      const double phase = (k + 0.5) / 1000;
      sum += plate_law<double>.rate(20.0 + 10.0 * phase, 400.0 - 100.0 * phase) * length / 1000;
    }
    return sum;
  };
  const double slowest = plate_law<double>.delay(20.0, 300.0), fastest = plate_law<double>.delay(30.0, 400.0);
  CHECK(formed(fastest) < 1.0);
  CHECK(formed(slowest) > 1.0);
}

TEST_CASE("values and derivatives stay finite for wild input, and derivatives follow the formula") {
  using D = Dual<double, 2>;
  const FormativeLag<D> lag{D(0.3e-6), D(10e-6), D(0.5), D(100)};
  for (const double drive : {1e6, -1e6, 0.0, -0.0, 1e-300, 5.0})
    for (const double plate : {1e6, -1e6, 0.0, -0.0, 1e-300, 1e-4, 300.0}) {
      CAPTURE(drive);
      CAPTURE(plate);
      const D rate = lag.rate(D::variable(drive, 0), D::variable(plate, 1));
      CHECK(std::isfinite(rate.value()));
      CHECK(std::isfinite(rate.partial(0)));
      CHECK(std::isfinite(rate.partial(1)));
      CHECK(std::isfinite(lag.delay(D(drive), D(plate)).value()));
    }
  const D delay = lag.delay(D::variable(5.0, 0), D::variable(400.0, 1));
  CHECK(relative_gap(delay.partial(0), -10e-6 / 25 / 2) < 1e-12);
  CHECK(relative_gap(delay.partial(1), -10e-6 / 5 / 2 / 800) < 1e-12);  // by hand: -1/2 of 1 us for each 400 V
}

TEST_CASE_TEMPLATE("a formative lag refuses fields out of range", S, float, double, long double) {
  refusal::check_field(law<S>, &FormativeLag<S>::least, "formative lag: least", S(1e-9), S(0));
  refusal::check_field(law<S>, &FormativeLag<S>::product, "formative lag: product", S(0), S(-1e-9));
  refusal::check_field(law<S>, &FormativeLag<S>::exponent, "formative lag: exponent", S(0), S(-1e-9));
  refusal::check_field(law<S>, &FormativeLag<S>::exponent, "formative lag: exponent", S(2), S(2.1));
  refusal::check_field(law<S>, &FormativeLag<S>::reference_plate, "formative lag: reference_plate", S(1), S(0));
}
