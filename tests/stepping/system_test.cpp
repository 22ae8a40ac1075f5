// SPDX-License-Identifier: MIT
// What a system writes into its equations, and what the concept asks of a system.
#include <gastube/stepping/system.hpp>
#include <gastube/support/sparse_matrix.hpp>

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <limits>
#include <utility>

using namespace gastube;

namespace {

enum class Lack {
  nothing,
  scalar,
  mode,
  extent,
  follower_extent,
  unknowns,
  followers,
  nominal,
  write,
  follow,
  guards,
  guard,
  opens,
  fire,
  next_breakpoint,
  pass_breakpoint,
  change,
  real_scalar
};

template <Lack lack>
struct ScalarOf {
  using Scalar = double;
};
template <>
struct ScalarOf<Lack::scalar> {};
template <>
struct ScalarOf<Lack::real_scalar> {
  using Scalar = int;
};
struct Uncopyable {
  Uncopyable(const Uncopyable&) = delete;
};
template <Lack lack>
struct ModeOf {
  using Mode = int;
};
template <>
struct ModeOf<Lack::mode> {
  using Mode = Uncopyable;
};
template <Lack lack>
struct ExtentOf {
  static constexpr std::size_t extent = 1;
};
template <>
struct ExtentOf<Lack::extent> {};
template <Lack lack>
struct FollowerExtentOf {
  static constexpr std::size_t follower_extent = 0;
};
template <>
struct FollowerExtentOf<Lack::follower_extent> {};

/// The least that a system needs, or that without one requirement.
template <Lack lack>
struct Least : ScalarOf<lack>, ModeOf<lack>, ExtentOf<lack>, FollowerExtentOf<lack> {
  using M = typename ModeOf<lack>::Mode;
  std::size_t unknowns() const requires(lack != Lack::unknowns) { return 1; }
  std::size_t followers() const requires(lack != Lack::followers) { return 0; }
  double nominal(std::size_t) const requires(lack != Lack::nominal) { return 1; }
  void write(const Instant<double>&, const M&, Equations<double>&) const requires(lack != Lack::write) {}
  void follow(const Instant<double>&, const M&, FollowRate<double>*) const requires(lack != Lack::follow) {}
  std::size_t guards() const requires(lack != Lack::guards) { return 0; }
  double guard(std::size_t, const Instant<double>&, const M&) const requires(lack != Lack::guard) { return 1; }
  bool opens(std::size_t, const M&) const requires(lack != Lack::opens) { return false; }
  Change fire(std::size_t, const Instant<double>&, M&, double*) const
      requires(lack != Lack::fire && lack != Lack::change) {
    return {};
  }
  void fire(std::size_t, const Instant<double>&, M&, double*) const requires(lack == Lack::change) {}
  double next_breakpoint(double, const M&) const requires(lack != Lack::next_breakpoint) { return 1e30; }
  void pass_breakpoint(double, M&) const requires(lack != Lack::pass_breakpoint) {}
};

static_assert(HybridSystem<Least<Lack::nothing>>);
static_assert(!HybridSystem<Least<Lack::scalar>>);
static_assert(!HybridSystem<Least<Lack::real_scalar>>);
static_assert(!HybridSystem<Least<Lack::mode>>);
static_assert(!HybridSystem<Least<Lack::extent>>);
static_assert(!HybridSystem<Least<Lack::follower_extent>>);
static_assert(!HybridSystem<Least<Lack::unknowns>>);
static_assert(!HybridSystem<Least<Lack::followers>>);
static_assert(!HybridSystem<Least<Lack::nominal>>);
static_assert(!HybridSystem<Least<Lack::write>>);
static_assert(!HybridSystem<Least<Lack::follow>>);
static_assert(!HybridSystem<Least<Lack::guards>>);
static_assert(!HybridSystem<Least<Lack::guard>>);
static_assert(!HybridSystem<Least<Lack::opens>>);
static_assert(!HybridSystem<Least<Lack::fire>>);
static_assert(!HybridSystem<Least<Lack::change>>);
static_assert(!HybridSystem<Least<Lack::next_breakpoint>>);
static_assert(!HybridSystem<Least<Lack::pass_breakpoint>>);
static_assert(!HybridSystem<int>);

/// Two unknowns and room for all that equations collect. Everything starts with rubbish in it.
template <class S>
struct Bench {
  std::array<S, 2> x, base, charges{S(7), S(7)}, currents{S(7), S(7)};
  std::array<S, 4> slopes{S(7), S(7), S(7), S(7)};
  S alpha = S(0.25);

