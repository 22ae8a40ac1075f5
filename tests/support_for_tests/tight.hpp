// SPDX-License-Identifier: MIT
#pragma once
/// Settings for comparisons with closed forms, and what a second-order scheme reaches with them.

#include <gastube/stepping/settings.hpp>

template <class S>
[[nodiscard]] gastube::Settings<S> tight() {
  const S error = sizeof(S) < sizeof(double) ? S(1e-6) : S(1e-10);
  return {.relative = error, .absolute = error};
}

/// Relative error at the end of a run of a few time constants: some hundred steps of float, some thousand of the
/// others.
template <class S>
inline constexpr double tight_reach = sizeof(S) < sizeof(double) ? 1e-4 : 5e-7;
