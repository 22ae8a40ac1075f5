// SPDX-License-Identifier: MIT
#pragma once
/// First Townsend coefficient: ions an electron makes on each metre of its way along the field.
///
/// alpha / p = a exp(-b p / E): a pictures the number of free paths, b the field that gives the ionisation energy on
/// one. Two published sets of constants differ, by more than twice in helium; neither is right outside its range of
/// E/p.

#include "gastube/gas/constants.hpp"
#include "gastube/gas/species.hpp"
#include "gastube/support/math.hpp"

#include <array>
#include <string_view>

namespace gastube {

/// Constants of one gas. p counts molecules: take it at the temperature of the tables, about 20 degrees Celsius.
struct TownsendConstants {
  const char* gas;         ///< symbol
  Sourced<double> a;       ///< 1/(Pa m), above 0
  Sourced<double> b;       ///< V/(Pa m), above 0
  double lowest, highest;  ///< V/(Pa m), range of E/p the pair was fitted to; both 0 where not stated

  /// @throws InvalidParameter naming the constant that is not above 0
  constexpr void check() const {
    Check{"Townsend constants"}.above("a", a.value, 0.0, "1/(Pa m)").above("b", b.value, 0.0, "V/(Pa m)");
  }
  /// True where the pair was fitted; false everywhere if no range was stated.
  template <Real S>
  [[nodiscard]] constexpr bool holds_at(const S& reduced_field) const {
    return value_of(reduced_field) >= Plain<S>(lowest) && value_of(reduced_field) <= Plain<S>(highest);
  }
};

/// alpha, 1/m; 0 without field or gas.
/// @param field V/m, at least 0; @param pressure Pa, at least 0; @throws InvalidParameter naming the one out of range
template <Real S>
[[nodiscard]] S ionisation_coefficient(const TownsendConstants& gas, const S& field, const S& pressure) {
  Check{"first Townsend coefficient"}.at_least("field", field, 0.0, "V/m").at_least("pressure", pressure, 0.0, "Pa");
  const S brake = S(S(gas.b.value) * pressure);
  // The exponential of -12000 is 0 in every scalar; a weaker field would only divide by next to nothing.
  if (value_of(brake) >= Plain<S>(12000) * value_of(field)) return S(0);
  return S(S(gas.a.value) * pressure * math::exp(S(-brake / field)));
}

/// Ions an electron makes for each volt it falls through, 1/V: alpha / E. Greatest, a / (b e), where E/p = b, which is
/// also where a gap breaks down at its Paschen minimum.
/// @param reduced_field E/p, V/(Pa m), above 0
template <Real S>
[[nodiscard]] S ionisation_per_volt(const TownsendConstants& gas, const S& reduced_field) {
  Check{"ionisation per volt"}.above("reduced field", reduced_field, 0.0, "V/(Pa m)");
  return S(ionisation_coefficient(gas, reduced_field, S(1)) / reduced_field);
}

namespace townsend {

namespace detail {
inline constexpr const char* raizer = "Y. P. Raizer, Gas Discharge Physics, 1991, table 4.1, from memory; as adapted "
                                      "to SI units from E. Nasser, 1971, they "
                                      "agree but for argon's a and hydrogen's b";
inline constexpr const char* lieberman = "M. A. Lieberman and A. J. Lichtenberg, Principles of Plasma Discharges and "
                                         "Materials Processing, 2005, table 14.1, "
                                         "as quoted by an encyclopedia";

/// One row as printed: 1/(cm Torr), V/(cm Torr), range of E/p in V/(cm Torr).
constexpr TownsendConstants row(const char* gas, Confidence confidence, const char* source, double a, double b,
                                double lowest, double highest) {
  using constants::per_torr_cm;
  return {gas,
          {per_torr_cm(a), confidence, source},
          {per_torr_cm(b), confidence, source},
          per_torr_cm(lowest),
          per_torr_cm(highest)};
}
constexpr TownsendConstants first(const char* gas, double a, double b, double lowest, double highest) {
  return row(gas, Confidence::handbook, raizer, a, b, lowest, highest);
}
constexpr TownsendConstants second(const char* gas, double a, double b) {
  return row(gas, Confidence::published, lieberman, a, b, 0.0, 0.0);
}
}  // namespace detail

inline constexpr TownsendConstants helium = detail::first("He", 3, 34, 20, 150);
inline constexpr TownsendConstants neon = detail::first("Ne", 4, 100, 100, 400);
inline constexpr TownsendConstants argon = detail::first("Ar", 12, 180, 100, 600);
inline constexpr TownsendConstants krypton = detail::first("Kr", 17, 240, 100, 1000);
inline constexpr TownsendConstants xenon = detail::first("Xe", 26, 350, 200, 800);
inline constexpr TownsendConstants mercury = detail::first("Hg", 20, 370, 150, 600);
inline constexpr TownsendConstants hydrogen = detail::first("H2", 5, 130, 150, 600);
inline constexpr TownsendConstants nitrogen = detail::first("N2", 12, 342, 100, 600);  // for comparison, as is air
inline constexpr TownsendConstants air = detail::first("air", 15, 365, 100, 800);
/// No pair of its own was found: electrons meet the same molecule twice as heavy.
inline constexpr TownsendConstants deuterium =
    detail::row("D2", Confidence::unverified, "assumed as for hydrogen", 5, 130, 150, 600);

/// All gases for which a pair is known, in the order of gas::all, then nitrogen and air.
inline constexpr std::array<TownsendConstants, 10> first_set{hydrogen, helium, deuterium, neon,     argon,
                                                             krypton,  xenon,  mercury,   nitrogen, air};
inline constexpr std::array<TownsendConstants, 5> second_set{
    detail::second("H2", 4.8, 136), detail::second("He", 2.8, 77), detail::second("Ne", 4.4, 111),
    detail::second("Ar", 11.5, 176), detail::second("N2", 11.8, 325)};

/// The first set's constants of a gas.
/// @throws InvalidRequest for a gas of the user's own, which is in neither set
[[nodiscard]] constexpr const TownsendConstants& of(const Gas& gas) {
  for (const TownsendConstants& constants : first_set)
    if (std::string_view(constants.gas) == gas.symbol) return constants;
  gastube::detail::raise(InvalidRequest("Townsend constants: none known for this gas"));
}
/// Constants of a Penning mixture by the picture above: a metastable of the main gas stands for an ion, so that b
/// shrinks with the energy to be gained. For comparisons, not for voltages: it assumes that every metastable meets an
/// atom of the trace. Derived here, fitted to nothing; carries no range.
[[nodiscard]] constexpr TownsendConstants of(const PenningMixture& mixture) {
  mixture.check();
  const TownsendConstants& main = of(mixture.main);
  const double b = main.b.value * (mixture.threshold() / mixture.main.ionisation.value);
  return {main.gas,
          main.a,
          {b, Confidence::unverified, "the main gas's, times metastable over ionisation potential"},
          0.0,
          0.0};
}

}  // namespace townsend
}  // namespace gastube
