// SPDX-License-Identifier: MIT
#pragma once
/// Ratings of hydrogen pulse tubes, and how a pulse duty stands against them.
///
/// Kilovolts and hundreds of amperes: high voltage and stored charge kill. Discharge and short capacitors before
/// touching anything, and follow local codes.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

#include <array>
#include <cstddef>

namespace gastube {

/// Rectangular pulses, as pulse tubes are rated: once in each 1/rate, `width` long.
template <Real S>
struct PulseDuty {
  S plate;                 ///< V, peak forward plate voltage before the pulse, at least 0
  S current;               ///< A, peak, at least 0
  S width;                 ///< s, at half height, at least 0
  S rate;                  ///< 1/s, repetition, at least 0; width times rate at most 1
  S current_rise = S(0);   ///< A/s, at least 0
  S inverse_spike = S(0);  ///< V, peak inverse in a spike right after the pulse, at least 0
  S spike_width = S(0);    ///< s, of that spike, at least 0
  S inverse_after = S(0);  ///< V, peak inverse after the spike while the inverse limit is the lower one, at least 0
  S inverse_later = S(0);  ///< V, peak inverse after that, at least 0

  /// @throws InvalidParameter
  void check() const {
    Check{"pulse duty"}
        .at_least("plate", plate, 0.0, "V")
        .at_least("current", current, 0.0, "A")
        .at_least("width", width, 0.0, "s")
        .at_least("rate", rate, 0.0, "1/s")
        .that(value_of(S(width * rate)) <= Plain<S>(1), "rate", rate, "1/s", "not more than one pulse in its width")
        .at_least("current_rise", current_rise, 0.0, "A/s")
        .at_least("inverse_spike", inverse_spike, 0.0, "V")
        .at_least("spike_width", spike_width, 0.0, "s")
        .at_least("inverse_after", inverse_after, 0.0, "V")
        .at_least("inverse_later", inverse_later, 0.0, "V");
  }
  /// V A/s: plate breakdown factor, in proportion to the heat of the plate.
  [[nodiscard]] S breakdown_factor() const { return S(plate * current * rate); }
  /// A, over many periods.
  [[nodiscard]] S average() const { return S(current * width * rate); }
  /// A, over many periods: the root of average times peak current.
  [[nodiscard]] S rms() const { return S(current * math::sqrt(S(width * rate))); }
};

/// Rms current that goes with a peak and an average of rectangular pulses, A: how the rms rating of a pulse tube is set
/// (service specification of a 20 kV hydrogen tube). @param average, peak A, at least 0
template <Real S>
[[nodiscard]] S pulse_rms(const S& average, const S& peak) {
  return math::sqrt(S(average * peak));
}

/// Absolute maxima, each to be kept by itself; unlimited where none is published.
template <Real S>
struct PulseRatings {
  S peak_forward = unlimited<S>();      ///< V
  S peak_current = unlimited<S>();      ///< A
  S average_current = unlimited<S>();   ///< A
  S rms_current = unlimited<S>();       ///< A
  S breakdown_factor = unlimited<S>();  ///< V A/s
  S current_rise = unlimited<S>();      ///< A/s
  S repetition = unlimited<S>();        ///< 1/s
  S peak_inverse = unlimited<S>();      ///< V, later than inverse_time after the pulse
  S inverse_after = unlimited<S>();     ///< V, within inverse_time after the pulse
  S inverse_time = S(Plain<S>(25e-6));  ///< s, at least exempt_spike
  S exempt_spike = S(Plain<S>(5e-8));   ///< s, a narrower spike right after the pulse does not count; at least 0

