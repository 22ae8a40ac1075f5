// SPDX-License-Identifier: MIT
#pragma once
// How far a long run has come, shown on a terminal and nowhere else, and only once the run has lasted a while. It is
// drawn by Boost.Timer's progress_display; without Boost (Debian: libboost-dev) nothing is shown.

#include <memory>

namespace gastube::examples {

class Progress {
 public:
  Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress();

  /// @param share of the work that is done, 0 to 1
  void reach(double share);

 private:
  struct Display;
  std::unique_ptr<Display> display_;
};

}  // namespace gastube::examples
