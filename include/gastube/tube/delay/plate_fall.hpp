// SPDX-License-Identifier: MIT
#pragma once
/// Fall of the plate voltage as the arc takes over: not a jump, so strays discharge gently and other plates are not
/// struck with infinite slope.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// Once the arc has formed, the plate voltage above the arc drop dies away exponentially. In hydrogen tubes it falls
/// from 90 to 10 % within 10 to 100 ns ("commutation in a thyratron", J. Appl. Phys., abstract): time constants of 5 to
/// 45 ns. Small xenon tubes have 20 to 200 ns, from memory.
template <Real S>
struct PlateFall {
  S time_constant = S(0);  ///< s, at least 0; 0: the plate falls in an instant

  void check() const { Check{"plate fall"}.at_least("time_constant", time_constant, 0.0, "s"); }
  [[nodiscard]] bool instant() const { return !(value_of(time_constant) > Plain<S>(0)); }
  /// V above the arc drop at the moment the arc has formed.
  [[nodiscard]] S start(const S& plate, const S& drop) const {
    return instant() ? S(0) : math::positive_part(S(plate - drop));
  }
  /// 1/s.
  [[nodiscard]] S decay() const { return instant() ? S(0) : S(S(1) / time_constant); }
  /// s from 90 to 10 % of the fall, as data sheets state it.
  [[nodiscard]] S fall_time() const { return S(math::log(S(9)) * time_constant); }
};

}  // namespace gastube
