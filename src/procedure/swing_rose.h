// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "procedure/swing_solve.h"
#include "vocab/result.h"

namespace qn {

/// One mark of a rose that was made at home and surveyed.
struct RoseMark {
  double written_deg = 0.0;    ///< what is written at it: the name in the readings
  double direction_deg = 0.0;  ///< where it points, magnetic
  double sigma_deg = std::numeric_limits<double>::quiet_NaN();  ///< its own, beside north's
};

struct Rose {
  std::vector<RoseMark> marks;
  std::optional<double> north_sigma_deg;  ///< common to all marks
};

/// What was made of a rose and its sigmas.
struct RoseUse {
  std::vector<RoseMark> marks;              ///< those that were stood on, by what is written
  std::pair<double, double> off_deg{0, 0};  ///< direction less what is written: least, most
  double mean_off_deg = 0.0;
  std::optional<double> mark_sigma_deg;  ///< root mean square over the readings' marks
  double placing_sigma_deg = 0.0;        ///< the aircraft beside its mark
  double station_sigma_deg = 0.0;        ///< of both, as the solution takes it
  bool station_sigma_given = false;      ///< for both together, by the user
  std::optional<double> north_sigma_deg;
  bool north_sigma_given = false;  ///< by the user, and not by the rose
};

/// Puts the surveyed direction in the place of what is written at each mark, and the rose's sigmas
/// where `options` has none: station^2 = placing^2 + mark^2, the latter squared on average over the
/// readings. That a mark's error comes again on every visit is for add_mark_errors().
///
/// errors  BadInput: a reading on a mark that the rose does not have
Result<RoseUse> stand_on_rose(const Rose& rose, std::vector<SwingReading>& readings,
                              SwingOptions& options);

/// The mark of that name; nothing when the rose has none.
const RoseMark* find_mark(const Rose& rose, double written_deg);
/// The mark nearest to it; a rose has marks.
const RoseMark& nearest_mark(const Rose& rose, double written_deg);

}  // namespace qn
