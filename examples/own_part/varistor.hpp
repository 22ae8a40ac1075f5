// SPDX-License-Identifier: MIT
#pragma once
/// A part of one's own, in a file of its own: a varistor, whose current rises with a high power of its voltage. It
/// takes in nothing of the library but what a part is and the checks of parameters; gastube/circuit/part.hpp lists what
/// more a part may offer.

#include <gastube/circuit/part.hpp>
#include <gastube/support/checked.hpp>

namespace own_part {

/// What a data sheet states of it.
template <gastube::Real S>
struct VaristorData {
  S volts;      ///< V at one milliampere, above 0
  S steepness;  ///< of log I against log V: 2 to 60; oxides some 25 to 40 (common knowledge, no source)
  S joules;     ///< J that it stands at once, above 0
};

template <gastube::Real S>
struct Varistor {
  // What every part has: a scalar, a label for errors and logs, its terminals, and its equations.
  using Scalar = S;
  gastube::Node a, b;
  VaristorData<S> data;
  const char* label = "varistor";

  /// @throws InvalidParameter
  Varistor(gastube::Node from, gastube::Node to, const VaristorData<S>& sheet) : a(from), b(to), data(sheet) {
    gastube::Check{label}
        .above("volts", data.volts, 0.0, "V")
        .between("steepness", data.steepness, 2.0, 60.0, "")
        .above("joules", data.joules, 0.0, "J");
  }
  [[nodiscard]] std::array<gastube::Node, 2> terminals() const { return {a, b}; }
  /// The current and its slope; with the slope wrong, steps take more rounds or fail.
  void write(gastube::PartEquations<S>& eq, const gastube::NoMemory&) const {
    const S volts = eq.across(a, b);
    eq.conduct(a, b, amperes(volts), S(data.steepness * siemens(volts)));
  }

  // What this one offers beside: its current for probes, its heat for the balance of energy, and a follower that adds
  // the heat up and acts on nothing.
  static constexpr std::size_t followers = 1;
  static constexpr bool followers_act = false;
  [[nodiscard]] S current(const gastube::PartView<S>& at, const gastube::NoMemory&) const {
    return amperes(at.across(a, b));
  }
  [[nodiscard]] S dissipated(const gastube::PartView<S>& at, const gastube::NoMemory&) const {
    const S volts = at.across(a, b);
    return S(volts * amperes(volts));
  }
  void follow(const gastube::PartView<S>& at, const gastube::NoMemory& memory, gastube::FollowRate<S>* rates) const {
    rates[0].source = dissipated(at, memory);
  }

 private:
  /// Current over voltage: an even function, so that it is right for both signs.
  [[nodiscard]] S siemens(const S& volts) const {
    const S share = S(gastube::math::abs(volts) / data.volts);
    if (!(gastube::value_of(share) > gastube::Plain<S>(0))) return S(0);
    return S(S(1e-3L) / data.volts * gastube::math::exp(S((data.steepness - S(1)) * gastube::math::log(share))));
  }
  [[nodiscard]] S amperes(const S& volts) const { return S(volts * siemens(volts)); }
};

}  // namespace own_part
