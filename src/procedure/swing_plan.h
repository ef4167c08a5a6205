// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string>
#include <utility>
#include <vector>

#include "procedure/swing_solve.h"
#include "vocab/result.h"

namespace qn {

struct SwingPlanOptions {
  int stations = 12;
  bool both_turns = true;
  double first_heading_tolerance_deg = 5.0;  ///< of north, for the first stop
  double hold_s = 30.0;                      ///< standing still before a reading
  /// States of the loads that are read on each mark, one after the other; not empty.
  std::vector<std::string> loads = {"off", "on"};
  double move_s = 60.0;  ///< from one mark to the next
  SwingOptions swing;    ///< rounding and sigmas, as the solution takes them
};

/// One stop on one mark.
struct SwingStop {
  int number = 0;
  double station_deg = 0.0;
  SwingTurn turn = SwingTurn::clockwise;
  std::string note;  ///< what to do on the way there; empty for most
};

/// What a swing of so many stops will tell, before it is made.
struct SwingChoice {
  int stations = 0;
  bool both_turns = false;
  int readings = 0;
  double minutes = 0.0;
  std::array<double, 5> half_95_deg{};  ///< half widths of the bands of A..E
  /// Of a compass whose largest deviation is kPlannedWorst_deg.
  std::pair<double, double> worst_95_deg{0.0, 0.0};
  bool chosen = false;
};
/// The compass that the last column is for: B = C = 3, D = 1, and thus 5.2 degrees at most.
inline constexpr std::array<double, 5> kPlannedCompass_deg = {0.0, 3.0, 3.0, 1.0, 0.0};

struct SwingPlan {
  SwingPlanOptions options;
  std::vector<SwingStop> stops;
  std::vector<SwingChoice> choices;  ///< 8, 12, 16 and 24 stations, once and both ways
  double planned_worst_deg = 0.0;    ///< of kPlannedCompass_deg
  std::vector<std::string> before;   ///< what to set and how to stand
  std::vector<std::string> at_each;  ///< what to do on each mark
  std::vector<std::string> cautions;
  std::vector<std::string> remarks;
  std::vector<std::string> assumptions;
  std::string sentence;
};

/// Stops of a swing and the bands that it will give: the information that rounded readings hold, on
/// the average over where they fall between two steps.
///
/// errors  OutOfRange: a number of stations other than 8, 12, 16 or 24, a tolerance, time or sigma
///         that cannot be
/// source  docs/math/swing.md, "The plan"
Result<SwingPlan> plan_swing(const SwingPlanOptions& options);

}  // namespace qn