  /// @throws InvalidParameter
  void check() const {
    Check{"pulse ratings"}
        .above("peak_forward", peak_forward, 0.0, "V")
        .above("peak_current", peak_current, 0.0, "A")
        .above("average_current", average_current, 0.0, "A")
        .above("rms_current", rms_current, 0.0, "A")
        .above("breakdown_factor", breakdown_factor, 0.0, "V A/s")
        .above("current_rise", current_rise, 0.0, "A/s")
        .above("repetition", repetition, 0.0, "1/s")
        .above("peak_inverse", peak_inverse, 0.0, "V")
        .above("inverse_after", inverse_after, 0.0, "V")
        .at_least("exempt_spike", exempt_spike, 0.0, "s")
        .at_least("inverse_time", inverse_time, double(value_of(exempt_spike)), "s");
  }
  /// Inverse voltage allowed at a time after the pulse, V. @param after s, at least 0
  [[nodiscard]] S inverse_limit(const S& after) const {
    if (value_of(after) < value_of(exempt_spike)) return unlimited<S>();
    return value_of(after) < value_of(inverse_time) ? math::min(inverse_after, peak_inverse) : peak_inverse;
  }
};

/// Highest repetition that keeps breakdown factor, average, rms and repetition ratings with pulses like these, 1/s;
/// never more than one pulse in its width.
template <Real S>
[[nodiscard]] S greatest_repetition(const PulseRatings<S>& ratings, const PulseDuty<S>& pulse) {
  S rate = ratings.repetition;
  const auto keep = [&rate](const S& limit, const S& each) {
    if (is_limited(limit) && value_of(each) > Plain<S>(0)) rate = math::min(rate, S(limit / each));
  };
  keep(ratings.breakdown_factor, S(pulse.plate * pulse.current));
  keep(ratings.average_current, S(pulse.current * pulse.width));
  if (is_limited(ratings.rms_current))
    keep(S(ratings.rms_current * ratings.rms_current), S(pulse.current * pulse.current * pulse.width));
  keep(S(1), pulse.width);
  return rate;
}

/// One rating and how it stands.
template <Real S>
struct PulseLine {
  const char* rating;
  const char* unit;
  S value, limit;
  S use;  ///< share of the limit, above 1: exceeded; 0 where none is published
};

/// Every rating against a duty.
template <Real S>
struct PulseReport {
  static constexpr std::size_t count = 9;
  std::array<PulseLine<S>, count> lines;

  /// The line that is used most.
  [[nodiscard]] const PulseLine<S>& worst() const {
    const PulseLine<S>* most = &lines[0];
    for (const PulseLine<S>& line : lines)
      if (value_of(line.use) > value_of(most->use)) most = &line;
    return *most;
  }
  [[nodiscard]] bool all_kept() const { return !(value_of(worst().use) > Plain<S>(1)); }
};

/// Compares a duty with ratings. A spike wider than the exempt one counts as inverse voltage after the pulse.
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] PulseReport<S> pulse_report(const PulseRatings<S>& ratings, const PulseDuty<S>& duty) {
  ratings.check();
  duty.check();
  const auto line = [](const char* rating, const char* unit, const S& value, const S& limit) {
    return PulseLine<S>{rating, unit, value, limit, is_limited(limit) ? S(value / limit) : S(0)};
  };
  const bool counts = value_of(duty.spike_width) > value_of(ratings.exempt_spike);
  const S after = counts ? math::max(duty.inverse_after, duty.inverse_spike) : duty.inverse_after;
  return {{line("peak forward plate voltage", "V", duty.plate, ratings.peak_forward),
           line("peak current", "A", duty.current, ratings.peak_current),
           line("average current", "A", duty.average(), ratings.average_current),
           line("rms current", "A", duty.rms(), ratings.rms_current),
           line("plate breakdown factor", "V A/s", duty.breakdown_factor(), ratings.breakdown_factor),
           line("rate of rise of current", "A/s", duty.current_rise, ratings.current_rise),
           line("repetition", "1/s", duty.rate, ratings.repetition),
           line("inverse voltage after the pulse", "V", after, ratings.inverse_limit(ratings.exempt_spike)),
           line("peak inverse voltage", "V", duty.inverse_later, ratings.peak_inverse)}};
}

}  // namespace gastube
