// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "simulate/heading_truth.h"

namespace qn::simulate {

/// Largest size of the heading error that a field fixed to the airframe makes, level, and where;
/// found by turning a simulated sensor round, not by a formula. 180 degrees from |b_horizontal| = H
/// on: there is a heading on which the needle points anywhere.
WorstError worst_heading_error_of(const Vector3& field_body_uT, double horizontal_uT);

}  // namespace qn::simulate
