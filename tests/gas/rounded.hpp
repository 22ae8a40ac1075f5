// SPDX-License-Identifier: MIT
#pragma once
/// Accuracy of gas laws in every scalar.

#include <gastube/support/real.hpp>

/// What comparisons may be off by: constants are stored as double, so that long double gets no better.
template <class S>
inline constexpr double rounded = double(gastube::round_off<S>) > gastube::round_off<double>
                                      ? double(gastube::round_off<S>)
                                      : gastube::round_off<double>;

/// In long double, said aloud, as compilers want it.
[[nodiscard]] constexpr long double wide(auto number) { return static_cast<long double>(number); }
