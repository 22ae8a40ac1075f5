// SPDX-License-Identifier: MIT
// Every setting is checked by name, and every way a run can end has words of its own.
#include <gastube/stepping/settings.hpp>

#include <doctest/doctest.h>

#include <initializer_list>
#include <limits>
#include <set>
#include <string>

using namespace gastube;

namespace {

/// What the refusal of settings with one field changed says, or nothing.
template <class S, class Field>
std::string refusal(Field Settings<S>::*field, double value) {
  Settings<S> settings;
  settings.*field = static_cast<Field>(value);
  try {
    settings.check();
  } catch (const InvalidParameter& error) { return error.what(); }
  return "";
}

template <class S>
void check_field(const char* name, Plain<S> Settings<S>::*field, std::initializer_list<double> refused,
                 std::initializer_list<double> allowed) {
  CAPTURE(name);
  const std::string start = std::string("settings: ") + name + " = ";
  const double nowhere[] = {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(),
                            -std::numeric_limits<double>::infinity()};
  for (const double value : nowhere) CHECK(refusal<S>(field, value).find(start) == 0);
  for (const double value : refused) {
    CAPTURE(value);
    CHECK(refusal<S>(field, value).find(start) == 0);
  }
  for (const double value : allowed) {
    CAPTURE(value);
    CHECK(refusal<S>(field, value) == "");
  }
}

}  // namespace

TEST_CASE_TEMPLATE("settings as they come are allowed", S, float, double, long double) {
  CHECK_NOTHROW(Settings<S>{}.check());
}

TEST_CASE_TEMPLATE("each setting out of its range is refused by name", S, float, double, long double) {
  const double finest = std::is_same_v<S, float> ? 1e-6 : 1e-13;
  check_field<S>("relative", &Settings<S>::relative, {0, -1e-3, 0.5 * finest, 0.11}, {1.001 * finest, 1e-3, 0.0999});
  check_field<S>("absolute", &Settings<S>::absolute, {0, -1e-3, 0.11}, {1e-30, 1e-3, 0.0999});
  check_field<S>("fixed_step", &Settings<S>::fixed_step, {-1e-9}, {0, 1e-9, 10});
  check_field<S>("first_step", &Settings<S>::first_step, {0, -1e-9}, {1e-12, 1});
  check_field<S>("longest_step", &Settings<S>::longest_step, {0, -1e-9}, {1e-12, 1e30});
  check_field<S>("shortest_step", &Settings<S>::shortest_step, {0, -1e-9}, {1e-20, 1e-9});
  check_field<S>("restart_step", &Settings<S>::restart_step, {0, -1e-9}, {1e-18, 1e-12});
}

TEST_CASE("the number of events at one instant is limited between 1 and 100000") {
  for (const int refused : {0, -5, 100001}) {
    CAPTURE(refused);
    CHECK(refusal<double>(&Settings<double>::cascade_limit, refused)
          == "settings: cascade_limit = " + std::to_string(refused) + ", allowed: 1 to 100000");
  }
  CHECK(refusal<double>(&Settings<double>::cascade_limit, 1) == "");
  CHECK(refusal<double>(&Settings<double>::cascade_limit, 100000) == "");
}

TEST_CASE("a refused setting is reported with its unit and range") {
  CHECK(refusal<double>(&Settings<double>::relative, 0.5) == "settings: relative = 0.5, allowed: 1e-13 to 0.1");
  CHECK(refusal<double>(&Settings<double>::first_step, -1.0) == "settings: first_step = -1 s, allowed: above 0 s");
}

TEST_CASE("every way to end has words of its own, and only two are success") {
  const Status every[] = {Status::done, Status::event, Status::no_convergence, Status::unsolvable,
                          Status::unsettled_cascade};
  std::set<std::string> names;
  int good = 0;
  for (const Status status : every) {
    names.insert(name(status));
    good += succeeded(status) ? 1 : 0;
  }
  CHECK(names.size() == 5);
  CHECK(names.count("unknown") == 0);
  CHECK(good == 2);
  CHECK(succeeded(Status::done));
  CHECK(succeeded(Status::event));
  CHECK(std::string(name(static_cast<Status>(99))) == "unknown");
}
