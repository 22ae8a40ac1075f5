// SPDX-License-Identifier: MIT
#include "placement.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace gastube::examples {
namespace {

bool continues_a_letter(char unit) { return (static_cast<unsigned char>(unit) & 0xC0U) == 0x80U; }

/// Widths in the font's em, by classes of letters: measured on DejaVu Sans, each class taken at its wide end.
double letter_width(char letter) {
  constexpr std::string_view narrow = "ijlI.,:;'|! ";
  constexpr std::string_view slim = "frtJ()[]-/\"";
  constexpr std::string_view wide = "mwMWOQGDHNU+=%<>@&";
  if (continues_a_letter(letter)) { return 0; }
  if (narrow.find(letter) != std::string_view::npos) { return 0.32; }
  if (slim.find(letter) != std::string_view::npos) { return 0.41; }
  if (wide.find(letter) != std::string_view::npos) {
    return letter == 'm' || letter == 'W' || letter == '%' || letter == '@' ? 0.98 : 0.83;
  }
  return letter >= 'A' && letter <= 'Z' ? 0.69 : 0.636;
}

void drop_letter(std::string& text) {
  while (!text.empty() && continues_a_letter(text.back())) { text.pop_back(); }
  if (!text.empty()) { text.pop_back(); }
}

/// Where to break: at the last space before the text grows too wide, else at its first space, else nowhere.
std::size_t break_of(std::string_view text, double size, double width, bool bold) {
  std::size_t best = text.find(' ');
  for (std::size_t space = best; space != std::string_view::npos; space = text.find(' ', space + 1)) {
    best = text_width(text.substr(0, space), size, bold) <= width ? space : best;
  }
  return best;
}

constexpr double flag_gap = 6;

struct Candidate {
  Box box;
  double cost;
};

/// The four sides and the four corners, near and then farther away.
std::vector<Candidate> candidates_beside(const Point& anchor, double width, double height) {
  std::vector<Candidate> found;
  for (const double away : {9.0, 22.0, 40.0, 64.0}) {
    for (const auto& [side, rise] :
         std::array<std::array<double, 2>, 8>{{{1, 0}, {1, -1}, {1, 1}, {-1, 0}, {-1, -1}, {-1, 1}, {0, -1}, {0, 1}}}) {
      const double centre_x = anchor.x + side * (away + width / 2);
      const double centre_y = anchor.y + rise * (away + (side == 0.0 ? height / 2 : 0.0));
      const Box box{centre_x - width / 2, centre_y - height / 2, centre_x + width / 2, centre_y + height / 2};
      found.push_back({box, 0.2 * away});
    }
  }
  return found;
}

double cost_of(const Box& box, const Box& area, const std::vector<Box>& taken, const std::vector<Point>& occupied) {
  const bool outside = box.left < area.left || box.right > area.right || box.top < area.top || box.bottom > area.bottom;
  const auto covered = std::count_if(taken.begin(), taken.end(), [&](const Box& other) { return box.meets(other); });
  const auto hidden =
      std::count_if(occupied.begin(), occupied.end(), [&](const Point& point) { return box.holds(point.x, point.y); });
  return (outside ? 1e6 : 0.0) + 1e4 * static_cast<double>(covered) + static_cast<double>(hidden);
}

}  // namespace

double text_width(std::string_view text, double size, bool bold) {
  const double ems = std::accumulate(text.begin(), text.end(), 0.0,
                                     [](double sum, char letter) { return sum + letter_width(letter); });
  return ems * size * (bold ? 1.1 : 1.0);
}

std::string fitted(std::string_view text, double size, double width, bool bold) {
  std::string kept(text);
  if (text_width(kept, size, bold) <= width) { return kept; }
  while (!kept.empty() && text_width(kept + "...", size, bold) > width) { drop_letter(kept); }
  return kept + "...";
}

std::vector<std::string> in_two_lines(std::string_view text, double size, double width, bool bold) {
  if (text_width(text, size, bold) <= width) { return {std::string(text)}; }
  const std::size_t space = break_of(text, size, width, bold);
  if (space == std::string_view::npos) { return {fitted(text, size, width, bold)}; }
  return {fitted(text.substr(0, space), size, width, bold), fitted(text.substr(space + 1), size, width, bold)};
}

std::size_t raise_flags(std::vector<Flag>& flags) {
  std::size_t rows = 0;
  for (std::size_t index = flags.size(); index-- > 0;) {
    Flag& flag = flags[index];
    flag.row = 0;
    for (std::size_t right = index + 1; right < flags.size() && flags[right].x <= flag.x + flag.width + flag_gap;
         ++right) {
      flag.row = std::max(flag.row, flags[right].row + 1);
    }
    rows = std::max(rows, flag.row + 1);
  }
  return rows;
}

void spread(std::vector<double>& values, double gap, double low, double high) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  double floor = low;
  for (const std::size_t index : order) {
    values[index] = std::max(values[index], floor);
    floor = values[index] + gap;
  }
  double ceiling = high;
  for (auto place = order.rbegin(); place != order.rend(); ++place) {
    values[*place] = std::min(values[*place], ceiling);
    ceiling = values[*place] - gap;
  }
}

std::vector<Place> flow(const std::vector<double>& widths, double available) {
  std::vector<Place> places;
  Place next;
  for (const double width : widths) {
    if (next.x > 0 && next.x + width > available) { next = {0, next.row + 1}; }
    places.push_back(next);
    next.x += width;
  }
  return places;
}

bool Box::meets(const Box& other) const {
  return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
}

bool Box::holds(double x, double y) const { return x >= left && x <= right && y >= top && y <= bottom; }

std::vector<Box> boxes_beside(const std::vector<Point>& anchors, const std::vector<double>& widths, double height,
                              const Box& area, const std::vector<Point>& occupied) {
  std::vector<Box> taken;
  taken.reserve(2 * anchors.size());
  for (const Point& anchor : anchors) { taken.push_back({anchor.x - 6, anchor.y - 6, anchor.x + 6, anchor.y + 6}); }
  std::vector<Box> boxes;
  for (std::size_t index = 0; index < anchors.size(); ++index) {
    std::vector<Candidate> candidates = candidates_beside(anchors[index], widths[index], height);
    for (Candidate& candidate : candidates) { candidate.cost += cost_of(candidate.box, area, taken, occupied); }
    const auto best = std::min_element(candidates.begin(), candidates.end(),
                                       [](const Candidate& a, const Candidate& b) { return a.cost < b.cost; });
    boxes.push_back(best->box);
    taken.push_back(best->box);
  }
  return boxes;
}

}  // namespace gastube::examples
