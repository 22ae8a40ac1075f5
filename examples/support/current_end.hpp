// SPDX-License-Identifier: MIT
#pragma once
// How a tube's current ended in a run, for its commutation factor.

#include <gastube/tube/ratings/commutation_factor.hpp>

#include "trace.hpp"

namespace gastube::examples {

/// The fall of the current over a stretch of time before it ended, and the steepest chord from zero at the end to the
/// inverse voltage after it, over one stretch at least and fifty at most.
/// @param current A and @param plate V against the cathode, of one run
/// @param end     s, when the tube went out
/// @param stretch s, above 0: short against what the circuit does
[[nodiscard]] CurrentEnd<double> current_end(const Trace& current, const Trace& plate, double end, double stretch);

}  // namespace gastube::examples
