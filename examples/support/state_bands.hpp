// SPDX-License-Identifier: MIT
#pragma once
// Tubes' states as bands: a ground and a hatching for each state, the state's name where it fits, and a key.

#include "page.hpp"
#include "sheet.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace gastube::examples {

/// The states of all tubes in order of their first appearance, each with its look. Handbook states look the same in
/// every picture: cold, blocked, striking, conducting, recovering, reverse breakdown; dark, glow, abnormal glow, arc;
/// those of a relay's armature.
class StateLooks {
 public:
  StateLooks(const std::vector<StateBand>& bands, const Window& window);
  /// Those that show within the window.
  [[nodiscard]] const std::vector<std::string>& shown() const { return shown_; }
  [[nodiscard]] Hatch look_of(std::string_view state) const;

 private:
  std::vector<std::string> states_{};
  std::vector<std::string> shown_{};
};

/// The height of one tube's band, in pixels.
constexpr double band_height = 30;

/// Turns seconds into what the time axis shows.
struct TimeMap {
  double origin = 0;  ///< s
  double factor = 1;
  [[nodiscard]] double operator()(double time) const { return (time - origin) * factor; }
};

/// Paints one band under the other into `frame`.
void paint_bands(const std::vector<StateBand>& bands, const StateLooks& looks, Page& page, const Box& frame,
                 const Axis& time_axis, const TimeMap& map);

/// The height of the key in the given width, and its painting.
[[nodiscard]] double state_key_height(const StateLooks& looks, double width);
void paint_state_key(const StateLooks& looks, Page& page, double left, double top, double width);

}  // namespace gastube::examples
