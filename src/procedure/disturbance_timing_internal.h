// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "procedure/disturbance_marks_internal.h"
#include "procedure/disturbance_series_internal.h"
#include "vocab/field_vector.h"

namespace qn::disturbance {

/// How far marks lie from what they mark: switch minus mark, seconds. Student t with 3 degrees of
/// freedom about the common delay, and a little of everything within kMostLate_s.
struct DelayLaw {
  double common_s = 0.0;
  double common_sigma_s = 1.0;
  double spread_s = 1.5;
  double density(double delay_s) const;
};
inline constexpr double kMostLate_s = 8.0;

/// When a switch really happened: probabilities over a grid of moments.
struct SwitchTime {
  double from_s = 0.0, step_s = 0.0;
  std::vector<double> probability;  ///< sums to 1
  std::vector<double> running;      ///< its running sums, from 0, one longer
  double mean_s = 0.0, sigma_s = 0.0;
  double log_evidence = 0.0;  ///< of a step here against none
  bool clear = false;         ///< the trace itself shows the moment

  /// Probability that it had happened by `time_s`.
  double done_by(double time_s) const;
};

/// What is known of the jump at one switch before its moment is looked for.
struct ExpectedJump {
  Vector3 best_uT{};                      ///< to be taken out when others are looked at
  std::optional<Vector3> from_others_uT;  ///< from the other repeats only, never from this visit
  Vector3 from_others_sigma_uT{};
};

/// Noise over long times: the variance of a mean over T seconds is rate / T.
using LongRunRate = std::array<double, 3>;  // uT^2 s

/// First look: nothing is known of the jumps. Strongest switches first, each taken out before the
/// next is looked at.
///
/// returns  one entry a switch; `jumps` receives the rough jump of each clear one, zero else
std::vector<SwitchTime> first_switch_times(const Pieces& fine, const MarkedRun& run,
                                           const LongRunRate& rate, const DelayLaw& law,
                                           std::vector<ExpectedJump>& jumps);

/// Later looks: every switch with all others taken out, its own jump as expected from the other
/// repeats of the same state (or unknown), so that no repeat chooses its moment by its own noise.
std::vector<SwitchTime> refined_switch_times(const Pieces& fine, const MarkedRun& run,
                                             const LongRunRate& rate, const DelayLaw& law,
                                             const std::vector<SwitchTime>& before,
                                             const std::vector<ExpectedJump>& jumps);

/// The delay law of the clear switches; `assumed` when there are fewer than four.
DelayLaw learn_delays(const MarkedRun& run, const std::vector<SwitchTime>& times,
                      const DelayLaw& assumed);

}  // namespace qn::disturbance
