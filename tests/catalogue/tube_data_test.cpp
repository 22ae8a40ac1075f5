// SPDX-License-Identifier: MIT
// The data sheet as a type: no field is forgotten, none is without source.
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/catalogue/tube_data.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <cstring>
#include <initializer_list>
#include <set>
#include <string>

using namespace gastube;
using catalogue::Datum;
using catalogue::TubeData;

namespace {

bool says(const Datum& datum, std::initializer_list<const char*> words) {
  for (const char* word : words)
    if (std::strstr(datum.source, word) != nullptr) return true;
  return false;
}

template <class Function>
void for_each_datum(Function&& f) {
  catalogue::for_each_tube([&](const auto& data) {
    catalogue::for_each_field(data, [&](const char* field, const char*, const Datum& datum) {
      CAPTURE(std::string(data.type));
      CAPTURE(std::string(field));
      f(datum);
    });
  });
}

}  // namespace

TEST_CASE("every datum of a data sheet is visited, each once") {
  // What is left of the type besides its data: designation, equivalents and fill.
  constexpr std::size_t head = sizeof(const char*) + sizeof(TubeData::also_known_as) + sizeof(const Gas*);
  static_assert((sizeof(TubeData) - head) % sizeof(Datum) == 0, "padding would hide a forgotten field");
  std::set<const Datum*> visited;
  std::size_t calls = 0;
  catalogue::for_each_field(catalogue::data_5727, [&](const char*, const char*, const Datum& datum) {
    visited.insert(&datum);
    ++calls;
  });
  CHECK(calls == (sizeof(TubeData) - head) / sizeof(Datum));
  CHECK(visited.size() == calls);
}

TEST_CASE("fields have distinct names, and a unit or none") {
  // Units that do not scale a pure number; any other string would be a slip.
  const std::set<std::string> units{
      "", "V", "A", "s", "ohm", "S", "F", "V s", "A/V^1.5", "V A/s^2", "V A/s", "A/s", "m", "Pa", "degrees Celsius"};
  catalogue::for_each_tube([&](const auto& data) {
    std::set<std::string> names;
    catalogue::for_each_field(data, [&](const char* field, const char* unit, const Datum&) {
      CAPTURE(std::string(field));
      CHECK(std::strlen(field) > 0);
      CHECK(names.insert(field).second);
      CHECK(units.count(unit) == 1);
    });
  });
}

TEST_CASE("every datum in the catalogue is finite and has a source") {
  for_each_datum([](const Datum& datum) {
    CHECK(std::isfinite(datum.value));
    CHECK(datum.source != nullptr);
    CHECK(std::strlen(datum.source) > 10);
  });
}

TEST_CASE("what is not verified says so, and what is published names a publication") {
  for_each_datum([](const Datum& datum) {
    const bool admits = says(datum, {"assumed", "fitted", "recollect", "taken over", "not published", "is said"});
    const bool cites = says(datum, {"data sheet", "exhibit page", "collector's page", "MIL-", "tube-catalogue entry",
                                    "abstract", "article", "guide", "encyclopedia"});
    switch (datum.confidence) {
    case Confidence::published: CHECK((cites && !admits)); break;
    case Confidence::unverified: CHECK((admits && !cites)); break;
    case Confidence::derived:
      CHECK(says(datum, {"from the ", "root of ", "no shield grid", "no rare gas", "so that ", "in the middle of "}));
      break;
    case Confidence::handbook:
    case Confidence::plausible: CHECK((says(datum, {"handbook"}) && !admits)); break;
    }
  });
}

TEST_CASE("designations and their equivalents are distinct over the whole catalogue") {
  std::set<std::string> names;
  std::size_t types = 0;
  catalogue::for_each_tube([&](const auto& data) {
    CAPTURE(std::string(data.type));
    CHECK(names.insert(data.type).second);
    for (const char* other : data.also_known_as)
      if (other) CHECK(names.insert(other).second);
    ++types;
  });
  CHECK(types >= 24);
}

TEST_CASE("a tube is found by its designation or an equivalent, and an unknown one is refused") {
  CHECK(&catalogue::of(catalogue::xenon_tubes, "PL21") == &catalogue::data_5727);
  CHECK(catalogue::of(catalogue::hydrogen_tubes, "4C35").tube.peak_forward == 8e3);
  CHECK_THROWS_AS(static_cast<void>(catalogue::of(catalogue::xenon_tubes, "5722")), InvalidRequest);
}

TEST_CASE("a limit that is not published is no limit, and says so") {
  CHECK_FALSE(is_limited(catalogue::not_published.value));
  CHECK(catalogue::not_published.confidence == Confidence::unverified);
  CHECK(std::isfinite(catalogue::not_published.value));
}

TEST_CASE("a datum reads like a plain number") {
  const Datum datum{2.5, Confidence::derived, "from the test"};
  const double doubled = 2.0 * datum;
  CHECK(doubled == 5.0);
}
