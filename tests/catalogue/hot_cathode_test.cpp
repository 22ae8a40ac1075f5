// SPDX-License-Identifier: MIT
// From data sheet to laws: each datum goes where it belongs.
#include <gastube/catalogue/hot_cathode.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;
using catalogue::Datum;
using catalogue::TubeData;
using closeness::relative_gap;

namespace {

constexpr Datum made_up(double value) { return {value, Confidence::unverified, "made up for this test"}; }

/// A data sheet on which no two numbers are alike.
TubeData sheet() {
  TubeData d{};
  double next = 101.0;
  catalogue::for_each_field(
      d, [&](const char*, const char*, const Datum& datum) { const_cast<Datum&>(datum) = made_up(next++); });
  d.type = "made-up type";
  d.fill = &gas::argon;
  d.band_of_knee = made_up(0.3);
  d.shield_plate_capacitance = made_up(5.5);
  d.grid_shield_capacitance = made_up(2.5);
  return d;
}

template <class S>
bool same(const S& got, const Datum& datum) {
  return relative_gap(got, datum.value) < 2 * double(round_off<S>);
}

}  // namespace

TEST_CASE_TEMPLATE("a tube is built with the laws of its data sheet", S, float, double, long double) {
  const TubeData d = sheet();
  const auto tube = catalogue::build<S>(d);
  const auto& laws = tube.laws();
  CHECK(tube.type() == std::string("made-up type"));

  CHECK(same(laws.ignition.line.control_ratio, d.control_ratio));
  CHECK(same(laws.ignition.line.intercept, d.line_intercept));
  CHECK(laws.ignition.line.lowest_plate == S(0));  // the knee sees to low voltages
  CHECK(same(laws.ignition.knee.ionisation, gas::argon.ionisation));
  CHECK(same(laws.ignition.knee.rise, d.knee_rise));
  CHECK(laws.ignition.knee.reference_plate == S(50));
  // Volts of plate per volt of shield grid over volts of plate per volt of grid: volts of grid per volt of shield grid.
  CHECK(relative_gap(laws.shield.leverage, d.shield_ratio / d.control_ratio) < 2 * double(round_off<S>));

  CHECK(same(laws.delay.least, d.ionisation_time_least));
  CHECK(same(laws.delay.product, d.ionisation_time_product));
  CHECK(same(laws.arc.inner.drop, d.arc_drop));
  CHECK(same(laws.arc.inner.resistance, d.arc_resistance));
  CHECK(same(laws.arc.emission, d.emission));
  CHECK(same(laws.arc.resistance, d.emission_slope));
  CHECK(same(laws.arc.disintegration, d.disintegration));
  CHECK(same(laws.sustaining.current, d.sustaining_current));

  CHECK(same(laws.recovery.time_constant, d.deionisation_constant));
  CHECK(same(laws.recovery.time, d.deionisation_time));
  CHECK(same(laws.recovery.reference_current, d.deionisation_reference_current));
  CHECK(laws.recovery.reference_bias == S(10));

  CHECK(same(laws.grid.perveance, d.grid_perveance));
  CHECK(same(laws.grid.leakage, d.grid_leakage));
  CHECK(same(laws.grid.critical_current, d.critical_grid_current));
  CHECK(same(laws.grid.ionisation, gas::argon.ionisation));
  CHECK(same(laws.grid.ion_share, d.ion_share));
  CHECK(same(laws.grid.plasma, d.plasma_potential));
  CHECK(same(laws.grid.plasma_resistance, d.plasma_resistance));
  CHECK(same(laws.electrons.perveance, d.electron_perveance));
  CHECK(same(laws.electrons.control_ratio, d.control_ratio));
  CHECK(relative_gap(laws.electrons.shield_ratio, d.control_ratio / d.shield_ratio) < 2 * double(round_off<S>));

  CHECK(same(laws.afterglow.ions_per_residual, d.plate_ions));
  CHECK(same(laws.cathode.heating, d.heating_time));
  CHECK(same(laws.cathode.time_constant, d.heating_time_constant));
  CHECK(same(laws.inverse.voltage, d.reverse_breakdown));
  CHECK(same(laws.inverse.drop, d.reverse_drop));
  CHECK(same(laws.capacitances.grid_plate, d.grid_plate_capacitance));
  // Published with the shield grid at the cathode: its own capacitances are part of the input's and the output's.
  CHECK(same(laws.capacitances.grid_cathode, made_up(d.input_capacitance - d.grid_shield_capacitance)));
  CHECK(same(laws.capacitances.plate_cathode, made_up(d.output_capacitance - d.shield_plate_capacitance)));
  CHECK(same(laws.capacitances.shield_plate, d.shield_plate_capacitance));
  CHECK(same(laws.capacitances.grid_shield, d.grid_shield_capacitance));
  CHECK(same(laws.ratings.peak_forward, d.peak_forward));
}

