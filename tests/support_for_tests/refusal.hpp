// SPDX-License-Identifier: MIT
#pragma once
/// Expectations about fields that are refused: by whom, under which name, from which value on.

#include <gastube/support/checked.hpp>

#include <doctest/doctest.h>

#include <limits>
#include <string>
#include <type_traits>

namespace refusal {

/// "part: field" of the refusal, or "accepted".
template <class Function>
[[nodiscard]] std::string of(Function&& f) {
  try {
    f();
  } catch (const gastube::InvalidParameter& error) {
    return std::string(error.part()).append(": ").append(error.field());
  }
  return "accepted";
}

/// One field of a law: `good` is accepted; `bad`, NaN and both infinities are refused under `name`, "part: field".
template <class Law, class S>
void check_field(Law law, S Law::*field, const std::string& name, std::type_identity_t<S> good,
                 std::type_identity_t<S> bad) {
  CAPTURE(name);
  const auto set = [&](S value) {
    law.*field = value;
    return of([&] { law.check(); });
  };
  CHECK(set(good) == "accepted");
  CHECK(set(bad) == name);
  CHECK(set(std::numeric_limits<S>::quiet_NaN()) == name);
  CHECK(set(std::numeric_limits<S>::infinity()) == name);
  CHECK(set(-std::numeric_limits<S>::infinity()) == name);
}

/// A field that may be any finite number.
template <class Law, class S>
void check_finite_field(Law law, S Law::*field, const std::string& name) {
  check_field(law, field, name, S(-1e6), std::numeric_limits<S>::infinity());
  check_field(law, field, name, S(1e6), std::numeric_limits<S>::quiet_NaN());
}

}  // namespace refusal
