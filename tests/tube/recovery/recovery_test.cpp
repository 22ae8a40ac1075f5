// SPDX-License-Identifier: MIT
// Residual ionisation and how the grid wins back control.
#include <gastube/tube/recovery/recovery.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE_TEMPLATE("the ideal tube has its control back in the instant of extinction", S, float, double, long double) {
  const InstantRecovery<S> instant;
  instant.check();
  CHECK(instant.control(S(5), S(0)) == S(1));
  CHECK(instant.left(S(5)) < S(0));
  CHECK(instant.at_extinction(S(5)) == S(0));
  CHECK(instant.source_lit(S(5)) == S(0));
  CHECK(instant.source_out(S(-5)) == S(0));
  CHECK(instant.decay() == S(0));
}

TEST_CASE_TEMPLATE("fixed deionisation runs down to nothing in exactly its time, without control until then", S, float,
                   double, long double) {
  const FixedDeionisation<S> fixed{S(200e-6L)};
  CHECK(fixed.at_extinction(S(0.3)) == S(1));
  for (const S grid : {S(-100), S(0), S(30)})  // whatever the grid does
    CHECK(relative_gap(fixed.source_out(grid), -5000.0L) < 4 * double(round_off<S>));
  CHECK(fixed.source_lit(S(1)) == S(0));
  CHECK(fixed.decay() == S(0));
  CHECK(fixed.control(S(1), S(-100)) == S(0));
  CHECK(fixed.control(S(1e-5L), S(-100)) == S(0));
  CHECK(fixed.control(S(0), S(0)) == S(1));
  CHECK(fixed.control(S(-1e-8L), S(0)) == S(1));
  CHECK(relative_gap(fixed.left(S(0.25)), 0.25L) < 100 * double(round_off<S>));
  CHECK(fixed.left(S(0)) <= S(0));
  CHECK(residual_once_recovered(fixed, S(1e-30L)) == S(0));
}

TEST_CASE("the residual decays while lit as it does out, but for a law that says otherwise") {
  struct Own : InstantRecovery<double> {
    [[nodiscard]] double decay() const { return 3.0; }
  };
  struct WithLit : Own {
    [[nodiscard]] double decay_lit() const { return 7.0; }
  };
  static_assert(RecoveryLaw<WithLit, double>);
  CHECK(decay_while_lit<double>(Own{}) == 3.0);
  CHECK(decay_while_lit<double>(WithLit{}) == 7.0);
  CHECK(decay_while_lit<double>(FixedDeionisation<double>{1.0}) == 0.0);
}

TEST_CASE("a law without a say of the grid is no recovery law") {
  struct Deaf {
    [[nodiscard]] double source_lit(double) const { return 0; }
    [[nodiscard]] double source_out() const { return 0; }
    [[nodiscard]] double decay() const { return 0; }
    [[nodiscard]] double at_extinction(double) const { return 0; }
    [[nodiscard]] double control(double, double) const { return 1; }
    [[nodiscard]] double left(double) const { return -1; }
    void check() const {}
  };
  CHECK_FALSE(RecoveryLaw<Deaf, double>);
}

TEST_CASE_TEMPLATE("fixed deionisation refuses a time out of range", S, float, double, long double) {
  using Fixed = FixedDeionisation<S>;
  refusal::check_field(Fixed{S(1e-3L)}, &Fixed::time, "fixed deionisation: time", S(1e-9), S(0));
}
