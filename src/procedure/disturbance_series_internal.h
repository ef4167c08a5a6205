// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "procedure/disturbance_pieces_internal.h"
#include "vocab/field_vector.h"
#include "vocab/sample.h"

namespace qn::disturbance {

/// One sample far from its neighbours on both sides.
struct Spike {
  double time_s = 0.0;
  Vector3 size_uT{};
  std::size_t sample = 0;  ///< of the recording
};

struct Series {
  double interval_s = 0.0;  ///< median
  double quantum_uT = 0.0;
  std::vector<Spike> spikes;
  std::vector<std::array<double, 2>> at_rail_s;  ///< stretches in which an axis is clipped
  std::vector<unsigned char>
      beside_switch;  ///< of each fine piece: a switch was close; may be empty
  Pieces fine;        ///< about 0.05 s: what switch moments are read from
  Pieces blocks;      ///< 0.25 to 1 s: what effects are solved from

  /// Has samples, and nothing was being switched.
  bool steady(std::size_t fine_piece) const {
    return fine.count[fine_piece] > 0.0 && (beside_switch.empty() || !beside_switch[fine_piece]);
  }
};

/// recording  microtesla, at least a few hundred samples
Series prepare_series(const SensorRecording& recording);

}  // namespace qn::disturbance
