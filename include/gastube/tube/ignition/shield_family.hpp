// SPDX-License-Identifier: MIT
#pragma once
/// Shift of the firing line by the shield grid, as measured: published families are curved, and crowd together where
/// the shield grid is positive.

#include "gastube/support/interpolation.hpp"
#include "gastube/tube/ignition/ignition.hpp"

namespace gastube {

/// Critical grid voltage against shield voltage at one plate voltage, read at N points from a published family of
/// firing curves. Called like ShieldShift, which is its local slope; the shift is counted from a shield grid at zero,
/// where the ignition law itself holds. Beyond the points it goes on along the end slopes.
template <Real S, std::size_t N>
class ShieldCurve {
 public:
  /// @param points {shield V rising, critical grid V not rising}: a more positive shield grid makes ignition easier
  /// @throws InvalidParameter
  explicit ShieldCurve(const std::array<Point<S>, N>& points) : curve_(points, "shield curve"), at_zero_(curve_(S(0))) {
    check();
  }

  void check() const {
    const auto& points = curve_.points();
    Check{"shield curve"}.that(value_of(points[N - 1].y) <= value_of(points[0].y), "last critical grid voltage",
                               points[N - 1].y, "V", "not above the first: a positive shield grid eases ignition");
  }
  /// V to add to the critical grid voltage. @param shield V, any
  [[nodiscard]] S operator()(const S& shield) const { return S(curve_(shield) - at_zero_); }
  /// V of grid per V of shield grid, at least 0: the leverage a ShieldShift would have here.
  [[nodiscard]] S leverage(const S& shield) const { return S(-curve_.slope(shield)); }
  [[nodiscard]] const MonotoneCurve<S, N>& curve() const noexcept { return curve_; }

 private:
  MonotoneCurve<S, N> curve_;
  S at_zero_;
};
static_assert(ShieldLaw<ShieldCurve<double, 2>, double>);

}  // namespace gastube
