// SPDX-License-Identifier: MIT
#pragma once
// A series inverter in closed form: two tubes in turn ring a coil, a load and a capacitor in series, one from the
// supply, the other to ground. Ideal tubes with one constant drop. From memory (H. J. Reich, "Theory and Applications
// of Electron Tubes", 1944, series inverter); derived anew.

namespace gastube::examples {

struct SeriesInverter {
  double supply;      ///< V
  double drop;        ///< V of a lit tube, below half the supply
  double inductance;  ///< H
  double
      resistance;  ///< ohm, load and all else in series; below 2 sqrt(L / C), or the current never comes back to zero
  double capacitance;  ///< F

  /// Whether it rings.
  [[nodiscard]] bool rings() const;
  /// s that a tube is lit each time: pi / w, w^2 = 1 / (L C) - (R / 2 L)^2.
  [[nodiscard]] double conduction() const;
  /// Hz of the ring.
  [[nodiscard]] double ring_frequency() const { return 0.5 / conduction(); }
  /// s from the end of one tube's current to the other's beginning, and so for the first to recover.
  [[nodiscard]] double dead_time(double frequency) const { return 0.5 / frequency - conduction(); }
  /// Hz with this dead time after each half.
  [[nodiscard]] double highest_frequency(double recovery) const { return 0.5 / (conduction() + recovery); }
  /// V that the capacitor swings about half the supply once the start is over: (E / 2 - Vd) (1 + k) / (1 - k), where k
  /// is what is left of a half swing after it.
  [[nodiscard]] double swing() const;
  /// A, greatest of each half.
  [[nodiscard]] double peak_current() const;
  /// A/s with which the current comes down to its zero.
  [[nodiscard]] double fall_at_zero() const;
  /// A, mean over a cycle: through each tube, and from the supply.
  [[nodiscard]] double mean_current(double frequency) const { return 2 * swing() * capacitance * frequency; }
  /// W into the resistance: what the supply gives and the tubes do not take.
  [[nodiscard]] double load_power(double frequency) const { return mean_current(frequency) * (supply - 2 * drop); }

 private:
  [[nodiscard]] double decay() const { return resistance / (2 * inductance); }
  [[nodiscard]] double rate() const;
  [[nodiscard]] double left_over() const;
  [[nodiscard]] double drive() const;
};

}  // namespace gastube::examples
