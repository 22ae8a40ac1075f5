// SPDX-License-Identifier: MIT
#include "report.hpp"
#include "support/page.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <map>

namespace compare {

namespace {

namespace examples = gastube::examples;
using examples::Axis;
using examples::Box;
using examples::Page;

constexpr int columns = 2;
constexpr double panel_width = 720, panel_height = 520, top = 78;
constexpr double least_error = 1e-17;  // s; what is nearer is drawn there

/// Whole decades around values above zero, each one marked and every so many named.
Axis decades(double least, double greatest) {
  const int from = int(std::floor(std::log10(least) - 0.05)), to = int(std::ceil(std::log10(greatest) + 0.05));
  Axis axis{std::pow(10.0, from), std::pow(10.0, to), true, {}, {}};
  const int every = (to - from + 7) / 8;
  for (int power = from; power <= to; ++power) {
    const bool named = (power - from) % every == 0;
    axis.ticks.push_back({std::pow(10.0, power), named ? fmt::format("1e{}", power) : ""});
  }
  return axis;
}

struct Series {
  std::string name;
  std::vector<double> seconds, error;
};

std::vector<Series> series_of(const std::vector<Row>& rows, const std::string& problem) {
  std::vector<Series> all;
  for (const Row& row : rows) {
    if (row.problem != problem || std::isnan(row.worst) || std::isnan(row.seconds)) continue;
    const auto same = [&](const Series& series) { return series.name == row.method; };
    auto found = std::find_if(all.begin(), all.end(), same);
    if (found == all.end()) found = all.insert(all.end(), Series{row.method, {}, {}});
    found->seconds.push_back(row.seconds);
    found->error.push_back(std::max(row.worst, least_error));
  }
  return all;
}

/// A method looks the same in all panels.
class Looks {
 public:
  [[nodiscard]] std::size_t of(const std::string& method) {
    return numbers_.emplace(method, numbers_.size()).first->second;
  }

 private:
  std::map<std::string, std::size_t> numbers_;
};

/// Names stand beside the points of the least error, clear of points and of each other.
void put_names(Page& page, const examples::Graph& graph, const Box& frame, const std::vector<Series>& all) {
  std::vector<examples::Point> anchors, occupied;
  std::vector<double> widths;
  for (const Series& series : all) {
    for (std::size_t k = 0; k < series.error.size(); ++k) {
      const examples::Point here{graph.x_of(series.seconds[k]), graph.y_of(series.error[k])};
      const examples::Point last = k == 0 ? here : occupied.back();
      for (int part = k == 0 ? 10 : 1; part <= 10; ++part)  // lines are to be kept clear too
        occupied.push_back({last.x + 0.1 * part * (here.x - last.x), last.y + 0.1 * part * (here.y - last.y)});
    }
    const std::size_t best =
        std::size_t(std::min_element(series.error.begin(), series.error.end()) - series.error.begin());
    anchors.push_back({graph.x_of(series.seconds[best]), graph.y_of(series.error[best])});
    widths.push_back(examples::text_width(series.name, 13) + 6);
  }
  const std::vector<Box> boxes = examples::boxes_beside(anchors, widths, 17, frame, occupied);
  for (std::size_t k = 0; k < all.size(); ++k)
    page.text(boxes[k].left + 3, (boxes[k].top + boxes[k].bottom) / 2, all[k].name, {13});
}

void add_panel(Page& page, double left, double upper, const std::string& problem, const std::vector<Series>& all,
               Looks& looks) {
  double least = 1e300, greatest = 0, quickest = 1e300, slowest = 0;
  for (const Series& series : all)
    for (std::size_t k = 0; k < series.error.size(); ++k) {
      least = std::min(least, series.error[k]);
      greatest = std::max(greatest, series.error[k]);
      quickest = std::min(quickest, series.seconds[k]);
      slowest = std::max(slowest, series.seconds[k]);
    }
  const Box frame{left + 96, upper + 34, left + panel_width - 24, upper + panel_height - 62};
  examples::Graph graph(page, frame, decades(quickest, slowest), decades(least, greatest));
  for (const Series& series : all) {
    const std::size_t look = looks.of(series.name);
    graph.curve(series.seconds, series.error, {examples::series_colour(look), 1.6, examples::series_dash(look)});
    graph.points(series.seconds, series.error, 1 + int(look), examples::series_colour(look), 1.3);
  }
  graph.finish();
  put_names(page, graph, frame, all);
  page.text(left + 96, upper + 18, problem, {16, examples::Align::left, true});
  page.text((frame.left + frame.right) / 2, frame.bottom + 40, "time of a run [s]", {14, examples::Align::centre});
  page.text(left + 22, (frame.top + frame.bottom) / 2, "worst event [s]",
            {14, examples::Align::centre, false, "#222222", 90});
}

}  // namespace

bool draw(const std::vector<Row>& rows, const std::string& folder) {
  std::vector<std::string> names;
  for (const Row& row : rows)
    if ((names.empty() || names.back() != row.problem) && !series_of(rows, row.problem).empty())
      names.push_back(row.problem);
  const int lines = (int(names.size()) + columns - 1) / columns;
  Page page(int(columns * panel_width), int(top + lines * panel_height), examples::PictureFormat::png);
  page.title(30, "Error of the worst event against the time of a run; further to the lower left is better");
  Looks looks;
  for (std::size_t k = 0; k < names.size(); ++k)
    add_panel(page, double(k % columns) * panel_width, top + double(k / columns) * panel_height, names[k],
              series_of(rows, names[k]), looks);
  std::error_code ignored;
  std::filesystem::create_directories(folder, ignored);
  const auto result = page.save((std::filesystem::path(folder) / "work_precision.png").string());
  if (!result.message.empty()) std::fprintf(stderr, "compare_steppers: %s\n", result.message.c_str());
  return result.drawn;
}

}  // namespace compare
