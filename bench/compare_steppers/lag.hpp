// SPDX-License-Identifier: MIT
#pragma once
/// Lags and pulses in closed form, for the hand-written solutions and as help for the peers.

#include "values.hpp"

#include <cmath>

namespace compare {

/// Follows a steady target: value at time t from now.
template <class T>
struct Lag {
  T value, target, time;
  [[nodiscard]] T at(T t) const { return target + (value - target) * std::exp(-t / time); }
  [[nodiscard]] T slope(T t) const { return (target - value) / time * std::exp(-t / time); }
  void advance(T t) { value = at(t); }
};

/// Goes through a train of pulses edge by edge.
template <class T>
class PulseWalk {
 public:
  explicit PulseWalk(const PulseTrain& train) : train_(train) {}
  /// s, of the next edge.
  [[nodiscard]] T next() const {
    return T(train_.delay) + T(count_) * T(train_.period) + (high_ ? T(train_.width) : 0);
  }
  [[nodiscard]] bool high() const { return high_; }
  void pass() {
    if (high_) ++count_;
    high_ = !high_;
  }

 private:
  PulseTrain train_;
  long count_ = 0;
  bool high_ = false;
};

}  // namespace compare
