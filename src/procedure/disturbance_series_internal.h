// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "vocab/field_vector.h"
#include "vocab/sample.h"

namespace qn::disturbance {

/// One sample far from its neighbours on both sides.
struct Spike {
  double time_s = 0.0;
  Vector3 size_uT{};
};

/// Means over equal pieces of time. A piece without samples has count 0.
struct Pieces {
  double from_s = 0.0;
  double length_s = 0.0;
  std::array<std::vector<double>, 3> mean_uT;
  std::vector<double> count;  ///< samples in it
  double nominal_count = 1.0;

  std::size_t size() const { return count.size(); }
  double middle_s(std::size_t k) const {
    return from_s + (static_cast<double>(k) + 0.5) * length_s;
  }
  /// The piece that holds `time_s`, kept inside the series.
  std::size_t at(double time_s) const;
};

struct Series {
  double interval_s = 0.0;  ///< median
  double quantum_uT = 0.0;
  std::vector<unsigned char> use;  ///< of each sample; 0: a spike
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

/// Means over pieces of `length_s`, samples with use 0 left out.
Pieces pieces_of(const SensorRecording& recording, const std::vector<unsigned char>& use,
                 double length_s, double interval_s);

}  // namespace qn::disturbance
