// SPDX-License-Identifier: MIT
// The catalogue as a whole.
#include <gastube/catalogue/catalogue.hpp>

#include <doctest/doctest.h>

#include <set>
#include <string>

using namespace gastube;

TEST_CASE("every list is visited, and every entry once") {
  std::set<const void*> visited;
  std::size_t calls = 0;
  catalogue::for_each_tube([&](const auto& data) {
    visited.insert(&data);
    ++calls;
  });
  const std::size_t entries = catalogue::xenon_tubes.size() + catalogue::argon_tubes.size()
                              + catalogue::mercury_tubes.size() + catalogue::hydrogen_tubes.size()
                              + catalogue::trigger_tubes.size() + catalogue::glow_lamps.size()
                              + catalogue::stabilisers.size();
  CHECK(calls == entries);
  CHECK(visited.size() == entries);
}

TEST_CASE("every entry makes a tube that carries its designation") {
  catalogue::for_each_tube(
      [](const auto& data) { CHECK(catalogue::build<double>(data).type() == std::string(data.type)); });
}
