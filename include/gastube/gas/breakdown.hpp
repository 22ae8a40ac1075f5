// SPDX-License-Identifier: MIT
#pragma once
/// Paschen's curve: the voltage at which a cold plane gap breaks down, against pressure times gap.
///
/// Every curve of this form is one curve, drawn to the scale of its minimum: with x the product over that at the
/// minimum, V / V_min = x / (1 + ln x). It is made from Townsend's constants and the cathode's yield, or from a
/// measured minimum. For plates wider than their gap: the shape of the vessel counts too (V. A. Lisovskiy, S. D.
/// Yakovin and V. D. Yegorenkov, J. Phys. D 33, 2722, 2000).

#include "gastube/gas/townsend.hpp"

namespace gastube {

inline constexpr double euler_number = 2.71828182845904523536;

/// Breakdown voltage against pressure times gap. p counts molecules: take it at about 20 degrees Celsius.
template <Real S>
struct PaschenCurve {
  S minimum_voltage;  ///< V, above 0
  S minimum_product;  ///< Pa m, pressure times gap at the minimum, above 0

  /// @throws InvalidParameter naming the field that is not above 0
  void check() const {
    Check{"breakdown curve"}
        .above("minimum_voltage", minimum_voltage, 0.0, "V")
        .above("minimum_product", minimum_product, 0.0, "Pa m");
  }
  /// Pa m; at this product and below the form has no breakdown at any voltage. In truth other ways of breaking down
  /// take over, so do not trust the curve far to the left of its minimum.
  [[nodiscard]] S asymptote() const { return S(minimum_product / S(euler_number)); }

  /// Breakdown voltage, V; unlimited() at the asymptote and left of it.
  /// @param product Pa m, at least 0; @throws InvalidParameter for a negative product or NaN
  [[nodiscard]] S voltage(const S& product) const {
    Check{"breakdown curve"}.at_least("pressure times gap", product, 0.0, "Pa m");
    const S x = S(product / minimum_product);
    const S rise = S(S(1) + math::log(x));
    if (!(value_of(rise) > Plain<S>(0))) return unlimited<S>();
    return math::min(S(minimum_voltage * (x / rise)), unlimited<S>());
  }
  /// E/p at breakdown, V/(Pa m): compare it with the range of the Townsend constants. unlimited() where voltage() is.
  [[nodiscard]] S reduced_field(const S& product) const {
    const S broken = voltage(product);
    return is_limited(broken) ? math::min(S(broken / product), unlimited<S>()) : unlimited<S>();
  }

  /// Pressure times gap left of the minimum that breaks down at `volts`, Pa m: less of it holds that voltage off.
  /// @param volts V, at least minimum_voltage; with derivatives, above it, for there the slope is infinite
  [[nodiscard]] S left_product(const S& volts) const {
    const S share = checked_share(volts);
    return scaled(share, S(S(1) / (S(euler_number) * share) - S(1)));
  }
  /// The same right of the minimum: more of it holds that voltage off.
  [[nodiscard]] S right_product(const S& volts) const {
    const S share = checked_share(volts), height = math::log(share);
    return scaled(share, S(S(0.6931471805599453) + height + math::log(S(S(1) + height))));
  }

 private:
  [[nodiscard]] S checked_share(const S& volts) const {
    Check{"breakdown curve"}.at_least("breakdown voltage", volts, double(value_of(minimum_voltage)), "V");
    return S(volts / minimum_voltage);
  }
  /// With d = ln x the curve reads share (1 + d) = exp(d). Both starts lie outside their root, where Newton's method on
  /// this concave difference comes in from one side; at the minimum, a double root, it halves the distance.
  [[nodiscard]] S scaled(const S& share, S d) const {
    const Plain<S> side = value_of(d) < Plain<S>(0) ? Plain<S>(1) : Plain<S>(-1);
    for (int k = 0; k < 100; ++k) {
      const S power = math::exp(d), slope = S(share - power);
      if (!(side * value_of(slope) > Plain<S>(0))) break;
      const S step = S((power - share * (S(1) + d)) / slope);
      d += step;
      if (!(side * value_of(step) > Plain<S>(4) * round_off<S> * math::abs(value_of(d)))) break;
    }
    return S(minimum_product * math::exp(d));
  }
};

/// Curve of a gas between plane plates by Townsend's theory.
/// @param yield electrons for each ion at the cathode, above 0
template <Real S>
[[nodiscard]] PaschenCurve<S> paschen_curve(const TownsendConstants& gas, const S& yield) {
  gas.check();
  Check{"breakdown curve"}.above("secondary emission", yield, 0.0, "");
  const S generations = S(S(euler_number) * math::log(S((S(1) + yield) / yield)));  // e ln(1 + 1/yield)
  return {S(S(gas.b.value / gas.a.value) * generations), S(generations / S(gas.a.value))};
}

/// The cathode's yield that would give a measured minimum voltage with these constants: the inverse of the above.
/// @param minimum_voltage V, above 0
template <Real S>
[[nodiscard]] S yield_for_minimum(const TownsendConstants& gas, const S& minimum_voltage) {
  gas.check();
  Check{"breakdown curve"}.above("minimum_voltage", minimum_voltage, 0.0, "V");
  const S generations = S(minimum_voltage * S(gas.a.value / gas.b.value / euler_number));
  return S(S(1) / (math::exp(generations) - S(1)));
}

/// A measured minimum of breakdown.
struct PublishedMinimum {
  /// Least and greatest of the values that tables give.
  struct Span {
    double least, greatest;
    [[nodiscard]] constexpr double middle() const { return (least + greatest) / 2; }
  };

  const char* gas;        ///< symbol
  const char* cathode;    ///< chemical symbol of the metal; "" where the table does not name it
  Sourced<Span> voltage;  ///< V
  Sourced<Span> product;  ///< Pa m
};

/// Curve through a measured minimum: the middle of what the tables give.
template <Real S>
[[nodiscard]] PaschenCurve<S> paschen_curve(const PublishedMinimum& measured) {
  return {S(measured.voltage.value.middle()), S(measured.product.value.middle())};
}

namespace breakdown {

namespace detail {
inline constexpr const char* tables = "tables in J. D. Cobine, Gaseous Conductors, 1941, A. von Engel, Ionized Gases, "
                                      "1965, and later handbooks, from memory";
constexpr PublishedMinimum row(const char* gas, const char* cathode, PublishedMinimum::Span voltage,
                               PublishedMinimum::Span product) {
  return {gas,
          cathode,
          {voltage, Confidence::plausible, tables},
          {{constants::torr_cm(product.least), constants::torr_cm(product.greatest)}, Confidence::plausible, tables}};
}
}  // namespace detail

/// Measured minima, products as printed in Torr cm. The two of argon show what cathode and purity do.
inline constexpr std::array<PublishedMinimum, 9> published_minima{
    detail::row("air", "Fe", {327, 330}, {0.567, 0.567}), detail::row("Ar", "", {137, 137}, {0.9, 0.9}),
    detail::row("Ar", "Fe", {265, 265}, {1.5, 1.5}),      detail::row("Ne", "Fe", {244, 245}, {3, 4}),
    detail::row("He", "Fe", {150, 156}, {2.5, 4}),        detail::row("H2", "Pt", {273, 295}, {1.15, 1.25}),
    detail::row("N2", "Fe", {251, 275}, {0.67, 0.75}),    detail::row("Hg", "W", {425, 425}, {1.8, 1.8}),
    detail::row("Hg", "Fe", {520, 520}, {2.0, 2.0})};

}  // namespace breakdown
}  // namespace gastube
