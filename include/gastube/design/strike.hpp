// SPDX-License-Identifier: MIT
#pragma once
/// Will it strike: at which grid voltage, through this grid resistor, and over the spread of tubes?

#include "gastube/catalogue/hot_cathode.hpp"

namespace gastube::design {

/// A grid supply as the tube sees it: open-circuit voltage and source resistance.
template <Real S>
struct GridDrive {
  S voltage;     ///< V against the cathode
  S resistance;  ///< ohm, at least 0

  void check(const char* which) const {
    Check{which}.finite("voltage", voltage, "V").at_least("resistance", resistance, 0.0, "ohm");
  }
};

/// What is asked.
template <Real S>
struct StrikeQuestion {
  S plate;            ///< V on the plate before ignition, at least 0
  GridDrive<S> rest;  ///< holds the tube off
  GridDrive<S> set;   ///< fires it
  S shield = S(0);    ///< V on the shield grid

  void check() const {
    Check{"strike question"}.at_least("plate", plate, 0.0, "V").finite("shield", shield, "V");
    rest.check("resting grid drive");
    set.check("set grid drive");
  }
};

/// Grid voltages in V. All margins are positive where things are well.
template <Real S>
struct StrikeAnswer {
  S critical_grid;   ///< at which the middle tube just fires
  S half_band;       ///< half the band over tubes and life
  S earliest_drive;  ///< lowest resting supply voltage that may fire a tube of the band, through the resting resistor
  S latest_drive;    ///< set supply voltage that fires every tube of the band, through the set resistor
  S hold_margin;     ///< V, resting supply below `earliest_drive`
  S fire_margin;     ///< V, set supply above `latest_drive`
  Plain<S> least_plate;  ///< V, least plate voltage at which every tube strikes with the set drive; unlimited if none
  Plain<S> greatest_plate;  ///< V, greatest plate voltage that every tube holds off with the resting drive
  bool possible;            ///< the plate is above the voltage at which this gas can strike at all
};

namespace detail {
/// Tube, band and critical current of one type, in scalar S.
template <Real S>
struct StrikeModel {
  catalogue::RareGasTube<S> tube;
  IgnitionBand<S> band;
  S critical_current;

  explicit StrikeModel(const catalogue::TubeData& data)
      : tube(catalogue::build<S>(data))
      , band(catalogue::ignition_band<S>(data))
      , critical_current(S(data.critical_grid_current.value)) {
    band.check();
  }
  [[nodiscard]] S critical(const S& plate, const S& shield) const {
    return tube.critical_grid({plate, S(0), shield}, S(0));
  }
  [[nodiscard]] S half_band(const S& plate) const {
    return math::min(band.half_width(plate, tube.laws().ignition.knee.lift(plate)), S(never_fires<S>));
  }
  [[nodiscard]] S earliest(const S& plate, const S& shield, const S& resistance) const {
    return critical_bias(S(critical(plate, shield) - half_band(plate)), critical_current, resistance);
  }
  /// The set supply also has to feed the grid's electron current where that voltage is positive.
  [[nodiscard]] S latest(const S& plate, const S& shield, const S& resistance) const {
    const S grid = S(critical(plate, shield) + half_band(plate));
    const GridPaths<S> paths = tube.laws().grid.before({S(0), grid, shield}, S(1), S(0));
    return S(grid + paths.to_cathode * resistance);
  }
};
}  // namespace detail

/// Answers for one type. @throws InvalidParameter
template <Real S>
[[nodiscard]] StrikeAnswer<S> strike(const catalogue::TubeData& data, const StrikeQuestion<S>& question) {
  question.check();
  const detail::StrikeModel<S> model(data);
  StrikeAnswer<S> answer;
  answer.critical_grid = model.critical(question.plate, question.shield);
  answer.half_band = model.half_band(question.plate);
  answer.earliest_drive = model.earliest(question.plate, question.shield, question.rest.resistance);
  answer.latest_drive = model.latest(question.plate, question.shield, question.set.resistance);
  answer.hold_margin = S(answer.earliest_drive - question.rest.voltage);
  answer.fire_margin = S(question.set.voltage - answer.latest_drive);
  answer.possible = value_of(question.plate) > Plain<S>(data.fill->ionisation.value);

  using P = Plain<S>;
  const detail::StrikeModel<P> plain(data);
  const P shield = value_of(question.shield), ceiling = P(1e5);
  const auto fires = [&](P plate) {
    return plain.latest(plate, shield, value_of(question.set.resistance)) - value_of(question.set.voltage);
  };
  const auto holds = [&](P plate) {
    return plain.earliest(plate, shield, value_of(question.rest.resistance)) - value_of(question.rest.voltage);
  };
  answer.least_plate = fires(ceiling) > P(0) ? unlimited<P>() : find_root(fires, P(0), ceiling, P(1e-6));
  answer.greatest_plate = holds(ceiling) > P(0) ? ceiling : find_root(holds, P(0), ceiling, P(1e-6));
  return answer;
}

}  // namespace gastube::design
