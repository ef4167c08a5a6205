// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/disturbance_effects_internal.h"
#include "procedure/disturbance_pulsing_internal.h"
#include "procedure/disturbance_run.h"
#include "procedure/disturbance_trains_internal.h"

namespace qn::disturbance {

/// The run as solved, before it is put into words. Not to be copied: `problem` points into it.
struct Solved {
  Solved() = default;
  Solved(const Solved&) = delete;
  Solved& operator=(const Solved&) = delete;

  Series series;
  MarkedRun run;
  Problem problem;
  VisitSolution visits;
  std::vector<StateVisits> states;
  JointStates joint;
  DelayLaw delays;
  std::vector<PulsingItem> pulsing;
  std::vector<Train> trains;
  std::array<std::vector<double>, 3> rest_uT;  ///< rest field and drift, a value a block
  std::array<std::vector<double>, 3> fit_uT;   ///< with everything that was on
};

/// Moments, sizes and repeats, looked at in turn until they agree. `solved.run` is given.
///
/// matters_uT  differences between repeats below this on every axis are let pass
void solve_run(const SensorRecording& recording, double matters_uT, const ParallelFor& parallel,
               Solved& solved);

/// rest_uT and fit_uT of the solution as it stands.
void draw_fit(Solved& solved);

}  // namespace qn::disturbance
