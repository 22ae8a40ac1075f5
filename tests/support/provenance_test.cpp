// SPDX-License-Identifier: MIT
// A published value reads like a number and still knows its source.
#include <gastube/support/provenance.hpp>

#include <doctest/doctest.h>

#include <set>
#include <string>

using namespace gastube;

namespace {
constexpr Confidence every_confidence[] = {Confidence::published, Confidence::handbook, Confidence::plausible,
                                           Confidence::unverified, Confidence::derived};
constexpr Sourced<double> drop{8.0, Confidence::handbook, "a handbook's table"};
static_assert(drop + 2.0 == 10.0 && drop.confidence == Confidence::handbook);
}  // namespace

TEST_CASE("a sourced value converts to the value it holds") {
  const double& plain = drop;
  CHECK(&plain == &drop.value);
  CHECK(std::string(drop.source) == "a handbook's table");
}

TEST_CASE("every confidence has a name of its own") {
  std::set<std::string> names;
  for (const Confidence confidence : every_confidence) names.insert(name(confidence));
  CHECK(names.size() == 5);
  CHECK(names.count("unknown") == 0);
  CHECK(std::string(name(static_cast<Confidence>(99))) == "unknown");
}
