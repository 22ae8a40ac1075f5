// SPDX-License-Identifier: MIT
#pragma once
/// The laws that every tube obeys, whatever its characteristics are and whatever number type it computes with:
///
///   check_tube_laws(my_tube, seed);
///
/// Numbers with derivatives are welcome; then slopes are compared with the derivatives, and these must be finite as
/// well.

#include <gastube/tube/hosted_tube.hpp>
#include <gastube/tube/machine.hpp>

#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <random>
#include <string>
#include <type_traits>

namespace tube_laws {

using namespace gastube;

/// A number with the derivative 1 with respect to quantity `index`, where the scalar carries derivatives.
template <class S>
[[nodiscard]] S quantity(long double value, std::size_t index) {
  if constexpr (is_plain<S>)
    return S(value);
  else
    return S::variable(Plain<S>(value), index);
}

/// Value and all derivatives are finite.
template <class S>
[[nodiscard]] bool all_finite(const S& x) {
  if constexpr (!is_plain<S>)
    for (const Plain<S> partial : x.partials())
      if (!std::isfinite(partial)) return false;
  return std::isfinite(value_of(x));
}
template <class S, class... More>
[[nodiscard]] bool all_finite(const S& first, const More&... more) {
  return all_finite(first) && all_finite(more...);
}

/// One thing a tube may be asked about, made of plain numbers.
struct Situation {
  TubeState state = TubeState::blocked;
  long double time = 0, plate = 0, grid = 0, shield = 0, current = 0, residual = 0, formation = 0;
  long double feed_resistance = 0, feed_voltage = 1e30L, steady_resistance = 0;
  bool reversed = false;

  template <class S>
  [[nodiscard]] TubeView<S> view() const {
    return {S(time),
            {quantity<S>(plate, 0), quantity<S>(grid, 1), quantity<S>(shield, 2)},
            quantity<S>(current, 3),
            S(residual),
            S(formation)};
  }
  template <class S>
  [[nodiscard]] TubeMemory<S> memory() const {
    return {state, S(0), {S(feed_resistance), S(feed_voltage), S(steady_resistance)}, reversed};
  }
  [[nodiscard]] std::string text() const {
    char line[240];
    std::snprintf(line, sizeof line,
                  "%s: time %Lg, plate %.17Lg, grid %.17Lg, shield %.17Lg, current %Lg, residual %Lg, formation %Lg",
                  name(state), time, plate, grid, shield, current, residual, formation);
    return line;
  }
};

/// What a tube is made for: so far do voltages and times go.
struct Range {
  long double volts = 700, seconds = 60;
};
template <class Tube>
[[nodiscard]] Range range_of(const Tube& tube) {
  Range range;
  if constexpr (!Tube::cold_cathode) {
    const auto inverse = static_cast<long double>(value_of(tube.laws().inverse.voltage));
    if (is_limited(inverse)) range.volts = std::max(range.volts, 1.2L * std::min(inverse, 1e5L));
    range.seconds = std::max(60.0L, 2 * static_cast<long double>(value_of(tube.laws().cathode.heating_time())));
  }
  return range;
}

/// Draws situations: most within what tubes see, some at special points or beyond all reason.
class Draw {
 public:
  template <class Tube>
  Draw(const Tube& tube, unsigned long long seed) : random_(seed), range_(range_of(tube)) {}

