// SPDX-License-Identifier: MIT
#pragma once
/// High-vacuum triode by the three-halves-power law, for what drives gas tubes or stands beside them.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"
#include "gastube/support/provenance.hpp"

namespace gastube {

/// Constants of a triode.
///   plate current = perveance max(0, vg + va / mu + contact)^1.5,  none to a negative plate
///   grid current = grid_perveance max(0, vg)^1.5
/// The form is the textbook one (H. J. Reich, "Theory and Applications of Electron Tubes", 1944, from memory). Where
/// the plate is below a positive grid (vg + contact) the current falls to nothing as r (2 - r), r = va / (vg +
/// contact): a shape of ours, no source.
template <Real S>
struct TriodeLaw {
  S perveance;              ///< A/V^1.5, above 0
  S mu;                     ///< amplification factor, above 0
  S contact = S(0);         ///< V, added to the grid voltage: contact potential and initial velocities
  S grid_perveance = S(0);  ///< A/V^1.5, at least 0
  S grid_plate = S(0);      ///< F, at least 0
  S grid_cathode = S(0);    ///< F, at least 0
  S plate_cathode = S(0);   ///< F, at least 0
};

/// A published working point: where one sits and what the tube does there.
struct TriodePoint {
  double plate;        ///< V
  double grid;         ///< V
  double current;      ///< A, plate, above 0
  double conductance;  ///< A/V, transconductance, above 0
  double mu;           ///< amplification factor, above 0
};

/// The law that has the point's current and transconductance and so its plate resistance mu / conductance. Elsewhere
/// it is as good as the three-halves power is: see the triodes below.
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] TriodeLaw<S> triode_through(const TriodePoint& point) {
  Check{"triode point"}
      .above("current", point.current, 0.0, "A")
      .above("conductance", point.conductance, 0.0, "A/V")
      .above("mu", point.mu, 0.0, "");
  const Plain<S> current = Plain<S>(point.current), drive = Plain<S>(1.5) * current / Plain<S>(point.conductance);
  const Plain<S> contact = drive - Plain<S>(point.grid) - Plain<S>(point.plate) / Plain<S>(point.mu);
  return {
      .perveance = S(current / math::three_halves_power(drive)), .mu = S(Plain<S>(point.mu)), .contact = S(contact)};
}

/// Triode in a circuit.
template <Real S>
struct VacuumTriode {
  using Scalar = S;
  Node plate, grid, cathode;
  TriodeLaw<S> law;
  const char* label = "triode";

  /// @throws InvalidParameter
  VacuumTriode(Node plate_at, Node grid_at, Node cathode_at, const TriodeLaw<S>& constants)
      : plate(plate_at), grid(grid_at), cathode(cathode_at), law(constants) {
    Check{label}
        .above("perveance", law.perveance, 0.0, "A/V^1.5")
        .above("mu", law.mu, 0.0, "")
        .finite("contact", law.contact, "V")
        .at_least("grid_perveance", law.grid_perveance, 0.0, "A/V^1.5")
        .at_least("grid_plate", law.grid_plate, 0.0, "F")
        .at_least("grid_cathode", law.grid_cathode, 0.0, "F")
        .at_least("plate_cathode", law.plate_cathode, 0.0, "F");
  }
  [[nodiscard]] std::array<Node, 3> terminals() const { return {plate, grid, cathode}; }
  [[nodiscard]] std::array<Link, 3> links() const {
    const bool stores = value_of(S(law.grid_plate + law.grid_cathode)) > Plain<S>(0);
    return {{{plate, cathode},
             {grid, cathode, Joint::controls, "grid"},
             {stores ? grid : cathode, cathode, Joint::stores}}};
  }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    const Flow p = plate_flow(eq.across(plate, cathode), eq.across(grid, cathode));
    eq.current(plate, cathode, p.amperes);
    eq.current_slope(plate, cathode, plate, p.by_plate);
    eq.current_slope(plate, cathode, grid, p.by_grid);
    eq.current_slope(plate, cathode, cathode, S(-p.by_plate - p.by_grid));
    if (const S vg = eq.across(grid, cathode); value_of(vg) > Plain<S>(0))
      eq.conduct(grid, cathode, S(law.grid_perveance * math::three_halves_power(vg)),
                 S(S(1.5) * law.grid_perveance * math::sqrt(vg)));
    write_capacitance(eq, grid, plate, law.grid_plate);
    write_capacitance(eq, grid, cathode, law.grid_cathode);
    write_capacitance(eq, plate, cathode, law.plate_cathode);
  }
  /// A of plate current.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const {
    return static_current(at.across(plate, cathode), at.across(grid, cathode));
  }
  /// W at plate and grid.
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory& m) const {
    return S(at.across(plate, cathode) * current(at, m) + grid_power(at));
  }
  [[nodiscard]] S stored(const PartView<S>& at, const NoMemory&) const {
    return S(capacitance_energy(at, grid, plate, law.grid_plate)
             + capacitance_energy(at, grid, cathode, law.grid_cathode)
             + capacitance_energy(at, plate, cathode, law.plate_cathode));
  }
  /// A, at V of the plate and the grid against the cathode.
  [[nodiscard]] S static_current(const S& plate_volts, const S& grid_volts) const {
    return plate_flow(plate_volts, grid_volts).amperes;
  }

 private:
  [[nodiscard]] S grid_power(const PartView<S>& at) const {
    const S vg = math::positive_part(at.across(grid, cathode));
    return S(law.grid_perveance * vg * math::three_halves_power(vg));
  }
  struct Flow {
    S amperes = S(0), by_plate = S(0), by_grid = S(0);
  };
  [[nodiscard]] Flow plate_flow(const S& va, const S& vg) const {
    const S drive = S(vg + va / law.mu + law.contact);
    if (!(value_of(drive) > Plain<S>(0)) || !(value_of(va) > Plain<S>(0))) return {};
    const S root = math::sqrt(drive), slope = S(S(1.5) * law.perveance * root);
    Flow flow{S(law.perveance * drive * root), S(slope / law.mu), slope};
    // From where the grid counts as positive there would be current at no plate voltage at all.
    if (value_of(va) < value_of(S(vg + law.contact))) starve(flow, va, S(vg + law.contact));
    return flow;
  }
  static void starve(Flow& flow, const S& va, const S& grid_volts) {
    const S r = S(va / grid_volts), share = S(r * (S(2) - r)), rise = S((S(2) - S(2) * r) / grid_volts);
    flow.by_plate = S(flow.by_plate * share + flow.amperes * rise);
    flow.by_grid = S(flow.by_grid * share - flow.amperes * rise * r);
    flow.amperes = S(flow.amperes * share);
  }
  static void write_capacitance(PartEquations<S>& eq, Node a, Node b, const S& farads) {
    if (a != b && value_of(farads) > Plain<S>(0)) eq.capacitance(a, b, farads);
  }
};