TEST_CASE_TEMPLATE("ratings are copied field by field", S, float, double, long double) {
  const TubeData d = sheet();
  const Ratings<S> r = catalogue::ratings_of<S>(d);
  CHECK(same(r.peak_forward, d.peak_forward));
  CHECK(same(r.peak_inverse, d.peak_inverse));
  CHECK(same(r.peak_current, d.peak_current));
  CHECK(same(r.average_current, d.average_current));
  CHECK(same(r.averaging_time, d.averaging_time));
  CHECK(same(r.fault_current, d.fault_current));
  CHECK(same(r.fault_time, d.fault_time));
  CHECK(same(r.grid_negative_before, d.grid_negative_before));
  CHECK(same(r.grid_negative_during, d.grid_negative_during));
  CHECK(same(r.shield_negative_before, d.shield_negative_before));
  CHECK(same(r.shield_negative_during, d.shield_negative_during));
  CHECK(same(r.grid_current, d.grid_current));
  CHECK(same(r.grid_resistance, d.grid_resistance));
  CHECK(same(r.heater_positive, d.heater_positive));
  CHECK(same(r.heater_negative, d.heater_negative));
  CHECK(same(r.heating_time, d.heating_time));
  CHECK(same(r.ambient_low, d.ambient_low));
  CHECK(same(r.ambient_high, d.ambient_high));
}

TEST_CASE("ions of the afterglow go on from those of the burning arc without a step") {
  const TubeData d = sheet();
  const auto grid = catalogue::build(d).laws().grid;
  const double amperes = 2.5 * d.deionisation_reference_current;  // residual ionisation 2.5 when it has burnt for long
  CHECK(relative_gap(grid.before({50.0, -10.0, 0.0}, 0.0, 2.5).from_plate,
                     grid.lit({50.0, -10.0, 0.0}, amperes).from_plate)
        < 1e-12);
}

TEST_CASE("the electron current begins where the control line begins") {
  const TubeData d = sheet();
  const auto laws = catalogue::build(d).laws();
  // On the line, grid = intercept - plate / ratio, the voltage at the cathode plane is zero.
  const double plate = 500.0, grid = d.line_intercept - plate / d.control_ratio;
  CHECK(laws.electrons({plate, grid - 0.01, 0.0}, 1.0).current == 0.0);
  CHECK(laws.electrons({plate, grid + 0.01, 0.0}, 1.0).current > 0.0);
}

TEST_CASE("a triode has no shield grid: no leverage on ignition, none on the electron current") {
  TubeData d = sheet();
  d.shield_ratio = made_up(0.0);
  const auto tube = catalogue::build(d);
  CHECK(tube.critical_grid({200.0, 0.0, 5.0}, 0.0) == tube.critical_grid({200.0, 0.0, -5.0}, 0.0));
  const Conditions<double> low{500.0, 500.0, -5.0}, high{500.0, 500.0, 5.0};
  CHECK(relative_gap(tube.laws().electrons(low, 1.0).current, tube.laws().electrons(high, 1.0).current) < 1e-12);
}

TEST_CASE("the ignition band comes from the data sheet") {
  const IgnitionBand<double> band = catalogue::ignition_band(sheet());
  band.check();
  CHECK(band.at_zero == sheet().band_at_zero);
  CHECK(band.per_plate_volt == sheet().band_per_volt);
  CHECK(band.knee_share == 0.3);
}

TEST_CASE("data that contradict a law's range are refused by law and field") {
  const auto with = [](Datum TubeData::*field, double value) {
    TubeData d = sheet();
    d.*field = made_up(value);
    return refusal::of([&] { static_cast<void>(catalogue::build(d)); });
  };
  CHECK(with(&TubeData::arc_drop, 8.0) == "accepted");
  CHECK(with(&TubeData::arc_drop, 0.0) == "linear drop: drop");
  CHECK(with(&TubeData::control_ratio, -250.0) == "control line: control_ratio");
  CHECK(with(&TubeData::deionisation_constant, 0.0) == "sheath afterglow: time_constant");
  CHECK(with(&TubeData::peak_inverse, 0.0) == "ratings: peak_inverse");
  CHECK(with(&TubeData::grid_shield_capacitance, 500.0) == "tube capacitances: grid_cathode");
}
