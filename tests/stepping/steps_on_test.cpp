// SPDX-License-Identifier: MIT
// Going on by steps: counted, told of, stopped by failures, by events where asked, and never from a failed start.
#include <gastube/stepping/steps_on.hpp>

#include <doctest/doctest.h>

#include <algorithm>

using namespace gastube;

namespace {

/// Steps of a quarter second; an event each whole second, a failure at `cliff`.
class Ticking : public StepsOn<Ticking, double> {
 public:
  explicit Ticking(double cliff, Status start = Status::done) : cliff_(cliff) { start_status_ = start; }
  [[nodiscard]] double time() const { return time_; }

 private:
  friend class StepsOn<Ticking, double>;
  [[nodiscard]] bool is_before(double limit) const { return time_ < limit; }
  template <class Observer>
  Status attempt_step(double limit, Observer&) {
    if (time_ >= cliff_) return Status::no_convergence;
    time_ = std::min(time_ + 0.25, limit);
    return time_ == double(int(time_)) ? Status::event : Status::done;
  }
  double time_ = 0, cliff_;
};

struct Counter {
  int steps = 0;
  double last = 0;
  void step(const Ticking& run) {
    ++steps;
    last = run.time();
  }
};

}  // namespace

TEST_CASE("A run goes on until a time, by a while, to the next event") {
  Ticking run(100);
  CHECK(run.step(10) == Status::done);
  CHECK(run.time() == 0.25);
  CHECK(run.next_event(10) == Status::event);
  CHECK(run.time() == 1);
  CHECK(run.next_event(1.6) == Status::done);
  CHECK(run.time() == 1.6);
  CHECK(run.advance(0.5) == Status::done);
  CHECK(run.time() == doctest::Approx(2.1).epsilon(1e-15));
  CHECK(run.run_until(3.05) == Status::done);
  CHECK(run.time() == 3.05);
  const long steps = run.steps();
  CHECK(run.run_until(3) == Status::done);
  CHECK(run.steps() == steps);
}

TEST_CASE("Accepted steps are counted and told, failed ones are not") {
  Ticking run(1);
  Counter counter;
  CHECK(run.run_until(2, counter) == Status::no_convergence);
  CHECK(run.steps() == 4);
  CHECK(counter.steps == 4);
  CHECK(counter.last == 1);
  CHECK(run.next_event(2, counter) == Status::no_convergence);
  CHECK(run.step(2, counter) == Status::no_convergence);
  CHECK(counter.steps == 4);
}

TEST_CASE("A run whose start failed does not step") {
  Ticking run(1, Status::unsolvable);
  CHECK(run.start_status() == Status::unsolvable);
  for (const Status status : {run.step(1), run.run_until(1), run.advance(1), run.next_event(1)})
    CHECK(status == Status::unsolvable);
  CHECK(run.time() == 0);
  CHECK(run.steps() == 0);
}
