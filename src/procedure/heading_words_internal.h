// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/heading_run.h"
#include "procedure/heading_vectors_internal.h"

namespace qn::heading_only {

/// What the displays showed of one state of one device.
struct SeenState {
  std::string device, state;
  std::vector<std::size_t> logs;  ///< that show it, from 0
  double turned_rad = 0.0;        ///< in the first of them
  double sigma_rad = 0.0;
  double rounding_share = 0.0;  ///< of that variance
  bool across_unseen = false;   ///< no two headings far enough from a line
  bool contested = false;       ///< in some log its repeats do not agree
};

/// Whether the aircraft's headings in these logs lie within 10 degrees of one line, so that all of
/// them show the same part of a field.
bool in_line(const HeadingOnly& headings, const std::vector<std::size_t>& logs);

/// Takes back what a display cannot vouch for: verdicts, bands and sentences of `run`, whose
/// `heading_only` is filled.
void doubt_what_was_not_seen(const std::vector<SeenState>& seen, DisturbanceRun& run);

/// What was assumed and found of the displays, for people.
void tell_of_displays(const DisturbanceOptions& options, DisturbanceRun& run);

/// "075"
std::string heading_words(Angle heading);

}  // namespace qn::heading_only
