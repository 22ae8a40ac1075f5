// SPDX-License-Identifier: MIT
#pragma once
/// Light-emitting diode: a diode of either kind, and light in proportion to its current.

#include "gastube/circuit/diode.hpp"
#include "gastube/circuit/exponential_diode.hpp"

namespace gastube {

/// A diode that tells its light. Wherever a Diode or an ExponentialDiode may stand this may stand too.
template <class Junction>
struct LightEmittingDiode : Junction {
  using S = typename Junction::Scalar;
  S rated_current;  ///< A that give rated light, above 0

  /// @throws InvalidParameter
  LightEmittingDiode(const Junction& junction, const S& rated) : Junction(junction), rated_current(rated) {
    this->label = "light-emitting diode";
    Check{this->label}.above("rated_current", rated_current, 0.0, "A");
  }
  /// Light as a share of that at rated current; none in the dark direction.
  [[nodiscard]] S light(const PartView<S>& at, const typename Junction::Memory& m) const {
    return math::positive_part(S(this->current(at, m) / rated_current));
  }
};

}  // namespace gastube
