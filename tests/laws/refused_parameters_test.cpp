// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/voltmeter.hpp>

#include "laws/part_laws.hpp"
#include "laws/sample_parts.hpp"

#include <doctest/doctest.h>

using namespace laws;

TEST_CASE_TEMPLATE("parts refuse what is outside a parameter's range by their name and the field's", S, float, double,
                   long double) {
  check_refusals<S>("resistor: resistance", Range::positive, [](S v) { return Resistor<S>{1, 2, v}; });
  check_refusals<S>("capacitor: capacitance", Range::positive, [](S v) { return Capacitor<S>{1, 2, v}; });
  check_refusals<S>("capacitor: initial", Range::any_finite, [](S v) { return Capacitor<S>{1, 2, S(1), v}; });
  check_refusals<S>("inductor: inductance", Range::positive, [](S v) { return Inductor<S>{1, 2, v}; });
  check_refusals<S>("inductor: resistance", Range::not_negative, [](S v) { return Inductor<S>{1, 2, S(1), v}; });
  check_refusals<S>("inductor: initial", Range::any_finite, [](S v) { return Inductor<S>{1, 2, S(1), S(1), v}; });
  check_refusals<S>("voltmeter: resistance", Range::positive, [](S v) { return Voltmeter<S>{1, 2, v}; });
  check_refusals<S>("contact: resistance", Range::not_negative, [](S v) { return Contact<S>{1, 2, true, v}; });
  check_refusals<S>("dc source: voltage", Range::any_finite, [](S v) { return DcSource<S>{1, 2, v}; });
}

TEST_CASE_TEMPLATE("sources with a shape refuse each of its fields", S, float, double, long double) {
  const auto sine = [](auto field) {
    return [=](S v) {
      typename SineSource<S>::Wave wave{S(1), S(1)};
      wave.*field = v;
      return SineSource<S>{1, 2, wave};
    };
  };
  using Wave = typename SineSource<S>::Wave;
  check_refusals<S>("sine source: amplitude", Range::any_finite, sine(&Wave::amplitude));
  check_refusals<S>("sine source: frequency", Range::positive, sine(&Wave::frequency));
  check_refusals<S>("sine source: phase", Range::any_finite, sine(&Wave::phase));
  check_refusals<S>("sine source: offset", Range::any_finite, sine(&Wave::offset));
  using Pulse = typename PulseSource<S>::Pulse;
  const auto pulse = [](auto field) {
    return [=](S v) {
      Pulse shape{.low = S(0), .high = S(1), .delay = S(0), .width = S(1)};
      shape.*field = v;
      return PulseSource<S>{1, 2, shape};
    };
  };
  check_refusals<S>("pulse source: low", Range::any_finite, pulse(&Pulse::low));
  check_refusals<S>("pulse source: high", Range::any_finite, pulse(&Pulse::high));
  check_refusals<S>("pulse source: delay", Range::not_negative, pulse(&Pulse::delay));
  check_refusals<S>("pulse source: width", Range::positive, pulse(&Pulse::width));
  check_refusals<S>("pulse source: period", Range::not_negative, pulse(&Pulse::period));
  check_refusals<S>("pulse source: rise", Range::not_negative, pulse(&Pulse::rise));
  check_refusals<S>("pulse source: fall", Range::not_negative, pulse(&Pulse::fall));
}

TEST_CASE_TEMPLATE("a button refuses each of its times", S, float, double, long double) {
  const auto press = [](S at, S length, S bounce_time, S ohms) {
    return PushButton<S, 1>{1, 2, {{{at, length}}}, {.bounces = 2, .time = bounce_time}, ohms};
  };
  check_refusals<S>("push button: press at", Range::not_negative, [&](S v) { return press(v, S(1), S(0.5), S(0)); });
  check_refusals<S>("push button: press length", Range::positive, [&](S v) { return press(S(1), v, S(0.5), S(0)); });
  check_refusals<S>("push button: bounce time", Range::positive, [&](S v) { return press(S(1), S(2), v, S(0)); });
  check_refusals<S>("push button: resistance", Range::not_negative, [&](S v) { return press(S(1), S(1), S(0.5), v); });
}

TEST_CASE_TEMPLATE("a lamp refuses each of its ratings", S, float, double, long double) {
  const auto answer = [](auto field, S value) {
    FilamentRating<S> rating{.voltage = S(24), .current = S(0.04L)};
    rating.*field = value;
    return refusal::of([&] { static_cast<void>(FilamentLamp<S>{1, 2, rating}); });
  };
  const S nan = std::numeric_limits<S>::quiet_NaN(), inf = std::numeric_limits<S>::infinity();
  using R = FilamentRating<S>;
  struct Field {
    S R::*member;
    const char* name;
    S low, high;  // outside
  };
  for (const Field& field :
       {Field{&R::voltage, "voltage", S(0), inf}, Field{&R::current, "current", S(0), inf},
        Field{&R::time_constant, "time_constant", S(0), inf}, Field{&R::cold, "cold", S(0.009L), S(0.51L)},
        Field{&R::current_exponent, "current_exponent", S(0.39L), S(0.71L)},
        Field{&R::light_exponent, "light_exponent", S(1.99L), S(5.01L)}}) {
    const std::string name = std::string("filament lamp: ") + field.name;
    CHECK(answer(field.member, field.low) == name);
    CHECK(answer(field.member, field.high) == name);
    CHECK(answer(field.member, S(-1)) == name);
    CHECK(answer(field.member, nan) == name);
  }
  CHECK(refusal::of([] { static_cast<void>(lamp<S>()); }) == "accepted");
  CHECK(refusal::of([&] {
          static_cast<void>(FilamentLamp<S>{1, 2, lamp<S>().rating, nan});
        })
        == "filament lamp: initial");
  CHECK(refusal::of([&] {
          static_cast<void>(FilamentLamp<S>{1, 2, lamp<S>().rating, S(2.1L)});
        })
        == "filament lamp: initial");
}
