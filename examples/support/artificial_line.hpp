// SPDX-License-Identifier: MIT
#pragma once
// An artificial line of equal coils and capacitors that a choke charges and a tube discharges into a load, in closed
// form, for a line without end of sections and without loss. From memory (G. N. Glasoe and J. V. Lebacqz, "Pulse
// Generators", 1948).
//
// Kilovolts: such a line kills, and keeps its charge. Short it before touching anything.

namespace gastube::examples {

struct ArtificialLine {
  int sections;      ///< at least 1
  double impedance;  ///< ohm, sqrt(L / C) of a section
  double length;     ///< s of the pulse, 2 n sqrt(L C)

  /// H and F of each section, F of all.
  [[nodiscard]] double section_inductance() const { return 0.5 * length * impedance / sections; }
  [[nodiscard]] double section_capacitance() const { return 0.5 * length / impedance / sections; }
  [[nodiscard]] double capacitance() const { return 0.5 * length / impedance; }
  /// A while the pulse lasts, of a line charged to `volts` through a tube with this drop.
  [[nodiscard]] double current(double volts, double drop, double load) const {
    return (volts - drop) / (impedance + load);
  }
  /// V left on the line after the pulse: below 0 where the load is less than the line's impedance.
  [[nodiscard]] double residue(double volts, double drop, double load) const {
    return drop + (volts - drop) * (load - impedance) / (load + impedance);
  }
};

/// Charging from `residue` through a choke: v = E - (E - v0) cos w t.
struct ResonantCharging {
  double supply;       ///< V
  double choke;        ///< H
  double capacitance;  ///< F
  double residue = 0;  ///< V, below the supply

  /// s until the line is at its greatest voltage, half a period.
  [[nodiscard]] double duration() const;
  /// V then.
  [[nodiscard]] double greatest() const { return 2 * supply - residue; }
  /// A, half way.
  [[nodiscard]] double peak_current() const;
  /// s until the line is at `level`, between residue and greatest(); 0 if it begins above.
  [[nodiscard]] double time_to(double level) const;
};

}  // namespace gastube::examples
