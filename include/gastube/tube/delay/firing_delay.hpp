// SPDX-License-Identifier: MIT
#pragma once
/// Time from over-critical to arc: the formation of the discharge, as a rate that may vary while overdrive and plate
/// voltage vary.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// Fires in the instant it becomes over-critical.
template <Real S>
struct NoDelay {
  static constexpr bool instant = true;
  static constexpr bool piecewise_linear = true;
  void check() const {}
  /// Delay at this overdrive, s: none.
  [[nodiscard]] S delay(const S&) const { return S(0); }
  [[nodiscard]] S delay(const S&, const S&) const { return S(0); }
  /// Share of the formation per second; not asked of an instant law.
  [[nodiscard]] S rate(const S&) const { return S(0); }
  [[nodiscard]] S rate(const S&, const S&) const { return S(0); }
};

/// Formative lag: delay = least + product / overdrive * (reference_plate / plate)^exponent, with the overdrive in volts
/// of grid above the critical voltage. The least delay is a floor that no drive and no plate voltage gets below.
/// The hyperbolic form is a suggestion of this library; one handbook point of the small xenon tetrodes fixes it
/// (0.5 us at 50 V). The lag falls with overdrive and plate voltage as measured in "Ionization time of thyratrons",
/// AIEE, about 1940 (abstract), and is never below 0.3 us in mercury (the same). Ions need a time to cross the tube
/// that goes with the root of the voltage, hence an exponent of 0.5 to 1; without one the plate voltage does not count.
template <Real S>
struct FormativeLag {
  static constexpr bool instant = false;
  S least;                     ///< s, lag at unlimited overdrive, above 0
  S product;                   ///< V s, at the reference plate voltage, at least 0
  S exponent = S(0);           ///< of the plate voltage, 0 to 2
  S reference_plate = S(100);  ///< V, at which `product` is stated, above 0

  void check() const {
    Check{"formative lag"}
        .above("least", least, 0.0, "s")
        .at_least("product", product, 0.0, "V s")
        .between("exponent", exponent, 0.0, 2.0, "")
        .above("reference_plate", reference_plate, 0.0, "V");
  }
  /// Delay at a steady overdrive and the reference plate voltage, s; unlimited without overdrive.
  [[nodiscard]] S delay(const S& overdrive) const { return lag(overdrive); }
  /// Delay at a steady overdrive and plate voltage, s; unlimited without either.
  [[nodiscard]] S delay(const S& overdrive, const S& plate) const { return lag(S(overdrive * eased(plate))); }
  /// Share of the formation per second at the reference plate voltage, 1/s; 0 without overdrive.
  [[nodiscard]] S rate(const S& overdrive) const { return speed(overdrive); }
  /// Share of the formation per second, 1/s; 0 without overdrive or plate voltage.
  [[nodiscard]] S rate(const S& overdrive, const S& plate) const { return speed(S(overdrive * eased(plate))); }

 private:
  [[nodiscard]] S lag(const S& drive) const {
    if (!(value_of(drive) > Plain<S>(0))) return unlimited<S>();
    return math::min(S(least + product / drive), unlimited<S>());
  }
  [[nodiscard]] S speed(const S& overdrive) const {
    const S drive = math::positive_part(overdrive);
    return S(drive / (least * drive + product + S(least * S(1e-12))));
  }
  /// What a volt of overdrive counts at this plate voltage, against the reference: (plate / reference)^exponent.
  [[nodiscard]] S eased(const S& plate) const {
    if (!(value_of(exponent) > Plain<S>(0))) return S(1);
    const S share = math::positive_part(S(plate / reference_plate));
    const S bend = S(Plain<S>(1e-6));  // below it a straight line: the power's own slope at 0 is infinite
    if (value_of(share) < value_of(bend)) return S(share / bend * math::exp(S(exponent * math::log(bend))));
    return math::exp(S(exponent * math::log(share)));
  }
};

/// Minimum of a delay law: whether it is instant, rate(overdrive, plate), check().
template <class Law, class S>
concept DelayLaw = Real<S> && requires(const Law law, const S v) {
  { Law::instant } -> std::convertible_to<bool>;
  { law.rate(v, v) } -> std::same_as<S>;
  law.check();
};
static_assert(DelayLaw<NoDelay<double>, double> && DelayLaw<FormativeLag<double>, double>);

}  // namespace gastube
