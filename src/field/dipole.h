// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "vocab/field_vector.h"

namespace qn {

/// The field of a magnet or a small current loop, far enough away that its shape does not matter.
///
/// moment_Am2  ampere square metres, along the magnet's axis toward its north-seeking end
/// offset_m    from the dipole to the point, metres; not zero. Both in one right-handed frame
/// returns     microtesla, in that frame
Vector3 dipole_field_uT(const Vector3& moment_Am2, const Vector3& offset_m);

}  // namespace qn
