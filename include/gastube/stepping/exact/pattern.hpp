// SPDX-License-Identifier: MIT
#pragma once
/// One pattern of a piecewise-linear system, worked out once and kept: its modes, how charges and sources excite them,
/// and how its followers follow. All matrices are row-major.

#include "gastube/stepping/exact/complex_number.hpp"
#include "gastube/stepping/exact/waveform.hpp"
#include "gastube/stepping/linear.hpp"
#include "gastube/stepping/settings.hpp"

namespace gastube::exact {

/// Modes of one pattern that share an eigenvalue (see modes.hpp), and their place in the timebase.
template <Real S>
struct PlacedGroup {
  std::size_t first = 0, size = 1, degree = 0;
  Complex<S> rate{};     ///< 1/s
  bool swings = false;   ///< stands among the swings of the timebase, else among its rates
  std::size_t slot = 0;  ///< there

  [[nodiscard]] bool is_pair() const { return value_of(rate.im) != Plain<S>(0); }
  [[nodiscard]] bool stands_still() const { return !is_pair() && value_of(rate.re) == Plain<S>(0); }
};

/// A matrix of complex numbers that are real unless said otherwise; then `im` is not used, and at run-time size has no
/// room.
template <Real S, std::size_t Extent>
struct ComplexMatrix {
  Storage<S, Extent> re = zeros<S, Extent>(0), im = re;
  bool turned = false;  ///< has imaginary parts

  [[nodiscard]] Complex<S> operator[](std::size_t k) const { return {re[k], turned ? im[k] : S(0)}; }
  void clear(std::size_t size, bool has_imaginary_parts) {
    turned = has_imaginary_parts;
    empty(re, size);
    if (turned) empty(im, size);
  }
  void add(std::size_t k, const S& factor, const Complex<S>& value) {
    re[k] += factor * value.re;
    if (turned) im[k] += factor * value.im;
  }

 private:
  static void empty(Storage<S, Extent>& part, std::size_t size) {
    if constexpr (Extent == dynamic_extent) part.resize(size);
    for (std::size_t k = 0; k < size; ++k) part[k] = S(0);
  }
};

/// True if a mode decays so nearly as a follower does that their answers are told apart badly.
template <Real S>
[[nodiscard]] bool resounds(const S& rate, const S& decay) {
  return math::abs(value_of(S(rate + decay))) < Plain<S>(1e-5) * value_of(decay);
}

/// How one follower runs in a pattern: dy/dt = constant + row . x - decay y, the constant by the mode.
template <Real S>
struct FollowerLaw {
  static constexpr std::size_t no_resonance = static_cast<std::size_t>(-1);
  S decay = S(0);
  std::size_t slot = 0;                  ///< of exp(-decay t) among the rates; unused where decay is 0
  std::size_t resonance = no_resonance;  ///< among the swings: t^p exp(-decay t), where a mode decays as it does
  bool driven = false;                   ///< by unknowns
  std::size_t first = 0, last = 0;       ///< of the unknowns that drive it: their span
  std::size_t place = 0;                 ///< of the first of these among the pattern's shares
  bool acts = false;                     ///< on the equations of the unknowns
};

template <PiecewiseLinearSystem System>
struct Pattern {
  using S = typename System::Scalar;
  static constexpr std::size_t extent = System::extent, follower_extent = System::follower_extent;
  static constexpr std::size_t rate_extent = extent_sum(extent, follower_extent), swing_extent = rate_extent;
  static constexpr std::size_t square = extent_product(extent, extent);
  static constexpr std::size_t oblong = extent_product(extent, follower_extent);
  using Base = Timebase<S, rate_extent, swing_extent>;
  using Wave = Waveform<S, rate_extent, swing_extent>;
  using Group = PlacedGroup<S>;
  using Matrix = ComplexMatrix<S, square>;

