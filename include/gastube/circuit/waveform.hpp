// SPDX-License-Identifier: MIT
#pragma once
/// What a source does in time. Any waveform serves a voltage source and a current source alike; one of your own needs
///   using Scalar = S;
///   S value(const S& time, const Memory&) const;   // V or A
///   void check(const Check&) const;                // refuses parameters that make no sense
///   Drive<S> drive(const S& time, const Memory&) const;  // the same as level, slope and swing, for the exact scheme
/// (left out by a wave that is none of these); and may have what a part may have for its schedule: Memory,
/// memory(time), next_breakpoint(time, memory), pass_breakpoint(time, memory&), longest_step(memory); see part.hpp.
///
/// A value that jumps or turns a corner must have a breakpoint there, and take its side of it from the memory: value()
/// is asked for the end of the stretch at the very time of the corner.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

template <class W>
concept Waveform = Real<typename W::Scalar> && requires(const W wave, const typename W::Scalar time, const Check& check,
                                                        const typename detail::MemoryOf<W>::type memory) {
  { wave.value(time, memory) } -> std::same_as<typename W::Scalar>;
  wave.check(check);
};

/// The same for ever.
template <Real S>
struct SteadyWave {
  using Scalar = S;
  S level;  ///< V or A

  void check(const Check& check) const { check.finite("level", level, ""); }
  [[nodiscard]] S value(const S&, const NoMemory&) const { return level; }
  [[nodiscard]] Drive<S> drive(const S&, const NoMemory&) const { return {.level = level}; }
};
static_assert(Waveform<SteadyWave<double>>);

namespace detail {
/// The schedule of a part that follows a waveform.
template <Waveform W>
struct Following {
  using Scalar = typename W::Scalar;
  using Memory = typename MemoryOf<W>::type;
  static constexpr bool piecewise_linear = requires(const W w, const Scalar t, const Memory m) { w.drive(t, m); };
  W wave;

  [[nodiscard]] Memory memory(const Scalar& time) const {
    if constexpr (requires { wave.memory(time); })
      return wave.memory(time);
    else
      return Memory{};
  }
  [[nodiscard]] Scalar next_breakpoint(const Scalar& time, const Memory& m) const {
    if constexpr (requires { wave.next_breakpoint(time, m); })
      return wave.next_breakpoint(time, m);
    else
      return unlimited<Scalar>();
  }
  void pass_breakpoint(const Scalar& time, Memory& m) const {
    if constexpr (requires { wave.pass_breakpoint(time, m); }) wave.pass_breakpoint(time, m);
  }
  [[nodiscard]] Scalar longest_step(const Memory& m) const {
    if constexpr (requires { wave.longest_step(m); })
      return wave.longest_step(m);
    else
      return unlimited<Scalar>();
  }
};
}  // namespace detail

}  // namespace gastube
