// SPDX-License-Identifier: MIT
#pragma once
// Running gnuplot: the one place that knows of processes and temporary folders.

#include "picture.hpp"

#include <string>
#include <string_view>

namespace gastube::examples {

enum class PictureFormat { png, svg };

/// A text as a gnuplot string: single quotes, in which gnuplot takes nothing for a command; control characters become
/// spaces.
[[nodiscard]] std::string gnuplot_string(std::string_view text);

/// Runs a script that sets neither terminal nor output, and puts the picture at `path` once it is complete.
/// The terminal follows the ending of the name, .png or .svg; `width` and `height` are in pixels.
[[nodiscard]] DrawResult run_gnuplot(std::string_view script, const std::string& path, int width, int height);

/// png unless the name ends in .svg.
[[nodiscard]] PictureFormat format_of(std::string_view path);

}  // namespace gastube::examples
