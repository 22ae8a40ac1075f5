// SPDX-License-Identifier: MIT
// Labels in pictures: none covers another, none leaves its place without need; ticks are round.

#include "support/axis.hpp"
#include "support/event_marks.hpp"
#include "support/placement.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <string>
#include <vector>

using namespace gastube::examples;

namespace {

/// Whether a flag is covered by another flag, or crossed by the pole of one that flies higher.
bool is_clear(const std::vector<Flag>& flags, std::size_t index) {
  const Flag& flag = flags[index];
  for (std::size_t other = 0; other < flags.size(); ++other) {
    const bool pole_inside = flags[other].x > flag.x && flags[other].x < flag.x + flag.width;
    if (other != index && pole_inside && flags[other].row >= flag.row) { return false; }
  }
  return true;
}

std::vector<std::string> labels_of(const Axis& axis) {
  std::vector<std::string> labels;
  for (const Tick& tick : axis.ticks) { labels.push_back(tick.label); }
  return labels;
}

std::vector<EventMark> events_every(double period, int count) {
  std::vector<EventMark> events;
  for (int index = 0; index < count; ++index) { events.push_back({period * index, "event " + std::to_string(index)}); }
  return events;
}

constexpr Window second{0, 1};

}  // namespace

TEST_CASE("flags that have room stay on the lowest row") {
  std::vector<Flag> flags{{0, 50}, {100, 50}, {200, 50}};
  CHECK(raise_flags(flags) == 1);
  CHECK(flags[1].row == 0);
}

TEST_CASE("crowded flags rise until none is covered or crossed") {
  std::mt19937 engine(11);
  std::uniform_real_distribution<double> along(0, 300);
  for (int trial = 0; trial < 50; ++trial) {
    std::vector<Flag> flags;
    for (int count = 0; count < 12; ++count) { flags.push_back({along(engine), 10 + along(engine) / 3}); }
    std::sort(flags.begin(), flags.end(), [](const Flag& a, const Flag& b) { return a.x < b.x; });
    const std::size_t rows = raise_flags(flags);
    for (std::size_t index = 0; index < flags.size(); ++index) {
      CHECK(is_clear(flags, index));
      CHECK(flags[index].row < rows);
    }
  }
}

TEST_CASE("labels in a margin are moved apart and kept between its ends") {
  std::vector<double> heights{50, 52, 10, 51};
  spread(heights, 20, 0, 100);
  CHECK(heights[2] == 10);
  std::vector<double> sorted(heights);
  std::sort(sorted.begin(), sorted.end());
  for (std::size_t index = 1; index < sorted.size(); ++index) { CHECK(sorted[index] - sorted[index - 1] >= 20 - 1e-9); }
  CHECK(sorted.back() <= 100);
  CHECK(heights[0] < heights[3]);
  CHECK(heights[3] < heights[1]);
}

TEST_CASE("items flow into the next row when they no longer fit") {
  const std::vector<Place> places = flow({60, 60, 60, 200, 10}, 130);
  CHECK(places[1].row == 0);
  CHECK(places[1].x == 60);
  CHECK(places[2].row == 1);
  CHECK(places[2].x == 0);
  CHECK(places[3].row == 2);
  CHECK(places[4].row == 3);
  CHECK(flow({}, 100).empty());
}

TEST_CASE("long texts are cut or broken to their width") {
  const std::string text = "the tube that holds the signal at danger";
  CHECK(fitted("short", 13, 200) == "short");
  CHECK(text_width(fitted(text, 13, 100), 13) <= 100);
  CHECK(fitted(text, 13, 100).ends_with("..."));
  const std::vector<std::string> lines = in_two_lines(text, 13, 200);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0] + " " + lines[1] == text);
  CHECK(text_width(lines[0], 13) <= 200);
  CHECK(fitted("\u03a9\u03a9\u03a9\u03a9\u03a9\u03a9\u03a9\u03a9", 13, 50).starts_with("\u03a9"));
}

