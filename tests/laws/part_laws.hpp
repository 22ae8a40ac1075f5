// SPDX-License-Identifier: MIT
#pragma once
/// What holds for every part of a circuit, whatever it is. A part passes by one line for each law:
///   check_equations(part)           slopes are those of the currents and charges written; currents into its nodes sum
///   to
///                                   nothing; only voltage differences count
///   check_passive(part)             at any drive through resistors it absorbs power or passes it on, and gives none
///   check_schedule(part, until)     corners come in order, and a memory asked late equals one that passed them all
///   check_refusals(...)             a parameter outside its range is refused by part and field

#include <gastube/circuit/circuit.hpp>
#include <gastube/support/lu.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <random>
#include <string>
#include <vector>

namespace laws {

using gastube::Node;

inline constexpr std::uint64_t seed = 20250314;

/// One part by itself: nodes 1 to the greatest it names, then its own unknowns, then its followers.
template <class Part>
class Alone {
 public:
  using S = typename Part::Scalar;
  using Memory = typename gastube::detail::MemoryOf<Part>::type;
  static constexpr std::size_t own = gastube::detail::own_unknowns_of<Part>;
  static constexpr std::size_t followers = gastube::detail::followers_of<Part>;

  Alone(const Part& part, const Memory& memory) : part_(part), memory_(memory) {
    for (const Node node : part.terminals()) nodes_ = std::max(nodes_, static_cast<std::size_t>(node));
    x.resize(size(), S(0));
    y.resize(followers + 1, S(0));
  }

  [[nodiscard]] std::size_t nodes() const { return nodes_; }
  [[nodiscard]] std::size_t size() const { return nodes_ + own; }
  [[nodiscard]] const Part& part() const { return part_; }

  struct Written {
    std::vector<S> charges, currents, slopes;
  };
  /// What the part writes at the present x and y; slopes of currents weigh alpha, those of charges 1.
  [[nodiscard]] Written write(S alpha) const {
    Written w{std::vector<S>(size()), std::vector<S>(size()), std::vector<S>(size() * size())};
    const std::vector<S> base(size(), S(0));
    gastube::Equations<S> equations(size(), x.data(), base.data(), alpha, w.charges.data(), w.currents.data(),
                                    w.slopes.data());
    gastube::PartEquations<S> view({time, x.data(), y.data()}, {nodes_, 0}, equations);
    part_.write(view, memory_);
    return w;
  }
  [[nodiscard]] gastube::PartView<S> view() const { return {{time, x.data(), y.data()}, {nodes_, 0}}; }

  S time = S(0);
  std::vector<S> x, y;

