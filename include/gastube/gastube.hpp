// SPDX-License-Identifier: MIT
#pragma once
/// The whole library, but for what is opt-in (adapt/).

#if !defined(__cplusplus) || __cplusplus < 202002L
#error "gastube needs C++20: compile with -std=c++20 or later"
#endif

#include "gastube/catalogue/xenon.hpp"
#include "gastube/circuit/capacitor.hpp"
#include "gastube/circuit/contact.hpp"
#include "gastube/circuit/filament_lamp.hpp"
#include "gastube/circuit/inductor.hpp"
#include "gastube/circuit/recorder.hpp"
#include "gastube/circuit/resistor.hpp"
#include "gastube/circuit/run.hpp"
#include "gastube/circuit/sources.hpp"
#include "gastube/circuit/voltmeter.hpp"
#include "gastube/design/lamp_latch.hpp"
#include "gastube/tube/family/ideal.hpp"
#include "gastube/tube/hosted_tube.hpp"
