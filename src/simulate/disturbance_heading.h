// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "simulate/disturbance_settings.h"
#include "simulate/heading_truth.h"
#include "vocab/sample.h"

namespace qn::simulate {

/// Largest size of the heading error that a field fixed to the airframe makes, level, and where;
/// found by turning a simulated sensor round, not by a formula. 180 degrees from |b_horizontal| = H
/// on: there is a heading on which the needle points anywhere.
WorstError worst_heading_error_of(const Vector3& field_body_uT, double horizontal_uT);

/// What the log of a display holds in place of the field.
///
/// run  a recording as made by make_disturbance_run; the display takes its x and y for level, so
/// that
///      a tilt of the airframe shows as it would on a real one without tilt compensation
SensorRecording displayed_heading(const SensorRecording& run, const HeadingDisplay& display);

}  // namespace qn::simulate