  [[nodiscard]] long double between(long double low, long double high) {
    return low + (high - low) * (static_cast<long double>(random_() >> 11) * 0x1p-53L);
  }
  /// Volts for an electrode, to `span` either way; if `wild`, now and then zero, tiny, or a million.
  [[nodiscard]] long double volts(long double span, bool wild) {
    constexpr std::array<long double, 8> extremes{0, -0.0L, 1e-8L, -1e-8L, 1e6L, -1e6L, 1e-300L, 12.1298437L};
    if (wild && between(0, 1) < 0.25L) return extremes[std::size_t(between(0, 7.999L))];
    return between(-span, span);
  }
  /// A situation of a tube with this table of transitions.
  template <std::size_t N>
  [[nodiscard]] Situation situation(const std::array<Transition, N>& table, bool wild) {
    Situation s;
    s.state = table[std::size_t(between(0, N - 0.001L))].from;
    s.reversed = between(0, 1) < 0.5L;
    s.time = between(-range_.seconds / 3, range_.seconds);
    s.plate = volts(between(0, 1) < 0.5L ? 700 : range_.volts, wild);
    s.grid = volts(100, wild);
    s.shield = volts(20, wild);
    s.current = wild && between(0, 1) < 0.1L ? between(-1e6L, 1e6L) : between(-1, 10);
    s.residual = between(0, 1) < 0.3L ? 0 : std::pow(10.0L, between(-12, 2));
    s.formation = between(0, 1.2L);
    if (between(0, 1) < 0.5L) return s;
    s.feed_resistance = between(0, 1e5L);
    s.feed_voltage = between(-1e3L, 1e3L);
    s.steady_resistance = between(0, 1e9L);
    return s;
  }

 private:
  std::mt19937_64 random_;
  Range range_;
};

/// Counts failures and keeps the first, so that thousands of trials cost one assertion.
class Tally {
 public:
  void expect(bool holds, const char* what, const Situation& at) {
    if (!holds && failures_++ == 0) first_ = std::string(what) + " at " + at.text();
  }
  void expect(bool holds, const char* what, const char* where) {
    if (!holds && failures_++ == 0) first_ = std::string(what) + ": " + where;
  }
  void report(const char* law) const {
    CAPTURE(std::string(law));
    CAPTURE(first_);
    CHECK(failures_ == 0);
  }

 private:
  long failures_ = 0;
  std::string first_;
};

/// Guards, rates, currents and drops are numbers for all finite voltages and currents.
template <class Tube>
void check_finite(const Tube& tube, Draw draw) {
  using S = typename Tube::Scalar;
  Tally tally;
  for (int k = 0; k < 20000; ++k) {
    const Situation at = draw.situation(Tube::transitions, true);
    const TubeView<S> view = at.view<S>();
    const TubeMemory<S> memory = at.memory<S>();
    bool finite = true;
    for (std::size_t exit = 0; exit < most_exits(Tube::transitions); ++exit)
      finite = finite && all_finite(tube.guard(exit, view, memory));
    tally.expect(finite, "guard", at);
    tally.expect(all_finite(tube.formation_rate(view, memory), tube.residual_source(view, memory)), "rate", at);
    const GridPaths<S> grid = tube.grid_paths(view, memory);
    tally.expect(all_finite(grid.to_cathode, grid.to_cathode_by_grid, grid.from_plate, grid.from_plate_by_plate,
                            grid.from_plate_by_grid, grid.from_plate_by_plate_current),
                 "grid current", at);
    const SlopedCurrent<S> dark = tube.dark_current(view, memory);
    tally.expect(all_finite(dark.current, dark.by_plate, dark.by_grid, dark.by_shield), "dark current", at);
    const SlopedVoltage<S> arc = tube.arc(view.plate_current, memory);
    tally.expect(all_finite(arc.voltage, arc.slope), "arc drop", at);
  }
  tally.report("guards and currents are finite for all finite inputs");
}

/// Compares stated slopes with what the currents and the drop do when one voltage or the plate current varies.
template <class Tube>
class SlopeCheck {
 public:
  using S = typename Tube::Scalar;

  SlopeCheck(const Tube& tube, Tally& tally, const Situation& at) : tube_(tube), tally_(tally), at_(at) {}

