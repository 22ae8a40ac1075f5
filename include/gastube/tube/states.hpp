// SPDX-License-Identifier: MIT
#pragma once
/// The states of gas tubes and the tables of their transitions, to be read beside a textbook's page.

#include <array>
#include <cstddef>

namespace gastube {

enum class TubeState {
  cold,               ///< the cathode is not ready
  blocked,            ///< hot cathode, the grid holds; only the electron current flows
  dark,               ///< cold cathode, no discharge
  trigger_glow,       ///< the trigger gap burns, the main gap does not yet
  striking,           ///< over-critical; the discharge forms, or waits for a circuit that can feed it
  conducting,         ///< the arc (in a trigger tube, the main glow) burns, the grid has lost control
  starting,           ///< an arc whose sustaining current is on its way, through a coil: the grid still keeps it alight
  glow,               ///< normal glow: the cathode is covered in part, the voltage hardly depends on the current
  abnormal_glow,      ///< the whole cathode glows, the voltage rises with the current
  arc,                ///< a glow tube driven into an arc: it is being destroyed
  recovering,         ///< out, with ionisation left
  reverse_breakdown,  ///< arc-back under too much inverse voltage
};

[[nodiscard]] constexpr const char* name(TubeState state) {
  switch (state) {
  case TubeState::cold: return "cold";
  case TubeState::blocked: return "blocked";
  case TubeState::dark: return "dark";
  case TubeState::trigger_glow: return "trigger glow";
  case TubeState::striking: return "striking";
  case TubeState::conducting: return "conducting";
  case TubeState::starting: return "starting";
  case TubeState::glow: return "glow";
  case TubeState::abnormal_glow: return "abnormal glow";
  case TubeState::arc: return "arc";
  case TubeState::recovering: return "recovering";
  case TubeState::reverse_breakdown: return "reverse breakdown";
  }
  return "unknown";
}

/// True where the plate-cathode path follows a law of voltage against current.
[[nodiscard]] constexpr bool is_lit(TubeState state) {
  switch (state) {
  case TubeState::conducting:
  case TubeState::starting:
  case TubeState::glow:
  case TubeState::abnormal_glow:
  case TubeState::arc:
  case TubeState::reverse_breakdown: return true;
  default: return false;
  }
}

/// Why a tube changes state: the guard that fell.
enum class Cause {
  cathode_ready,
  overcritical,
  subcritical,
  arc_formed,
  current_awaited,
  current_reached,
  current_lost,
  deionised,
  inverse_exceeded,
  inverse_current_lost,
  trigger_struck,
  trigger_lost,
  cathode_covered,
  cathode_uncovered,
  glow_to_arc,
};

[[nodiscard]] constexpr const char* name(Cause cause) {
  switch (cause) {
  case Cause::cathode_ready: return "cathode ready";
  case Cause::overcritical: return "grid above critical voltage";
  case Cause::subcritical: return "grid below critical voltage again";
  case Cause::arc_formed: return "discharge formed and fed";
  case Cause::current_awaited: return "formed, and its current to come";
  case Cause::current_reached: return "sustaining current reached";
  case Cause::current_lost: return "current below sustaining current";
  case Cause::deionised: return "deionised";
  case Cause::inverse_exceeded: return "inverse voltage beyond breakdown";
  case Cause::inverse_current_lost: return "inverse current gone";
  case Cause::trigger_struck: return "trigger gap above its ignition voltage";
  case Cause::trigger_lost: return "trigger current below its least";
  case Cause::cathode_covered: return "current above the normal glow's";
  case Cause::cathode_uncovered: return "current back in the normal glow's range";
  case Cause::glow_to_arc: return "current beyond the glow";
  }
  return "unknown";
}

struct Transition {
  TubeState from;
  Cause cause;
  TubeState to;
};

/// The machine of a hot-cathode tube. In every table the rows of one state stand in the order in which they are tried
/// at one instant. An arc that has only just formed when its current is found wanting, in a circuit that can feed it
/// steadily, starts instead of going out; that row is never taken by itself.
inline constexpr std::array<Transition, 14> hot_cathode_transitions{{
    // from                         when                          to
    {TubeState::cold, Cause::cathode_ready, TubeState::blocked},
    {TubeState::cold, Cause::inverse_exceeded, TubeState::reverse_breakdown},
    {TubeState::blocked, Cause::overcritical, TubeState::striking},
    {TubeState::blocked, Cause::inverse_exceeded, TubeState::reverse_breakdown},
    {TubeState::striking, Cause::subcritical, TubeState::recovering},
    {TubeState::striking, Cause::arc_formed, TubeState::conducting},
    {TubeState::conducting, Cause::current_lost, TubeState::recovering},
    {TubeState::conducting, Cause::current_awaited, TubeState::starting},
    {TubeState::starting, Cause::current_lost, TubeState::recovering},
    {TubeState::starting, Cause::current_reached, TubeState::conducting},
    {TubeState::recovering, Cause::overcritical, TubeState::striking},
    {TubeState::recovering, Cause::deionised, TubeState::blocked},
    {TubeState::recovering, Cause::inverse_exceeded, TubeState::reverse_breakdown},
    {TubeState::reverse_breakdown, Cause::inverse_current_lost, TubeState::recovering},
}};

/// The machine of a glow lamp or stabiliser.
inline constexpr std::array<Transition, 10> glow_transitions{{
    // from                         when                          to
    {TubeState::dark, Cause::overcritical, TubeState::striking},
    {TubeState::striking, Cause::subcritical, TubeState::recovering},
    {TubeState::striking, Cause::arc_formed, TubeState::glow},
    {TubeState::glow, Cause::current_lost, TubeState::recovering},
    {TubeState::glow, Cause::cathode_covered, TubeState::abnormal_glow},
    {TubeState::abnormal_glow, Cause::cathode_uncovered, TubeState::glow},
    {TubeState::abnormal_glow, Cause::glow_to_arc, TubeState::arc},
    {TubeState::arc, Cause::current_lost, TubeState::recovering},
    {TubeState::recovering, Cause::overcritical, TubeState::striking},
    {TubeState::recovering, Cause::deionised, TubeState::dark},
}};

/// The machine of a cold-cathode trigger tube: the trigger starts the main gap and cannot stop it.
inline constexpr std::array<Transition, 10> trigger_transitions{{
    // from                         when                          to
    {TubeState::dark, Cause::overcritical, TubeState::striking},
    {TubeState::dark, Cause::trigger_struck, TubeState::trigger_glow},
    {TubeState::trigger_glow, Cause::overcritical, TubeState::striking},
    {TubeState::trigger_glow, Cause::trigger_lost, TubeState::recovering},
    {TubeState::striking, Cause::subcritical, TubeState::recovering},
    {TubeState::striking, Cause::arc_formed, TubeState::conducting},
    {TubeState::conducting, Cause::current_lost, TubeState::recovering},
    {TubeState::recovering, Cause::overcritical, TubeState::striking},
    {TubeState::recovering, Cause::trigger_struck, TubeState::trigger_glow},
    {TubeState::recovering, Cause::deionised, TubeState::dark},
}};

/// Most rows of one table that leave one state.
template <std::size_t N>
[[nodiscard]] constexpr std::size_t most_exits(const std::array<Transition, N>& table) {
  std::size_t most = 0;
  for (const Transition& one : table) {
    std::size_t exits = 0;
    for (const Transition& other : table) exits += other.from == one.from ? 1 : 0;
    most = exits > most ? exits : most;
  }
  return most;
}

/// The state in which a discharge that has formed burns.
template <std::size_t N>
[[nodiscard]] constexpr TubeState burning_state(const std::array<Transition, N>& table) {
  for (const Transition& row : table)
    if (row.cause == Cause::arc_formed) return row.to;
  return TubeState::conducting;
}

/// The row by which exit number `exit` leaves `state`, or null.
template <std::size_t N>
[[nodiscard]] constexpr const Transition* exit_of(const std::array<Transition, N>& table, TubeState state,
                                                  std::size_t exit) {
  for (const Transition& row : table)
    if (row.from == state && exit-- == 0) return &row;
  return nullptr;
}

}  // namespace gastube
