// SPDX-License-Identifier: MIT
#pragma once
/// Glow lamps and voltage stabilisers. Registered designations only.
///
/// Lamps on the mains and stabilisers in high-voltage supplies: work with the supply off and capacitors discharged.
///
/// Safe to rely on: strike and maintaining voltages, currents, shunt limit. The current that covers the cathode, the
/// abnormal glow and the arc beyond it are assumed.

#include "gastube/catalogue/cold_cathode.hpp"

namespace gastube::catalogue {

namespace detail {
inline constexpr const char* penning = "neon with 0.5 % argon";

/// A lamp of two like electrodes. Its extinction voltage lies a few volts below the maintaining voltage.
constexpr GlowData lamp(const char* type, const char* registered, double design_current) {
  const double least = 0.1 * design_current;
  return {.type = type,
          .also_known_as = {registered, nullptr, nullptr},
          .fill = penning,
          .strike = assumed(75.0, "assumed here: between the ac and the dc limit of new lamps"),
          .strike_greatest = handbook(90.0),
          .strike_inverse = assumed(75.0, "assumed here: like electrodes"),
          .dark_increase = recollected(30.0),
          .maintaining = handbook(60.0),
          .maintaining_least = recollected(55.0),
          .maintaining_greatest = seen(70.0, "NE-2 resistor calculator guide, web page"),
          .design_current = handbook(design_current),
          .least_current = assumed(0.3 * design_current),
          .greatest_current = assumed(2.0 * design_current),
          .extinction_current = assumed(least),
          .resistance = worked_out(5.0 / (design_current - least), "from the extinction voltage 5 V below maintaining, "
                                                                   "from memory"),
          .covering_current = assumed(1.5 * design_current),
          .abnormal_resistance = assumed(10.0 / design_current),
          .arc_current = assumed(100.0 * design_current),
          .arc_drop = assumed(25.0),
          .arc_least = assumed(20.0 * design_current),
          .starting_current = not_published,
          .shunt_capacitance = not_published,
          .ambient_low = {-273.0, Confidence::unverified, "not published or not found"},
          .ambient_high = not_published,
          .lag = recollected(10e-6),
          .deionisation_constant = recollected(1e-3),
          .leakage = recollected(1e-10),
          .capacitance = recollected(0.7e-12)};
}
/// High-brightness lamp.
constexpr GlowData entry_ne2h() {
  GlowData d = lamp("NE-2H", "C2A", 1.9e-3);
  d.strike = assumed(115.0, "assumed here: between the ac and the dc limit of new lamps");
  d.strike_inverse = assumed(115.0, "assumed here: like electrodes");
  d.strike_greatest = handbook(135.0);
  d.maintaining = plausible(72.0);
  d.maintaining_greatest = plausible(75.0);
  return d;
}

/// What stabilisers differ in.
struct Regulated {
  Datum nominal, least, greatest, strike, guaranteed;
  double from, to;  ///< A
  Datum rise, starting, shunt;
  const char* fill;
};
constexpr GlowData stabiliser(const char* type, const char* also, const Regulated& r) {
  const double middle = 0.5 * (r.from + r.to), span = r.to - r.from;
  return {.type = type,
          .also_known_as = {also, nullptr, nullptr},
          .fill = r.fill,
          .strike = r.strike,
          .strike_greatest = r.guaranteed,
          .strike_inverse = assumed(1.3 * r.strike.value, "assumed here: a rod for a cathode strikes later"),
          .dark_increase = assumed(0.0, "assumed here: primed"),
          .maintaining = r.nominal,
          .maintaining_least = r.least,
          .maintaining_greatest = r.greatest,
          .design_current = worked_out(middle, "in the middle of the range of currents"),
          .least_current = handbook(r.from),
          .greatest_current = handbook(r.to),
          .extinction_current = assumed(0.2 * r.from),
          .resistance = worked_out(r.rise.value / span, "from the regulation over the range of currents"),
          .covering_current = assumed(1.2 * r.to),
          .abnormal_resistance = assumed(10.0 * r.rise.value / span),
          .arc_current = assumed(30.0 * r.to),
          .arc_drop = assumed(25.0),
          .arc_least = assumed(10.0 * r.to),
          .starting_current = r.starting,
          .shunt_capacitance = r.shunt,
          .ambient_low = plausible(-55.0),
          .ambient_high = plausible(90.0),
          .lag = assumed(20e-6),
          .deionisation_constant = assumed(0.5e-3),
          .leakage = assumed(1e-10),
          .capacitance = assumed(5e-12)};
}
inline constexpr const char* neon_argon = "neon with a trace of argon";
inline constexpr const char* vr_family = "encyclopedia page on voltage regulator tubes";
inline constexpr const char* vr_design = "encyclopedia page on the design with voltage regulator tubes";
inline constexpr const char* amplifier = "owner's manual of a valve amplifier, article on its 0B2";
inline constexpr const char* hobby = "hobby article on a reference tube in a supply";
}  // namespace detail

/// Every glow lamp; a new one is one more entry.
inline constexpr std::array glow_lamps{
    detail::lamp("NE-2", "A1A", 0.6e-3),
    detail::entry_ne2h(),
    detail::lamp("NE-51", "B1A", 0.3e-3),
    detail::lamp("NE-48", "B9A", 2.0e-3),
};

/// Every stabiliser; a new one is one more entry.
inline constexpr std::array stabilisers{
    detail::stabiliser("0A2", nullptr,
                       {.nominal = handbook(150.0),
                        .least = plausible(140.0),
                        .greatest = plausible(168.0),
                        .strike = handbook(155.0),
                        .guaranteed = handbook(185.0),
                        .from = 5e-3,
                        .to = 30e-3,
                        .rise = plausible(2.0),
                        .starting = plausible(75e-3),
                        .shunt = handbook(0.1e-6),
                        .fill = detail::neon_argon}),
    detail::stabiliser("0B2", nullptr,
                       {.nominal = seen(108.0, detail::amplifier),
                        .least = plausible(101.0),
                        .greatest = plausible(114.0),
                        .strike = handbook(115.0),
                        .guaranteed = handbook(133.0),
                        .from = 5e-3,
                        .to = 30e-3,
                        .rise = plausible(1.0),
                        .starting = plausible(75e-3),
                        .shunt = handbook(0.1e-6),
                        .fill = "argon and neon"}),
    detail::stabiliser("0A3", "VR75",
                       {.nominal = plausible(75.0),
                        .least = not_published,
                        .greatest = not_published,
                        .strike = plausible(100.0),
                        .guaranteed = plausible(105.0),
                        .from = 5e-3,
                        .to = 40e-3,
                        .rise = plausible(5.0),
                        .starting = plausible(100e-3),
                        .shunt = plausible(0.1e-6),
                        .fill = "argon"}),
    detail::stabiliser("0C3", "VR105",
                       {.nominal = seen(105.0, detail::vr_family),
                        .least = plausible(103.0),
                        .greatest = plausible(116.0),
                        .strike = handbook(115.0),
                        .guaranteed = handbook(133.0),
                        .from = 5e-3,
                        .to = 40e-3,
                        .rise = plausible(1.5),
                        .starting = plausible(100e-3),
                        .shunt = handbook(0.1e-6),
                        .fill = "argon"}),
    detail::stabiliser("0D3", "VR150",
                       {.nominal = seen(150.0, detail::vr_family),
                        .least = plausible(142.0),
                        .greatest = plausible(165.0),
                        .strike = handbook(160.0),
                        .guaranteed = handbook(185.0),
                        .from = 5e-3,
                        .to = 40e-3,
                        .rise = plausible(3.0),
                        .starting = plausible(100e-3),
                        .shunt = seen(0.1e-6, detail::vr_design),
                        .fill = detail::neon_argon}),
    detail::stabiliser("5651", nullptr,
                       {.nominal = handbook(87.0),
                        .least = plausible(82.0),
                        .greatest = plausible(92.0),
                        .strike = handbook(107.0),
                        .guaranteed = handbook(115.0),
                        .from = 1.5e-3,
                        .to = 3.5e-3,
                        .rise = assumed(1.5, "assumed here: half the greatest regulation"),
                        .starting = recollected(5e-3),
                        .shunt = handbook(0.02e-6),
                        .fill = "neon"}),
    detail::stabiliser("0G3", "85A2",
                       {.nominal = seen(85.0, detail::hobby),
                        .least = not_published,
                        .greatest = not_published,
                        .strike = assumed(115.0, "assumed here: below the published ignition voltage"),
                        .guaranteed = seen(125.0, detail::hobby),
                        .from = 1e-3,
                        .to = 10e-3,
                        .rise = plausible(2.7),
                        .starting = not_published,
                        .shunt = not_published,
                        .fill = "neon"}),
};

inline constexpr const GlowData& data_ne2 = of(glow_lamps, "NE-2");
inline constexpr const GlowData& data_0a2 = of(stabilisers, "0A2");

/// Tubes at the middle of their data.
template <Real S = double>
[[nodiscard]] StandardGlowTube<S> type_ne2() {
  return build<S>(data_ne2);
}
template <Real S = double>
[[nodiscard]] StandardGlowTube<S> type_0a2() {
  return build<S>(data_0a2);
}

}  // namespace gastube::catalogue
