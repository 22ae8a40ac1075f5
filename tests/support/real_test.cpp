// SPDX-License-Identifier: MIT
// Which types serve as scalars, and what is read from them.
#include <gastube/support/real.hpp>

#include <doctest/doctest.h>

#include <complex>
#include <string>

using namespace gastube;

namespace strangers {

/// A differentiating number as a stranger may write it: public members, no conversion back to plain numbers.
struct Slope {
  using Scalar = float;
  float value = 0, slope = 0;

  Slope() = default;
  explicit Slope(double v) : value(static_cast<float>(v)) {}
  Slope(float v, float s) : value(v), slope(s) {}
  friend Slope operator+(const Slope& a, const Slope& b) { return Slope(a.value + b.value, a.slope + b.slope); }
  friend Slope operator-(const Slope& a, const Slope& b) { return Slope(a.value - b.value, a.slope - b.slope); }
  friend Slope operator-(const Slope& a) { return Slope(-a.value, -a.slope); }
  friend Slope operator*(const Slope& a, const Slope& b) {
    return Slope(a.value * b.value, a.slope * b.value + a.value * b.slope);
  }
  friend Slope operator/(const Slope& a, const Slope& b) {
    return Slope(a.value / b.value, (a.slope - a.value / b.value * b.slope) / b.value);
  }
  Slope& operator+=(const Slope& b) { return *this = *this + b; }
  Slope& operator-=(const Slope& b) { return *this = *this - b; }
  friend bool operator<(const Slope& a, const Slope& b) { return a.value < b.value; }
  friend bool operator<=(const Slope& a, const Slope& b) { return a.value <= b.value; }
};

/// The same with its value behind a function and its plain type under the other name.
struct Hidden : Slope {
  using Slope::Slope;
  using value_type = double;
  Hidden(const Slope& s) : Slope(s) {}  // NOLINT(google-explicit-constructor)
};

struct WithoutOrder {
  using value_type = double;
  explicit WithoutOrder(double) {}
  friend WithoutOrder operator+(WithoutOrder a, WithoutOrder) { return a; }
  friend WithoutOrder operator-(WithoutOrder a, WithoutOrder) { return a; }
  friend WithoutOrder operator*(WithoutOrder a, WithoutOrder) { return a; }
  friend WithoutOrder operator/(WithoutOrder a, WithoutOrder) { return a; }
  friend WithoutOrder operator-(WithoutOrder a) { return a; }
  WithoutOrder& operator+=(WithoutOrder) { return *this; }
  WithoutOrder& operator-=(WithoutOrder) { return *this; }
};

}  // namespace strangers

namespace {

using namespace strangers;

// A circuit of integers, of complex numbers or of text must be refused in one line, not deep in an equation.
static_assert(Real<float> && Real<double> && Real<long double> && Real<Slope> && Real<Hidden>);
static_assert(!Real<int> && !Real<unsigned long> && !Real<bool> && !Real<std::complex<double>>);
static_assert(!Real<std::string> && !Real<double*> && !Real<const char*> && !Real<WithoutOrder>);

static_assert(is_plain<float> && is_plain<double> && is_plain<long double> && !is_plain<int> && !is_plain<Slope>);
static_assert(std::same_as<Plain<long double>, long double> && std::same_as<Plain<Slope>, float>);
static_assert(std::same_as<Plain<Hidden>, double>);  // value_type goes before Scalar
static_assert(round_off<Slope> == std::numeric_limits<float>::epsilon());
static_assert(round_off<double> == 0x1p-52);

}  // namespace

TEST_CASE("the plain value of a scalar is itself, its member or its function's result") {
  struct Function {
    using value_type = double;
    [[nodiscard]] double value() const { return 7.5; }
  };
  CHECK(value_of(2.5) == 2.5);
  CHECK(value_of(2.5L) == 2.5L);
  CHECK(value_of(Slope(3.5F, 9.0F)) == 3.5F);
  CHECK(value_of(Function{}) == 7.5);
}

TEST_CASE_TEMPLATE("no limit is finite and stays recognisable after arithmetic", S, float, double, long double) {
  const S never = unlimited<S>();
  CHECK(never < std::numeric_limits<S>::max());
  CHECK_FALSE(is_limited(never));
  CHECK_FALSE(is_limited(S(never - S(1000))));
  CHECK_FALSE(is_limited(S(never / S(2))));
  CHECK(is_limited(S(1e28)));
  CHECK(is_limited(S(-1e30)));
  CHECK(is_limited(S(0)));
}
