// SPDX-License-Identifier: MIT
#pragma once
/// Loss of ions in the volume: they recombine with electrons, fast as molecular ions, hardly at all as atoms.

#include "gastube/gas/constants.hpp"
#include "gastube/gas/species.hpp"
#include "gastube/support/math.hpp"

#include <array>

namespace gastube {

/// Recombination of an ion with electrons. Hot electrons are caught less: at_300 (300 K / T_e)^exponent.
struct Recombination {
  const char* ion;
  Sourced<double> at_300;    ///< m^3/s, electrons at 300 K, above 0
  Sourced<double> exponent;  ///< of the electron temperature, at least 0

  /// @throws InvalidParameter naming the field out of range
  constexpr void check() const {
    Check{"recombination"}.above("at_300", at_300.value, 0.0, "m^3/s").at_least("exponent", exponent.value, 0.0, "");
  }
  /// Coefficient, m^3/s. @param electron_temperature K, above 0; published for 300 to some thousand K
  template <Real S>
  [[nodiscard]] S coefficient(const S& electron_temperature) const {
    Check{"recombination"}.above("electron temperature", electron_temperature, 0.0, "K");
    return S(S(at_300.value) * math::pow(S(S(300) / electron_temperature), Plain<S>(exponent.value)));
  }
};

/// Recombination of two electrons and an atomic ion, as a coefficient that grows with the electrons, m^3/s:
/// 8.75e-39 m^6/s T_e^-4.5 n_e with T_e in V (Y. P. Raizer, Gas Discharge Physics, 1991, from memory).
/// It counts in dense, cold plasma only: 1e20 /m^3 at 0.1 V make 2.8e-14 m^3/s, a third of what molecular ions have.
/// @param electron_temperature V (kT/e), above 0; @param density 1/m^3, of electrons, at least 0
template <Real S>
[[nodiscard]] S three_body_recombination(const S& electron_temperature, const S& density) {
  Check{"three-body recombination"}
      .above("electron temperature", electron_temperature, 0.0, "V")
      .at_least("density", density, 0.0, "1/m^3");
  const S colder = math::pow(S(S(1) / electron_temperature), Plain<S>(4.5));
  return S(S(8.75e-19) * colder * (S(1e-20) * density));  // in two factors that float can hold
}

/// An atomic ion X+ meets two atoms and leaves as X2+, which recombines at once if the plasma is dense.
struct IonConversion {
  const char* ion;
  Sourced<double> constant;  ///< m^6/s, above 0

  /// 1/s, share of the ions that convert in unit time. @param gas_density 1/m^3, of atoms, at least 0
  template <Real S>
  [[nodiscard]] S rate(const S& gas_density) const {
    Check{"ion conversion"}.at_least("gas density", gas_density, 0.0, "1/m^3");
    const double n0 = constants::loschmidt.value;  // 1/s first: the constant alone is below what float can hold
    const S share = S(gas_density / S(n0));
    return S(S(constant.value * n0 * n0) * share * share);
  }
};

namespace recombination {

namespace detail {
inline constexpr const char* oskam = "H. J. Oskam and V. R. Mittelstadt, Recombination coefficient of molecular "
                                     "rare-gas ions, Phys. Rev. 132, 1445 (1963), "
                                     "abstract";
inline constexpr const char* later = "later measurements, from memory";
inline constexpr const char* range = "exponents of 0.4 to 0.6, from memory";

/// One row as printed: cm^3/s.
constexpr Recombination row(const char* ion, double at_300, Confidence confidence, const char* source) {
  return {ion, {constants::cubic_cm(at_300), confidence, source}, {0.5, Confidence::plausible, range}};
}
constexpr Recombination measured(const char* ion, double at_300) {
  return row(ion, at_300, Confidence::published, oskam);
}
constexpr Recombination recalled(const char* ion, double at_300) {
  return row(ion, at_300, Confidence::plausible, later);
}
/// One row as printed: cm^6/s.
constexpr IonConversion three_body(const char* ion, double constant, Confidence confidence, const char* source) {
  return {ion, {constant * 1e-12, confidence, source}};
}
}  // namespace detail

inline constexpr Recombination neon = detail::measured("Ne2+", 2.2e-7);     // +-0.2
inline constexpr Recombination argon = detail::measured("Ar2+", 6.7e-7);    // +-0.5
inline constexpr Recombination krypton = detail::measured("Kr2+", 1.2e-6);  // +-0.1
inline constexpr Recombination xenon = detail::measured("Xe2+", 1.4e-6);    // +-0.1
/// An upper bound: nothing was seen.
inline constexpr Recombination helium_bound = detail::measured("He2+", 4e-9);
inline constexpr Recombination hydrogen =
    detail::row("H3+", 1.5e-7, Confidence::published, "flowing-afterglow measurement of H3+, abstract");
/// Ions in their ground state, at 330 K.
inline constexpr Recombination hydrogen_cold = detail::row(
    "H3+", 0.8e-7, Confidence::published, "R. Plasil and others, J. Phys. Conf. Ser. 4, 118 (2005)");  // +-0.3

/// Later values, for comparison: the scatter is that of the art.
inline constexpr std::array<Recombination, 4> later{detail::recalled("Ne2+", 1.7e-7), detail::recalled("Ar2+", 9.1e-7),
                                                    detail::recalled("Kr2+", 1.6e-6), detail::recalled("Xe2+", 2.3e-6)};

/// m^3/s, atomic ions alone with an electron: a photon must take the energy.
inline constexpr Sourced<double> radiative{1e-18, Confidence::handbook, "order of magnitude, handbooks, from memory"};

inline constexpr IonConversion neon_conversion = detail::three_body(
    "Ne+", 4.4e-32, Confidence::published, "Reaction rate constant for Ne+ + 2 Ne, abstract");  // +-0.4
inline constexpr IonConversion argon_conversion =
    detail::three_body("Ar+", 2.5e-31, Confidence::plausible, "handbooks, from memory");
inline constexpr IonConversion krypton_conversion =
    detail::three_body("Kr+", 2.5e-31, Confidence::plausible, "handbooks, from memory");
inline constexpr IonConversion xenon_conversion =
    detail::three_body("Xe+", 2.5e-31, Confidence::plausible, "handbooks, from memory");

}  // namespace recombination
}  // namespace gastube
