// SPDX-License-Identifier: MIT
#pragma once
/// What the gas laws predict, beside what is published: one row a comparison, misses included. Each array belongs to
/// the test of one header, which asserts every row.

#include <gastube/gas/afterglow.hpp>
#include <gastube/gas/breakdown.hpp>
#include <gastube/gas/emission.hpp>
#include <gastube/gas/ionisation.hpp>
#include <gastube/gas/recombination.hpp>
#include <gastube/gas/secondary_emission.hpp>
#include <gastube/gas/sheath.hpp>
#include <gastube/gas/transport.hpp>
#include <gastube/gas/vapour.hpp>

#include "fidelity/row.hpp"

namespace published {

inline constexpr const char* minima = gastube::breakdown::detail::tables;

// ---- units the values are published in
// -------------------------------------------------------------------------------
inline constexpr double torr = gastube::constants::torr, cm = 1e-2, room = 300.0;
inline double torr_cm(double value) { return gastube::constants::torr_cm(value); }
inline double celsius(double value) { return value + gastube::constants::ice_point; }

// ---- breakdown
// -------------------------------------------------------------------------------------------------------
/// V at a product in Torr cm; the minimum's V and Torr cm.
inline double breaks_down(const gastube::TownsendConstants& gas, double yield, double product) {
  return gastube::paschen_curve(gas, yield).voltage(torr_cm(product));
}
inline double least(const gastube::TownsendConstants& gas, double yield) {
  return gastube::paschen_curve(gas, yield).minimum_voltage;
}
inline double at(const gastube::TownsendConstants& gas, double yield) {
  return gastube::paschen_curve(gas, yield).minimum_product / torr_cm(1);
}
namespace first = gastube::townsend;
inline const gastube::TownsendConstants& second(int k) { return first::second_set[static_cast<std::size_t>(k)]; }
inline double yield(const char* gas, const char* cathode) { return gastube::secondary_emission::of(gas, cathode); }

/// The formula's own figures (0.01 electrons for each ion).
inline const Row breakdown_formula[]{
    {"B1", "breakdown voltage", "Ne, 10 Torr cm, yield 0.01", "V", 463.1, 1e-3, derived, formula,
     [] { return breaks_down(first::neon, 0.01, 10); }},
    {"B2", "breakdown voltage", "Ar, 10 Torr cm, yield 0.01", "V", 552.5, 1e-3, derived, formula,
     [] { return breaks_down(first::argon, 0.01, 10); }},
    {"B3a", "least breakdown voltage", "Ne, yield 0.031", "V", 238.1, 1e-3, derived, formula,
     [] { return least(first::neon, 0.031); }},
    {"B3b", "product at the minimum", "Ne, yield 0.031", "Torr cm", 2.381, 1e-3, derived, formula,
     [] { return at(first::neon, 0.031); }},
    {"B5", "breakdown voltage", "Xe, 5 Torr cm, yield 0.01", "V", 524.2, 1e-3, derived, formula,
     [] { return breaks_down(first::xenon, 0.01, 5); }},
    {"B6", "alpha / p", "Ar, 200 V/(cm Torr)", "1/(cm Torr)", 4.879, 1e-3, derived, formula,
     [] { return gastube::ionisation_coefficient(first::argon, 200 / cm, torr) * cm; }},
    {"Bm1", "least breakdown voltage", "He, yield 0.01", "V", 142.2, 1e-3, derived, formula,
     [] { return least(first::helium, 0.01); }},
    {"Bm2", "least breakdown voltage", "Ne, yield 0.01", "V", 313.6, 1e-3, derived, formula,
     [] { return least(first::neon, 0.01); }},
    {"Bm3", "least breakdown voltage", "Ar, yield 0.01", "V", 188.2, 1e-3, derived, formula,
     [] { return least(first::argon, 0.01); }},
    {"Bm4", "least breakdown voltage", "Kr, yield 0.01", "V", 177.1, 1e-3, derived, formula,
     [] { return least(first::krypton, 0.01); }},
    {"Bm5", "least breakdown voltage", "Xe, yield 0.01", "V", 168.9, 1e-3, derived, formula,
     [] { return least(first::xenon, 0.01); }},
    {"Bm6", "least breakdown voltage", "Hg, yield 0.01", "V", 232.1, 1e-3, derived, formula,
     [] { return least(first::mercury, 0.01); }},
    {"Bm7", "least breakdown voltage", "H2, yield 0.01", "V", 326.2, 1e-3, derived, formula,
     [] { return least(first::hydrogen, 0.01); }},
    {"Bm8", "least breakdown voltage", "N2, yield 0.01", "V", 357.5, 1e-3, derived, formula,
     [] { return least(first::nitrogen, 0.01); }},
    {"Bm9", "least breakdown voltage", "air, yield 0.01", "V", 305.3, 1e-3, derived, formula,
     [] { return least(first::air, 0.01); }},
    {"Bp1", "product at the minimum", "He, yield 0.01", "Torr cm", 4.18, 2e-3, derived, formula,
     [] { return at(first::helium, 0.01); }},
    {"Bp2", "product at the minimum", "Ne, yield 0.01", "Torr cm", 3.14, 2e-3, derived, formula,
     [] { return at(first::neon, 0.01); }},
    {"Bp3", "product at the minimum", "Ar, yield 0.01", "Torr cm", 1.045, 1e-3, derived, formula,
     [] { return at(first::argon, 0.01); }},
    {"Bp4", "product at the minimum", "Kr, yield 0.01", "Torr cm", 0.738, 1e-3, derived, formula,
     [] { return at(first::krypton, 0.01); }},
    {"Bp5", "product at the minimum", "Xe, yield 0.01", "Torr cm", 0.483, 1.1e-3, derived, formula,
     [] { return at(first::xenon, 0.01); }},
    {"Bp6", "product at the minimum", "Hg, yield 0.01", "Torr cm", 0.627, 1e-3, derived, formula,
     [] { return at(first::mercury, 0.01); }},
    {"Bp7", "product at the minimum", "H2, yield 0.01", "Torr cm", 2.51, 2e-3, derived, formula,
     [] { return at(first::hydrogen, 0.01); }},
    {"Bp8", "product at the minimum", "N2, yield 0.01", "Torr cm", 1.045, 1e-3, derived, formula,
     [] { return at(first::nitrogen, 0.01); }},
    {"Bp9", "product at the minimum", "air, yield 0.01", "Torr cm", 0.836, 1e-3, derived, formula,
     [] { return at(first::air, 0.01); }},
};

/// Measured minima against Townsend's theory with the published yield of the cathode (mercury: 0.01 assumed).
inline const Row breakdown_minima[]{
    {"B3", "least breakdown voltage", "Ne on Ni", "V", 244, 0.05, plausible, minima,
     [] { return least(first::neon, yield("Ne", "Ni")); }},
    {"B4", "least breakdown voltage", "air, yield 0.01", "V", 327, 0.10, seen, "note of a maker of high-voltage gear",
     [] { return least(first::air, 0.01); }},
    {"M1", "least breakdown voltage", "air on Fe", "V", 328.5, 0.3, plausible, minima,
     [] { return least(first::air, yield("air", "Fe")); }},
    {"M2", "least breakdown voltage", "Ar, cathode not named", "V", 137, 0.3, plausible, minima,
     [] { return least(first::argon, 0.058); }},
    {"M3", "least breakdown voltage", "Ar on Fe", "V", 265, 0.3, plausible, minima,
     [] { return least(first::argon, yield("Ar", "Fe")); }, true},
    {"M4", "least breakdown voltage", "Ne on Fe", "V", 244.5, 0.3, plausible, minima,
     [] { return least(first::neon, yield("Ne", "Fe")); }},
    {"M5", "least breakdown voltage", "He on Fe", "V", 153, 0.3, plausible, minima,
     [] { return least(first::helium, yield("He", "Fe")); }},
    {"M6", "least breakdown voltage", "H2 on Pt", "V", 284, 0.3, plausible, minima,
     [] { return least(first::hydrogen, yield("H2", "Pt")); }},
    {"M7", "least breakdown voltage", "N2 on Fe", "V", 263, 0.3, plausible, minima,
     [] { return least(first::nitrogen, yield("N2", "Fe")); }},
    {"M8", "least breakdown voltage", "Hg on W, yield 0.01", "V", 425, 0.3, plausible, minima,
     [] { return least(first::mercury, 0.01); }, true},
    {"M9", "least breakdown voltage", "Hg on Fe, yield 0.01", "V", 520, 0.3, plausible, minima,
     [] { return least(first::mercury, 0.01); }, true},
    {"M10", "product at the minimum", "air on Fe", "Torr cm", 0.567, 0.3, plausible, minima,
     [] { return at(first::air, yield("air", "Fe")); }},
    {"M11", "product at the minimum", "Ar, cathode not named", "Torr cm", 0.9, 0.3, plausible, minima,
     [] { return at(first::argon, 0.058); }},
    {"M12", "product at the minimum", "Ar on Fe", "Torr cm", 1.5, 0.3, plausible, minima,
     [] { return at(first::argon, yield("Ar", "Fe")); }, true},
    {"M13", "product at the minimum", "Ne on Fe", "Torr cm", 3.5, 0.3, plausible, minima,
     [] { return at(first::neon, yield("Ne", "Fe")); }},
    {"M14", "product at the minimum", "He on Fe", "Torr cm", 3.25, 0.3, plausible, minima,
     [] { return at(first::helium, yield("He", "Fe")); }},
    {"M15", "product at the minimum", "H2 on Pt", "Torr cm", 1.2, 0.3, plausible, minima,
     [] { return at(first::hydrogen, yield("H2", "Pt")); }, true},
    {"M16", "product at the minimum", "N2 on Fe", "Torr cm", 0.71, 0.3, plausible, minima,
     [] { return at(first::nitrogen, yield("N2", "Fe")); }},
    {"M17", "product at the minimum", "Hg on W, yield 0.01", "Torr cm", 1.8, 0.3, plausible, minima,
     [] { return at(first::mercury, 0.01); }, true},
    {"M18", "product at the minimum", "Hg on Fe, yield 0.01", "Torr cm", 2.0, 0.3, plausible, minima,
     [] { return at(first::mercury, 0.01); }, true},
    {"M19", "least breakdown voltage", "H2 on Pt, second set", "V", 284, 0.3, plausible, minima,
     [] { return least(second(0), yield("H2", "Pt")); }},
    {"M20", "least breakdown voltage", "He on Fe, second set", "V", 153, 0.3, plausible, minima,
     [] { return least(second(1), yield("He", "Fe")); }, true},
    {"M21", "least breakdown voltage", "Ne on Fe, second set", "V", 244.5, 0.3, plausible, minima,
     [] { return least(second(2), yield("Ne", "Fe")); }},
    {"M22", "least breakdown voltage", "Ar on Fe, second set", "V", 265, 0.3, plausible, minima,
     [] { return least(second(3), yield("Ar", "Fe")); }, true},
    {"M23", "least breakdown voltage", "N2 on Fe, second set", "V", 263, 0.3, plausible, minima,
     [] { return least(second(4), yield("N2", "Fe")); }},
};

/// The first set against the same table as others print it in SI units, to its two digits.
inline constexpr const char* nasser = "E. Nasser, 1971, as quoted by an open plasma-physics file";
inline const Row townsend_in_si[]{
    {"T1", "a", "He", "1/(Pa m)", 2.3, 0.03, seen, nasser, [] { return first::helium.a.value; }},
    {"T2", "a", "Ne", "1/(Pa m)", 3.0, 0.03, seen, nasser, [] { return first::neon.a.value; }},
    {"T3", "a", "Ar", "1/(Pa m)", 11, 0.03, seen, nasser, [] { return first::argon.a.value; }, true},
    {"T4", "a", "Kr", "1/(Pa m)", 13, 0.03, seen, nasser, [] { return first::krypton.a.value; }},
    {"T5", "a", "Xe", "1/(Pa m)", 20, 0.03, seen, nasser, [] { return first::xenon.a.value; }},
    {"T6", "a", "H2", "1/(Pa m)", 3.8, 0.03, seen, nasser, [] { return first::hydrogen.a.value; }},
    {"T7", "a", "N2", "1/(Pa m)", 9.0, 0.03, seen, nasser, [] { return first::nitrogen.a.value; }},
    {"T8", "a", "air", "1/(Pa m)", 11, 0.03, seen, nasser, [] { return first::air.a.value; }},
    {"T9", "b", "He", "V/(Pa m)", 26, 0.03, seen, nasser, [] { return first::helium.b.value; }},
    {"T10", "b", "Ne", "V/(Pa m)", 75, 0.03, seen, nasser, [] { return first::neon.b.value; }},
    {"T11", "b", "Ar", "V/(Pa m)", 135, 0.03, seen, nasser, [] { return first::argon.b.value; }},
    {"T12", "b", "Kr", "V/(Pa m)", 180, 0.03, seen, nasser, [] { return first::krypton.b.value; }},
    {"T13", "b", "Xe", "V/(Pa m)", 263, 0.03, seen, nasser, [] { return first::xenon.b.value; }},
    {"T14", "b", "H2", "V/(Pa m)", 104, 0.03, seen, nasser, [] { return first::hydrogen.b.value; }, true},
    {"T15", "b", "N2", "V/(Pa m)", 257, 0.03, seen, nasser, [] { return first::nitrogen.b.value; }},
    {"T16", "b", "air", "V/(Pa m)", 274, 0.03, seen, nasser, [] { return first::air.b.value; }},
};

// ---- secondary emission
// ----------------------------------------------------------------------------------------------
inline double potential(const gastube::Gas& gas) {
  return gastube::secondary_emission::potential_yield(gas.ionisation.value, 4.3);
}
inline const Row secondary_emission[]{
    {"S1", "yield by potential energy", "Ne on Mo, 4.3 V", "", 0.263, 2e-3, derived, formula,
     [] { return potential(gastube::gas::neon); }},
    {"S2", "yield by potential energy", "Ar on Mo, 4.3 V", "", 0.118, 2e-3, derived, formula,
     [] { return potential(gastube::gas::argon); }},
    {"S3", "yield by potential energy", "Kr on Mo, 4.3 V", "", 0.074, 5e-3, derived, formula,
     [] { return potential(gastube::gas::krypton); }},
    {"S4", "yield by potential energy", "Xe on Mo, 4.3 V", "", 0.028, 0.018, derived, formula,
     [] { return potential(gastube::gas::xenon); }},
    {"S5", "yield", "Ne on Ni", "", 0.023, 0.3, handbook, "an older table, from memory",
     [] { return yield("Ne", "Ni"); }, true},
    {"S6", "yield", "He on Ni", "", 0.019, 0.3, handbook, "an older table, from memory",
     [] { return yield("He", "Ni"); }},
};

// ---- ionisation
// ------------------------------------------------------------------------------------------------------
inline const Row ionisation[]{
    {"E1", "ions per length", "Ar, 5 V above ionisation, 1 Torr at 0 C", "1/cm", 3.55, 1e-9, derived, formula,
     [] {
       const auto& argon = gastube::ionisation::argon;
       return gastube::ions_per_length(argon, argon.gas.ionisation + 5, torr) * cm;
     }},
};

// ---- transport
// -------------------------------------------------------------------------------------------------------
/// cm^2 Torr/s at 300 K: of the ions alone, and of plasma whose electrons are as cold.
inline double ions_alone(const gastube::IonMobility& ion) {
  return gastube::ion_diffusion(gastube::mobility(ion.reduced.value, torr, room), room) / (cm * cm);
}
inline double plasma(const gastube::IonMobility& ion) {
  return gastube::ambipolar_diffusion(ion, torr, room) / (cm * cm);
}
namespace ions = gastube::transport;
inline const Row transport[]{
    {"D1", "ion diffusion times pressure", "He+, 300 K", "cm2 Torr/s", 226.6, 2e-3, derived, formula,
     [] { return ions_alone(ions::helium); }},
    {"D2", "ion diffusion times pressure", "Ne+, 300 K", "cm2 Torr/s", 86.3, 2e-3, derived, formula,
     [] { return ions_alone(ions::neon); }},
    {"D3", "ion diffusion times pressure", "Ar+, 300 K", "cm2 Torr/s", 34.5, 2e-3, derived, formula,
     [] { return ions_alone(ions::argon); }},
    {"D4", "ion diffusion times pressure", "Kr+, 300 K", "cm2 Torr/s", 19.4, 3e-3, derived, formula,
     [] { return ions_alone(ions::krypton); }},
    {"D5", "ion diffusion times pressure", "Xe+, 300 K", "cm2 Torr/s", 12.5, 4e-3, derived, formula,
     [] { return ions_alone(ions::xenon); }},
    {"D6", "ion diffusion times pressure", "Ne2+, 300 K", "cm2 Torr/s", 140, 4e-3, derived, formula,
     [] { return ions_alone(ions::molecular[1]); }},
    {"D7", "ion diffusion times pressure", "Ar2+ of mobility 1.9, 300 K", "cm2 Torr/s", 41, 1.2e-2, derived, formula,
     [] { return ions_alone(ions::repeated[7]); }},
    {"D8", "ion diffusion times pressure", "Xe2+, 300 K", "cm2 Torr/s", 17.0, 4e-3, derived, formula,
     [] { return ions_alone(ions::molecular[4]); }},
    {"D9", "ion diffusion times pressure", "H+ in H2, 300 K", "cm2 Torr/s", 339, 2e-3, derived, formula,
     [] { return ions_alone(ions::proton); }},
    {"D10", "ion diffusion times pressure", "H3+ in H2, 300 K", "cm2 Torr/s", 240, 3e-3, derived, formula,
     [] { return ions_alone(ions::hydrogen); }},
    {"D11", "ion diffusion times pressure", "Hg+, 300 K", "cm2 Torr/s", 5.2, 1e-2, derived, formula,
     [] { return ions_alone(ions::mercury); }},
    {"D12", "plasma diffusion times pressure", "He+, Te = Ti = 300 K", "cm2 Torr/s", 453, 2e-3, derived, formula,
     [] { return plasma(ions::helium); }},
    {"D13", "plasma diffusion times pressure", "Ne+, Te = Ti = 300 K", "cm2 Torr/s", 173, 3e-3, derived, formula,
     [] { return plasma(ions::neon); }},
    {"D14", "plasma diffusion times pressure", "Ar+, Te = Ti = 300 K", "cm2 Torr/s", 69.1, 2e-3, derived, formula,
     [] { return plasma(ions::argon); }},
    {"D15", "plasma diffusion times pressure", "Kr+, Te = Ti = 300 K", "cm2 Torr/s", 38.8, 2e-3, derived, formula,
     [] { return plasma(ions::krypton); }},
    {"D16", "plasma diffusion times pressure", "Xe+, Te = Ti = 300 K", "cm2 Torr/s", 25.0, 2e-3, derived, formula,
     [] { return plasma(ions::xenon); }},
    {"D17", "plasma diffusion times pressure", "H+, Te = Ti = 300 K", "cm2 Torr/s", 678, 2e-3, derived, formula,
     [] { return plasma(ions::proton); }},
    {"D18", "plasma diffusion times pressure", "H3+, Te = Ti = 300 K", "cm2 Torr/s", 479, 2e-3, derived, formula,
     [] { return plasma(ions::hydrogen); }},
    {"D19", "plasma diffusion times pressure", "Hg+, Te = Ti = 300 K", "cm2 Torr/s", 10.4, 1e-2, derived, formula,
     [] { return plasma(ions::mercury); }},
    {"P1a", "Bohm speed", "Xe+, 1 eV", "m/s", 857, 5e-3, derived, formula,
     [] { return gastube::bohm_speed(1.0, ions::xenon.mass); }},
    {"D20", "reduced mobility", "He+, 300 K", "cm2/(V s)", 10.8, 0.1, seen, ions::detail::hornbeck,
     [] { return ions::helium.reduced * 1e4; }},
    {"D21", "reduced mobility", "He+, 300 K", "cm2/(V s)", 10.7, 0.1, seen, ions::detail::oskam,
     [] { return ions::helium.reduced * 1e4; }},
    {"D22", "reduced mobility", "Ne+, 300 K", "cm2/(V s)", 4.4, 0.1, seen, ions::detail::hornbeck,
     [] { return ions::neon.reduced * 1e4; }},
    {"D23", "reduced mobility", "Ne+, 300 K", "cm2/(V s)", 4.1, 0.1, seen, ions::detail::oskam,
     [] { return ions::neon.reduced * 1e4; }},
    {"D24", "reduced mobility", "Ne+, 300 K", "cm2/(V s)", 4.0, 0.025, seen, ions::detail::conversion,
     [] { return ions::neon.reduced * 1e4; }},
    {"D25", "reduced mobility", "Ar+, 300 K", "cm2/(V s)", 1.63, 0.1, seen, ions::detail::hornbeck,
     [] { return ions::argon.reduced * 1e4; }},
    {"D26", "reduced mobility", "Ar+, 300 K", "cm2/(V s)", 1.6, 0.1, seen, ions::detail::oskam,
     [] { return ions::argon.reduced * 1e4; }},
    {"D27", "reduced mobility", "Ar2+, 300 K", "cm2/(V s)", 1.9, 0.1, seen, ions::detail::oskam,
     [] { return ions::molecular[2].reduced * 1e4; }, true},
};

// ---- afterglow
// -------------------------------------------------------------------------------------------------------
/// s, diffusion alone: length in cm, pressure in Torr.
inline double spreading(const gastube::IonMobility& ion, double length, double pressure) {
  return length * cm * length * cm / gastube::ambipolar_diffusion(ion, pressure * torr, room);
}
inline const Row afterglow[]{
    {"R10", "time constant of diffusion", "Xe, 0.1 Torr, length 1 mm, Te = Ti", "us", 40, 0.02, derived, formula,
     [] { return spreading(ions::xenon, 0.1, 0.1) * 1e6; }},
    {"H5a", "time constant of diffusion", "H3+, 0.5 Torr, length 3 mm, Te = Ti", "us", 94, 0.01, derived, formula,
     [] { return spreading(ions::hydrogen, 0.3, 0.5) * 1e6; }},
    {"H5b", "time constant of diffusion", "H+, 0.5 Torr, length 3 mm, Te = Ti", "us", 66, 0.01, derived, formula,
     [] { return spreading(ions::proton, 0.3, 0.5) * 1e6; }},
    {"AG1", "afterglow time constant", "xenon tetrode 5727, its two deionisation times; 0.1 Torr and 1 mm assumed",
     "us", 11.6, 0.3, handbook, "fitted to ratings of 35 and 75 us, tube handbooks, from memory",
     [] {
       const double diffusion = gastube::ambipolar_diffusion(ions::xenon, 0.1 * torr, room);
       const double exit = gastube::bohm_speed(gastube::electron_volts(room), ions::xenon.mass);
       return gastube::decay_time(1e-3, diffusion, exit) * 1e6;
     },
     true},
};

// ---- recombination
// ---------------------------------------------------------------------------------------------------
inline double cold(const gastube::Recombination& ion) { return ion.coefficient(300.0) * 1e6; }
inline const Row recombination[]{
    {"C1", "conversion of ions", "Xe+, 0.1 Torr, 300 K", "1/s", 2.6, 0.01, derived, formula,
     [] { return gastube::recombination::xenon_conversion.rate(gastube::number_density(0.1 * torr, room)); }},
    {"C2", "conversion of ions", "Ne+, 60 Torr, 300 K", "1/s", 1.64e5, 2e-3, derived, formula,
     [] { return gastube::recombination::neon_conversion.rate(gastube::number_density(60 * torr, room)); }},
    {"C3", "1 / (recombination times density)", "Ne2+, 1e11 /cm3", "us", 45, 0.012, derived, formula,
     [] { return 1e6 / (gastube::recombination::neon.coefficient(300.0) * 1e17); }},
    {"C4", "recombination", "Ne2+, 300 K", "cm3/s", 1.7e-7, 0.3, plausible, "later measurements, from memory",
     [] { return cold(gastube::recombination::neon); }},
    {"C5", "recombination", "Ar2+, 300 K", "cm3/s", 9.1e-7, 0.3, plausible, "later measurements, from memory",
     [] { return cold(gastube::recombination::argon); }},
    {"C6", "recombination", "Kr2+, 300 K", "cm3/s", 1.6e-6, 0.3, plausible, "later measurements, from memory",
     [] { return cold(gastube::recombination::krypton); }},
    {"C7", "recombination", "Xe2+, 300 K", "cm3/s", 2.3e-6, 0.3, plausible, "later measurements, from memory",
     [] { return cold(gastube::recombination::xenon); }, true},
    {"C8", "recombination", "H3+, 330 K, ground state", "cm3/s", 0.8e-7, 0.375, seen,
     "R. Plasil and others, J. Phys. Conf. Ser. 4, 118 (2005)",
     [] { return gastube::recombination::hydrogen.coefficient(330.0) * 1e6; }, true},
};

// ---- mercury vapour
// --------------------------------------------------------------------------------------------------
inline constexpr const char* huber = "Huber, Laesecke and Friend, 2006: calculated from their formula";
inline constexpr const char* alcock =
    "Alcock, Itkin and Horrigan, 1984, as carried in an open chemical-data repository";
inline constexpr const char* crc = "older editions of the CRC handbook, from memory";
inline double vapour(double temperature) { return gastube::mercury_vapour::pressure(celsius(temperature)); }
inline double simple(double temperature) { return gastube::mercury_vapour::simple_pressure(celsius(temperature)); }
inline double in_mtorr(double pressure) { return pressure / torr * 1e3; }
inline const Row vapour_table[]{
    {"V1", "vapour pressure", "Hg, 0 C", "Pa", 0.026988, 2e-5, derived, huber, [] { return vapour(0); }},
    {"V2", "vapour pressure", "Hg, 20 C", "Pa", 0.171262, 2e-5, derived, huber, [] { return vapour(20); }},
    {"V3", "vapour pressure", "Hg, 25 C", "Pa", 0.261327, 2e-5, derived, huber, [] { return vapour(25); }},
    {"V4", "vapour pressure", "Hg, 30 C", "Pa", 0.393143, 2e-5, derived, huber, [] { return vapour(30); }},
    {"V5", "vapour pressure", "Hg, 40 C", "Pa", 0.855067, 2e-5, derived, huber, [] { return vapour(40); }},
    {"V6", "vapour pressure", "Hg, 50 C", "Pa", 1.770928, 2e-5, derived, huber, [] { return vapour(50); }},
    {"V7", "vapour pressure", "Hg, 60 C", "Pa", 3.508170, 2e-5, derived, huber, [] { return vapour(60); }},
    {"V8", "vapour pressure", "Hg, 70 C", "Pa", 6.673320, 2e-5, derived, huber, [] { return vapour(70); }},
    {"V9", "vapour pressure", "Hg, 80 C", "Pa", 12.23188, 2e-5, derived, huber, [] { return vapour(80); }},
    {"V10", "vapour pressure", "Hg, 100 C", "Pa", 37.21238, 2e-5, derived, huber, [] { return vapour(100); }},
    {"V11", "vapour pressure", "Hg, 629.77 K, its boiling point", "kPa", 101.325, 1e-3, seen,
     "Huber, Laesecke and Friend, NIST IR 6643, 2006, abstract",
     [] { return gastube::mercury_vapour::pressure(629.77) / 1e3; }},
    {"V12", "heat of evaporation", "Hg, 25 C", "kJ/mol", 61.38, 0.01, handbook, "CODATA key values, from memory",
     [] { return gastube::mercury_vapour::evaporation_heat(celsius(25)) / 1e3; }},
    {"V13", "vapour pressure", "Hg, 0 C, below the range of the other fit", "mTorr", 0.2081, 0.03, seen, alcock,
     [] { return in_mtorr(vapour(0)); }},
    {"V14", "vapour pressure", "Hg, 20 C", "mTorr", 1.3032, 0.02, seen, alcock, [] { return in_mtorr(vapour(20)); }},
    {"V15", "vapour pressure", "Hg, 40 C", "mTorr", 6.4566, 0.02, seen, alcock, [] { return in_mtorr(vapour(40)); }},
    {"V16", "vapour pressure", "Hg, 60 C", "mTorr", 26.397, 0.02, seen, alcock, [] { return in_mtorr(vapour(60)); }},
    {"V17", "vapour pressure", "Hg, 80 C", "mTorr", 92.008, 0.02, seen, alcock, [] { return in_mtorr(vapour(80)); }},
    {"V18", "vapour pressure", "Hg, 100 C", "mTorr", 280.53, 0.02, seen, alcock, [] { return in_mtorr(vapour(100)); }},
    {"V19", "vapour pressure", "Hg, 0 C", "mTorr", 0.185, 0.02, handbook, crc, [] { return in_mtorr(vapour(0)); },
     true},
    {"V20", "vapour pressure", "Hg, 20 C", "mTorr", 1.201, 0.02, handbook, crc, [] { return in_mtorr(vapour(20)); },
     true},
    {"V21", "vapour pressure", "Hg, 40 C", "mTorr", 6.079, 0.02, handbook, crc, [] { return in_mtorr(vapour(40)); },
     true},
    {"V22", "vapour pressure", "Hg, 60 C", "mTorr", 25.24, 0.02, handbook, crc, [] { return in_mtorr(vapour(60)); },
     true},
    {"V23", "vapour pressure", "Hg, 80 C", "mTorr", 88.80, 0.02, handbook, crc, [] { return in_mtorr(vapour(80)); },
     true},
    {"V24", "vapour pressure", "Hg, 100 C", "mTorr", 272.9, 0.02, handbook, crc, [] { return in_mtorr(vapour(100)); },
     true},
    {"V25", "vapour pressure, simple fit", "Hg, 25 C", "mTorr", 1.9838, 1e-3, derived, alcock,
     [] { return in_mtorr(simple(25)); }},
    {"V26", "vapour pressure, simple fit", "Hg, 100 C", "mTorr", 280.53, 1e-3, derived, alcock,
     [] { return in_mtorr(simple(100)); }},
    {"V27", "inverse voltage held off", "866A, 60 C", "kV", 10, 0.1, seen, "limits of the type on a collector's page",
     [] { return gastube::mercury_vapour::hold_off(celsius(60)) / 1e3; }},
    {"V28", "inverse voltage held off", "866A, 70 C", "kV", 5, 0.1, seen, "limits of the type on a collector's page",
     [] { return gastube::mercury_vapour::hold_off(celsius(70)) / 1e3; }},
    {"V29", "inverse voltage held off", "866A, 80 C", "kV", 2.5, 0.1, seen, "limits of the type on a collector's page",
     [] { return gastube::mercury_vapour::hold_off(celsius(80)) / 1e3; }},
    {"V30", "inverse voltage held off", "75 C", "kV", 3.67, 1.4e-3, derived, formula,
     [] { return gastube::mercury_vapour::hold_off(celsius(75)) / 1e3; }},
};

// ---- sheath
// ----------------------------------------------------------------------------------------------------------
inline double child(double mass) { return gastube::child_ion_current(1.0, 1.0, mass); }
inline double into_grid(const gastube::Gas& gas) { return gastube::bohm_current(1e16, 1.0, gas.mass.value); }
inline const Row sheath[]{
    {"Q1", "Child constant", "electron", "A/V^1.5", 2.334e-6, 3e-4, derived, formula,
     [] { return gastube::child_electron_current(1.0, 1.0); }},
    {"Q2", "Child constant", "H2+", "A/V^1.5", 3.850e-8, 3e-4, derived, formula, [] { return child(2.016); }},
    {"Q3", "Child constant", "Ne+", "A/V^1.5", 1.217e-8, 5e-4, derived, formula, [] { return child(20.1797); }},
    {"Q4", "Child constant", "Ar+", "A/V^1.5", 8.649e-9, 3e-4, derived, formula, [] { return child(39.948); }},
    {"Q5", "Child constant", "Xe+", "A/V^1.5", 4.771e-9, 3e-4, derived, formula, [] { return child(131.293); }},
    {"Q6", "Child constant", "Hg+", "A/V^1.5", 3.860e-9, 3e-4, derived, formula, [] { return child(200.592); }},
    {"Q7", "electrons neutralised", "H2+", "", 60.6, 1e-3, derived, formula,
     [] { return gastube::neutralised_electrons(2.016); }},
    {"Q8", "electrons neutralised", "Ne+", "", 192, 2e-3, derived, formula,
     [] { return gastube::neutralised_electrons(20.1797); }},
    {"Q9", "electrons neutralised", "Ar+", "", 270, 2e-3, derived, formula,
     [] { return gastube::neutralised_electrons(39.948); }},
    {"Q10", "electrons neutralised", "Xe+", "", 489, 2e-3, derived, formula,
     [] { return gastube::neutralised_electrons(131.293); }},
    {"Q11", "electrons neutralised", "Hg+", "", 605, 2e-3, derived, formula,
     [] { return gastube::neutralised_electrons(200.592); }},
    {"P1b", "ion current density", "Xe, 1e10 /cm3, 1 eV", "A/m2", 0.838, 5e-3, derived, formula,
     [] { return into_grid(gastube::gas::xenon); }},
    {"P2a", "ion current density", "Ar, 1e10 /cm3, 1 eV", "A/m2", 1.519, 5e-3, derived, formula,
     [] { return into_grid(gastube::gas::argon); }},
    {"P2b", "ion current density", "Hg, 1e10 /cm3, 1 eV", "A/m2", 0.678, 5e-3, derived, formula,
     [] { return into_grid(gastube::gas::mercury); }},
    {"P2c", "ion current density", "Ne, 1e10 /cm3, 1 eV", "A/m2", 2.137, 5e-3, derived, formula,
     [] { return into_grid(gastube::gas::neon); }},
    {"P3", "sheath thickness", "10 V, 1e10 /cm3, 1 eV", "mm", 0.424, 5e-3, derived, formula,
     [] { return gastube::sheath_thickness(10.0, 1e16, 1.0) * 1e3; }},
    {"P4", "sheath thickness", "100 V, 1e10 /cm3, 1 eV", "mm", 2.386, 5e-3, derived, formula,
     [] { return gastube::sheath_thickness(100.0, 1e16, 1.0) * 1e3; }},
    {"P5", "ion current of a grid", "Xe, 0.5 cm2, 1e10 /cm3, 1 eV", "uA", 41.9, 5e-3, derived, formula,
     [] { return into_grid(gastube::gas::xenon) * 0.5e-4 * 1e6; }},
    {"P6a", "plasma density", "0.1 A/cm2, 1 eV", "1/cm3", 3.73e10, 5e-3, derived, formula,
     [] { return gastube::density_for_current(1e3, 1.0) * 1e-6; }},
    {"P6b", "plasma density", "0.1 A/cm2, 2 eV", "1/cm3", 2.64e10, 5e-3, derived, formula,
     [] { return gastube::density_for_current(1e3, 2.0) * 1e-6; }},
    {"P7", "density at which a grid closes", "10 V, half hole 0.5 mm, 0.1 eV", "1/cm3", 2.3e10, 0.02, derived, formula,
     [] { return gastube::sheath_density(10.0, 0.5e-3, 0.1) * 1e-6; }},
    {"P8", "density at which a grid closes", "100 V, half hole 0.5 mm, 0.1 eV", "1/cm3", 7.2e11, 0.02, derived, formula,
     [] { return gastube::sheath_density(100.0, 0.5e-3, 0.1) * 1e-6; }},
};

// ---- emission
// --------------------------------------------------------------------------------------------------------
inline double emits(const gastube::EmissionConstants& surface, double temperature) {
  return gastube::emitting_surface<double>(surface).saturated(temperature) * 1e-4;
}
inline const Row emission[]{
    {"A6", "saturated emission", "0.01 A/(cm2 K2), 1.0 V, 1100 K", "A/cm2", 0.317, 2e-3, derived, formula,
     [] { return emits(gastube::emission::oxide_low, 1100); }},
    {"A7", "saturated emission", "0.5 A/(cm2 K2), 1.2 V, 1000 K", "A/cm2", 0.448, 2e-3, derived, formula,
     [] { return emits(gastube::emission::oxide_high, 1000); }},
    {"A8", "saturated emission", "tungsten, 2500 K", "A/cm2", 0.298, 0.05, handbook,
     "H. A. Jones and I. Langmuir, The characteristics of tungsten filaments, 1927, from memory",
     [] { return emits(gastube::emission::tungsten, 2500); }},
};

}  // namespace published
