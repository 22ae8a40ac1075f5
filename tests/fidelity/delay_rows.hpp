// SPDX-License-Identifier: MIT
#pragma once
/// Firing delay, its spread, and the fall of the plate, beside what is published.

#include <gastube/catalogue/xenon.hpp>
#include <gastube/tube/delay/firing_delay.hpp>
#include <gastube/tube/delay/jitter.hpp>
#include <gastube/tube/delay/plate_fall.hpp>

#include "fidelity/row.hpp"

#include <random>

namespace published::delays {

inline constexpr const char* sheets = "tube handbooks of the 1950s and 1960s, from memory";
inline constexpr const char* aiee = "Ionization time of thyratrons, AIEE, about 1940, abstract";
inline constexpr const char* supplier = "supplier's parameter page on TGI1-1000/25";
inline constexpr const char* commutation = "commutation in a thyratron, J. Appl. Phys., abstract";

/// us, grid driven from the critical voltage to 50 V in a step, 100 V on the plate.
template <class Tube>
double at_fifty_volts(const Tube& tube) {
  const auto& laws = tube.laws();
  return laws.delay.delay(50.0 - laws.ignition.critical_grid(100.0), 100.0) * 1e6;
}
/// Mercury: the least time published, and 10 us at a volt of overdrive, an industrial rating near the critical grid.
inline constexpr gastube::FormativeLag<double> mercury{0.3e-6, 9.7e-6, 0.5, 1000.0};
/// Hydrogen, set by 3C45 (0.5 us at a trigger of 175 V) and the least delay published; the drive counted from zero.
inline constexpr gastube::FormativeLag<double> hydrogen{0.2e-6, 52.5e-6};

/// us, the least delay over many drives and plate voltages.
inline double least_mercury_delay() {
  double least = 1e9;
  for (double drive = 1.0; drive < 1e5; drive *= 2.0)
    for (double plate = 10.0; plate < 1e5; plate *= 2.0)
      least = gastube::math::min(least, mercury.delay(drive, plate) * 1e6);
  return least;
}
/// us, greatest growth of the delay from one drive to the next stronger, or one plate voltage to the next higher.
inline double greatest_growth(bool by_plate) {
  double most = -1e9;
  for (double drive = 1.0; drive < 200.0; drive *= 1.1)
    for (double plate = 20.0; plate < 2000.0; plate *= 1.1) {
      const double more = by_plate ? mercury.delay(drive, plate * 1.1) : mercury.delay(drive * 1.1, plate);
      most = gastube::math::max(most, (more - mercury.delay(drive, plate)) * 1e6);
    }
  return most;
}
/// Share of the discharge that has formed at the end of a grid pulse, for a pulse of this many delays.
inline double formed(double delays) { return mercury.rate(20.0, 300.0) * delays * mercury.delay(20.0, 300.0); }

inline const Row firing_delay[]{
    {"I1", "firing delay", "5727, 100 V, grid pulse to 50 V", "us", 0.5, 0.5, handbook, sheets,
     [] { return at_fifty_volts(gastube::catalogue::type_5727()); }},
    {"I1b", "firing delay", "2050-A, 100 V, grid pulse to 50 V", "us", 0.5, 0.5, plausible, sheets,
     [] { return at_fifty_volts(gastube::catalogue::type_2050_a()); }},
    {"I2", "least firing delay", "mercury, any drive", "us", 0.3, 0, seen, aiee, [] { return least_mercury_delay(); },
     false, Kind::at_least},
    {"I4a", "firing delay", "hydrogen, set by 3C45, trigger 200 V", "us", 0.2, 0, seen, supplier,
     [] { return hydrogen.delay(200.0) * 1e6; }, false, Kind::at_least},
    {"I4b", "firing delay", "hydrogen, set by 3C45, trigger 200 V", "us", 0.7, 0, seen, supplier,
     [] { return hydrogen.delay(200.0) * 1e6; }, false, Kind::at_most},
    {"I4c", "firing delay", "4C35 (0.6 to 1 us), by the law set by 3C45, trigger 175 V", "us", 0.8, 0.25, plausible,
     sheets, [] { return hydrogen.delay(175.0) * 1e6; }, true},
    {"I4d", "firing delay", "5C22, by the law set by 3C45, trigger 200 V", "us", 1.0, 0.3, plausible, sheets,
     [] { return hydrogen.delay(200.0) * 1e6; }, true},
    {"I5a", "greatest growth of the delay with overdrive", "mercury, 1 to 200 V, plate 20 V to 2 kV", "us", 0, 0, seen,
     aiee, [] { return greatest_growth(false); }, false, Kind::at_most},
    {"I5b", "greatest growth of the delay with plate voltage", "mercury, 1 to 200 V, plate 20 V to 2 kV", "us", 0, 0,
     seen, aiee, [] { return greatest_growth(true); }, false, Kind::at_most},
    {"I6a", "share formed, fires at 1", "grid pulse of 0.99 of the delay: does not fire", "", 1, 0, handbook, sheets,
     [] { return formed(0.99); }, false, Kind::at_most},
    {"I6b", "share formed, fires at 1", "grid pulse of 1.01 of the delay: fires", "", 1, 0, handbook, sheets,
     [] { return formed(1.01); }, false, Kind::at_least},
};

inline const Row plate_fall[]{
    {"I3a", "fall from 90 to 10 % of the plate voltage", "hydrogen, time constant 5 ns", "ns", 10, 0, seen, commutation,
     [] { return gastube::PlateFall<double>{5e-9}.fall_time() * 1e9; }, false, Kind::at_least},
    {"I3b", "fall from 90 to 10 % of the plate voltage", "hydrogen, time constant 45 ns", "ns", 100, 0, seen,
     commutation, [] { return gastube::PlateFall<double>{45e-9}.fall_time() * 1e9; }, false, Kind::at_most},
};

/// 10000 delays of 1 us formative and 3 us statistical lag: their mean in us; share fired by 4 us.
inline double sampled(bool share) {
  const gastube::FiringJitter<double> law{1e-6, 0.0, 3e-6};
  std::mt19937_64 random(20490308);
  double sum = 0.0, fired = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const double delay = law.sample(random);
    sum += delay * 1e6;
    fired += delay <= law.mean() ? 1.0 : 0.0;
  }
  return (share ? fired : sum) / 10000.0;
}
inline constexpr const char* laue =
    "by the exponential distribution measured by Radovic and others, Bulg. J. Phys. 27 S3, 179 (2000), abstract";
inline const Row jitter[]{
    {"L7a", "mean of 10000 sampled lags", "formative 1 us, statistical 3 us", "us", 4, 0.01, derived, laue,
     [] { return sampled(false); }},
    {"L7b", "share of 10000 samples fired by both lags together", "formative 1 us, statistical 3 us", "", 0.632, 0.01,
     derived, laue, [] { return sampled(true); }},
    {"L7c", "share fired by both lags together", "formative 1 us, statistical 3 us", "", 0.6321206, 1e-6, derived, laue,
     [] {
       return gastube::FiringJitter<double>{1e-6, 0.0, 3e-6}.share_fired_by(4e-6);
     }},
};

}  // namespace published::delays
