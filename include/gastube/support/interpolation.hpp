// SPDX-License-Identifier: MIT
#pragma once
/// Monotone interpolation through published points: no overshoot, slope continuous, straight beyond both ends.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

#include <array>
#include <cstddef>

namespace gastube {

template <Real S>
struct Point {
  S x, y;
};

/// Cubic Hermite curve through N >= 2 points with slopes limited so that it is monotone between neighbours
/// (F. N. Fritsch and J. Butland, "A method for constructing local monotone piecewise cubic interpolants",
/// SIAM J. Sci. Stat. Comput. 5, 300, 1984). Outside the points it goes on along the end slopes.
template <Real S, std::size_t N>
class MonotoneCurve {
 public:
  static_assert(N >= 2, "a curve needs at least two points");

  /// @param points abscissae strictly rising, ordinates finite and all rising or all falling (equal allowed)
  /// @throws InvalidParameter naming `owner` and the first point that breaks the order
  explicit MonotoneCurve(const std::array<Point<S>, N>& points, const char* owner = "curve") : points_(points) {
    check(Check{owner});
    for (std::size_t k = 0; k < N; ++k) slopes_[k] = slope_at_point(k);
  }

  /// Ordinate at x.
  [[nodiscard]] S operator()(const S& x) const { return evaluate(x).y; }
  /// Slope dy/dx at x.
  [[nodiscard]] S slope(const S& x) const { return evaluate(x).slope; }
  [[nodiscard]] const std::array<Point<S>, N>& points() const noexcept { return points_; }

 private:
  struct Value {
    S y, slope;
  };

  void check(const Check& check) const {
    for (const auto& p : points_) check.finite("point abscissa", p.x, "").finite("point ordinate", p.y, "");
    const bool rising = value_of(points_[N - 1].y) >= value_of(points_[0].y);
    for (std::size_t k = 1; k < N; ++k) {
      const S dx = S(points_[k].x - points_[k - 1].x), dy = S(points_[k].y - points_[k - 1].y);
      check.that(value_of(dx) > 0, "point abscissa", points_[k].x, "", "above the abscissa of the point before");
      check.that(rising ? value_of(dy) >= 0 : value_of(dy) <= 0, "point ordinate", points_[k].y, "",
                 "monotone with the other points");
    }
  }

  [[nodiscard]] S chord(std::size_t k) const {
    return S((points_[k + 1].y - points_[k].y) / (points_[k + 1].x - points_[k].x));
  }

  [[nodiscard]] S slope_at_point(std::size_t k) const {
    if (k == 0) return chord(0);
    if (k == N - 1) return chord(N - 2);
    const S left = chord(k - 1), right = chord(k);
    if (!(value_of(S(left * right)) > 0)) return S(0);
    const S h_left = S(points_[k].x - points_[k - 1].x), h_right = S(points_[k + 1].x - points_[k].x);
    const S w = S((h_left + S(2) * h_right) / (S(3) * (h_left + h_right)));  // Fritsch-Butland weight
    return S(left * right / (w * right + (S(1) - w) * left));
  }

  [[nodiscard]] Value evaluate(const S& x) const {
    if (!(value_of(x) > value_of(points_[0].x))) return beyond(0, x);
    if (!(value_of(x) < value_of(points_[N - 1].x))) return beyond(N - 1, x);
    std::size_t k = 0;
    while (k + 2 < N && !(value_of(x) < value_of(points_[k + 1].x))) ++k;
    return inside(k, x);
  }
  [[nodiscard]] Value beyond(std::size_t k, const S& x) const {
    return {S(points_[k].y + slopes_[k] * (x - points_[k].x)), slopes_[k]};
  }
  [[nodiscard]] Value inside(std::size_t k, const S& x) const {
    const S h = S(points_[k + 1].x - points_[k].x), u = S((x - points_[k].x) / h);
    const S d = chord(k), d0 = slopes_[k], d1 = slopes_[k + 1];
    const S c2 = S(S(3) * d - S(2) * d0 - d1), c3 = S(d0 + d1 - S(2) * d);
    return {S(points_[k].y + h * u * (d0 + u * (c2 + u * c3))), S(d0 + u * (S(2) * c2 + S(3) * c3 * u))};
  }

  std::array<Point<S>, N> points_;
  std::array<S, N> slopes_{};
};

}  // namespace gastube
