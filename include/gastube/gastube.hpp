// SPDX-License-Identifier: MIT
#pragma once
/// The whole library, but for what is opt-in (adapt/).

#if !defined(__cplusplus) || __cplusplus < 202002L
#error "gastube needs C++20: compile with -std=c++20 or later"
#endif

#include "gastube/catalogue/catalogue.hpp"
#include "gastube/circuit/capacitor.hpp"
#include "gastube/circuit/contact.hpp"
#include "gastube/circuit/inductor.hpp"
#include "gastube/circuit/recorder.hpp"
#include "gastube/circuit/resistor.hpp"
#include "gastube/circuit/sources.hpp"
#include "gastube/circuit/voltmeter.hpp"
#include "gastube/design/lamp_latch.hpp"
#include "gastube/gas/ionisation.hpp"
#include "gastube/gas/recombination.hpp"
#include "gastube/gas/secondary_emission.hpp"
#include "gastube/tube/arc/disintegration.hpp"
#include "gastube/tube/cathode/heater.hpp"
#include "gastube/tube/cathode/heater_connection.hpp"
#include "gastube/tube/family/ideal.hpp"
#include "gastube/tube/family/relaxation.hpp"
#include "gastube/tube/grid/grid_emission.hpp"
#include "gastube/tube/grid/pick_up.hpp"
#include "gastube/tube/hosted_tube.hpp"
#include "gastube/tube/ignition/shield_family.hpp"
#include "gastube/tube/ratings/commutation_factor.hpp"
#include "gastube/tube/recovery/diffusion_afterglow.hpp"
#include "gastube/tube/recovery/exponential_recovery.hpp"
#include "gastube/tube/recovery/hold_off.hpp"
