// SPDX-License-Identifier: MIT
#pragma once
/// A tube of one's own: a catalogued type, with what was measured in place of what is published.

#include "gastube/adapt/fit_arc.hpp"
#include "gastube/adapt/fit_ignition.hpp"
#include "gastube/adapt/fit_recovery.hpp"
#include "gastube/catalogue/hot_cathode.hpp"

#include <forward_list>
#include <memory>
#include <string>
#include <string_view>
#include <utility>

namespace gastube::adapt {

/// Data that serve everywhere that catalogued ones do:
///
///   const OwnTube mine = OwnTube(catalogue::data_5727, "5727 no. 3").with(ignition, "firing points of 3 May");
///   design::strike<double>(mine.data(), question);
///
/// It keeps the texts that its data and the tubes built from them point to: keep it, or a copy of it, as long as those.
class OwnTube {
 public:
  /// @param start  the type it is one of; @param designation  to tell it by
  OwnTube(const catalogue::TubeData& start, std::string designation) : data_(start) {
    data_.type = keep(std::move(designation));
    data_.also_known_as = {};
  }

  /// Control ratio, intercept, knee and band. The band is the measured tube's own, without life: a tube drifts.
  /// @throws InvalidRequest if the fill is another one
  OwnTube& with(const IgnitionFit& fit, std::string_view measurement) {
    if (fit.law.knee.ionisation != data_.fill->ionisation.value)
      detail::refuse("the ignition was fitted for another fill than this tube has");
    const char* source = source_text(measurement);
    const IgnitionBand<double> band = fit.band();
    data_.control_ratio = catalogue::worked_out(fit.law.line.control_ratio, source);
    data_.line_intercept = catalogue::worked_out(fit.law.line.intercept, source);
    data_.knee_rise = catalogue::worked_out(fit.law.knee.lift(catalogue::knee_plate), source);
    data_.band_at_zero = catalogue::worked_out(band.at_zero, source);
    data_.band_per_volt = catalogue::worked_out(band.per_plate_volt, source);
    data_.band_of_knee = catalogue::worked_out(band.knee_share, source);
    return *this;
  }
  /// Drop and resistance of the straight line, and the 95 % limits of the drop.
  OwnTube& with(const ArcFit& fit, std::string_view measurement) {
    const char* source = source_text(measurement);
    const double half = fit.half_width(0.0);
    data_.arc_drop = catalogue::worked_out(fit.law.drop, source);
    data_.arc_resistance = catalogue::worked_out(fit.law.resistance, source);
    data_.arc_drop_least = catalogue::worked_out(math::max(fit.law.drop - half, 0.0), source);
    data_.arc_drop_greatest = catalogue::worked_out(fit.law.drop + half, source);
    return *this;
  }
  /// Time constant, deionisation time and the current that they hold for. A second published time no longer stands.
  OwnTube& with(const RecoveryFit& fit, std::string_view measurement) {
    const char* source = source_text(measurement);
    const double time = fit.law.deionisation_time(fit.law.reference_current, -catalogue::deionisation_bias);
    data_.deionisation_time = catalogue::worked_out(time, source);
    data_.deionisation_constant = catalogue::worked_out(fit.law.time_constant, source);
    data_.deionisation_reference_current = catalogue::worked_out(fit.law.reference_current, source);
    data_.deionisation_strong_bias = catalogue::not_published;
    data_.deionisation_time_strong = catalogue::not_published;
    return *this;
  }

  [[nodiscard]] const catalogue::TubeData& data() const noexcept { return data_; }

 private:
  const char* keep(std::string text) {
    texts_->push_front(std::move(text));
    return texts_->front().c_str();
  }
  const char* source_text(std::string_view measurement) { return keep(std::string("measured: ").append(measurement)); }

  std::shared_ptr<std::forward_list<std::string>> texts_ = std::make_shared<std::forward_list<std::string>>();
  catalogue::TubeData data_;
};

}  // namespace gastube::adapt
