// SPDX-License-Identifier: MIT
#pragma once
/// High-vacuum pentode: its screen draws the current out, its plate takes what comes, nearly whatever its voltage. It
/// charges a time base's capacitor with a constant current, or amplifies.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"
#include "gastube/support/provenance.hpp"

namespace gastube {

/// Constants of a pentode, its suppressor tied to the cathode.
///   cathode current = perveance max(0, vg + vs / screen_mu + contact)^1.5,  none with a negative screen
///   plate current = plate_share (1 - exp(-va / knee)) (1 + va / early) of it, the screen takes the rest
/// The space-charge law is the textbook one (H. J. Reich, "Theory and Applications of Electron Tubes", 1944, from
/// memory); how plate and screen share it is a shape of ours with the knee and the plate resistance that are published.
/// Where the screen is below a positive grid all falls to nothing as r (2 - r), r = vs / (vg + contact), ours too.
template <Real S>
struct PentodeLaw {
  S perveance;              ///< A/V^1.5, above 0
  S screen_mu;              ///< amplification factor of grid against screen, above 0
  S contact = S(0);         ///< V, added to the grid voltage
  S plate_share = S(0.8);   ///< at high plate voltage, above 0, at most 1
  S knee = S(15);           ///< V, above 0: at three times that 5 % are missing
  S early = S(2000);        ///< V, above 0: greater for a greater plate resistance
  S grid_perveance = S(0);  ///< A/V^1.5, at least 0
  S grid_plate = S(0);      ///< F, at least 0
  S grid_cathode = S(0);    ///< F to cathode and screen, at least 0
  S plate_cathode = S(0);   ///< F to cathode, screen and suppressor, at least 0
};

/// A published working point of a pentode.
struct PentodePoint {
  double plate, screen, grid;  ///< V
  double current;              ///< A, plate, above 0
  double screen_current;       ///< A, above 0
  double conductance;          ///< A/V, transconductance, above 0
  double resistance;           ///< ohm, plate, above 0
  double screen_mu;            ///< grid against screen, above 0
};

/// The law that has the point's currents, transconductance and plate resistance, with the knee given.
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] PentodeLaw<S> pentode_through(const PentodePoint& p, double knee) {
  Check{"pentode point"}
      .above("current", p.current, 0.0, "A")
      .above("screen_current", p.screen_current, 0.0, "A")
      .above("conductance", p.conductance, 0.0, "A/V")
      .above("screen_mu", p.screen_mu, 0.0, "")
      .above("knee", knee, 0.0, "V")
      .above("resistance", p.resistance, p.plate / p.current, "ohm");
  // d i/d va = i / (early + va), the knee being far below
  const double drive = 1.5 * p.current / p.conductance, total = p.current + p.screen_current;
  const double early = p.resistance * p.current - p.plate;
  const double contact = drive - p.grid - p.screen / p.screen_mu;
  const double full = 1 - math::exp(-p.plate / knee);
  PentodeLaw<S> law{.perveance = S(total / math::three_halves_power(drive)), .screen_mu = S(p.screen_mu)};
  law.contact = S(contact);
  law.knee = S(knee);
  law.early = S(early);
  law.plate_share = S(p.current / total / (full * (1 + p.plate / early)));
  return law;
}

/// Pentode in a circuit.
template <Real S>
struct VacuumPentode {
  using Scalar = S;
  Node plate, grid, screen, cathode;
  PentodeLaw<S> law;
  const char* label = "pentode";

