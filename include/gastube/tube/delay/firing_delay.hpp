// SPDX-License-Identifier: MIT
#pragma once
/// Time from over-critical to arc: the formation of the discharge, as a rate that may vary while the overdrive varies.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// Fires in the instant it becomes over-critical.
template <Real S>
struct NoDelay {
  static constexpr bool instant = true;
  void check() const {}
  /// Share of the formation per second; not asked of an instant law.
  [[nodiscard]] S rate(const S&) const { return S(0); }
};

/// Formative lag: delay = least + product / overdrive, with the overdrive in volts of grid above the critical voltage.
/// The hyperbolic form is a suggestion of this library; one handbook point of the small xenon tetrodes fixes it
/// (0.5 us at 50 V). The lag falls with overdrive and plate voltage as measured in "Ionization time of thyratrons",
/// AIEE, about 1940 (abstract).
template <Real S>
struct FormativeLag {
  static constexpr bool instant = false;
  S least;    ///< s, lag at unlimited overdrive, above 0
  S product;  ///< V s, at least 0

  void check() const {
    Check{"formative lag"}.above("least", least, 0.0, "s").at_least("product", product, 0.0, "V s");
  }
  /// Delay at a steady overdrive, s; unlimited without overdrive.
  [[nodiscard]] S delay(const S& overdrive) const {
    if (!(value_of(overdrive) > Plain<S>(0))) return unlimited<S>();
    return S(least + product / overdrive);
  }
  /// Share of the formation per second, 1/s; 0 without overdrive.
  [[nodiscard]] S rate(const S& overdrive) const {
    const S drive = math::positive_part(overdrive);
    return S(drive / (least * drive + product + S(least * S(1e-12))));
  }
};

}  // namespace gastube
