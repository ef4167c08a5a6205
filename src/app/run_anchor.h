// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace qn {

/// One moment on three clocks, so that a recording can go on with true times after a crash.
struct RunAnchor {
  double recording_s = 0.0;
  double boot_s = 0.0;  ///< since the computer was started
  std::string boot_id;  ///< of that start; empty: not known
  double utc_s = 0.0;   ///< of the computer's calendar clock, since 1970
};

RunAnchor anchor_now(double recording_s);

/// The recording's time now. By the computer's own clock while it has not been started anew, else
/// by the calendar clock, and never before `at_least_s`.
double recording_time_now(const RunAnchor& anchor, double at_least_s);

std::string to_json(const RunAnchor& anchor);
/// One that says nothing when the text is not such a thing.
RunAnchor run_anchor_from(const std::string& json);

}  // namespace qn