  void run() {
    const SlopedCurrent<S> dark = this->dark(at_);
    check([&](const Situation& s) { return this->dark(s).current; },
          {dark.by_plate, dark.by_grid, dark.by_shield, S(0)}, "slope of the dark current");
    const GridPaths<S> grid = this->grid(at_);
    check([&](const Situation& s) { return this->grid(s).to_cathode; }, {S(0), grid.to_cathode_by_grid, S(0), S(0)},
          "slope of the grid-cathode current");
    check([&](const Situation& s) { return this->grid(s).from_plate; },
          {grid.from_plate_by_plate, grid.from_plate_by_grid, S(0), grid.from_plate_by_plate_current},
          "slope of the plate-grid current");
    check([&](const Situation& s) { return arc(s).voltage; }, {S(0), S(0), S(0), arc(at_).slope}, "slope of the drop");
  }

 private:
  [[nodiscard]] auto dark(const Situation& s) const { return tube_.dark_current(s.view<S>(), s.memory<S>()); }
  [[nodiscard]] auto grid(const Situation& s) const { return tube_.grid_paths(s.view<S>(), s.memory<S>()); }
  [[nodiscard]] auto arc(const Situation& s) const { return tube_.arc(s.view<S>().plate_current, s.memory<S>()); }

  template <class Function>
  void check(Function&& f, const std::array<S, 4>& stated, const char* what) {
    if constexpr (is_plain<S>) {
      constexpr std::array<long double Situation::*, 4> inputs{&Situation::plate, &Situation::grid, &Situation::shield,
                                                               &Situation::current};
      S blur(0);  // inputs that cancel leave their rounding behind
      for (std::size_t k = 0; k < inputs.size(); ++k)
        blur += S(2) * round_off<S> * std::fabs(stated[k] * S(at_.*inputs[k]));
      for (std::size_t k = 0; k < inputs.size(); ++k) {
        const auto along = [&](S value) {
          Situation moved = at_;
          moved.*inputs[k] = static_cast<long double>(value);
          return f(moved);
        };
        tally_.expect(slopes::agrees(along, S(at_.*inputs[k]), stated[k], blur), what, at_);
      }
    } else {
      const S value = f(at_);
      for (std::size_t k = 0; k < stated.size(); ++k) {
        const auto gap = std::fabs(value.partial(k) - stated[k].value());
        // Differentiating a quotient cancels digits that the stated slope keeps: three or four at hundreds of volts.
        tally_.expect(gap <= 1e4 * round_off<S> * (std::fabs(stated[k].value()) + round_off<S>), what, at_);
      }
    }
  }