  Equations<S> equations(bool with_slopes = true) {
    return Equations<S>(2, x.data(), base.data(), alpha, charges.data(), currents.data(),
                        with_slopes ? slopes.data() : nullptr);
  }
};

}  // namespace

TEST_CASE_TEMPLATE("equations begin empty", S, float, double, long double) {
  Bench<S> bench{{S(1), S(2)}, {S(3), S(4)}};
  static_cast<void>(bench.equations());
  CHECK(bench.charges == std::array<S, 2>{S(0), S(0)});
  CHECK(bench.currents == std::array<S, 2>{S(0), S(0)});
  CHECK(bench.slopes == std::array<S, 4>{S(0), S(0), S(0), S(0)});
}

TEST_CASE_TEMPLATE("a charge is counted from the start of the step, to the last digit", S, float, double, long double) {
  // a thousand volts that move by their last digit only: the charge itself could not show it
  const S before = S(1000), after = std::nextafter(before, S(2000)), capacity = S(0x1p-20);
  Bench<S> bench{{after, S(5)}, {before, S(5)}};
  auto equations = bench.equations();
  equations.store(0, 0, capacity);
  equations.store(1, 0, -capacity);
  equations.store(1, 1, capacity);
  CHECK(bench.charges[0] == capacity * (after - before));
  CHECK(bench.charges[0] > S(0));
  CHECK(bench.charges[1] == -bench.charges[0]);
  CHECK(equations.base(0) == before);
}

TEST_CASE("slopes written to a log add up to those written to an array") {
  const auto write = [](Equations<double>& equations) {
    equations.store(0, 0, 2.0);
    equations.flow_slope(0, 1, 8.0);
    equations.flow_slope(0, 0, 12.0);
    equations.store_slope(1, 0, -3.0);
    equations.flow_slope(0, 1, -4.0);
  };
  Bench<double> dense{{2.0, 3.0}, {1.0, 5.0}}, logged = dense;
  Equations<double> to_array = dense.equations();
  write(to_array);
  SparseMatrix<double> matrix(2);
  Equations<double> to_log(2, logged.x.data(), logged.base.data(), logged.alpha, logged.charges.data(),
                           logged.currents.data(), &matrix.log());
  write(to_log);
  REQUIRE(matrix.take());
  CHECK(matrix.count() == 3);
  for (std::size_t k = 0; k < matrix.count(); ++k)
    CHECK(matrix.value(k) == dense.slopes[matrix.row(k) * 2 + matrix.column(k)]);
  CHECK(logged.charges == dense.charges);
  CHECK(logged.currents == dense.currents);
}

TEST_CASE("charges, currents and slopes add up by row and column") {
  Bench<double> bench{{2.0, 3.0}, {1.0, 5.0}};
  auto equations = bench.equations();
  equations.flow(0, 10.0);
  equations.flow(0, 0.5);
  equations.flow(1, -4.0);
  equations.flow_slope(0, 1, 8.0);
  equations.flow_slope(0, 1, 4.0);
  equations.flow_slope(1, 0, -2.0);
  equations.store(0, 1, 100.0);
  equations.store(0, 0, 1.0);
  equations.store_increment(1, 0.125);
  equations.store_increment(1, 0.25);
  equations.store_slope(1, 1, 6.0);
  equations.store_slope(1, 0, 0.75);
  CHECK(bench.currents == std::array<double, 2>{10.5, -4.0});
  CHECK(bench.charges == std::array<double, 2>{-199.0, 0.375});
  // row-major dq/dx + alpha df/dx with alpha = 1/4
  CHECK(bench.slopes == std::array<double, 4>{1.0, 100.0 + 3.0, 0.75 - 0.5, 6.0});
}

TEST_CASE("without a place for slopes the rest is still written") {
  Bench<double> bench{{2.0, 3.0}, {1.0, 5.0}};
  auto equations = bench.equations(false);
  equations.flow(1, 2.5);
  equations.flow_slope(1, 1, 1.0);
  equations.store(0, 0, 4.0);
  equations.store_slope(0, 0, 4.0);
  CHECK(bench.currents[1] == 2.5);
  CHECK(bench.charges[0] == 4.0);
  CHECK(bench.slopes == std::array<double, 4>{7.0, 7.0, 7.0, 7.0});
}

TEST_CASE("a port's reading says nothing until it is taken") {
  const PortReading<double> reading;
  CHECK_FALSE(is_limited(reading.steady_voltage));
  const Port port;
  CHECK_FALSE(port.wanted);
  CHECK_FALSE(port.urgent);
  CHECK(port.plus == Port::no_row);
  CHECK(port.minus == Port::no_row);
}