  /// @throws InvalidParameter
  VacuumPentode(Node plate_at, Node grid_at, Node screen_at, Node cathode_at, const PentodeLaw<S>& constants)
      : plate(plate_at), grid(grid_at), screen(screen_at), cathode(cathode_at), law(constants) {
    Check{label}
        .above("perveance", law.perveance, 0.0, "A/V^1.5")
        .above("screen_mu", law.screen_mu, 0.0, "")
        .finite("contact", law.contact, "V")
        .above("plate_share", law.plate_share, 0.0, "")
        .at_most("plate_share", law.plate_share, 1.0, "")
        .above("knee", law.knee, 0.0, "V")
        .above("early", law.early, 0.0, "V")
        .at_least("grid_perveance", law.grid_perveance, 0.0, "A/V^1.5")
        .at_least("grid_plate", law.grid_plate, 0.0, "F")
        .at_least("grid_cathode", law.grid_cathode, 0.0, "F")
        .at_least("plate_cathode", law.plate_cathode, 0.0, "F");
  }
  [[nodiscard]] std::array<Node, 4> terminals() const { return {plate, grid, screen, cathode}; }
  [[nodiscard]] std::array<Link, 4> links() const {
    const bool stores = value_of(S(law.grid_plate + law.grid_cathode)) > Plain<S>(0);
    return {{{plate, cathode},
             {screen, cathode},
             {grid, cathode, Joint::controls, "grid"},
             {stores ? grid : cathode, cathode, Joint::stores}}};
  }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    const Shares shares = look(eq);
    add(eq, plate, shares.plate);
    add(eq, screen, shares.screen);
    if (const S vg = eq.across(grid, cathode); value_of(vg) > Plain<S>(0))
      eq.conduct(grid, cathode, S(law.grid_perveance * math::three_halves_power(vg)),
                 S(S(1.5) * law.grid_perveance * math::sqrt(vg)));
    write_capacitance(eq, grid, plate, law.grid_plate);
    write_capacitance(eq, grid, cathode, law.grid_cathode);
    write_capacitance(eq, plate, cathode, law.plate_cathode);
  }
  /// A of plate current.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return look(at).plate.amperes; }
  [[nodiscard]] S screen_current(const PartView<S>& at) const { return look(at).screen.amperes; }
  /// W at plate, screen and grid.
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory& m) const {
    return S(at.across(plate, cathode) * current(at, m) + at.across(screen, cathode) * screen_current(at)
             + grid_power(at));
  }
  [[nodiscard]] S stored(const PartView<S>& at, const NoMemory&) const {
    return S(capacitance_energy(at, grid, plate, law.grid_plate)
             + capacitance_energy(at, grid, cathode, law.grid_cathode)
             + capacitance_energy(at, plate, cathode, law.plate_cathode));
  }

 private:
  [[nodiscard]] S grid_power(const PartView<S>& at) const {
    const S vg = math::positive_part(at.across(grid, cathode));
    return S(law.grid_perveance * vg * math::three_halves_power(vg));
  }
  struct Flow {
    S amperes = S(0), by_plate = S(0), by_grid = S(0), by_screen = S(0);
  };
  struct Shares {
    Flow plate, screen;
  };
  [[nodiscard]] Shares look(const PartView<S>& at) const {
    return share(at.across(plate, cathode), at.across(grid, cathode), at.across(screen, cathode));
  }
  [[nodiscard]] Shares share(const S& va, const S& vg, const S& vs) const {
    const S drive = S(vg + vs / law.screen_mu + law.contact);
    if (!(value_of(drive) > Plain<S>(0)) || !(value_of(vs) > Plain<S>(0))) return {};
    const Flow total = cathode_flow(drive, vs, S(vg + law.contact));
    S taken(0), taken_slope(0);
    if (value_of(va) > Plain<S>(0)) {
      const S missing = math::exp(S(-va / law.knee)), lean = S(S(1) + va / law.early);
      taken = S(law.plate_share * (S(1) - missing) * lean);
      taken_slope = S(law.plate_share * (missing / law.knee * lean + (S(1) - missing) / law.early));
      if (value_of(taken) > Plain<S>(1)) taken = S(1), taken_slope = S(0);  // the screen gives no current back
    }
    const S left = S(S(1) - taken), passed_over = S(total.amperes * taken_slope);
    return {{S(total.amperes * taken), passed_over, S(total.by_grid * taken), S(total.by_screen * taken)},
            {S(total.amperes * left), S(-passed_over), S(total.by_grid * left), S(total.by_screen * left)}};
  }
  /// All that leaves the cathode. From where the grid counts as positive there would be current at no screen voltage
  /// at all.
  [[nodiscard]] Flow cathode_flow(const S& drive, const S& vs, const S& grid_volts) const {
    const S root = math::sqrt(drive), slope = S(S(1.5) * law.perveance * root);
    Flow flow{S(law.perveance * drive * root), S(0), slope, S(slope / law.screen_mu)};
    if (!(value_of(vs) < value_of(grid_volts))) return flow;
    const S r = S(vs / grid_volts), share = S(r * (S(2) - r)), rise = S((S(2) - S(2) * r) / grid_volts);
    flow.by_screen = S(flow.by_screen * share + flow.amperes * rise);
    flow.by_grid = S(flow.by_grid * share - flow.amperes * rise * r);
    flow.amperes = S(flow.amperes * share);
    return flow;
  }
  void add(PartEquations<S>& eq, Node from, const Flow& flow) const {
    eq.current(from, cathode, flow.amperes);
    eq.current_slope(from, cathode, plate, flow.by_plate);
    eq.current_slope(from, cathode, grid, flow.by_grid);
    eq.current_slope(from, cathode, screen, flow.by_screen);
    eq.current_slope(from, cathode, cathode, S(-flow.by_plate - flow.by_grid - flow.by_screen));
  }
  static void write_capacitance(PartEquations<S>& eq, Node a, Node b, const S& farads) {
    if (a != b && value_of(farads) > Plain<S>(0)) eq.capacitance(a, b, farads);
  }
};

