// SPDX-License-Identifier: MIT
#pragma once
/// Ignition by a published curve, with the low-voltage knee below its first point.

#include "gastube/support/interpolation.hpp"
#include "gastube/tube/ignition/low_voltage_knee.hpp"

namespace gastube {

/// Critical grid voltage through N published points (plate voltage rising, grid voltage falling). Above the last point
/// it goes on along the last slope. Below the first point the knee takes over, shifted to meet the curve.
template <Real S, std::size_t N>
class IgnitionCurve {
 public:
  /// @param points {plate V, critical grid V}
  /// @param knee  its ionisation potential must lie below the first point; its rise shapes the part below it
  /// @throws InvalidParameter
  IgnitionCurve(const std::array<Point<S>, N>& points, const LowVoltageKnee<S>& knee)
      : curve_(points, "ignition curve"), knee_(knee) {
    check();
  }

  void check() const {
    knee_.check();
    const auto& points = curve_.points();
    Check{"ignition curve"}
        .above("first plate voltage", points[0].x, double(value_of(knee_.ionisation)), "V")
        .that(value_of(points[N - 1].y) <= value_of(points[0].y), "last critical grid voltage", points[N - 1].y, "V",
              "not above the first: a higher plate voltage fires more easily");
  }
  /// Grid voltage at which the tube just fires, V; at most never_fires.
  [[nodiscard]] S critical_grid(const S& plate) const {
    const S first = curve_.points()[0].x;
    if (value_of(plate) >= value_of(first)) return curve_(plate);
    const S lift = knee_.lift(plate);
    if (!(value_of(lift) < never_fires<S>)) return S(never_fires<S>);
    return math::min(S(curve_.points()[0].y + lift - knee_.lift(first)), S(never_fires<S>));
  }
  [[nodiscard]] const MonotoneCurve<S, N>& curve() const noexcept { return curve_; }

 private:
  MonotoneCurve<S, N> curve_;
  LowVoltageKnee<S> knee_;
};

}  // namespace gastube
