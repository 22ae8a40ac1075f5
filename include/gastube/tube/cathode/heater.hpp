// SPDX-License-Identifier: MIT
#pragma once
/// Emission of a cathode whose heater does not get its rated voltage.

#include "gastube/gas/emission.hpp"
#include "gastube/tube/cathode/cathode.hpp"

namespace gastube {

/// Emission as a share of that at rated heater voltage, by Richardson's law. What is radiated goes with the fourth
/// power of the temperature and the heater's power with the square of its voltage or somewhat less, as its wire gains
/// resistance: the temperature goes with the voltage to the power 0.4 to 0.5. Follows from these laws; no data.
template <Real S>
struct HeaterEmission {
  EmittingSurface<S> surface;      ///< see gas/emission.hpp
  S operating_temperature;         ///< K at rated heater voltage, 500 to 3000
  S exponent = S(Plain<S>(0.45));  ///< of the voltage in the temperature, 0.3 to 0.6

  /// @throws InvalidParameter
  void check() const {
    surface.check();
    Check{"heater"}
        .between("operating_temperature", operating_temperature, 500.0, 3000.0, "K")
        .between("exponent", exponent, 0.3, 0.6, "");
  }
  /// Temperature of the cathode, K. @param ratio heater voltage over rated voltage; 0 K at and below 0, where the law
  /// ends far above room temperature
  [[nodiscard]] S temperature(const S& ratio) const {
    if (!(value_of(ratio) > Plain<S>(0))) return S(0);
    return S(operating_temperature * math::exp(S(exponent * math::log(ratio))));
  }
  /// Share of the emission at rated heater voltage, at least 0; above 1 for an overrun heater.
  [[nodiscard]] S share(const S& ratio) const {
    return S(surface.saturated(temperature(ratio)) / surface.saturated(operating_temperature));
  }
};

/// Warm-up together with the heater's voltage. Used like WarmingCathode.
///
/// The tube counts as ready when its rated heating time has passed and the emission has come to what a tube with the
/// lowest heater voltage in tolerance has by then: later with a weaker heater, never with one that is too weak. Letting
/// it conduct earlier damages the cathode.
template <Real S>
struct HeatedCathode {
  WarmingCathode<S> warming;  ///< at rated heater voltage
  HeaterEmission<S> heater;
  S ratio = S(1);                  ///< heater voltage over rated voltage, 0 to 2
  S tolerance = S(Plain<S>(0.1));  ///< share the heater voltage may be off by, at least 0, below 1

  /// @throws InvalidParameter
  void check() const {
    warming.check();
    heater.check();
    Check{"heated cathode"}.between("ratio", ratio, 0.0, 2.0, "").between("tolerance", tolerance, 0.0, 0.99, "");
  }
  /// Whether the heater voltage is one the maker allows.
  [[nodiscard]] bool within_tolerance() const {
    return math::abs(value_of(ratio) - Plain<S>(1)) <= value_of(tolerance) + Plain<S>(4) * round_off<S>;
  }
  /// Share of rated emission after `heated` seconds; above 1 for an overrun heater.
  [[nodiscard]] S emission(const S& heated) const { return S(warming.emission(heated) * heater.share(ratio)); }
  /// s of heating before conduction is allowed; unlimited with a heater too weak.
  [[nodiscard]] S heating_time() const {
    const S rated = warming.heating_time(), least = heater.share(S(S(1) - tolerance)), now = heater.share(ratio);
    const S needed = S(warming.emission(rated) * least);
    if (!(value_of(now) < value_of(least))) return rated;
    if (!(value_of(now) > value_of(needed))) return unlimited<S>();
    return math::max(rated, S(-warming.time_constant * math::log(S(S(1) - needed / now))));
  }
};
static_assert(CathodeLaw<HeatedCathode<double>, double>);

}  // namespace gastube
