// SPDX-License-Identifier: MIT
#include "caution.hpp"

#include "report.hpp"

#include <fmt/format.h>

namespace gastube::examples {

std::string caution(double supply, std::string_view more) {
  return paragraph(fmt::format(
      "Take care: {} can {}, capacitors keep their charge after switching off, and glass gets hot. {}{}Work "
      "with the supply off, keep to the rules where you live, and leave the mains to those licensed for it.",
      engineering(supply, "V", 3), supply > 60 ? "kill" : "hurt", more, more.empty() ? "" : " "));
}

}  // namespace gastube::examples
