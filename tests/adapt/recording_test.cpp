// SPDX-License-Identifier: MIT
#include <gastube/adapt/recording.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "adapt/fits_for_tests.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;
using adapt::read_recording;
using fits_for_tests::refusal_of;
using fits_for_tests::Written;

namespace {
[[nodiscard]] std::string refusal_for(const char* content) {
  const Written file(content);
  const std::string why = refusal_of([&] { (void)read_recording(file.path()); });
  return why.find(file.path()) == 0 ? why.substr(file.path().size()) : why;
}
}  // namespace

TEST_CASE("a recording drives a run: it stops at each sample and is straight between them") {
  const Written file("# a click\nseconds,volts\n0,0\n1e-3,2\n1.5e-3,-4\n1.5e-3,6\n2e-3,0\n");
  const auto click = read_recording(file.path());
  REQUIRE(click.size() == 5);
  enum { ground, out, node_count };
  auto run = start(wire<node_count>(VoltageSource{out, ground, sampled<double>(click)}, Resistor{out, ground, 1e3}));
  const auto seen = [&](double time) {
    REQUIRE(run.run_until(time) == Status::done);
    return voltage(run, out);
  };
  CHECK(closeness::relative_gap(seen(0.5e-3), 1.0) < 1e-12);
  CHECK(closeness::relative_gap(seen(1.25e-3), -1.0) < 1e-12);
  CHECK(closeness::relative_gap(seen(1.75e-3), 3.0) < 1e-12);
  CHECK(closeness::absolute_gap(seen(5e-3), 0.0) < 1e-12);
}

TEST_CASE("the column of the values may have another name") {
  const Written file("amperes,seconds\n0.5,0\n0.25,1\n");
  const auto samples = read_recording(file.path(), "amperes");
  REQUIRE(samples.size() == 2);
  CHECK(samples[1].time == 1.0);
  CHECK(samples[1].value == 0.25);
}

TEST_CASE("files that hold no recording are refused by file, line and column") {
  CHECK(refusal_for("seconds,volts\n") == ": no samples below the names of the columns");
  CHECK(refusal_for("seconds,volts\n0,1\n2,1\n1,1\n")
        == ", sample 3: its time is 1.000000 s, before that of the sample above");
  CHECK(refusal_for("seconds,amperes\n0,1\n").find("names no column volts") != std::string::npos);
  CHECK(refusal_for("seconds,volts\n0,loud\n") == ", line 2, column volts: 'loud' is not a number");
}