 private:
  Part part_;
  Memory memory_;
  std::size_t nodes_ = 0;
};

/// A memory the part may start with.
template <class Part>
[[nodiscard]] auto first_memory(const Part& part) {
  if constexpr (requires { part.memory(typename Part::Scalar(0)); })
    return part.memory(typename Part::Scalar(0));
  else
    return typename gastube::detail::MemoryOf<Part>::type{};
}

/// Round-off of a sum of terms as large as these currents, and no smaller than one unit.
template <class S>
[[nodiscard]] S round_off_of(const std::vector<S>& values) {
  S sum(1);
  for (const S& value : values) sum += std::fabs(value);
  return S(64) * std::numeric_limits<S>::epsilon() * sum;
}

template <class Part>
void check_slopes(Alone<Part> alone) {
  using S = typename Part::Scalar;
  const auto flows = alone.write(S(1)), charges = alone.write(S(0));
  for (std::size_t row = 0; row < alone.size(); ++row)
    for (std::size_t column = 0; column < alone.size(); ++column) {
      CAPTURE(row);
      CAPTURE(column);
      const S at = alone.x[column], by_charge = charges.slopes[row * alone.size() + column];
      const S by_flow = flows.slopes[row * alone.size() + column] - by_charge;
      const auto flow = [&](S value) {
        alone.x[column] = value;
        return alone.write(S(1)).currents[row];
      };
      const auto charge = [&](S value) {
        alone.x[column] = value;
        return alone.write(S(1)).charges[row];
      };
      CHECK(slopes::agrees(flow, at, by_flow));
      CHECK(slopes::agrees(charge, at, by_charge));
      alone.x[column] = at;
    }
}

/// Kirchhoff: what enters at one node leaves at another, currents, charges and their slopes alike. No node may be
/// ground.
template <class Part>
void check_no_current_is_lost(const Alone<Part>& alone) {
  using S = typename Part::Scalar;
  const auto w = alone.write(S(1));
  S current(0), charge(0);
  for (std::size_t row = 0; row < alone.nodes(); ++row) {
    current += w.currents[row];
    charge += w.charges[row];
  }
  CHECK(std::fabs(current) <= round_off_of(w.currents));
  CHECK(std::fabs(charge) <= round_off_of(w.charges));
  for (std::size_t column = 0; column < alone.size(); ++column) {
    S slope(0);
    for (std::size_t row = 0; row < alone.nodes(); ++row) slope += w.slopes[row * alone.size() + column];
    CHECK(std::fabs(slope) <= round_off_of(w.slopes));
  }
}

/// Lifting all nodes together changes nothing.
template <class Part>
void check_only_differences_count(const Alone<Part>& alone) {
  using S = typename Part::Scalar;
  const auto w = alone.write(S(1));
  for (std::size_t row = 0; row < alone.size(); ++row) {
    S slope(0);
    for (std::size_t column = 0; column < alone.nodes(); ++column) slope += w.slopes[row * alone.size() + column];
    CHECK(std::fabs(slope) <= round_off_of(w.slopes));
  }
}

/// The three laws above at random states.
/// @param spread V and A within which node voltages and own unknowns are drawn; own unknowns from `own_low` on
template <class Part>
void check_equations(const Part& part, const typename Alone<Part>::Memory& memory, double spread = 60,
                     double own_low = -1) {
  using S = typename Part::Scalar;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(-spread, spread), own(own_low, 1.5), share(0, 1);
  Alone<Part> alone(part, memory);
  for (int round = 0; round < 40; ++round) {
    CAPTURE(round);
    alone.time = S(share(random));
    for (std::size_t k = 0; k < alone.size(); ++k) alone.x[k] = S(k < alone.nodes() ? volts(random) : own(random));
    for (S& y : alone.y) y = S(share(random));
    check_slopes(alone);
    check_no_current_is_lost(alone);
    check_only_differences_count(alone);
  }
}
template <class Part>
void check_equations(const Part& part) {
  check_equations(part, first_memory(part));
}

/// A part whose nodes are all driven from sources through resistors, to be solved for its steady state at fixed
/// charges: own equations that store something are left as they are.
template <class Part>
class Driven {
 public:
  using S = typename Part::Scalar;

  Driven(Alone<Part>& alone, std::vector<S> drive, std::vector<S> ohms)
      : alone_(alone)
      , drive_(std::move(drive))
      , ohms_(std::move(ohms))
      , lu_(alone.size())
      , held_(alone.size(), 0)
      , charge_slopes_(alone.write(S(0)).slopes) {
    const std::size_t n = alone_.size();
    for (std::size_t k = alone_.nodes(); k < n; ++k)
      for (std::size_t j = 0; j < n; ++j)
        if (charge_slopes_[k * n + j] != S(0)) held_[k] = 1;
  }

  /// Newton's method, going back half-way where a correction takes back the one before; true if it got as far as
  /// round-off lets it.
  [[nodiscard]] bool solve() {
    std::vector<S> last(alone_.size(), S(0));
    S before = S(1e30L);
    int halvings = 0;
    for (int iteration = 0; iteration < 500; ++iteration) {
      factor();
      std::vector<S> step = correction();
      const S size = size_of(step);
      S along(0), length(0);
      for (std::size_t k = 0; k < step.size(); ++k) {
        along += step[k] * last[k];
        length += last[k] * last[k];
      }
      const bool turns = along < S(-0.5) * length && ++halvings % 12 != 0;
      if (size <= std::sqrt(std::numeric_limits<S>::epsilon()) && (turns || size >= S(0.5) * before)) return true;
      if (!turns) before = size;
      for (std::size_t k = 0; turns && k < step.size(); ++k) step[k] = S(-0.5) * last[k];
      for (std::size_t k = 0; k < step.size(); ++k) {
        alone_.x[k] += step[k];
        last[k] = turns ? -step[k] : step[k];
      }
    }
    return false;
  }

