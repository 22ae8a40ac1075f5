// SPDX-License-Identifier: MIT
#include "support_for_tests/worked_run.hpp"

namespace worked {

std::unique_ptr<Run> start_exact(const Circuit& circuit, const gastube::Settings<double>& settings, bool settled) {
  return std::make_unique<RunBy<gastube::Exact>>(circuit, settings, settled);
}

}  // namespace worked
