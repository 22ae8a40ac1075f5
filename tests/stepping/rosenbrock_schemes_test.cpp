// SPDX-License-Identifier: MIT
// The coefficient tables alone: each scheme's stability function, worked out from its table, against what the header
// promises of it.
#include <gastube/stepping/rosenbrock_schemes.hpp>

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;

namespace {

struct Growth {
  double whole, estimate;  ///< of x' = x lambda in one step of z = h lambda; what the error estimate says
};
template <class Scheme>
[[nodiscard]] Growth growth(double z) {
  double u[8] = {}, x = 0;
  for (int i = 0; i < Scheme::stages; ++i) {
    double memory = 0;
    x = 1;
    for (int j = 0; j < i; ++j) x += Scheme::a(i, j) * u[j], memory += Scheme::c(i, j) * u[j];
    u[i] = Scheme::gamma * (z * x + memory) / (1 - Scheme::gamma * z);
  }
  return {x + u[Scheme::stages - 1], u[Scheme::stages - 1]};
}

/// Power of z with which a quantity goes to 0.
template <class Function>
[[nodiscard]] double power(Function&& f) {
  return std::log2(std::abs(f(0.2) / f(0.1)));
}

}  // namespace

TEST_CASE_TEMPLATE("the stability function is exp(z) to the order promised at least, and the estimate one less", Scheme,
                   Rodas4, Rodas4P, Rodas5P) {
  const double whole = power([](double z) { return growth<Scheme>(z).whole - std::exp(z); });
  const double estimate = power([](double z) { return growth<Scheme>(z).estimate; });
  CAPTURE(whole);
  CAPTURE(estimate);
  CHECK(whole > Scheme::order + 0.5);
  CHECK(std::abs(estimate - (Scheme::estimate_order + 1)) < 0.5);
}

TEST_CASE_TEMPLATE("nothing is left of what is infinitely stiff, and nothing that decays ever grows", Scheme, Rodas4,
                   Rodas4P, Rodas5P) {
  CHECK(std::abs(growth<Scheme>(-1e9).whole) < 1e-6);
  for (double z = -1e-3; z > -1e6; z *= 1.3) CHECK(std::abs(growth<Scheme>(z).whole) < 1);
}

TEST_CASE_TEMPLATE("the last two stages lie at the end of the step, and the last goes on from the one before", Scheme,
                   Rodas4, Rodas4P, Rodas5P) {
  constexpr int last = Scheme::stages - 1;
  CHECK(Scheme::alpha(last) == 1.0);
  CHECK(Scheme::alpha(last - 1) == 1.0);
  CHECK(Scheme::a(last, last - 1) == 1.0);
  for (int j = 0; j < last - 1; ++j) CHECK(Scheme::a(last, j) == Scheme::a(last - 1, j));
  CHECK(Scheme::d(last) == 0.0);
}
