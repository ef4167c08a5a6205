// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "procedure/swing_solve.h"
#include "vocab/result.h"
#include "vocab/verdict.h"

namespace qn {

/// How the reading to set is found.
enum class AdjustRule {
  halving,        ///< the rule of the trade: all of it off, on the opposite heading half of it
  least_squares,  ///< from all readings at once, B and C (and A) to nothing
};

struct SwingAdjustOptions {
  SwingOptions swing;
  AdjustRule rule = AdjustRule::least_squares;
  std::optional<double> standing_deg;  ///< mark the aircraft stands on; none: that of the last row
  bool mount_turns = false;            ///< the compass can be turned in its mounting: A too
};

/// One adjuster turned on one mark.
struct AdjusterTurn {
  char adjuster = 'B';  ///< B: the E-W screw, C: the N-S screw, A: the compass in its mounting
  double station_deg = 0.0;
  bool here = false;        ///< the aircraft stands there now
  double reads_deg = 0.0;   ///< before the turn: read when `here`, else foretold
  double set_deg = 0.0;     ///< turn until it reads this
  double change_deg = 0.0;  ///< what this adds to the coefficient
};

struct DeviationLeft {
  double indicated_deg = 0.0;
  double deviation_deg = 0.0, lo_deg = 0.0, hi_deg = 0.0;
};

/// What to do with one compass, and what that leaves.
struct SwingAdjustment {
  std::string compass, loads;
  std::vector<AdjusterTurn> turns;                   ///< in this order
  std::optional<double> read_next_deg;               ///< a mark to read before more can be said
  std::string why_read;                              ///< what for
  SwingCoefficients now_deg{}, now_sigma_deg{};      ///< as it stands, after turns made so far
  SwingCoefficients after_deg{}, after_sigma_deg{};  ///< after `turns`
  SwingCoefficients after_95_deg{};                  ///< half widths of their bands
  std::array<bool, 5> told{};  ///< false: what compasses usually have stands for it
  double worst_now_deg = 0.0, worst_after_deg = 0.0, worst_after_at_deg = 0.0;
  std::pair<double, double> worst_now_95_deg{0.0, 0.0}, worst_after_95_deg{0.0, 0.0};
  std::vector<DeviationLeft> left;        ///< every 45 degrees
  bool one_heading = false;               ///< all was read on one: no curve is told by that
  double no_screw_deg = 0.0;              ///< largest deviation of A, D and E alone
  std::vector<DoubtfulReading> doubtful;  ///< named ones are left out; suspects stop the turning
  std::vector<std::string> remarks;
  Verdict verdict;  ///< of what is left
  std::string sentence;
};

struct SwingAdjustments {
  AdjustRule rule = AdjustRule::least_squares;
  std::vector<SwingAdjustment> compasses;
  std::vector<std::string> assumptions;
  std::string sentence;
};

/// What each adjuster must be turned to read. Readings and turns come in the order in which they
/// were made; call it again after each.
///
/// errors  as solve_swing; OutOfRange: an adjuster turned on a heading where it does nothing
/// source  docs/math/swing.md, "Adjusters"
Result<SwingAdjustments> adjust_swing(const std::vector<SwingReading>& readings,
                                      const SwingAdjustOptions& options);

}  // namespace qn
