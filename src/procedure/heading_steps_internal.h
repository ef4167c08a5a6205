// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <vector>

#include "procedure/disturbance_solution_internal.h"
#include "procedure/heading_display_internal.h"
#include "procedure/heading_response_internal.h"

namespace qn::heading_only {

/// What one log says of each state: by how much the display turned, and how the errors of these
/// angles go together.
struct HeadingSteps {
  std::unique_ptr<disturbance::Solved> solved;  ///< of the display's pseudo-field, microtesla
  std::vector<double> turned_rad;               ///< of each of solved->states
  SquareMatrix covariance_rad2;
};

/// The display as the solver of fields sees it: it follows at once, so each step is a step.
HeadingSteps sharp_steps(const Display& display, disturbance::MarkedRun run, double horizontal_uT,
                         double matters_uT, const ParallelFor& parallel);

/// The display follows as `found` says; moments and noise as learnt in `log`.
HeadingSteps followed_steps(const Display& display, const ResponseLog& log,
                            const FoundResponse& found, double horizontal_uT, double matters_uT);

/// Error of the angles that does not come from the noise: rounding, the airframe's tilt, and
/// moments nobody saw. Added to `steps`.
void add_what_noise_does_not_say(const Display& display, const DisturbanceOptions& options,
                                 HeadingSteps& steps);

}  // namespace qn::heading_only
