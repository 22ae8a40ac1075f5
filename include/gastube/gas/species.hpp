// SPDX-License-Identifier: MIT
#pragma once
/// The gases of switching tubes: energies and masses; Penning mixtures of two of them.

#include "gastube/support/checked.hpp"
#include "gastube/support/provenance.hpp"

#include <array>

namespace gastube {

/// One fill gas.
struct Gas {
  const char* name;
  const char* symbol;
  Sourced<double> ionisation;  ///< V, first ionisation potential
  Sourced<double> metastable;  ///< V, lowest level that stores energy; 0 where there is none
  Sourced<double> mass;        ///< u, of the neutral particle
  /// V, lowest level that gives its energy back as light; 0 where not known
  Sourced<double> resonance{0.0, Confidence::unverified, "not known"};
};

namespace gas {

inline constexpr const char* nist = "NIST Atomic Spectra Database, as carried by an open element database";
inline constexpr const char* levels = "NIST Atomic Spectra Database, from memory";
inline constexpr const char* masses = "IUPAC standard atomic weights";
inline constexpr const char* molecules =
    "K. P. Huber and G. Herzberg, Constants of Diatomic Molecules, 1979, from memory";
inline constexpr const char* no_metastable = "the molecule keeps no metastable level of use";

inline constexpr Gas helium{"helium",
                            "He",
                            {24.587389011, Confidence::published, nist},
                            {19.8196, Confidence::handbook, levels},
                            {4.002602, Confidence::published, masses},
                            {21.2180, Confidence::handbook, levels}};
inline constexpr Gas neon{"neon",
                          "Ne",
                          {21.564541, Confidence::published, nist},
                          {16.6191, Confidence::handbook, levels},
                          {20.1797, Confidence::published, masses},
                          {16.6708, Confidence::handbook, levels}};
inline constexpr Gas argon{"argon",
                           "Ar",
                           {15.7596119, Confidence::published, nist},
                           {11.5484, Confidence::handbook, levels},
                           {39.948, Confidence::published, masses},
                           {11.6236, Confidence::handbook, levels}};
inline constexpr Gas krypton{"krypton",
                             "Kr",
                             {13.9996055, Confidence::published, nist},
                             {9.9152, Confidence::handbook, levels},
                             {83.798, Confidence::published, masses},
                             {10.0324, Confidence::handbook, levels}};
inline constexpr Gas xenon{"xenon",
                           "Xe",
                           {12.1298437, Confidence::published, nist},
                           {8.3153, Confidence::handbook, levels},
                           {131.293, Confidence::published, masses},
                           {8.4365, Confidence::handbook, levels}};
inline constexpr Gas mercury{"mercury",
                             "Hg",
                             {10.437504, Confidence::published, nist},
                             {4.6674, Confidence::handbook, levels},
                             {200.592, Confidence::published, masses},
                             {4.8865, Confidence::handbook, levels}};
// The molecule radiates from 11.18 V on; atoms, which a discharge makes of it, from 10.20 V.
inline constexpr Gas hydrogen{"hydrogen",
                              "H2",
                              {15.42593, Confidence::handbook, levels},
                              {0.0, Confidence::derived, no_metastable},
                              {2.016, Confidence::published, masses},
                              {11.184, Confidence::handbook, molecules}};
inline constexpr Gas deuterium{
    "deuterium",
    "D2",
    {15.46658, Confidence::handbook, molecules},
    {0.0, Confidence::derived, no_metastable},
    {4.0282036, Confidence::published, "twice the mass of the atom, as carried by GNU units 2.22"},
    {11.237, Confidence::plausible, molecules}};

/// All of them, lightest first.
inline constexpr std::array<Gas, 8> all{hydrogen, helium, deuterium, neon, argon, krypton, xenon, mercury};

/// V below which no hot-cathode discharge can be ignited in this gas, even in two steps through metastables: half the
/// ionisation potential ("Ignition of a thermionic cathode arc", J. Appl. Phys. 33, 2731 (1962), abstract).
[[nodiscard]] constexpr double least_ignition_voltage(const Gas& gas) { return gas.ionisation.value / 2.0; }

/// True if a metastable atom of `first` can ionise `second`: the condition of a Penning mixture.
[[nodiscard]] constexpr bool penning_pair(const Gas& first, const Gas& second) {
  return first.metastable.value > second.ionisation.value;
}

}  // namespace gas

/// A gas with a trace of a second one whose atoms its metastables ionise, so that it breaks down at less voltage.
/// The trace must be small: enough of it to meet every metastable, too little to take up the electrons' energy itself.
struct PenningMixture {
  Gas main;
  Gas trace;
  Sourced<double> share;  ///< share of the trace in number of atoms, above 0 to 0.1

  /// @throws InvalidParameter naming the share, or the metastable level that cannot ionise the trace
  constexpr void check() const {
    Check{"Penning mixture"}
        .above("share", share.value, 0.0, "")
        .at_most("share", share.value, 0.1, "")
        .that(gas::penning_pair(main, trace), "metastable level of the main gas", main.metastable.value, "V",
              "above the ionisation potential of the trace");
  }
  /// V an electron must have for an ion to follow: the metastable level of the main gas, instead of its ionisation.
  [[nodiscard]] constexpr double threshold() const { return main.metastable.value; }
  /// V with which the trace's electron is set free.
  [[nodiscard]] constexpr double surplus() const { return main.metastable.value - trace.ionisation.value; }
  /// u, mean over all atoms.
  [[nodiscard]] constexpr double mass() const {
    return main.mass.value + share.value * (trace.mass.value - main.mass.value);
  }
};

namespace gas {

/// The fill of glow lamps.
inline constexpr PenningMixture neon_argon{
    neon, argon, {0.005, Confidence::published, "encyclopedic pages on the Penning mixture: neon 99.5 %, argon 0.5 %"}};
/// The trace at which measured ionisation per volt is largest at E/p of 1 to 10 V/(cm Torr).
inline constexpr PenningMixture neon_xenon{
    neon,
    xenon,
    {0.0001, Confidence::published, "Townsend coefficients of Ne, Xe and mixtures, Phys. Rev. A (1976), abstract"}};

}  // namespace gas
}  // namespace gastube