  Storage<unsigned char, System::pattern_extent> key;
  Status status = Status::done;
  std::size_t unknowns, modes = 0, groups = 0;
  Base base;
  Storage<Group, extent> group;
  Matrix coupling;  ///< modes x modes: of the amplitudes of one group
  Matrix reply;     ///< unknowns x modes: unknowns per amplitude
  Matrix pick;      ///< unknowns x modes: amplitudes per difference to the forced solution at the start
  Matrix push;      ///< unknowns x modes: rate of amplitudes per source
  Storage<S, square> at_once = zeros<S, square>(0);  ///< sources x unknowns, of the sources that act at once
  Storage<std::size_t, extent> acts_at_once;         ///< by source: its place there, or none
  static constexpr std::size_t none = static_cast<std::size_t>(-1);
  Storage<S, square> by_slope =
      zeros<S, square>(0);  ///< unknowns x unknowns: per rate of a source; only where jumps leave impulses
  Storage<S, square> drive_reply = at_once;  ///< source number x unknowns: unknowns per level, and per slope times time
  Storage<S, square> drive_lag = at_once;    ///< source number x unknowns: unknowns per slope
  bool quick_drives = false;                 ///< these two say all: no mode that stands still is driven
  bool rest_moves = false;                   ///< constant sources make something rise for ever
  bool only_fades = false;                   ///< all modes are simple, real, and die away
  bool any_acts = false;                     ///< some follower acts on the unknowns
  Storage<S, square> impulse = at_once;      ///< unknowns x unknowns: charge that passes at the start, per jump
  bool impulsive = false;
  Storage<Powers<S>, extent> rest;  ///< unknowns: what constant sources come to
  std::size_t source_swings = 0, first_source_swing = 0;
  Matrix swing_answer;  ///< source number x unknowns: unknowns per exp(i turn t) of a source that swings
  Storage<std::size_t, extent> swing_of_source;  ///< source number: place among the swings
  Storage<FollowerLaw<S>, follower_extent> law;
  Storage<S, oblong> shares =
      zeros<S, oblong>(0);             ///< of unknowns in followers' sources, one follower's span after the other
  Storage<S, oblong> acts = shares;    ///< followers x unknowns: source per follower
  Storage<S, oblong> acting = shares;  ///< followers x unknowns: unknowns per exp(-decay t) of an acting follower
  Plain<S> horizon = Plain<S>(0);      ///< s, how long the form holds to round-off
  long used = 0;                       ///< for the cache

  explicit Pattern(const System& system)
      : key(filled<unsigned char, System::pattern_extent>(system.pattern_size(), 0))
      , unknowns(system.unknowns())
      , group(filled<Group, extent>(unknowns, {}))
      , acts_at_once(zeros<std::size_t, extent>(unknowns))
      , rest(filled<Powers<S>, extent>(unknowns, {}))
      , swing_of_source(zeros<std::size_t, extent>(unknowns))
      , law(filled<FollowerLaw<S>, follower_extent>(system.followers(), {})) {
    base.rates = zeros<S, rate_extent>(unknowns + system.followers());
    base.swings = filled<Swing<S>, swing_extent>(unknowns + system.followers(), {});
  }

  /// Share of unknown j, within the follower's span, in its source.
  [[nodiscard]] const S& share(const FollowerLaw<S>& of, std::size_t j) const {
    return shares[of.place + j - of.first];
  }

  /// Adds the steady answer of the unknowns to `source` exp(rate t) on equation `row`.
  void add_answer(const Complex<S>& rate, std::size_t row, const S& source, Complex<S>* answer) const {
    for (std::size_t j = 0; j < unknowns; ++j) {
      if (acts_at_once[row] != none) answer[j] += Complex<S>{S(source * at_once[acts_at_once[row] * unknowns + j])};
      if (impulsive) answer[j] += S(source * by_slope[j * unknowns + row]) * rate;
    }
    for (std::size_t k = 0; k < groups; ++k) {
      const bool pair = group[k].is_pair();  // stands for two conjugate modes
      add_group_answer(group[k], rate, row, S(pair ? S(Plain<S>(0.5)) * source : source), answer, false);
      if (pair) add_group_answer(group[k], conjugate(rate), row, S(S(Plain<S>(0.5)) * source), answer, true);
    }
  }

  /// Adds what a polynomial source on equation `row` pushes the amplitudes with: `rates` of `modes`.
  void add_push(std::size_t row, const Powers<S>& source, Powers<Complex<S>>* rates) const {
    for (std::size_t p = 0; p <= top_power; ++p)
      if (counts(source[p]))
        for (std::size_t i = 0; i < modes; ++i) rates[i][p] += source[p] * push[row * modes + i];
  }
  /// Adds its part that acts at once to the forced solution.
  void add_at_once(std::size_t row, const Powers<S>& source, Powers<S>* forced) const {
    for (std::size_t p = 0; p <= top_power; ++p) {
      if (!counts(source[p])) continue;
      for (std::size_t j = 0; j < unknowns; ++j) {
        if (acts_at_once[row] != none) forced[j][p] += at_once[acts_at_once[row] * unknowns + j] * source[p];
        if (p > 0 && impulsive) forced[j][p - 1] += by_slope[j * unknowns + row] * S(Plain<S>(p)) * source[p];
      }
    }
  }
  /// Adds what amplitudes pushed with `rates` come to; `rates` is used up.
  /// @return false if that needs a higher power of time than there is room for
  [[nodiscard]] bool add_forced(Powers<Complex<S>>* rates, Powers<S>* forced) const {
    bool fits = true;
    for (std::size_t k = 0; k < groups; ++k) fits = integrate(group[k], rates + group[k].first) && fits;
    for (std::size_t p = 0; p <= top_power; ++p) {
      bool any = false;
      for (std::size_t i = 0; i < modes; ++i) any = any || counts(rates[i][p].re) || counts(rates[i][p].im);
      for (std::size_t j = 0; any && j < unknowns; ++j) {
        const S* const re = reply.re.data() + j * modes;
        S sum(0);
        for (std::size_t i = 0; i < modes; ++i) sum += re[i] * rates[i][p].re;
        for (std::size_t i = 0; reply.turned && i < modes; ++i) sum -= reply.im[j * modes + i] * rates[i][p].im;
        forced[j][p] += sum;
      }
    }
    return fits;
  }

