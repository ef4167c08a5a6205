// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "vocab/field_vector.h"

namespace qn::disturbance {

/// One visit's field, by itself, axes independent.
struct SeenField {
  Vector3 size_uT{};
  Vector3 sigma_uT{};
};

/// Another device's vector, which a substituted step would show.
struct KnownVector {
  std::string name;
  SeenField field;
};

/// What a visit was, most likely.
struct VisitReading {
  /// other_size: along the others, larger or smaller
  enum class What { good, skipped, another, unknown, other_size };
  What what = What::good;
  std::string another;  ///< the device whose vector it is
};

struct RepeatsReading {
  std::vector<VisitReading> visits;  ///< most likely reading of each
  bool contested = false;            ///< the readings that remain likely lead to different answers
  bool quiet = false;                ///< no visit shows anything
};

/// Do the repeats of one state agree, and if not, which one was not what its mark says?
///
/// Readings are weighed by stated odds: a visit was good (92 %), skipped (4 %), another device of
/// the list (3 %), something else (1 %); a device does nothing (40 %) or something (60 %, of any
/// size from 0.04 to 5 uT). A visit is set aside only when that is nearly certain (100 to 1);
/// otherwise the device is contested. One visit alone cannot be contested, nor visits whose
/// difference does not matter: below `matters_uT` on every axis.
RepeatsReading read_repeats(const std::vector<SeenField>& visits,
                            const std::vector<KnownVector>& others, double matters_uT);

}  // namespace qn::disturbance
