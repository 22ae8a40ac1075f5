// SPDX-License-Identifier: MIT
#pragma once
/// Cathode warm-up: emission against the time since the heater was switched on.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// A cathode that is always ready.
template <Real S>
struct ReadyCathode {
  void check() const {}
  [[nodiscard]] S emission(const S&) const { return S(1); }
  /// s of heating before conduction is allowed.
  [[nodiscard]] S heating_time() const { return S(0); }
};

/// First-order warm-up. Conduction before the heating time damages the cathode; the model refuses to fire until then.
template <Real S>
struct WarmingCathode {
  S heating;        ///< s, least heating time before conduction, at least 0 (rating)
  S time_constant;  ///< s, of emission, above 0

  void check() const {
    Check{"cathode"}.at_least("heating", heating, 0.0, "s").above("time_constant", time_constant, 0.0, "s");
  }
  /// Share of full emission after `heated` seconds.
  [[nodiscard]] S emission(const S& heated) const {
    const S passed = S(math::positive_part(heated) / time_constant);
    if (value_of(passed) > Plain<S>(50)) return S(1);
    return S(S(1) - math::exp(S(-passed)));
  }
  [[nodiscard]] S heating_time() const { return heating; }
};

/// Minimum of a cathode law: emission(heated), heating_time(), check().
template <class Law, class S>
concept CathodeLaw = Real<S> && requires(const Law law, const S heated) {
  { law.emission(heated) } -> std::same_as<S>;
  { law.heating_time() } -> std::same_as<S>;
  law.check();
};
static_assert(CathodeLaw<ReadyCathode<double>, double> && CathodeLaw<WarmingCathode<double>, double>);

}  // namespace gastube
