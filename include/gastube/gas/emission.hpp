// SPDX-License-Identifier: MIT
#pragma once
/// Thermionic emission: the electrons a hot surface gives, wanted from a cathode, unwanted from a grid.

#include "gastube/gas/constants.hpp"
#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"
#include "gastube/support/provenance.hpp"

#include <array>

namespace gastube {

/// Greatest current density a hot surface gives, A/m^2: a T^2 exp(-e phi / kT) (O. W. Richardson, S. Dushman).
template <Real S>
struct EmittingSurface {
  S a;              ///< A/(m^2 K^2), above 0
  S work_function;  ///< V, above 0

  /// @throws InvalidParameter naming the field that is not above 0
  void check() const {
    Check{"emitting surface"}.above("a", a, 0.0, "A/(m^2 K^2)").above("work_function", work_function, 0.0, "V");
  }
  /// Saturated emission, A/m^2; none at 0 K. @param temperature K, of the surface, at least 0
  [[nodiscard]] S saturated(const S& temperature) const {
    Check{"emitting surface"}.at_least("temperature", temperature, 0.0, "K");
    const S barrier = S(work_function * S(constants::kelvin_per_volt.value));
    if (value_of(barrier) >= Plain<S>(12000) * value_of(temperature)) return S(0);  // exp(-12000) is 0 in every scalar
    return S(a * temperature * temperature * math::exp(S(-barrier / temperature)));
  }
  /// Temperature at which a current density is reached, K: the inverse of saturated().
  /// @param current_density A/m^2, above 0
  [[nodiscard]] S temperature_for(const S& current_density) const {
    Check{"emitting surface"}.above("current density", current_density, 0.0, "A/m^2");
    const S barrier = S(work_function * S(constants::kelvin_per_volt.value));
    const S wanted =
        S(math::log(a) + S(2) * math::log(barrier) - math::log(current_density));  // the ratio may overflow
    // With z = ln(barrier / T) the law reads wanted - 2 z = exp(z): concave, so that Newton's method comes in from
    // above.
    S z = S(0);
    for (int k = 0; k < 100; ++k) {
      const S power = math::exp(z), step = S((wanted - S(2) * z - power) / (S(2) + power));
      z += step;
      if (!(math::abs(value_of(step)) > Plain<S>(4) * round_off<S> * math::max(Plain<S>(1), math::abs(value_of(z)))))
        break;
    }
    return S(barrier * math::exp(S(-z)));
  }
};

/// Constants of one kind of surface. Pairs of an oxide belong together and are ill determined.
struct EmissionConstants {
  const char* surface;
  Sourced<double> a;              ///< A/(m^2 K^2)
  Sourced<double> work_function;  ///< V
};

template <Real S>
[[nodiscard]] EmittingSurface<S> emitting_surface(const EmissionConstants& constants) {
  return {S(constants.a.value), S(constants.work_function.value)};
}

namespace emission {

namespace detail {
/// One row as printed: A/(cm^2 K^2), V.
constexpr EmissionConstants row(const char* surface, double a, double work_function, Confidence confidence) {
  constexpr const char* source = "handbooks of electron tubes, from memory";
  return {surface, {a * 1e4, confidence, source}, {work_function, confidence, source}};
}
}  // namespace detail

/// Barium and strontium oxide, the ends of the range of published pairs.
inline constexpr EmissionConstants oxide_low = detail::row("oxide, low constants", 0.01, 1.0, Confidence::plausible);
inline constexpr EmissionConstants oxide_high = detail::row("oxide, high constants", 0.5, 1.2, Confidence::plausible);
inline constexpr EmissionConstants thoriated_tungsten =
    detail::row("thoriated tungsten", 3.0, 2.63, Confidence::handbook);
inline constexpr EmissionConstants tungsten = detail::row("tungsten", 60.2, 4.52, Confidence::handbook);

inline constexpr std::array<EmissionConstants, 4> all{oxide_low, oxide_high, thoriated_tungsten, tungsten};

}  // namespace emission
}  // namespace gastube
