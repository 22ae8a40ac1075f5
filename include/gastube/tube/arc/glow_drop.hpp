// SPDX-License-Identifier: MIT
#pragma once
/// Voltage of a glow against its current: normal glow, abnormal glow, and the arc that ends a tube driven too far.
///
/// In the normal glow the discharge covers as much of the cathode as it needs at its normal current density, and the
/// voltage hardly rises. Once the cathode is covered the density has to rise, and the voltage with it.

#include "gastube/gas/constants.hpp"
#include "gastube/tube/arc/arc_drop.hpp"
#include "gastube/tube/states.hpp"

#include <array>
#include <string_view>

namespace gastube {

/// A straight line for each lit state. Those of the two glows meet where the cathode is covered. Currents are counted
/// in the direction in which the tube burns.
template <Real S>
struct GlowDrop {
  static constexpr bool piecewise_linear = true;
  LinearDrop<S> normal;   ///< line of the normal glow; its resistance above 0
  S covered_from;         ///< A, at which the whole cathode glows, above 0
  S abnormal_resistance;  ///< ohm, at least that of the normal glow
  S arc_from;             ///< A, at which the glow turns into an arc and destroys the cathode, above covered_from
  S arc_drop;             ///< V, of that arc, above 0, below the glow's voltage at arc_from
  S arc_least;            ///< A, below which the arc goes out, above 0 to arc_from

