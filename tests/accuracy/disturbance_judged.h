// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include "accuracy/disturbance_bound.h"
#include "procedure/disturbance_run.h"
#include "simulate/disturbance_recording_maker.h"

namespace qn::accuracy {

/// One state as it was and as it was reported.
struct Judged {
  const simulate::DeviceTruth* device = nullptr;
  const simulate::StateTruth* truth = nullptr;
  const StateEffect* effect = nullptr;
  StateBound bound;
  double horizontal_uT = 20.0;
  bool contested = false;

  bool moving() const;  ///< steel or engine: the airframe may move with it
  /// Where the repeats disagree, or the band holds every angle, no size is claimed.
  bool sized() const;
  double sd_uT(std::size_t axis) const;  ///< as reported
  double error_uT(std::size_t axis) const;
  /// 1 sigma of the worst heading error, as reported, at the true field.
  double sigma_deg() const;
  /// Nothing skipped or substituted, no mark 8 s off or more.
  bool marks_sound(const simulate::SimulatedRun& made) const;
  /// All that one needs to look into it, on one line.
  std::string described(const char* what, const simulate::SimulatedRun& made,
                        std::uint64_t seed) const;
};

}  // namespace qn::accuracy