  /// Solves (rate + coupling - at) z = b for one group's amplitudes by powers of the coupling, in place.
  void resolve(const Group& g, const Complex<S>& at, Complex<S>* b, Complex<S>* work, Complex<S>* sum) const {
    const Complex<S> divisor = g.rate - at;
    for (std::size_t i = 0; i < g.size; ++i) sum[i] = b[i] = b[i] / divisor;
    for (std::size_t p = 1; p <= g.degree; ++p) {  // z = b/d - N b/d^2 + N^2 b/d^3 - ...
      couple(g, b, work);
      for (std::size_t i = 0; i < g.size; ++i) {
        b[i] = -(work[i] / divisor);
        sum[i] += b[i];
      }
    }
    for (std::size_t i = 0; i < g.size; ++i) b[i] = sum[i];
  }
  /// out = coupling z within one group.
  void couple(const Group& g, const Complex<S>* z, Complex<S>* out) const {
    for (std::size_t i = 0; i < g.size; ++i) {
      out[i] = {};
      for (std::size_t j = 0; g.size > 1 && j < g.size; ++j)
        out[i] += coupling[(g.first + i) * modes + g.first + j] * z[j];
    }
  }

 private:
  [[nodiscard]] static bool counts(const S& v) { return !is_plain<S> || value_of(v) != Plain<S>(0); }

  /// Turns polynomials in time that drive a group's amplitudes into polynomials that the amplitudes follow, in place.
  [[nodiscard]] bool integrate(const Group& g, Powers<Complex<S>>* b) const {
    if (g.size == 1 && !g.stands_still()) {
      Complex<S> z{};
      for (std::size_t p = top_power + 1; p-- > 0;)  // (p + 1) z_(p+1) = rate z_p + b_p
        z = b[0][p] = (S(Plain<S>(p + 1)) * z - b[0][p]) / g.rate;
      return true;
    }
    return g.stands_still() ? integrate_still(g, b) : integrate_coupled(g, b);
  }
  [[nodiscard]] bool integrate_coupled(const Group& g, Powers<Complex<S>>* b) const {
    auto z = filled<Complex<S>, extent>(g.size, {}), work = z, sum = z;
    for (std::size_t p = top_power + 1; p-- > 0;) {
      for (std::size_t i = 0; i < g.size; ++i) z[i] = S(Plain<S>(p + 1)) * z[i] - b[i][p];
      resolve(g, {}, z.data(), work.data(), sum.data());
      for (std::size_t i = 0; i < g.size; ++i) b[i][p] = z[i];
    }
    return true;
  }
  [[nodiscard]] bool integrate_still(const Group& g, Powers<Complex<S>>* b) const {
    auto z = filled<Complex<S>, extent>(g.size, {}), next = z;
    for (std::size_t p = 0; p <= top_power; ++p) {
      couple(g, z.data(), next.data());
      for (std::size_t i = 0; i < g.size; ++i) {
        next[i] = S(Plain<S>(1) / Plain<S>(p + 1)) * (next[i] + b[i][p]);
        b[i][p] = z[i];
        z[i] = next[i];
      }
    }
    for (std::size_t i = 0; i < g.size; ++i)
      if (value_of(z[i].re) != Plain<S>(0)) return false;
    return true;
  }

  void add_group_answer(const Group& g, const Complex<S>& rate, std::size_t row, const S& source, Complex<S>* answer,
                        bool conjugated) const {
    auto z = filled<Complex<S>, extent>(g.size, {}), work = z, sum = z;
    for (std::size_t i = 0; i < g.size; ++i) z[i] = S(-source) * push[row * modes + g.first + i];
    resolve(g, rate, z.data(), work.data(), sum.data());
    for (std::size_t j = 0; j < unknowns; ++j)
      for (std::size_t i = 0; i < g.size; ++i) {
        const Complex<S> part = reply[j * modes + g.first + i] * z[i];
        answer[j] += conjugated ? conjugate(part) : part;
      }
  }
};

}  // namespace gastube::exact
