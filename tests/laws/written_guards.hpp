// SPDX-License-Identifier: MIT
#pragma once
/// A guard that a tube writes out has the sign of the guard that it works out in numbers, in every state:
///
///   check_written_guards(my_tube, seed, complete);
///
/// Written guards are compared at random voltages, currents and residuals that the state in question allows.

#include <gastube/circuit/wired_tube.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <string>
#include <utility>

namespace laws {

using namespace gastube;

/// A tube wired to nodes 1 to 4 (plate, grid, shield, cathode), with random values all around it.
template <class Tube>
class GuardBench {
 public:
  using S = typename Tube::Scalar;
  using Wired = WiredTube<Tube>;

  GuardBench(const Tube& tube, unsigned long long seed)
      : wired_(tube, {.plate = 1, .grid = 2, .shield = 3, .cathode = 4}), random_(seed) {}

  void draw(TubeState state) {
    memory_ = wired_.memory(S(0));
    memory_.state = state;
    memory_.reversed = Tube::cold_cathode && one_in(2);
    memory_.none_left = one_in(2);
    memory_.heater_on = S(between(-20, 0));
    memory_.feed = {S(between(0, 1e4)), one_in(4) ? unlimited<S>() : S(between(-300, 300)), S(between(0, 1e5))};
    time_ = S(between(0, 20));
    for (S& x : x_) x = S(between(-100, 100));
    if (one_in(2)) x_[0] = S(x_[3] + S(between(-5, 40)));  // about the floor
    if (one_in(8)) x_[0] = S(x_[0] + S(between(-1e7, 1e7)));
    if (one_in(2)) x_[1] = S(x_[3] + S(between(-10, 3)));
    x_[4] = S(between(-1, 1) * std::pow(10.0, between(-5, 0)));
    y_ = {residual(state), S(instant_delay ? 1.0 : between(0, 1.5)), excess()};
  }
  [[nodiscard]] Instant<S> instant() const { return {time_, x_.data(), y_.data()}; }
  [[nodiscard]] S guard(std::size_t k) const { return wired_.guard(k, PartView<S>(instant(), place), memory_); }
  /// @return false if the guard is not written out
  [[nodiscard]] bool write(std::size_t k, Margin<S>& margin) const {
    PartMargin<S> out(place, margin);
    return wired_.margin(k, out, memory_);
  }
  [[nodiscard]] std::string text() const {
    return std::string(name(memory_.state)) + ": plate " + std::to_string(double(value_of(S(x_[0] - x_[3]))))
           + ", grid " + std::to_string(double(value_of(S(x_[1] - x_[3])))) + ", residual "
           + std::to_string(double(value_of(y_[0])));
  }

 private:
  static constexpr PartPlace place{4, 0};
  static constexpr bool instant_delay = std::decay_t<decltype(std::declval<Tube>().laws().delay)>::instant;

  [[nodiscard]] double between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  [[nodiscard]] bool one_in(int n) { return random_() % unsigned(n) == 0; }
  [[nodiscard]] S excess() {
    return wired_.tube.laws().fall.instant() ? S(0) : S(between(-1, 1) * std::pow(10.0, between(-6, 2)));
  }
  [[nodiscard]] S residual(TubeState state) {
    using Recovery = typename Tube::Recovery;
    if constexpr (has_control_form<Recovery>) {
      if constexpr (Recovery::control_form == ControlForm::full) return S(0);
      if constexpr (Recovery::control_form == ControlForm::step) {
        const bool some_left = state == TubeState::striking || state == TubeState::recovering;
        return S(some_left ? between(-1, 1) : 0.0);
      }
    }
    return S(one_in(2) ? between(0.001, 1) : std::pow(10.0, between(-6, 0)));
  }

  Wired wired_;
  std::mt19937_64 random_;
  typename Wired::Memory memory_;
  S time_ = S(0);
  std::array<S, 5> x_{};
  std::array<S, 3> y_{};
};

/// @param complete whether the tube is to write out every guard that it has
template <class Tube>
void check_written_guards(const Tube& tube, unsigned long long seed, bool complete = true) {
  CAPTURE(seed);
  using S = typename Tube::Scalar;
  GuardBench<Tube> bench(tube, seed);
  std::map<std::string, std::pair<int, int>> held_and_fallen;
  for (int round = 0; round < 500; ++round)
    for (const Transition& row : Tube::transitions) {
      bench.draw(row.from);
      CAPTURE(bench.text());
      std::size_t exit = 0;
      while (exit_of(Tube::transitions, row.from, exit)->cause != row.cause) ++exit;
      CAPTURE(std::string(name(row.cause)));
      Margin<S> margin;
      const bool written = bench.write(exit, margin);
      if (complete) REQUIRE(written);
      if (!written) continue;
      const double guard = double(value_of(bench.guard(exit)));
      const double sum = margin.size() > 0 ? double(value_of(margin.value(bench.instant()))) : 1.0;
      CAPTURE(guard);
      CAPTURE(sum);
      if (std::fabs(sum) < (sizeof(S) < sizeof(double) ? 1e-2 : 1e-9)) continue;  // round-off decides
      REQUIRE((guard > 0) == (sum > 0));
      auto& [held, fallen] = held_and_fallen[std::string(name(row.from)) + ": " + name(row.cause)];
      ++(guard > 0 ? held : fallen);
    }
  for (const auto& entry : held_and_fallen) {
    const std::string& what = entry.first;
    const auto& counts = entry.second;
    CAPTURE(what);
    CHECK(counts.first + counts.second >= 100);
    const bool both_ways = what.find("deionised") == std::string::npos && what.find("ready") == std::string::npos
                           && what.find("inverse voltage") == std::string::npos
                           && what.find(name(Cause::current_awaited)) == std::string::npos;
    if (both_ways) CHECK(std::min(counts.first, counts.second) > 0);
  }
  CHECK(held_and_fallen.size() >= (complete ? Tube::transitions.size() : 3));
}

}  // namespace laws
