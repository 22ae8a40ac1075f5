// SPDX-License-Identifier: MIT
#pragma once
/// Second Townsend coefficient: electrons a cold cathode gives for each ion that reaches it.

#include "gastube/gas/species.hpp"
#include "gastube/support/math.hpp"

#include <array>
#include <string_view>

namespace gastube {

/// One published value, for ions that fall on the metal slowly, as they do at breakdown.
struct SecondaryEmission {
  const char* gas;      ///< symbol
  const char* cathode;  ///< chemical symbol of the metal
  Sourced<double> yield;
};

namespace secondary_emission {

namespace detail {
inline constexpr const char* beroual =
    "A. Beroual and I. Fofana, Discharge in Long Air Gaps, 2016, as quoted by an open plasma-physics file";
constexpr SecondaryEmission row(const char* gas, const char* cathode, double yield) {
  return {gas, cathode, {yield, Confidence::published, beroual}};
}
}  // namespace detail

/// The table as found, but for nitrogen on platinum, where 0.59 is a misprint of 0.059. An older table, from memory,
/// agrees except on nickel: 0.023 in neon and 0.019 in helium. Surfaces decide: take a factor of two as usual.
inline constexpr std::array<SecondaryEmission, 31> published{
    detail::row("air", "Al", 0.035), detail::row("air", "Cu", 0.025), detail::row("air", "Ni", 0.036),
    detail::row("air", "Pt", 0.017), detail::row("air", "Fe", 0.02),  detail::row("N2", "Al", 0.10),
    detail::row("N2", "Cu", 0.066),  detail::row("N2", "Ni", 0.077),  detail::row("N2", "Pt", 0.059),
    detail::row("N2", "Fe", 0.059),  detail::row("H2", "Al", 0.095),  detail::row("H2", "Cu", 0.05),
    detail::row("H2", "Ni", 0.053),  detail::row("H2", "Pt", 0.02),   detail::row("H2", "Fe", 0.061),
    detail::row("H2", "C", 0.014),   detail::row("He", "Al", 0.021),  detail::row("He", "Ni", 0.015),
    detail::row("He", "Pt", 0.010),  detail::row("He", "Fe", 0.015),  detail::row("Ne", "Al", 0.053),
    detail::row("Ne", "Cu", 0.02),   detail::row("Ne", "Ni", 0.031),  detail::row("Ne", "Pt", 0.023),
    detail::row("Ne", "W", 0.045),   detail::row("Ne", "Fe", 0.022),  detail::row("Ar", "Al", 0.12),
    detail::row("Ar", "Cu", 0.058),  detail::row("Ar", "Ni", 0.058),  detail::row("Ar", "Pt", 0.058),
    detail::row("Ar", "Fe", 0.058),
};

/// The yields of cathodes activated with barium or its oxide, or cleaned molybdenum.
inline constexpr Sourced<double> activated_least{0.1, Confidence::plausible, "handbooks, from memory"};
inline constexpr Sourced<double> activated_greatest{0.3, Confidence::plausible, "handbooks, from memory"};

/// Published yield of a gas on a metal, both by symbol ("Ne", "Fe").
/// @throws InvalidRequest if the table has none for the pair
[[nodiscard]] constexpr const Sourced<double>& of(std::string_view gas, std::string_view cathode) {
  for (const SecondaryEmission& row : published)
    if (gas == row.gas && cathode == row.cathode) return row.yield;
  gastube::detail::raise(InvalidRequest("secondary emission: none published for this gas on this cathode"));
}

/// Yield of a clean metal by the ion's potential energy alone: 0.032 (0.78 V_i - 2 phi), 0 where the ion cannot free an
/// electron (R. A. Baragiola and others, 1979, from memory). Metals as used, under their films, give several times
/// less.
/// @param ionisation V, above 0; @param work_function V, above 0
template <Real S>
[[nodiscard]] S potential_yield(const S& ionisation, const S& work_function) {
  Check{"secondary emission"}
      .above("ionisation potential", ionisation, 0.0, "V")
      .above("work function", work_function, 0.0, "V");
  return math::positive_part(S(S(0.032) * (S(0.78) * ionisation - S(2) * work_function)));
}

}  // namespace secondary_emission
}  // namespace gastube