  /// @throws InvalidParameter
  void check() const {
    normal.check();
    const double covered = double(value_of(covered_from)), steep = double(value_of(normal.resistance));
    Check{"glow drop"}
        .above("resistance of the normal glow", normal.resistance, 0.0, "ohm")
        .above("covered_from", covered_from, 0.0, "A")
        .at_least("abnormal_resistance", abnormal_resistance, steep, "ohm")
        .above("arc_from", arc_from, covered, "A")
        .above("arc_drop", arc_drop, 0.0, "V")
        .that(value_of(arc_drop) < value_of(voltage(arc_from, TubeState::abnormal_glow)), "arc_drop", arc_drop, "V",
              "below the glow's voltage where the arc begins")
        .above("arc_least", arc_least, 0.0, "A")
        .at_most("arc_least", arc_least, double(value_of(arc_from)), "A");
  }
  /// V in a lit state; in any other, what a normal glow would have.
  [[nodiscard]] S voltage(const S& current, TubeState state) const {
    switch (state) {
    case TubeState::abnormal_glow:
      return S(normal.voltage(covered_from) + abnormal_resistance * (current - covered_from));
    case TubeState::arc: return arc_drop;
    default: return normal.voltage(current);
    }
  }
  /// dV/dI, ohm.
  [[nodiscard]] S slope(const S&, TubeState state) const {
    switch (state) {
    case TubeState::abnormal_glow: return abnormal_resistance;
    case TubeState::arc: return S(0);
    default: return normal.resistance;
    }
  }
  /// V of the glow at any current, whatever its state is called there.
  [[nodiscard]] S glow_voltage(const S& current) const {
    const bool covered = value_of(current) > value_of(covered_from);
    return voltage(current, covered ? TubeState::abnormal_glow : TubeState::glow);
  }
};

/// Minimum of a law of the glow. One whose voltage is a straight line of the current in each state says
/// `static constexpr bool piecewise_linear = true`.
template <class Law, class S>
concept GlowLaw = Real<S> && requires(const Law law, const S current, TubeState state) {
  { law.voltage(current, state) } -> std::same_as<S>;
  { law.slope(current, state) } -> std::same_as<S>;
  { law.covered_from } -> std::convertible_to<S>;
  { law.arc_from } -> std::convertible_to<S>;
  { law.arc_least } -> std::convertible_to<S>;
  law.check();
};
static_assert(GlowLaw<GlowDrop<double>, double>);

/// The normal glow's line through two published points: the maintaining voltage, and the voltage at which the lamp
/// goes out, a few volts less, at its least current.
/// @param maintaining V; @param design_current A, of the maintaining voltage; @param extinction V, below maintaining;
/// @param least_current A, below the design current @throws InvalidParameter
template <Real S>
[[nodiscard]] LinearDrop<S> line_to_extinction(const S& maintaining, const S& design_current, const S& extinction,
                                               const S& least_current) {
  Check{"glow line"}
      .above("extinction", extinction, 0.0, "V")
      .above("maintaining", maintaining, double(value_of(extinction)), "V")
      .at_least("least_current", least_current, 0.0, "A")
      .above("design_current", design_current, double(value_of(least_current)), "A");
  const S resistance = S((maintaining - extinction) / (design_current - least_current));
  return {S(extinction - resistance * least_current), resistance};
}
/// The normal glow's line of a stabiliser: maintaining voltage at its design current, and how much the voltage rises
/// over the range of currents that it regulates.
/// @param maintaining V; @param design_current A; @param rise V, above 0; @param lowest, highest A, ends of the range
template <Real S>
[[nodiscard]] LinearDrop<S> line_by_regulation(const S& maintaining, const S& design_current, const S& rise,
                                               const S& lowest, const S& highest) {
  Check{"glow line"}
      .above("rise", rise, 0.0, "V")
      .at_least("lowest", lowest, 0.0, "A")
      .above("highest", highest, double(value_of(lowest)), "A");
  const S resistance = S(rise / (highest - lowest));
  Check{"glow line"}.above("maintaining", maintaining, double(value_of(S(resistance * design_current))), "V");
  return {S(maintaining - resistance * design_current), resistance};
}

namespace glow {

inline constexpr const char* tables = "tables in J. D. Cobine, Gaseous Conductors, 1941, and A. von Engel, Ionized "
                                      "Gases, 1965, from memory";

/// Normal current density of a gas; it goes with the square of the pressure.
struct NormalDensity {
  const char* gas;                ///< symbol
  Sourced<double> per_pressure2;  ///< A/(m^2 Pa^2), cathodes of iron, nickel or copper
};
namespace detail {
constexpr NormalDensity density(const char* gas, double microamperes) {
  return {gas, {microamperes * 1e-6 / 1e-4 / (constants::torr * constants::torr), Confidence::plausible, tables}};
}
}  // namespace detail
/// As printed in uA/(cm^2 Torr^2).
inline constexpr std::array<NormalDensity, 6> normal_densities{detail::density("He", 2.2), detail::density("Ne", 6),
                                                               detail::density("Ar", 160), detail::density("H2", 72),
                                                               detail::density("N2", 400), detail::density("air", 240)};

/// A/m^2 at `pressure` Pa of the gas with that symbol. @throws InvalidRequest if none is known for the gas
template <Real S>
[[nodiscard]] S normal_density(std::string_view gas, const S& pressure) {
  Check{"normal current density"}.above("pressure", pressure, 0.0, "Pa");
  for (const NormalDensity& row : normal_densities)
    if (gas == row.gas) return S(S(row.per_pressure2.value) * pressure * pressure);
  gastube::detail::raise(InvalidRequest("normal current density: none known for this gas"));
}
/// A with which a cathode of `area` m^2 is covered: GlowDrop::covered_from.
template <Real S>
[[nodiscard]] S covering_current(std::string_view gas, const S& pressure, const S& area) {
  Check{"covering current"}.above("area", area, 0.0, "m^2");
  return S(normal_density(gas, pressure) * area);
}

/// Normal cathode falls of one metal, V; 0 where the tables have none. The fall is nearly all of the voltage of a
/// glow between electrodes that stand close together.
struct NormalFalls {
  const char* cathode;  ///< chemical symbol
  double he, ne, ar, h2, hg, n2, air;
};
inline constexpr std::array<NormalFalls, 8> normal_falls{{
    {"Al", 140, 120, 100, 170, 245, 180, 229},
    {"Cu", 177, 220, 130, 214, 447, 208, 370},
    {"Fe", 150, 150, 165, 250, 298, 215, 269},
    {"Mg", 125, 94, 119, 153, 0, 188, 224},
    {"Mo", 0, 115, 0, 0, 353, 0, 0},
    {"Ni", 158, 140, 131, 211, 275, 197, 226},
    {"Pt", 165, 152, 131, 276, 340, 216, 277},
    {"K", 59, 68, 64, 94, 0, 170, 180},
}};
namespace detail {
constexpr double fall_in(const NormalFalls& falls, std::string_view gas) {
  const std::array<std::string_view, 7> symbols{"He", "Ne", "Ar", "H2", "Hg", "N2", "air"};
  const std::array<double, 7> values{falls.he, falls.ne, falls.ar, falls.h2, falls.hg, falls.n2, falls.air};
  for (std::size_t k = 0; k < symbols.size(); ++k)
    if (gas == symbols[k]) return values[k];
  return 0;
}
}  // namespace detail
/// V of normal cathode fall. @throws InvalidRequest if the tables have none for that pair
[[nodiscard]] constexpr Sourced<double> normal_fall(std::string_view cathode, std::string_view gas) {
  for (const NormalFalls& row : normal_falls)
    if (const double volts = detail::fall_in(row, gas); cathode == row.cathode && volts > 0)
      return {volts, Confidence::plausible, tables};
  gastube::detail::raise(InvalidRequest("normal cathode fall: none known for this cathode in this gas"));
}

}  // namespace glow
}  // namespace gastube
