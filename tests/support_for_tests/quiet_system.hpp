// SPDX-License-Identifier: MIT
#pragma once
/// What hybrid systems of a few equations in the tests have in common: nothing happens. A test's system derives from
/// QuietSystem and hides what it has to say itself: write() always, events, followers and breakpoints if it has any.

#include <gastube/stepping/linear.hpp>
#include <gastube/stepping/stages.hpp>
#include <gastube/stepping/system.hpp>

#include <cstring>

/// @tparam Count number of unknowns, @tparam Followers number of followers
/// @tparam Dynamic true: the same numbers, but known to the stepper at run time only
template <class S, std::size_t Count, std::size_t Followers = 0, class ItsMode = int, bool Dynamic = false>
struct QuietSystem {
  using Scalar = S;
  using Mode = ItsMode;
  static constexpr std::size_t extent = Dynamic ? gastube::dynamic_extent : Count;
  static constexpr std::size_t follower_extent = Dynamic ? gastube::dynamic_extent : Followers;

  [[nodiscard]] std::size_t unknowns() const { return Count; }
  [[nodiscard]] std::size_t followers() const { return Followers; }
  [[nodiscard]] gastube::Plain<S> nominal(std::size_t) const { return gastube::Plain<S>(1); }
  void follow(const gastube::Instant<S>&, const Mode&, gastube::FollowRate<S>*) const {}
  [[nodiscard]] std::size_t guards() const { return 0; }
  [[nodiscard]] S guard(std::size_t, const gastube::Instant<S>&, const Mode&) const { return S(1); }
  [[nodiscard]] bool opens(std::size_t, const Mode&) const { return false; }
  gastube::Change fire(std::size_t, const gastube::Instant<S>&, Mode&, S*) const { return {}; }
  [[nodiscard]] S next_breakpoint(const S&, const Mode&) const { return gastube::unlimited<S>(); }
  void pass_breakpoint(const S&, Mode&) const {}
};

/// The same for systems that are linear: with one pattern, no sources, no guards written out.
template <class S, std::size_t Count, std::size_t Followers = 0, class ItsMode = int, bool Dynamic = false>
struct QuietLinearSystem : QuietSystem<S, Count, Followers, ItsMode, Dynamic> {
  static constexpr std::size_t pattern_extent = 1;
  static constexpr bool piecewise_linear = true;

  [[nodiscard]] std::size_t pattern_size() const { return 1; }
  void pattern(const ItsMode&, unsigned char* numbers) const { *numbers = 0; }
  void drives(const S&, const ItsMode&, auto&&) const {}
  bool margin(std::size_t, const ItsMode&, gastube::Margin<S>&) const { return false; }
  [[nodiscard]] bool follows_straight(std::size_t) const { return true; }
};

/// Where a run of `system` starts, with these unknowns.
template <class System, class... Values>
[[nodiscard]] gastube::Position<System> start_at(const System& system, Values... values) {
  gastube::Position<System> start(system);
  std::size_t k = 0;
  ((start.x[k++] = typename System::Scalar(values)), ...);
  return start;
}

/// True if both hold the same bytes: signs of zero and NaNs count too.
template <class T>
[[nodiscard]] bool same_bits(const T& a, const T& b) {
  static_assert(std::is_trivially_copyable_v<T>);
  if constexpr (std::is_same_v<T, long double>)
    return std::memcmp(&a, &b, 10) == 0;  // the other bytes are padding
  else
    return std::memcmp(&a, &b, sizeof(T)) == 0;
}
template <class Range>
[[nodiscard]] bool same_elements(const Range& a, const Range& b) {
  bool same = a.size() == b.size();
  for (std::size_t k = 0; same && k < a.size(); ++k) same = same_bits(a[k], b[k]);
  return same;
}
/// For states of a stepper whose mode can be compared.
template <class State>
[[nodiscard]] bool same_state(const State& a, const State& b) {
  return same_bits(a.at.time, b.at.time) && same_elements(a.at.x, b.at.x) && same_elements(a.at.y, b.at.y)
         && same_elements(a.at.currents, b.at.currents) && same_elements(a.at.rate_bound, b.at.rate_bound)
         && a.mode == b.mode && same_bits(a.step, b.step) && same_bits(a.late, b.late);
}