/// A pentode that handbooks list.
struct PentodeData {
  const char* type;
  Sourced<PentodePoint> point;
  Sourced<double> knee;                                     ///< V, see PentodeLaw
  Sourced<double> grid_plate, grid_cathode, plate_cathode;  ///< F
  Sourced<double> grid_perveance;                           ///< A/V^1.5
};

namespace pentodes {
inline constexpr const char* handbook =
    "receiving-tube handbooks of about 1955 to 1962, typical operation, from memory";
inline constexpr Sourced<double> assumed_grid{4e-4, Confidence::unverified, "assumed: no figure is published"};
inline constexpr Sourced<double> assumed_knee{15, Confidence::unverified, "assumed, from the look of published curves"};
[[nodiscard]] constexpr Sourced<double> picofarads(double value) {
  return {value * 1e-12, Confidence::plausible, "receiving-tube handbooks, from memory"};
}

/// Low-noise audio pentode EF86 / 6267.
inline constexpr PentodeData type_ef86{
    "EF86",          {{250, 140, -2, 3.0e-3, 0.6e-3, 2.0e-3, 2.5e6, 38}, Confidence::plausible, handbook},
    assumed_knee,    picofarads(0.05),
    picofarads(3.8), picofarads(5.3),
    assumed_grid};
/// Wide-band pentode EF80 / 6BX6.
inline constexpr PentodeData type_ef80{
    "EF80",          {{170, 170, -2, 10e-3, 2.5e-3, 7.4e-3, 0.5e6, 50}, Confidence::handbook, handbook},
    assumed_knee,    picofarads(0.007),
    picofarads(7.5), picofarads(3.3),
    assumed_grid};
}  // namespace pentodes

/// A listed pentode in a circuit.
template <Real S = double>
[[nodiscard]] VacuumPentode<S> pentode(Node plate, Node grid, Node screen, Node cathode, const PentodeData& data) {
  PentodeLaw<S> law = pentode_through<S>(data.point.value, data.knee.value);
  law.grid_perveance = S(data.grid_perveance.value);
  law.grid_plate = S(data.grid_plate.value);
  law.grid_cathode = S(data.grid_cathode.value);
  law.plate_cathode = S(data.plate_cathode.value);
  return named(data.type, VacuumPentode<S>{plate, grid, screen, cathode, law});
}

}  // namespace gastube
