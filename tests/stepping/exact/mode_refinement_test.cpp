// SPDX-License-Identifier: MIT
// Newton steps on all modes at once: digits, and derivatives.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/mode_refinement.hpp>

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using namespace gastube::exact;

namespace {

/// v' = -K v with K = [[2, 1], [1, 3]]: decays (5 -+ sqrt(5)) / 2; with modes that are off by about `error`.
template <class S>
ModalBasis<S, 2> rough_modes(double error) {
  ModalBasis<S, 2> basis(2);
  const double angle = std::atan2(-2.0, 1 + std::sqrt(5.0)) + error, c = std::cos(angle), s = std::sin(angle);
  const double vectors[] = {c, s, -s, c};
  for (std::size_t i = 0; i < 4; ++i) {
    basis.right[i] = {S(vectors[i] * (1 + error))};
    basis.left[i] = {S(vectors[i])};
  }
  basis.block[0] = {S(-(5 - std::sqrt(5.0)) / 2 * (1 - error))};
  basis.block[2] = {S(-(5 + std::sqrt(5.0)) / 2 * (1 + error))};
  basis.groups[0] = {0, 1, false, false, S(0)};
  basis.groups[1] = {1, 1, false, false, S(0)};
  basis.columns = basis.count = 2;
  return basis;
}

}  // namespace

TEST_CASE("each step squares the error") {
  const double e[] = {1, 0, 0, 1}, k[] = {2, 1, 1, 3}, exact = -(5 - std::sqrt(5.0)) / 2;
  auto basis = rough_modes<double>(1e-3);
  ModeRefinement<double, 2> refinement(2, e, k, basis);
  CHECK(std::fabs(basis.block[0].re - exact) > 1e-3);
  CHECK(refinement.step() > 1e-5);
  CHECK(std::fabs(basis.block[0].re - exact) < 1e-5);
  CHECK(refinement.step() < 1e-5);
  CHECK(refinement.step() < 1e-11);
  CHECK(std::fabs(basis.block[0].re - exact) < 1e-15);
}
TEST_CASE("a step on exact modes brings derivatives") {
  using D = Dual<double, 1>;
  const D e[] = {D(1), D(0), D(0), D(1)}, k[] = {D::variable(2, 0), D(1), D(1), D(3)};
  auto basis = rough_modes<D>(0);
  ModeRefinement<D, 2> refinement(2, e, k, basis);
  CHECK(refinement.step() < 1e-15);
  // (s - sqrt((a - 3)^2 + 4)) / 2 with s = a + 3: derivative (1 - (a - 3) / sqrt(5)) / 2 of the decay at a = 2
  CHECK(basis.block[0].re.partial(0) == doctest::Approx(-(1 + 1 / std::sqrt(5.0)) / 2).epsilon(1e-14).scale(0));
  CHECK(std::fabs((basis.left[0].re * basis.right[0].re + basis.left[1].re * basis.right[1].re).partial(0)) < 1e-15);
}
