// SPDX-License-Identifier: MIT
#pragma once
/// A part that draws nothing and reports as an event when the voltage across it rises to a level. It looks out again
/// once the voltage has fallen a thousandth below. It uses only what any part of a user's own may use.

#include <gastube/circuit/part.hpp>

#include <array>

template <class S>
struct LevelWatch {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t guards = 1;
  struct Memory {
    bool above = false;
  };
  gastube::Node plus, minus;
  S level;  ///< V
  const char* label = "level watch";

  [[nodiscard]] std::array<gastube::Node, 2> terminals() const { return {plus, minus}; }
  void write(gastube::PartEquations<S>&, const Memory&) const {}
  [[nodiscard]] S dissipated(const gastube::PartView<S>&, const Memory&) const { return S(0); }
  [[nodiscard]] S guard(std::size_t, const gastube::PartView<S>& at, const Memory& memory) const {
    const S over = S(at.across(plus, minus) - level);
    return memory.above ? S(over + leeway()) : S(-over);
  }
  bool margin(std::size_t, gastube::PartMargin<S>& out, const Memory& memory) const {
    const S sign = S(memory.above ? 1 : -1);
    out.begin().across(sign, plus, minus).constant(S(-sign * level + (memory.above ? leeway() : S(0))));
    return true;
  }
  gastube::Change fire(std::size_t, const gastube::PartView<S>&, Memory& memory, S*) const {
    memory.above = !memory.above;
    return {label, memory.above ? "below" : "above", memory.above ? "above" : "below", "level"};
  }

 private:
  [[nodiscard]] S leeway() const { return S(S(1e-3) * (S(1) + gastube::math::abs(level))); }
};
