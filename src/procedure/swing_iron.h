// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "earth/local_field.h"
#include "procedure/swing_solve.h"

namespace qn {

/// A quantity with its 1 sigma.
struct IronPart {
  double value = 0.0, sigma = 0.0;
};

/// The iron of the aircraft as a level swing shows it (Smith's equations, docs/math/swing.md).
struct SwingIron {
  bool known = false;
  std::string why_not;
  /// P + cZ and Q + fZ, microtesla: what permanent magnetism and vertical soft iron do ahead and to
  /// the right. One place cannot tell the two apart.
  IronPart ahead_uT, right_uT;
  IronPart soft_length;  ///< (a - e)/2: fore-aft less crosswise soft iron
  IronPart soft_cross;   ///< (b + d)/2
  IronPart soft_turn;    ///< (d - b)/2, with the lubber line in it
  std::vector<std::string> remarks;
};

/// Share of the Earth's field that reaches the compass, which no level swing shows; our assumption.
inline constexpr IronPart kAssumedShare{1.0, 0.05};

SwingIron iron_of(const SwingCompass& compass, const LocalField& here);

struct ForecastPoint {
  double indicated_deg = 0.0;
  double here_deg = 0.0;
  double lo_deg = 0.0, hi_deg = 0.0;  ///< there, 95 %, whatever part of B and C is permanent
};

/// The deviation of a compass after a move to another latitude.
struct IronForecast {
  bool known = false;
  std::string why_not;
  double all_hard = 1.0;              ///< factor on B' and C' were they permanent magnetism alone
  double all_soft = 1.0;              ///< were they vertical soft iron alone
  std::vector<ForecastPoint> points;  ///< every 30 degrees
  std::pair<double, double> worst_95_deg{0.0, 0.0};
  Verdict verdict;
  std::vector<std::string> remarks;
};

IronForecast forecast_swing(const SwingCompass& compass, const LocalField& here,
                            const LocalField& there);

}  // namespace qn
