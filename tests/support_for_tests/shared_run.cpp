// SPDX-License-Identifier: MIT
/// The shared steppers; everything of them is compiled here, and nowhere else.
#include "support_for_tests/shared_run.hpp"

template class SharedStepping<float, gastube::TrBdf2>;
template class SharedStepping<double, gastube::TrBdf2>;
template class SharedStepping<long double, gastube::TrBdf2>;
template class SharedStepping<float, gastube::Exact>;
template class SharedStepping<double, gastube::Exact>;
template class SharedStepping<long double, gastube::Exact>;
