// SPDX-License-Identifier: MIT
// The fidelity table as a whole; the rows are asserted here once more, by the list that bench/fidelity prints.
#include "fidelity/all_rows.hpp"
#include "fidelity/check_rows.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string>

TEST_CASE("every row of the fidelity table lies where it is said to lie") {
  for (const published::Subject& subject : published::subjects) {
    CAPTURE(std::string(subject.name));
    check_rows(subject.rows);
  }
}

TEST_CASE("every row has an id of its own, and says what it compares") {
  std::set<std::string> ids;
  for (const published::Subject& subject : published::subjects)
    for (const published::Row& row : subject.rows) {
      CAPTURE(std::string(row.id));
      CHECK(ids.insert(row.id).second);
      CHECK(std::string(row.quantity).size() > 0);
      CHECK(row.tolerance >= 0.0);
    }
}

TEST_CASE("the table is long enough to judge the library by") {
  std::size_t rows = 0, read_or_remembered = 0;
  for (const published::Subject& subject : published::subjects)
    for (const published::Row& row : subject.rows) {
      ++rows;
      read_or_remembered += row.confidence == gastube::Confidence::derived ? 0 : 1;
    }
  CHECK(rows >= 200);
  CHECK(read_or_remembered >= 60);  // not counting what is calculated from a published formula
}

TEST_CASE("a row tells inside from outside, on both sides, by its kind, and not for NaN") {
  using published::Kind;
  const auto row = [](Kind kind) {
    return published::Row{"", "", "", "", -10.0, 0.1, gastube::Confidence::derived, "", nullptr, false, kind};
  };
  CHECK(row(Kind::value).inside(-10.9));
  CHECK(row(Kind::value).inside(-9.1));
  CHECK_FALSE(row(Kind::value).inside(-11.1));
  CHECK_FALSE(row(Kind::value).inside(-8.9));
  CHECK(row(Kind::at_most).inside(-50.0));
  CHECK_FALSE(row(Kind::at_most).inside(-8.9));
  CHECK(row(Kind::at_least).inside(50.0));
  CHECK_FALSE(row(Kind::at_least).inside(-11.1));
  for (const Kind kind : {Kind::value, Kind::at_most, Kind::at_least}) CHECK_FALSE(row(kind).inside(std::nan("")));
}
