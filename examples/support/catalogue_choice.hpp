// SPDX-License-Identifier: MIT
#pragma once
// A tube of the catalogue by its name on the command line.

#include <array>
#include <cstddef>
#include <string>
#include <vector>

namespace gastube::examples {

/// The names in a list of the catalogue, for CommandLine::option.
template <class Data, std::size_t N>
[[nodiscard]] std::vector<std::string> types_in(const std::array<Data, N>& list) {
  std::vector<std::string> types;
  for (const Data& data : list) types.emplace_back(data.type);
  return types;
}

/// The entry of that name; the first if there is none, which the command line does not let happen.
template <class Data, std::size_t N>
[[nodiscard]] const Data& type_in(const std::array<Data, N>& list, const std::string& type) {
  for (const Data& data : list)
    if (type == data.type) return data;
  return list.front();
}

}  // namespace gastube::examples
