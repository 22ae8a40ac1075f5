// SPDX-License-Identifier: MIT
#pragma once
/// Sine, whole or rectified.

#include "gastube/circuit/waveform.hpp"

#include <cmath>
#include <numbers>

namespace gastube {

namespace detail {
/// 2 pi frequency time + phase, less whole turns: late times lose no digits to turns that are over.
template <Real S>
[[nodiscard]] S angle_of_turn(const S& frequency, const S& time, const S& phase) {
  using P = Plain<S>;
  const P f = value_of(frequency), t = value_of(time), whole = std::floor(P(f * t)), rest = std::fma(f, t, -whole);
  if constexpr (is_plain<S>) return S(P(2) * std::numbers::pi_v<P> * rest + phase);
  S turns = S(frequency * time - S(whole));
  turns += S(P(rest - value_of(turns)));
  return S(S(2) * std::numbers::pi_v<P> * turns + phase);
}
}  // namespace detail

/// offset + amplitude sin(2 pi frequency t + phase).
template <Real S>
struct SineWave {
  using Scalar = S;
  S amplitude;      ///< V or A, peak
  S frequency;      ///< Hz, above 0
  S phase = S(0);   ///< rad
  S offset = S(0);  ///< V or A

  void check(const Check& check) const {
    check.finite("amplitude", amplitude, "V")
        .above("frequency", frequency, 0.0, "Hz")
        .finite("phase", phase, "rad")
        .finite("offset", offset, "V");
  }
  /// A thirty-second of a period: at most 0.5 % of the amplitude goes unseen at a crest, a tenth of that with a scheme
  /// of two stages.
  [[nodiscard]] S longest_step(const NoMemory&) const { return S(S(1) / (S(32) * frequency)); }
  [[nodiscard]] S value(const S& time, const NoMemory&) const { return S(offset + amplitude * math::sin(angle(time))); }
  [[nodiscard]] Drive<S> drive(const S& time, const NoMemory&) const {
    return {.level = offset,
            .cosine = S(amplitude * math::sin(angle(time))),
            .sine = S(amplitude * math::cos(angle(time))),
            .turn = S(S(2) * std::numbers::pi_v<Plain<S>> * frequency)};
  }

 private:
  [[nodiscard]] S angle(const S& time) const { return detail::angle_of_turn(frequency, time, phase); }
};
static_assert(Waveform<SineWave<double>>);

enum class Rectified { full_wave, half_wave };

/// The positive half waves of amplitude sin(2 pi frequency t + phase), and the negative ones turned over or left out:
/// a mains rectifier's output without the rectifier. Its corners are breakpoints.
template <Real S>
struct RectifiedSine {
  using Scalar = S;
  S amplitude;  ///< V or A, peak
  S frequency;  ///< Hz of the sine before rectifying, above 0
  Rectified kind = Rectified::full_wave;
  S phase = S(0);  ///< rad
  /// Half waves passed since the one that begins at phase 0.
  struct Memory {
    long half = 0;
  };

  void check(const Check& check) const {
    check.finite("amplitude", amplitude, "V")
        .above("frequency", frequency, 0.0, "Hz")
        .between("phase", phase, -1e6, 1e6, "rad");
  }
  [[nodiscard]] Memory memory(const S& time) const {
    using std::floor;
    const S halves = S(turn(time) / std::numbers::pi_v<Plain<S>>);
    Memory m{long(floor(value_of(halves))) - 1};
    pass_breakpoint(time, m);
    return m;
  }
  [[nodiscard]] S next_breakpoint(const S&, const Memory& m) const {
    const S end = S(std::numbers::pi_v<Plain<S>> * Plain<S>(m.half + 1));
    return S((end - phase) / (S(2) * std::numbers::pi_v<Plain<S>> * frequency));
  }
  void pass_breakpoint(const S& time, Memory& m) const {
    while (value_of(next_breakpoint(time, m)) <= value_of(time)) ++m.half;
  }
  /// As of a sine.
  [[nodiscard]] S longest_step(const Memory&) const { return S(S(1) / (S(32) * frequency)); }
  [[nodiscard]] S value(const S& time, const Memory& m) const {
    const bool negative = m.half % 2 != 0;
    if (negative && kind == Rectified::half_wave) return S(0);
    const S wave = S(amplitude * math::sin(angle(time)));
    return negative ? S(-wave) : wave;
  }
  [[nodiscard]] Drive<S> drive(const S& time, const Memory& m) const {
    const bool negative = m.half % 2 != 0;
    const S size = !negative ? amplitude : kind == Rectified::half_wave ? S(0) : S(-amplitude);
    return {.cosine = S(size * math::sin(angle(time))),
            .sine = S(size * math::cos(angle(time))),
            .turn = S(S(2) * std::numbers::pi_v<Plain<S>> * frequency)};
  }

 private:
  [[nodiscard]] S angle(const S& time) const { return detail::angle_of_turn(frequency, time, phase); }
  [[nodiscard]] S turn(const S& time) const {
    return S(S(2) * std::numbers::pi_v<Plain<S>> * frequency * time + phase);
  }
};

}  // namespace gastube
