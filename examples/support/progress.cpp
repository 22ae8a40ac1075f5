// SPDX-License-Identifier: MIT
#include "progress.hpp"

#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <iostream>
#include <optional>

#if __has_include(<boost/timer/progress_display.hpp>)
#include <boost/timer/progress_display.hpp>
#endif

namespace gastube::examples {
namespace {

using Clock = std::chrono::steady_clock;
constexpr unsigned long whole = 1000;
constexpr std::chrono::milliseconds patience{500};

}  // namespace

#if __has_include(<boost/timer/progress_display.hpp>)
struct Progress::Display {
  bool wanted = isatty(STDERR_FILENO) == 1;
  Clock::time_point begin = Clock::now();
  std::optional<boost::timer::progress_display> bar{};

  void reach(double share) {
    if (!wanted || (!bar && Clock::now() - begin < patience)) { return; }
    if (!bar) { bar.emplace(whole, std::cerr); }
    const auto reached = static_cast<unsigned long>(std::clamp(share, 0.0, 1.0) * double(whole));
    if (reached > bar->count()) { *bar += reached - bar->count(); }
  }
};
#else
struct Progress::Display {
  void reach(double) {}
};
#endif

Progress::Progress() : display_(std::make_unique<Display>()) {}
Progress::~Progress() { reach(1); }
void Progress::reach(double share) { display_->reach(share); }

}  // namespace gastube::examples
