// SPDX-License-Identifier: MIT
#pragma once
/// The modes of P5's ring: C v' + G v = s with tubes 0, or 0 and 1, lit. In the ring's own waves C is diagonal, and a
/// lit tube is a change of rank one among those that are symmetrical about it (two lit: about the middle between them),
/// so that the rates are the roots of one sum each, and are found to full relative accuracy.

#include "values.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace compare {

/// v(t) = steady + sum over i of shape(., i) exp(-rate[i] t) (shape(., i) . C (v(0) - steady)).
template <class T>
struct RingModes {
  std::size_t count = 0;
  std::vector<T> rate;   ///< per second
  std::vector<T> shape;  ///< by mode: shape[i * count + k] of cathode k
};

/// Rates and shapes are worked out in W, which has more digits than T or as many.
template <class T, class W = long double>
class RingModeFinder {
 public:
  RingModeFinder(const Ring& values, bool pair) : v_(values), n_(values.count), pair_(pair) {}

  [[nodiscard]] RingModes<T> find() {
    modes_.count = n_;
    add_family(true);
    add_family(false);
    return std::move(modes_);
  }

 private:
  struct Wave {
    W rate, reach, root_farads;  ///< rate without lit tubes; how much of it is at the lit tube; sqrt of its capacitance
    std::vector<W> values;
  };

  [[nodiscard]] static W pi() { return std::acos(W(-1)); }
  /// The waves that are even, or odd, about the lit tube or tubes, by falling capacitance.
  void make_waves(bool even) {
    waves_.clear();
    for (std::size_t j = n_ / 2 + 1; j-- > 0;) {
      Wave wave;
      W norm = 0;
      for (std::size_t k = 0; k < n_; ++k) {
        const std::size_t twice = pair_ ? 2 * k + 2 * n_ - 1 : 2 * k;  // position times two, no difference rounded
        const W angle = pi() * W((j * twice) % (2 * n_)) / W(n_);
        wave.values.push_back(even ? std::cos(angle) : std::sin(angle));
        norm += wave.values.back() * wave.values.back();
      }
      if (norm < W(1e-6)) continue;
      norm = std::sqrt(norm);
      for (W& value : wave.values) value /= norm;
      const W half = std::sin(pi() * W(j) / W(n_)), farads = W(v_.ground) + 4 * W(v_.coupling) * half * half;
      wave.root_farads = std::sqrt(farads);
      wave.rate = (1 / W(v_.cathode) + W(v_.tube.leak)) / farads;
      wave.reach = (pair_ ? std::sqrt(W(2)) : 1) * wave.values[0] / wave.root_farads;
      waves_.push_back(std::move(wave));
    }
  }
  void add_family(bool even) {
    make_waves(even);
    if (!even && !pair_) {  // these are zero at the lit tube
      for (const Wave& wave : waves_)
        add_mode(wave.rate, [&](std::size_t k) { return wave.values[k] / wave.root_farads; });
      return;
    }
    for (std::size_t i = 0; i < waves_.size(); ++i) add_root(i);
  }
  /// Root i of 1 + extra sum reach^2 / (rate - x), between its wave's rate and the next, as a distance from the nearer.
  void add_root(std::size_t i) {
    const W extra = 1 / W(v_.tube.ohms) - W(v_.tube.leak);
    W all = 0;
    for (const Wave& wave : waves_) all += extra * wave.reach * wave.reach;
    const bool last = i + 1 == waves_.size();
    const W gap = last ? all : waves_[i + 1].rate - waves_[i].rate;
    const auto sum = [&](std::size_t from, W distance) {
      W value = 1;
      for (const Wave& wave : waves_)
        value += extra * wave.reach * wave.reach / ((wave.rate - waves_[from].rate) - distance);
      return value;
    };
    const std::size_t from = last || sum(i, gap / 2) >= 0 ? i : i + 1;
    W near = 0, far = (from == i ? 1 : -1) * (last ? gap : gap / 2);
    // From a pole below, the sum rises from minus infinity; towards a pole above, to plus infinity.
    for (int halving = 0; halving < 400 && std::fabs(far - near) > std::numeric_limits<W>::epsilon() * std::fabs(far);
         ++halving) {
      const W middle = near == 0 ? far / 1024 : (near + far) / 2;
      ((sum(from, middle) < 0) == (from == i) ? near : far) = middle;
      if (near == 0 && std::fabs(far) < std::numeric_limits<W>::min() * 4096) break;
    }
    const W distance = (near + far) / 2;
    std::vector<W> part(waves_.size());
    W norm = 0;
    for (std::size_t j = 0; j < waves_.size(); ++j) {
      part[j] = waves_[j].reach / ((waves_[j].rate - waves_[from].rate) - distance);
      norm += part[j] * part[j];
    }
    norm = std::sqrt(norm);
    for (std::size_t j = 0; j < waves_.size(); ++j) part[j] /= norm * waves_[j].root_farads;
    add_mode(waves_[from].rate + distance, [&](std::size_t k) {
      W value = 0;
      for (std::size_t j = 0; j < waves_.size(); ++j) value += part[j] * waves_[j].values[k];
      return value;
    });
  }
  template <class Shape>
  void add_mode(W rate, Shape&& shape) {
    modes_.rate.push_back(T(rate));
    for (std::size_t k = 0; k < n_; ++k) modes_.shape.push_back(T(shape(k)));
  }

  Ring v_;
  std::size_t n_;
  bool pair_;
  std::vector<Wave> waves_;
  RingModes<T> modes_;
};

}  // namespace compare
