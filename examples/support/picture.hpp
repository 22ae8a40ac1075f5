// SPDX-License-Identifier: MIT
#pragma once
// What drawing and writing answer: an example goes on without its picture, and says why there is none.

#include <string>

namespace gastube::examples {

/// Whether a picture was drawn, and if not, why not; `message` may also carry a remark on a picture that was drawn.
struct DrawResult {
  bool drawn = false;
  std::string message{};
};

/// Whether a file was written, and if not, why not.
struct WriteResult {
  bool written = false;
  std::string message{};
};

/// A stretch of the time axis, in seconds.
struct Window {
  double from = 0;
  double to = 0;
};

}  // namespace gastube::examples
