// SPDX-License-Identifier: MIT
#pragma once
/// Every row of the fidelity table, by subject. A new array of rows is one more line here.

#include "fidelity/arc_rows.hpp"
#include "fidelity/delay_rows.hpp"
#include "fidelity/gas_rows.hpp"
#include "fidelity/glow_rows.hpp"
#include "fidelity/grid_rows.hpp"
#include "fidelity/hydrogen_rows.hpp"
#include "fidelity/ignition_rows.hpp"
#include "fidelity/recovery_rows.hpp"
#include "fidelity/trigger_rows.hpp"

#include <array>
#include <span>

namespace published {

struct Subject {
  const char* name;
  std::span<const Row> rows;
};

inline const std::array subjects{
    Subject{"breakdown, formula", breakdown_formula},
    Subject{"breakdown, measured minima", breakdown_minima},
    Subject{"Townsend coefficients", townsend_in_si},
    Subject{"secondary emission", secondary_emission},
    Subject{"ionisation by electrons", ionisation},
    Subject{"transport", transport},
    Subject{"afterglow", afterglow},
    Subject{"recombination", recombination},
    Subject{"mercury vapour", vapour_table},
    Subject{"sheaths", sheath},
    Subject{"emission", emission},
    Subject{"ignition", firing::control_characteristic},
    Subject{"ignition of mercury tubes", firing::vapour_ignition},
    Subject{"firing delay", delays::firing_delay},
    Subject{"plate fall", delays::plate_fall},
    Subject{"jitter", delays::jitter},
    Subject{"arc drop", arcs::arc_drop},
    Subject{"arc drop of mercury tubes", arcs::vapour_drop},
    Subject{"emission limit", arcs::emission_limit},
    Subject{"disintegration", arcs::disintegration_voltage},
    Subject{"commutation factor", arcs::commutation_factor},
    Subject{"recovery, power law", recovery::power_law},
    Subject{"recovery, small tetrodes", recovery::tetrodes},
    Subject{"recovery, afterglow", recovery::afterglows},
    Subject{"recovery, trends", recovery::trends},
    Subject{"grid", grid::probe_grid},
    Subject{"pulse ratings", pulses::pulse_ratings},
    Subject{"positive grid", pulses::positive_grid},
    Subject{"glow lamps, flashing", glow_tubes::flashes},
    Subject{"normal current density", glow_tubes::densities},
    Subject{"glow lamps, current", glow_tubes::feeds},
    Subject{"glow, from the gas", glow_tubes::from_the_gas},
    Subject{"trigger tubes", trigger_tubes::rows},
};

}  // namespace published
