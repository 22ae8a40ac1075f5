// SPDX-License-Identifier: MIT
#pragma once
/// One comparison of the library with something published: what the tests assert and bench/fidelity prints.

#include <gastube/support/provenance.hpp>

namespace published {

using gastube::Confidence;

/// What the published figure says.
enum class Kind {
  value,     ///< the quantity is this, within the tolerance
  at_most,   ///< the quantity is not above this; the tolerance is added
  at_least,  ///< the quantity is not below this; the tolerance is taken off
};

/// Values are as published, in the unit of the row. A row marked `miss` is known to lie outside its tolerance, and the
/// test fails too when it comes inside unnoticed. Tolerances: of a value calculated from the same formula, its last
/// digit; of a published value, its stated spread; 30 % for what was remembered, unless said otherwise.
struct Row {
  const char* id;
  const char* quantity;
  const char* conditions;
  const char* unit;
  double published;
  double tolerance;  ///< share of the published value
  Confidence confidence;
  const char* source;
  double (*predicted)();
  bool miss = false;  ///< known to lie outside
  Kind kind = Kind::value;

  /// Whether a predicted value agrees with the published one; false for NaN.
  [[nodiscard]] bool inside(double value) const {
    const double gap = value - published;
    const double allowed = tolerance * (published < 0 ? -published : published);
    const bool low_enough = kind == Kind::at_least || gap <= allowed;
    const bool high_enough = kind == Kind::at_most || gap >= -allowed;
    return value == value && low_enough && high_enough;
  }
  [[nodiscard]] bool inside() const { return inside(predicted()); }
};

inline constexpr const char* formula = "calculated from the formula and constants stated";
inline constexpr Confidence seen = Confidence::published, handbook = Confidence::handbook,
                            plausible = Confidence::plausible, derived = Confidence::derived;

}  // namespace published
