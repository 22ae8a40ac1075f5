// SPDX-License-Identifier: MIT
#pragma once
/// Trigger tubes: what their laws predict, beside what is published.

#include <gastube/tube/family/trigger_tube.hpp>
#include <gastube/tube/hosted_tube.hpp>

#include "fidelity/row.hpp"

#include <cmath>

namespace published::trigger_tubes {

inline constexpr const char* tube_handbook = "tube handbooks, from memory";
inline constexpr const char* dance = "J. B. Dance, Cold cathode trigger tubes and their uses, 1965: I = (Vb - Vm) / Ra";

using Tube = gastube::TriggerTube<gastube::StandardTriggerLaws<double>>;

/// What handbooks print of a trigger tube, V and A.
struct Figures {
  const char* type;
  double untriggered, maintaining, average_current;
  double trigger_ignition, trigger_drop;
  double transfer_current, transfer_anode;
};
inline constexpr Figures of_0a4g{"0A4G", 225, 70, 25e-3, 80, 60, 100e-6, 140};
inline constexpr Figures of_5823{"5823", 200, 62, 25e-3, 85, 61, 50e-6, 140};
inline constexpr Figures of_z803u{"Z803U", 300, 105, 20e-3, 132, 100, 35e-6, 170};

/// The tube; slopes, lags, leakage and least currents are assumed.
inline Tube tube(const Figures& f) {
  const double slope = 40;
  return Tube(
      {.ignition = gastube::transfer_through(f.untriggered, f.maintaining, f.transfer_current, f.transfer_anode),
       .grid = {.ignition = f.trigger_ignition,
                .drop = f.trigger_drop,
                .resistance = 5e3,
                .least_current = 1e-6,
                .leakage = 1e-11,
                .ion_share = 1e-3},
       .delay = {20e-6},
       .arc = {f.maintaining - slope * f.average_current, slope},
       .sustaining = {1e-3},
       .recovery = {0.3e-3, f.average_current}},
      f.type);
}

/// A after a trigger pulse has come and gone, with the anode fed by `supply` through `resistance`; 0 if it does not
/// conduct.
inline double conducts(const Figures& f, double supply, double resistance) {
  gastube::HostedTube<Tube> hosted(tube(f), 0.0, true, resistance);
  hosted.advance({supply, f.trigger_ignition + 20, 0.0}, 1e-3);
  hosted.advance({supply, 0.0, 0.0}, 1e-3);
  return hosted.state() == gastube::TubeState::conducting ? hosted.respond({supply, 0.0, 0.0}).plate_current : 0.0;
}
/// Supply V, lowered slowly through a small resistor, at which conduction ends, trigger held 10 V over its ignition.
inline double lets_go(const Figures& f) {
  gastube::HostedTube<Tube> hosted(tube(f), 0.0, true, 10.0);
  const double trigger = f.trigger_ignition + 10;
  double supply = f.untriggered;
  hosted.advance({supply, trigger, 0.0}, 1e-3);
  while (hosted.state() == gastube::TubeState::conducting && supply > 0)
    hosted.advance({supply -= 0.01, trigger, 0.0}, 1e-3, 1);
  return supply;
}
/// Trigger V, raised slowly, at which a tube conducts from `supply` through 4 kohm.
inline double starts_at(const Figures& f, double supply) {
  gastube::HostedTube<Tube> hosted(tube(f), 0.0, true, 4e3);
  double trigger = 0.0;
  while (hosted.state() != gastube::TubeState::conducting && trigger < 1e3)
    hosted.advance({supply, trigger += 0.01, 0.0}, 1e-3);
  return trigger;
}
inline double peak(double rms) { return std::sqrt(2.0) * rms; }

inline const Row rows[]{
    {"T17a", "anode current", "0A4G, 140 V, 3.5 kohm", "mA", (140 - 70) / 3.5, 0.02, seen, dance,
     [] { return 1e3 * conducts(of_0a4g, 140, 3.5e3); }},
    {"T17b", "anode current", "5823, 150 V, 4.4 kohm", "mA", (150 - 62) / 4.4, 0.02, seen, dance,
     [] { return 1e3 * conducts(of_5823, 150, 4.4e3); }},
    {"T17c", "anode current", "Z803U, 250 V, 7.25 kohm", "mA", (250 - 105) / 7.25, 0.02, seen, dance,
     [] { return 1e3 * conducts(of_z803u, 250, 7.25e3); }},
    {"T17d", "supply at which conduction ends", "0A4G, trigger held up", "V", 70, 0.05, seen,
     "J. B. Dance, as above: only below the maintaining voltage", [] { return lets_go(of_0a4g); }},
    {"T17e", "supply at which conduction ends", "Z803U, trigger held up", "V", 105, 0.05, seen,
     "J. B. Dance, as above: only below the maintaining voltage", [] { return lets_go(of_z803u); }},
    {"T16a", "transfer current", "0A4G at the peak of its least supply, 105 V rms", "uA", 100, 0, handbook,
     tube_handbook, [] { return 1e6 * tube(of_0a4g).laws().ignition.current_needed(peak(105)); }, false, Kind::at_most},
    {"T16b", "trigger voltage that fires", "0A4G of the highest ignition, 90 V, at the peak of 117 V rms", "V", 110, 0,
     handbook, "tube handbooks, from memory: starter peaks of 110 V in sum are enough",
     [] {
       Figures highest = of_0a4g;
       highest.trigger_ignition = 90;
       return starts_at(highest, peak(117));
     },
     false, Kind::at_most},
    {"T16c", "transfer current", "5823 at the peak of its least supply, 105 V rms", "uA", 400, 0, plausible,
     tube_handbook, [] { return 1e6 * tube(of_5823).laws().ignition.current_needed(peak(105)); }, false,
     Kind::at_most}};

}  // namespace published::trigger_tubes
