// SPDX-License-Identifier: MIT
#pragma once
/// Time a cold-cathode gap takes to strike: the wait for a first electron, which is chance, and the formation of the
/// discharge, which overvoltage hastens.

#include "gastube/tube/delay/firing_delay.hpp"
#include "gastube/tube/delay/jitter.hpp"

namespace gastube {

/// Delay of a gap struck at V: least + wait + scale (Vs / (V - Vs))^exponent, with Vs its strike voltage. The formative
/// lag grows as the overvoltage falls (M. K. Radovic et al., Bulg. J. Phys. 27 S3, 179 (2000), abstract); the power
/// form with an exponent of 1 to 2 is a suggestion of this library. Neon lamps: tens of us near strike, a few us at 30
/// % overvoltage, from memory.
template <Real S>
struct OvervoltageLag {
  static constexpr bool instant = false;
  S scale;            ///< s, formative lag at twice the strike voltage, above 0
  S exponent = S(1);  ///< 1 to 2
  S least = S(0);     ///< s, that no overvoltage gets below, at least 0
  S wait = S(0);      ///< s, statistical lag of this trial, at least 0: LaueLag::sample with a formative lag of 0

  void check() const {
    Check{"overvoltage lag"}
        .above("scale", scale, 0.0, "s")
        .between("exponent", exponent, 1.0, 2.0, "")
        .at_least("least", least, 0.0, "s")
        .at_least("wait", wait, 0.0, "s");
  }
  /// Delay, s; unlimited without overvoltage. @param overdrive V above the strike voltage; @param volts across the gap
  [[nodiscard]] S delay(const S& overdrive, const S& volts) const {
    const S eased = power(overdrive, volts);
    if (!(value_of(eased) > Plain<S>(0))) return unlimited<S>();
    return math::min(S(least + wait + scale / eased), unlimited<S>());
  }
  /// Share of the formation per second, 1/s; 0 without overvoltage.
  [[nodiscard]] S rate(const S& overdrive, const S& volts) const {
    const S eased = power(overdrive, volts);
    return S(eased / ((least + wait) * eased + scale));
  }

 private:
  /// ((V - Vs) / Vs)^exponent. A gap that strikes below a volt is none; and below 1e-15 the power's digits are gone.
  [[nodiscard]] S power(const S& overdrive, const S& volts) const {
    const S over = S(overdrive / math::max(S(volts - overdrive), S(1)));
    if (!(value_of(over) > Plain<S>(1e-15L))) return S(0);
    return math::exp(S(exponent * math::log(over)));
  }
};
static_assert(DelayLaw<OvervoltageLag<double>, double>);

/// Mean wait for the first electron. Light sets electrons free, and so does what the last discharge has left behind:
/// in neon at 1 mbar the yield falls by a power of ten between 0.1 s and 100 s after conduction, to the plateau of
/// natural radiation (C. A. Maluckov and M. K. Radovic, IEEE Trans. Plasma Sci. 30, 1597 (2002), abstract).
template <Real S>
struct FirstElectron {
  S in_light;          ///< s, mean wait in full light, above 0
  S light;             ///< light, radioactive priming and natural radiation, as a share of full light, at least 0
  S afterglow = S(0);  ///< the same from a discharge that has just ended, at least 0
  S fading = S(1);     ///< s, in which that falls to half, above 0

  void check() const {
    Check{"first electron"}
        .above("in_light", in_light, 0.0, "s")
        .at_least("light", light, 0.0, "")
        .at_least("afterglow", afterglow, 0.0, "")
        .above("fading", fading, 0.0, "s");
  }
  /// s; unlimited where nothing sets an electron free. @param dark_for s since the last conduction, at least 0;
  /// unlimited() if there was none
  [[nodiscard]] S mean(const S& dark_for) const {
    const S yield = S(light + afterglow / (S(1) + math::positive_part(dark_for) / fading));
    if (!(value_of(yield) > Plain<S>(1e-25L))) return unlimited<S>();
    return math::min(S(in_light / yield), unlimited<S>());
  }
};

/// Laue's law: of many trials the share exp(-(t - formative) / statistical) has not struck by t (M. von Laue, Ann.
/// Phys. 76, 261 (1925); as measured in neon by M. K. Radovic et al., above). FiringJitter is the same with a spread of
/// the formative lag; without it all is closed form, and good for scalars with derivatives.
template <Real S>
struct LaueLag {
  S formative;    ///< s, at least 0: OvervoltageLag::delay
  S statistical;  ///< s, mean wait, at least 0: FirstElectron::mean

  void check() const {
    Check{"statistical lag"}.at_least("formative", formative, 0.0, "s").at_least("statistical", statistical, 0.0, "s");
  }
  /// s.
  [[nodiscard]] S mean() const { return S(formative + statistical); }
  /// Share of trials that have struck by this time, 0 to 1. @param time s after the voltage
  [[nodiscard]] S share_fired_by(const S& time) const {
    const S past = S(time - formative);
    if (!(value_of(past) >= Plain<S>(0))) return S(0);
    if (!(value_of(past) < Plain<S>(1e4) * value_of(statistical))) return S(1);
    return S(S(1) - math::exp(S(-past / statistical)));
  }
  /// Time by which that share has struck, s; unlimited for all of them if there is a wait.
  /// @param share 0 to 1 @throws InvalidParameter
  [[nodiscard]] S quantile(const S& share) const {
    Check{"statistical lag"}.between("share", share, 0.0, 1.0, "");
    if (!(value_of(statistical) > Plain<S>(0))) return formative;
    if (!(value_of(share) < Plain<S>(1))) return unlimited<S>();
    return S(formative - statistical * math::log(S(S(1) - share)));
  }
  /// Lag of one trial, s: the same from the same generator with every standard library.
  template <BitGenerator G>
  [[nodiscard]] S sample(G& generator) const {
    return quantile(S(open_unit<Plain<S>>(generator)));
  }
};

}  // namespace gastube
