// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/sensor_fit.h"
#include "procedure/sensor_solve_internal.h"

namespace qn::sensor_model {

/// Fills before, after_worst_95, forecast and curve of the fit from the solution and draws of its
/// covariance.
/// turn_rad  what the uncorrected reading, in the axes as mounted, shows more than in the axes of
/// the
///           solution
void draw_curves(const Layout& layout, const Solution& solution, double turn_rad, SensorFit& fit);

}  // namespace qn::sensor_model