/// A triode that handbooks list: the point its law goes through, and its capacitances.
struct TriodeData {
  const char* type;
  Sourced<TriodePoint> point;
  Sourced<double> grid_plate, grid_cathode, plate_cathode;  ///< F
  /// A/V^1.5; no figure is published, and this one only says that a positive grid draws milliamperes from some volts on
  Sourced<double> grid_perveance;
};

namespace triodes {
inline constexpr const char* handbook =
    "receiving-tube handbooks of about 1950 to 1962, class A1 characteristics, from memory";
inline constexpr Sourced<double> assumed_grid{2e-4, Confidence::unverified, "assumed: no figure is published"};
[[nodiscard]] constexpr Sourced<double> picofarads(double value) {
  return {value * 1e-12, Confidence::plausible, "receiving-tube handbooks, without shield, from memory"};
}

/// Each section of the high-mu twin triode 12AX7 / ECC83.
inline constexpr TriodeData type_12ax7{
    "12AX7",          {{250, -2, 1.2e-3, 1.6e-3, 100}, Confidence::handbook, handbook},
    picofarads(1.7),  picofarads(1.6),
    picofarads(0.46), assumed_grid};
/// Each section of the medium-mu twin triode 12AU7 / ECC82.
inline constexpr TriodeData type_12au7{
    "12AU7",         {{250, -8.5, 10.5e-3, 2.2e-3, 17}, Confidence::handbook, handbook},
    picofarads(1.5), picofarads(1.6),
    picofarads(0.5), assumed_grid};
/// Each section of the octal medium-mu twin triode 6SN7-GTB, and the 6J5.
inline constexpr TriodeData type_6sn7{"6SN7",          {{250, -8, 9e-3, 2.6e-3, 20}, Confidence::handbook, handbook},
                                      picofarads(3.9), picofarads(2.4),
                                      picofarads(0.7), assumed_grid};
}  // namespace triodes

/// A listed triode in a circuit.
template <Real S = double>
[[nodiscard]] VacuumTriode<S> triode(Node plate, Node grid, Node cathode, const TriodeData& data) {
  TriodeLaw<S> law = triode_through<S>(data.point.value);
  law.grid_perveance = S(data.grid_perveance.value);
  law.grid_plate = S(data.grid_plate.value);
  law.grid_cathode = S(data.grid_cathode.value);
  law.plate_cathode = S(data.plate_cathode.value);
  return named(data.type, VacuumTriode<S>{plate, grid, cathode, law});
}

}  // namespace gastube