  const Tube& tube_;
  Tally& tally_;
  const Situation& at_;
};

template <class Tube>
void check_slopes(const Tube& tube, Draw draw) {
  Tally tally;
  for (int k = 0; k < 2000; ++k) {
    const Situation at = draw.situation(Tube::transitions, false);
    SlopeCheck<Tube>(tube, tally, at).run();
  }
  tally.report("stated slopes are the derivatives");
}

/// A tube gives no power to its circuit, and its currents have the sign of their voltages. Lit tubes are looked at
/// where they burn: at or above the sustaining current, at the plate voltage of that current.
///
/// A grid slightly negative: a real one still catches the fastest electrons of a hot cathode (retarding-field current,
/// against its voltage, so that it delivers some nanowatts taken from the heater). The grid laws here leave this
/// out: a negative grid only leaks and collects ions, and the tube is passive at every grid voltage.
template <class Tube>
void check_passive(const Tube& tube, Draw draw) {
  using S = typename Tube::Scalar;
  Tally tally;
  for (int k = 0; k < 5000; ++k) {
    Situation at = draw.situation(Tube::transitions, false);
    if (is_lit(at.state)) {
      at.current = static_cast<long double>(value_of(S(tube.least_current()))) + std::fabs(at.current);
      const bool backwards = value_of(tube.arc(S(at.current), at.memory<S>()).voltage) < 0;
      if (backwards) at.current = -at.current;
      at.plate = static_cast<long double>(value_of(tube.arc(S(at.current), at.memory<S>()).voltage));
    }
    const TubeView<S> view = at.view<S>();
    const GridPaths<S> paths = tube.grid_paths(view, at.memory<S>());
    const S through = is_lit(at.state) ? view.plate_current : tube.dark_current(view, at.memory<S>()).current;
    const auto plate_power = value_of(S(view.at.plate * (through + paths.from_plate)));
    const auto grid_power = value_of(S(view.at.grid * (paths.to_cathode - paths.from_plate)));
    const auto noise = 8 * round_off<S> * (std::fabs(plate_power) + std::fabs(grid_power));
    tally.expect(plate_power + grid_power >= -noise, "power given to the circuit", at);
    tally.expect(value_of(S(view.at.plate * through)) >= 0, "plate current against its voltage", at);
    tally.expect(value_of(S(view.at.grid * paths.to_cathode)) >= 0, "grid electrons against their voltage", at);
    tally.expect(value_of(paths.from_plate) >= 0, "ion current of the wrong sign", at);
  }
  tally.report("the tube is passive");
}

/// Hot-cathode tubes: more plate voltage, a more positive shield grid and more residual ionisation never make ignition
/// harder.
template <class Tube>
void check_monotone(const Tube& tube, Draw draw) {
  using S = typename Tube::Scalar;
  Tally tally;
  for (int k = 0; k < 5000; ++k) {
    const Situation at = draw.situation(Tube::transitions, true);
    const auto critical = [&](long double plate, long double shield, long double residual) {
      return value_of(tube.critical_grid({S(plate), S(at.grid), S(shield)}, S(residual)));
    };
    const auto here = critical(at.plate, at.shield, at.residual);
    const auto noise = 8 * round_off<S> * (1 + std::fabs(here));
    const long double more = std::pow(10.0L, draw.between(-6, 3));
    tally.expect(critical(at.plate + more, at.shield, at.residual) <= here + noise, "harder with more plate", at);
    tally.expect(critical(at.plate, at.shield + more, at.residual) <= here + noise, "harder with more shield", at);
    tally.expect(critical(at.plate, at.shield, at.residual + more) <= here + noise, "harder with ionisation left", at);
  }
  tally.report("the critical grid voltage is monotone");
}

/// Every row of the table can happen: somewhere its guard has fallen, and by it the state is left.
template <class Tube>
void check_rows(const Tube& tube, Draw draw) {
  using S = typename Tube::Scalar;
  Tally tally;
  for (const Transition& row : Tube::transitions) {
    if (row.cause == Cause::current_awaited) continue;  // taken in place of another
    std::size_t exit = 0;
    while (exit_of(Tube::transitions, row.from, exit) != &row) ++exit;
    Situation at;
    bool happens = false;
    for (int k = 0; k < 100000 && !happens; ++k) {
      at = draw.situation(Tube::transitions, true);
      at.state = row.from;
      happens = value_of(tube.guard(exit, at.view<S>(), at.memory<S>())) <= 0;
    }
    tally.expect(happens, name(row.cause), "never happens");
    TubeMemory<S> memory = at.memory<S>();
    S residual = S(at.residual), formation = S(at.formation);
    tube.leave(exit, at.view<S>(), memory, residual, formation);
    tally.expect(memory.state == row.to && all_finite(residual, formation), name(row.cause), "leads elsewhere");
  }
  tally.report("every row of the table can happen");
}

/// Through the whole life of a hot-cathode tube, driven from its terminals: every state is entered, in this order.
template <class Tube>
void check_life(const Tube& tube) {
  using S = typename Tube::Scalar;
  Tally tally;
  HostedTube<Tube> hosted(tube, S(0), false);
  const auto reaches = [&](TubeState state, const Conditions<S>& at, S longest) {
    for (int changes = 0; changes < 4 && hosted.state() != state; ++changes) hosted.advance(at, longest, 1);
    tally.expect(hosted.state() == state, name(state), "not entered");
  };
  const S rated = tube.laws().ratings.peak_forward;
  const S beyond = S(-2) * tube.laws().inverse.voltage, plate = is_limited(rated) ? S(rated / S(2)) : S(200);
  const S critical = tube.critical_grid({plate, S(-20), S(0)}, S(0));
  const Conditions<S> held{plate, critical - S(5), S(0)}, fires{plate, critical + S(20), S(0)}, off{S(0), S(-20), S(0)};
  reaches(TubeState::blocked, held, tube.laws().cathode.heating_time());
  reaches(TubeState::striking, fires, S(0));
  reaches(TubeState::conducting, fires, S(1));
  reaches(TubeState::recovering, off, S(0));
  reaches(TubeState::blocked, off, S(1));
  reaches(TubeState::reverse_breakdown, {beyond, S(-20), S(0)}, S(0));
  reaches(TubeState::recovering, off, S(0));
  tally.report("every state is entered in the course of a tube's life");
}

template <class Tube, class Laws>
[[nodiscard]] bool refused(const Laws& laws) {
  try {
    static_cast<void>(Tube(laws, "spoilt"));
  } catch (const InvalidParameter&) { return true; }
  return false;
}

/// No field of any law may be NaN. Laws that are plain structs of scalars are spoilt scalar by scalar.
template <class Tube, class Laws, class Law>
void check_law_refuses_nan(Laws laws, Law Laws::*law, const char* what, Tally& tally) {
  using S = typename Tube::Scalar;
  if constexpr (!std::is_empty_v<Law> && std::is_aggregate_v<Law>) {
    static_assert(std::is_trivially_copyable_v<Law> && sizeof(Law) % sizeof(S) == 0, "not a struct of scalars");
    const S nan(std::numeric_limits<Plain<S>>::quiet_NaN());
    const Law sound = laws.*law;
    for (std::size_t k = 0; k < sizeof(Law) / sizeof(S); ++k) {
      laws.*law = sound;
      std::memcpy(reinterpret_cast<unsigned char*>(&(laws.*law)) + k * sizeof(S), &nan, sizeof(S));
      tally.expect(refused<Tube>(laws), what, ("scalar number " + std::to_string(k) + " may be NaN").c_str());
    }
  }
}
template <class Tube>
void check_nan_refused(const Tube& tube) {
  const auto laws = tube.laws();
  using Laws = std::remove_const_t<decltype(laws)>;
  Tally tally;
  tally.expect(!refused<Tube>(laws), "the tube itself", "refused");
  // A family has those of these laws that it needs.
#define GASTUBE_SPOIL(law)                                                                                             \
  if constexpr (requires { &Laws::law; }) check_law_refuses_nan<Tube>(laws, &Laws::law, #law, tally)
  GASTUBE_SPOIL(ignition);
  GASTUBE_SPOIL(shield);
  GASTUBE_SPOIL(delay);
  GASTUBE_SPOIL(arc);
  GASTUBE_SPOIL(fall);
  GASTUBE_SPOIL(sustaining);
  GASTUBE_SPOIL(recovery);
  GASTUBE_SPOIL(grid);
  GASTUBE_SPOIL(electrons);
  GASTUBE_SPOIL(afterglow);
  GASTUBE_SPOIL(cathode);
  GASTUBE_SPOIL(inverse);
  GASTUBE_SPOIL(capacitances);
  GASTUBE_SPOIL(ratings);
#undef GASTUBE_SPOIL
  tally.report("NaN is refused in every field");
}

}  // namespace tube_laws

/// Checks all laws on one tube, with random situations of this seed.
template <class Tube>
void check_tube_laws(const Tube& tube, unsigned long long seed) {
  CAPTURE(std::string(tube.type()));
  CAPTURE(seed);
  tube_laws::check_finite(tube, tube_laws::Draw(tube, seed));
  tube_laws::check_slopes(tube, tube_laws::Draw(tube, seed));
  tube_laws::check_passive(tube, tube_laws::Draw(tube, seed));
  if constexpr (!Tube::cold_cathode) tube_laws::check_monotone(tube, tube_laws::Draw(tube, seed));
  tube_laws::check_rows(tube, tube_laws::Draw(tube, seed));
  tube_laws::check_nan_refused(tube);
  if constexpr (gastube::is_plain<typename Tube::Scalar> && !Tube::cold_cathode) tube_laws::check_life(tube);
}