 private:
  void factor() {
    const std::size_t n = alone_.size();
    const auto w = alone_.write(S(1));
    for (std::size_t k = 0; k < n; ++k) {
      for (std::size_t j = 0; j < n; ++j)
        lu_.entries()[k * n + j] = held_[k] != 0 ? S(j == k ? 1 : 0) : w.slopes[k * n + j] - charge_slopes_[k * n + j];
      if (k < alone_.nodes()) lu_.entries()[k * n + k] += S(1) / ohms_[k];
    }
    REQUIRE(lu_.factor());
  }
  [[nodiscard]] std::vector<S> correction() {
    const auto w = alone_.write(S(1));
    std::vector<S> step(alone_.size());
    for (std::size_t k = 0; k < step.size(); ++k) {
      step[k] = held_[k] != 0 ? S(0) : -w.currents[k];
      if (k < alone_.nodes()) step[k] -= (alone_.x[k] - drive_[k]) / ohms_[k];
    }
    lu_.solve(step.data());
    return step;
  }
  [[nodiscard]] S size_of(const std::vector<S>& step) const {
    S size(0);
    for (std::size_t k = 0; k < step.size(); ++k)
      size = std::fmax(size, std::fabs(step[k]) / (S(1) + std::fabs(alone_.x[k])));
    return size;
  }

  Alone<Part>& alone_;
  std::vector<S> drive_, ohms_;
  gastube::Lu<S, gastube::dynamic_extent> lu_;
  std::vector<char> held_;
  std::vector<S> charge_slopes_;
};

/// A passive part gives no power at any drive.
/// @param applies bool(view): false for states that the part would have left, e.g. an arc with its current reversed
template <class Part, class Applies>
void check_passive(const Part& part, const typename Alone<Part>::Memory& memory, Applies&& applies) {
  using S = typename Part::Scalar;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(-200, 200), decade(1, 6), own(0.05, 1.2), share(0, 1);
  int seen = 0;
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    Alone<Part> alone(part, memory);
    std::vector<S> drive, ohms;
    for (std::size_t k = 0; k < alone.nodes(); ++k) {
      drive.push_back(S(volts(random)));
      ohms.push_back(S(std::pow(10.0, decade(random))));
      alone.x[k] = drive[k];
    }
    for (std::size_t k = alone.nodes(); k < alone.size(); ++k) alone.x[k] = S(own(random));
    for (S& y : alone.y) y = S(share(random));
    REQUIRE(Driven<Part>(alone, drive, ohms).solve());
    if (!applies(alone.view())) continue;
    ++seen;
    const auto w = alone.write(S(1));
    S power(0), greatest(0);
    for (std::size_t k = 0; k < alone.nodes(); ++k) {
      power += alone.x[k] * w.currents[k];
      greatest = std::fmax(greatest, std::fabs(alone.x[k] * w.currents[k]));
    }
    CHECK(power >= S(-1e3) * std::numeric_limits<S>::epsilon() * greatest);
  }
  CHECK(seen >= 50);
}
template <class Part>
void check_passive(const Part& part, const typename Alone<Part>::Memory& memory) {
  check_passive(part, memory, [](const auto&) { return true; });
}
template <class Part>
void check_passive(const Part& part) {
  check_passive(part, first_memory(part));
}

/// Corners rise, each is passed by itself, and memory(t) is where the schedule stands at t.
template <class Part>
void check_schedule(const Part& part, typename Part::Scalar until) {
  using S = typename Part::Scalar;
  auto memory = part.memory(S(0));
  S before = S(-1), corner = part.next_breakpoint(S(0), memory);
  int corners = 0;
  for (; corner < until; corner = part.next_breakpoint(before, memory)) {
    ++corners;
    CHECK(corner > before);
    const auto late = part.memory(S(before + (corner - before) / 2));
    CHECK(part.next_breakpoint(before, late) == corner);
    part.pass_breakpoint(corner, memory);
    before = corner;
  }
  CHECK(corners > 0);
}

/// What a parameter may be.
enum class Range { positive, not_negative, any_finite };

/// @param make  makes the part with this value of the field; 1 must be in its range
/// @param name  "part: field"
template <class S, class Make>
void check_refusals(const std::string& name, Range range, Make&& make) {
  CAPTURE(name);
  const auto answer = [&](S value) { return refusal::of([&] { static_cast<void>(make(value)); }); };
  CHECK(answer(S(1)) == "accepted");
  CHECK(answer(std::numeric_limits<S>::quiet_NaN()) == name);
  CHECK(answer(std::numeric_limits<S>::infinity()) == name);
  CHECK(answer(-std::numeric_limits<S>::infinity()) == name);
  CHECK(answer(S(0)) == (range == Range::positive ? name : "accepted"));
  CHECK(answer(S(-1)) == (range == Range::any_finite ? "accepted" : name));
}

}  // namespace laws