TEST_CASE("a label beside a point stays inside, off other labels and off the curve") {
  const Box area{0, 0, 300, 200};
  std::vector<Point> curve;
  for (int x = 0; x <= 300; x += 2) { curve.push_back({static_cast<double>(x), 100}); }
  const std::vector<Point> anchors{{295, 100}, {150, 100}, {152, 100}};
  const std::vector<Box> boxes = boxes_beside(anchors, {80, 80, 80}, 18, area, curve);
  for (std::size_t index = 0; index < boxes.size(); ++index) {
    const Box& box = boxes[index];
    CHECK(box.left >= area.left);
    CHECK(box.right <= area.right);
    CHECK(std::none_of(curve.begin(), curve.end(), [&](const Point& point) { return box.holds(point.x, point.y); }));
    for (std::size_t other = 0; other < index; ++other) { CHECK_FALSE(box.meets(boxes[other])); }
  }
}

TEST_CASE("linear ticks are round and read alike") {
  CHECK(labels_of(linear_axis(0, 200, 10))
        == std::vector<std::string>{"0", "20", "40", "60", "80", "100", "120", "140", "160", "180", "200"});
  CHECK(labels_of(linear_axis(-0.3, 1.2, 3)) == std::vector<std::string>{"0.0", "0.5", "1.0"});
  CHECK(labels_of(linear_axis(0.9, 1.1, 5)) == std::vector<std::string>{"0.90", "0.95", "1.00", "1.05", "1.10"});
}

TEST_CASE("an axis has width even where the values have none") {
  Extent extent;
  CHECK(axis_around(extent, 5).to == 1);
  extent.include(std::vector<double>{0, 0, std::nan("")});
  CHECK(axis_around(extent, 5).from < 0);
  CHECK(axis_around(extent, 5).to > 0);
  Extent high;
  high.include(48.0);
  CHECK(axis_around(high, 5).from < 48);
  CHECK(axis_around(high, 5).to > 48);
}

TEST_CASE("logarithmic ticks are decades, with prefixes where the unit takes them") {
  Extent extent;
  extent.include(std::vector<double>{1e-7, 1e-2});
  CHECK(labels_of(logarithmic_axis(extent, "s"))
        == std::vector<std::string>{"100 ns", "1 us", "10 us", "100 us", "1 ms", "10 ms"});
  CHECK(labels_of(logarithmic_axis(extent, ""))
        == std::vector<std::string>{"1e-7", "1e-6", "1e-5", "1e-4", "0.001", "0.01"});
  CHECK(share_of(logarithmic_axis(extent, ""), std::sqrt(1e-7 * 1e-2)) == closeness::relative(0.5));
}

TEST_CASE("events at one instant share a mark, and names count repeats") {
  const EventMarks marks = arrange({{0.5, "b"}, {0.5, "a"}, {0.5, "b"}, {0.2, "first"}}, second, 0, 1000, 1100);
  REQUIRE(marks.groups.size() == 2);
  CHECK(names_of(marks.groups[0]) == "first");
  CHECK(names_of(marks.groups[1]) == "b 2x, a");
  CHECK(marks.groups[1].x == closeness::relative(500));
  CHECK(marks.style == EventStyle::named);
}

TEST_CASE("events are named while there is room, then numbered, then only ticked") {
  CHECK(arrange(events_every(0.2, 5), second, 0, 1000, 1200).style == EventStyle::named);
  CHECK(arrange(events_every(0.03, 30), second, 0, 1000, 1200).style == EventStyle::numbered);
  CHECK(arrange(events_every(0.001, 900), second, 0, 1000, 1200).style == EventStyle::crowded);
  CHECK(arrange({{1.0, "a name too long for the margin to the right"}}, second, 0, 1000, 1020).style
        == EventStyle::numbered);
  CHECK(arrange({{-0.1, "before"}, {1.1, "after"}}, second, 0, 1000, 1200).groups.empty());
}
