// SPDX-License-Identifier: MIT
#pragma once
/// The states of a hot-cathode tube and the table of its transitions, to be read beside a textbook's page.

#include <array>
#include <cstddef>

namespace gastube {

enum class TubeState {
  cold,               ///< the cathode is not ready
  blocked,            ///< the grid holds; only the electron current flows
  striking,           ///< over-critical; the discharge forms, or waits for a circuit that can feed it
  conducting,         ///< the arc burns, the grid has lost control
  recovering,         ///< out, with ionisation left
  reverse_breakdown,  ///< arc-back under too much inverse voltage
};

[[nodiscard]] constexpr const char* name(TubeState state) {
  switch (state) {
  case TubeState::cold: return "cold";
  case TubeState::blocked: return "blocked";
  case TubeState::striking: return "striking";
  case TubeState::conducting: return "conducting";
  case TubeState::recovering: return "recovering";
  case TubeState::reverse_breakdown: return "reverse breakdown";
  }
  return "unknown";
}

/// Why a tube changes state: the guard that fell.
enum class Cause {
  cathode_ready,
  overcritical,
  subcritical,
  arc_formed,
  current_lost,
  deionised,
  inverse_exceeded,
  inverse_current_lost,
};

[[nodiscard]] constexpr const char* name(Cause cause) {
  switch (cause) {
  case Cause::cathode_ready: return "cathode ready";
  case Cause::overcritical: return "grid above critical voltage";
  case Cause::subcritical: return "grid below critical voltage again";
  case Cause::arc_formed: return "discharge formed and fed";
  case Cause::current_lost: return "current below sustaining current";
  case Cause::deionised: return "deionised";
  case Cause::inverse_exceeded: return "inverse voltage beyond breakdown";
  case Cause::inverse_current_lost: return "inverse current gone";
  }
  return "unknown";
}

struct Transition {
  TubeState from;
  Cause cause;
  TubeState to;
};

/// The whole machine. Rows of one state stand in the order in which they are tried at one instant.
inline constexpr std::array<Transition, 9> tube_transitions{{
    // from                         when                          to
    {TubeState::cold, Cause::cathode_ready, TubeState::blocked},
    {TubeState::blocked, Cause::overcritical, TubeState::striking},
    {TubeState::blocked, Cause::inverse_exceeded, TubeState::reverse_breakdown},
    {TubeState::striking, Cause::arc_formed, TubeState::conducting},
    {TubeState::striking, Cause::subcritical, TubeState::recovering},
    {TubeState::conducting, Cause::current_lost, TubeState::recovering},
    {TubeState::recovering, Cause::overcritical, TubeState::striking},
    {TubeState::recovering, Cause::deionised, TubeState::blocked},
    {TubeState::reverse_breakdown, Cause::inverse_current_lost, TubeState::recovering},
}};

/// Most rows that leave one state.
inline constexpr std::size_t most_exits = 2;

/// The row by which exit number `exit` leaves `state`, or null.
[[nodiscard]] constexpr const Transition* exit_of(TubeState state, std::size_t exit) {
  for (const Transition& row : tube_transitions)
    if (row.from == state && exit-- == 0) return &row;
  return nullptr;
}

}  // namespace gastube
