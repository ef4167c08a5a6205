// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "simulate/disturbance_recording_maker.h"
#include "vocab/field_vector.h"

namespace qn::accuracy {

/// One time a state was really held.
struct TrueVisit {
  std::size_t device = 0, state = 0;
  double on_s = 0.0, off_s = 0.0;
};

/// Everything (or a phase's set) at once.
struct TrueTogether {
  std::vector<std::size_t> devices;
  double on_s = 0.0, all_on_s = 0.0, off_s = 0.0, all_off_s = 0.0;
};

struct TrueScript {
  std::vector<TrueVisit> visits;
  std::vector<TrueTogether> together;
};

/// What really was worked and when, from the truth beside the marks.
TrueScript true_script(const simulate::SimulatedRun& made);

/// One switch of a device: from its sample on the trace stands elsewhere, at once.
struct TrueEdge {
  std::size_t sample = 0;
  Vector3 jump_uT{};
};

/// The shapes of one run, one value each at every sample, and what is known of their noise.
struct TrueColumns {
  std::vector<std::vector<double>> columns;
  /// [device][state] -> columns whose sizes add up to the settled field
  std::vector<std::vector<std::vector<std::size_t>>> settled;
  std::size_t warm_up = 0, warm_up_time = 0;  ///< index; SIZE_MAX without warm-up
  std::vector<double> white_variance;         ///< of each sample
  std::vector<unsigned char> use;             ///< 0: spike, transit, combination being switched
  std::vector<TrueEdge> edges;                ///< of all visits, without those of combinations
};
TrueColumns true_columns(const simulate::SimulatedRun& made, const TrueScript& script);

}  // namespace qn::accuracy
