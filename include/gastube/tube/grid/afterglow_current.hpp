// SPDX-License-Identifier: MIT
#pragma once
/// What a negative plate draws after extinction: the ions of the dying discharge.

#include "gastube/support/checked.hpp"
#include "gastube/tube/grid/electron_current.hpp"

namespace gastube {

/// A plate that draws no inverse current after extinction.
template <Real S>
struct NoAfterglowCurrent {
  static constexpr bool piecewise_linear = true;
  void check() const {}
  [[nodiscard]] SlopedCurrent<S> operator()(const S&, const S&) const { return {}; }
};

/// The plate as a probe: when it is negative the ions of the afterglow fall into it, as many as there are, whatever the
/// voltage (Bohm's current). The current runs against the plate's, fades in over the first volt, and dies away with the
/// residual ionisation. The current alone is small; its product with a fast and high inverse voltage wears the gas.
template <Real S>
struct AfterglowCurrent {
  S ions_per_residual;  ///< A of inverse current at residual ionisation 1, at least 0

  void check() const { Check{"afterglow current"}.at_least("ions_per_residual", ions_per_residual, 0.0, "A"); }
  /// @param plate V against the cathode; @param residual ionisation left from conduction, less than 0 counts as 0
  /// @return A, 0 for a positive plate and never above 0
  [[nodiscard]] SlopedCurrent<S> operator()(const S& plate, const S& residual) const {
    const S inverse = S(-plate);
    if (!(value_of(inverse) > Plain<S>(0))) return {};
    const S ions = S(ions_per_residual * math::positive_part(residual));
    const bool fading = value_of(inverse) < Plain<S>(1);
    return {S(-ions * math::min(inverse, S(1))), fading ? ions : S(0), S(0), S(0)};
  }
};

/// Minimum of a law of the inverse current.
template <class Law, class S>
concept AfterglowLaw = Real<S> && requires(const Law law, const S plate, const S residual) {
  { law(plate, residual) } -> std::same_as<SlopedCurrent<S>>;
  law.check();
};
static_assert(AfterglowLaw<NoAfterglowCurrent<double>, double> && AfterglowLaw<AfterglowCurrent<double>, double>);

}  // namespace gastube
