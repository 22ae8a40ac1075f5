// SPDX-License-Identifier: MIT
#pragma once
/// A published value that remembers where it comes from and how far it can be trusted.

#include "gastube/support/real.hpp"

namespace gastube {

/// How far a value can be trusted, strongest first.
enum class Confidence {
  published,   ///< read in the named source
  handbook,    ///< remembered handbook figure, reproduced in many handbooks; not compared with a scan
  plausible,   ///< remembered, may belong to a sibling type or another issue of the sheet
  unverified,  ///< weak recollection or an assumption of ours: never a reference for a test
  derived,     ///< arithmetic on the other values
};

[[nodiscard]] constexpr const char* name(Confidence confidence) {
  switch (confidence) {
  case Confidence::published: return "published";
  case Confidence::handbook: return "handbook, from memory";
  case Confidence::plausible: return "plausible, from memory";
  case Confidence::unverified: return "unverified";
  case Confidence::derived: return "derived";
  }
  return "unknown";
}

/// A value with its source; converts to the value, so that data reads like plain numbers.
template <class T>
struct Sourced {
  T value;
  Confidence confidence;
  const char* source;  ///< title and date of the publication, or how it was derived

  constexpr operator const T&() const noexcept { return value; }  // NOLINT(google-explicit-constructor)
};

}  // namespace gastube
