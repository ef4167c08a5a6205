// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/sensor_result_internal.h"

namespace qn::sensor_model {

/// Names what the recording cannot show and prints the assumptions that stand in for it.
void name_unobserved(const Prepared& prepared, const SensorFitOptions& options,
                     const Problem& problem, const Solution& solution, SensorFit& fit);

/// Verdict, the one next action, and the answer in one sentence.
void judge_fit(const Prepared& prepared, const Problem& problem, const Solution& solution,
               const Limit& limit, SensorFit& fit);

/// A recording from which nothing can be solved: no correction, unproven, and why.
void leave_undecided(const SensorFitOptions& options, const std::string& because,
                     const std::string& do_next, SensorFit& fit);

}  // namespace qn::sensor_model
