// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace qn {

// Frames name types; docs/glossary.md has a drawing of each.
struct Body {};    ///< airframe: x forward, y right, z down
struct Sensor {};  ///< the magnetic sensor's own axes, right-handed
struct Level {};   ///< body with roll and pitch removed
struct Ned {};     ///< north (magnetic unless said), east, down

}  // namespace qn
