// SPDX-License-Identifier: MIT
// Null vectors, hidden constraints and what sources force: on circuits that can be told by looking, and by what holds
// for any pencil.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/constraints.hpp>

#include "support_for_tests/linear_net.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using namespace gastube::exact;

namespace {

/// Constraints, found, with all in view.
template <class S>
struct Opened : Constraints<S, 8> {
  using C = Constraints<S, 8>;
  using C::c_, C::hidden_, C::left_, C::right_, C::t_, C::d0_, C::d1_, C::loose;
  bool found = true;
  explicit Opened(const LinearNet<S>& net) {
    C::make_room_for(net.n);
    for (auto* to : {&this->e_, &this->g_})
      found = to->assign(net.n, (to == &this->e_ ? net.charges : net.currents).data()) == net.n && found;
    found = found && C::find();
  }
};

/// Greatest entry of a b + c d, for `rows` rows of length n.
double greatest(std::size_t rows, std::size_t n, const double* a, const double* b, const double* c, const double* d) {
  double result = 0;
  for (std::size_t e = 0; e < rows * n; ++e) {
    double sum = 0;
    for (std::size_t k = e / n * n, l = e % n; l < n * n; ++k, l += n) sum += a[k] * b[l] + c[k] * d[l];
    if (!(std::fabs(sum) <= result)) result = std::fabs(sum);
  }
  return result;
}

}  // namespace

TEST_CASE("a capacitor across a source: the current follows the slope, derivatives included") {
  using D = Dual<double, 1>;
  LinearNet<D> net(1);
  REQUIRE(net.branch(1, 0, D(0)) == 1);
  net.capacitor(1, 0, D::variable(3e-6, 0));
  const Opened<D> c(net);
  REQUIRE((c.found && c.hidden_ == 1));
  CHECK((c.d0_[1].value() == 1 && c.d0_[3].value() == 0));  // node and current by the source
  CHECK(std::fabs(c.d1_[3].value() + 3e-6) < 1e-20);
  CHECK(std::fabs(c.d1_[3].partial(0) + 1.0) < 1e-14);
}

TEST_CASE("nodes joined by capacitors only rise together, exactly, from both sides") {
  LinearNet<double> net(3);
  net.capacitor(1, 2, 0.1);
  net.capacitor(2, 3, 0.7e-9);
  net.capacitor(1, 3, 0.3e-4);
  net.resistor(2, 0, 1e3);
  for (std::size_t j = 0; j < 3; ++j) net.at(net.charges, 1, j) *= -1.0;  // no longer symmetric
  const Opened<double> c(net);
  REQUIRE((c.found && c.c_ == 1 && c.hidden_ == 0));
  CHECK((c.right_[0] == 1 && c.right_[1] == 1 && c.right_[2] == 1));
  CHECK((std::fabs(c.left_[0]) == 1 && c.left_[1] == -c.left_[0] && c.left_[2] == c.left_[0]));
}

TEST_CASE("what is forced meets all equations at once, for random circuits with a hidden constraint") {
  const unsigned seed = 20260521;
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> some(0.5, 2.0);
  for (int turn = 0; turn < 50; ++turn) {
    INFO("seed ", seed, ", net ", turn);
    LinearNet<double> net(4);
    for (std::size_t node = 2; node <= 4; ++node) net.resistor(node, node - 1, some(random));
    net.controlled(2, 0, 4, some(random) / 8);
    net.branch(1, 0, 0.0);
    net.capacitor(1, 0, some(random));
    if (turn % 2) net.capacitor(1 + std::size_t(turn / 4 % 2), 3, some(random));
    if (turn / 2 % 2) net.inductor(4, std::size_t(turn % 3), some(random), 1.5);
    const std::size_t n = net.n;
    const Opened<double> c(net);
    REQUIRE((c.found && c.hidden_ == 1));
    const double *e = net.charges.data(), *g = net.currents.data(), *d0 = c.d0_.data(), *d1 = c.d1_.data();
    const double *l = c.left_.data(), *t = c.t_.data();
    std::vector<double> nothing(n * n, 0.0), minus(n * n, 0.0);
    for (std::size_t i = 0; i < n; ++i) minus[i * n + i] = -1.0;
    CHECK(greatest(c.c_ - 1, n, l, e, nothing.data(), e) < 1e-13);  // equations without charge
    CHECK(greatest(c.c_, n, l, g, t, minus.data()) < 1e-13);
    CHECK(greatest(c.c_, n, t, d0, l, minus.data()) < 1e-13);  // are met, and so is the hidden one's slope
    CHECK(greatest(n, n, e, d0, g, d1) < 1e-13);               // the terms with s' of E x' + G x = s
    CHECK(greatest(n, n, e, d1, nothing.data(), e) < 1e-13);   // and those with s''
  }
}

TEST_CASE("what cannot be found is refused, with the direction that is loose") {
  LinearNet<double> floating(3), chain(3);
  floating.resistor(1, 0, 5.0);
  floating.resistor(2, 3, 10.0);
  for (std::size_t i = 0; i < 3; ++i) chain.at(chain.currents, i, i) = 1.0;
  chain.at(chain.charges, 0, 1) = chain.at(chain.charges, 1, 2) = 1.0;  // x0 = s0 - s1' + s2''
  Opened<double> one(floating), two(chain);
  CHECK((!one.found && one.loose()[0] == 0 && one.loose()[1] == 1 && one.loose()[2] == 1));
  CHECK((!two.found && two.loose()[0] == 1 && two.loose()[1] == 0 && two.loose()[2] == 0));
  chain.at(chain.charges, 1, 2) = 0.0;
  const Opened<double> shorter(chain);  // x0 = s0 - s1'
  CHECK((shorter.found && shorter.d1_[0] == 0 && shorter.d1_[1] == -1 && shorter.d1_[2] == 0));
}
