// SPDX-License-Identifier: Apache-2.0
#include "field/dipole.h"

#include <cmath>
#include <cstddef>

#include "vocab/expects.h"

namespace qn {

Vector3 dipole_field_uT(const Vector3& moment_Am2, const Vector3& offset_m) {
  constexpr double kMu0Over4Pi_uT_m_per_A = 0.1;
  const double r = std::hypot(offset_m[0], offset_m[1], offset_m[2]);
  QN_EXPECTS(r > 0.0);
  double along = 0.0;
  for (std::size_t i = 0; i < 3; ++i) along += moment_Am2[i] * offset_m[i] / r;
  Vector3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    out[i] = kMu0Over4Pi_uT_m_per_A * (3.0 * along * offset_m[i] / r - moment_Am2[i]) / (r * r * r);
  }
  return out;
}

}  // namespace qn
