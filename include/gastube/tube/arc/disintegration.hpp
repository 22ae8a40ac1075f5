// SPDX-License-Identifier: MIT
#pragma once
/// The drop at which ions, falling through it onto a hot oxide cathode, begin to knock its coating off.

#include "gastube/gas/species.hpp"

#include <array>
#include <string_view>

namespace gastube::disintegration {

/// V of arc drop beyond which the cathode disintegrates in this gas.
struct Voltage {
  const Gas* gas;
  Sourced<double> voltage;  ///< V, oxide-coated or thoriated cathode
};

inline constexpr const char* handbooks = "handbooks of electron tubes, from memory";

/// The range in which all of them lie, V.
inline constexpr const char* range = "A. W. Hull, Gen. Electr. Rev. 32, 213 and 390 (1929), as cited in an abstract of "
                                     "the Math. Proc. Camb. Phil. Soc.: about 20 to 25 V";
inline constexpr Sourced<double> least{20.0, Confidence::published, range};
inline constexpr Sourced<double> greatest{25.0, Confidence::published, range};

inline constexpr std::array<Voltage, 4> published{{
    {&gas::mercury, {22.0, Confidence::handbook, handbooks}},
    {&gas::argon, {25.0, Confidence::plausible, handbooks}},
    {&gas::neon, {27.0, Confidence::plausible, handbooks}},
    {&gas::xenon,
     {20.0, Confidence::unverified, "assumed here: the low end of the published range, which warns first"}},
}};

/// V for a gas by its symbol ("Hg"). @throws InvalidRequest if the table has none for it
[[nodiscard]] constexpr const Sourced<double>& of(std::string_view symbol) {
  for (const Voltage& row : published)
    if (symbol == row.gas->symbol) return row.voltage;
  gastube::detail::raise(InvalidRequest("disintegration voltage: none known for this gas"));
}

}  // namespace gastube::disintegration
