// SPDX-License-Identifier: MIT
#pragma once
/// A part that draws nothing and reports as events when the voltage across it passes a level, either way. It uses only
/// what any part of a user's own may use.

#include <gastube/circuit/part.hpp>

#include <array>

template <class S>
struct LevelWatch {
  using Scalar = S;
  static constexpr std::size_t guards = 1;
  struct Memory {
    bool above = false;
  };
  gastube::Node plus, minus;
  S level;  ///< V
  const char* label = "level watch";

  [[nodiscard]] std::array<gastube::Node, 2> terminals() const { return {plus, minus}; }
  void write(gastube::PartEquations<S>&, const Memory&) const {}
  [[nodiscard]] S guard(std::size_t, const gastube::PartView<S>& at, const Memory& memory) const {
    const S over = S(at.across(plus, minus) - level);
    return memory.above ? over : S(-over);
  }
  gastube::Change fire(std::size_t, const gastube::PartView<S>&, Memory& memory, S*) const {
    memory.above = !memory.above;
    return {label, memory.above ? "below" : "above", memory.above ? "above" : "below", "level"};
  }
};
