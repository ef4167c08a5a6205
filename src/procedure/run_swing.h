// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "procedure/run_plan.h"
#include "procedure/run_state.h"
#include "procedure/swing_solve.h"
#include "vocab/result.h"

namespace qn::run {

struct SwingRunCompass {
  std::string name;
  bool by_link = false;  ///< a link shows its heading
};

struct SwingRunOptions {
  int stations = 8;  ///< 8, 12, 16 or 24, evenly from north on
  bool both_turns = false;
  std::vector<SwingRunCompass> compasses;
  std::vector<std::string> loads;  ///< "off", "on": read so on each mark; empty: nothing said
  double hold_s = 30.0;            ///< standing still before a reading
  SwingOptions solving;
};

/// The swing: onto each mark in turn, a wait there, and what every compass shows. Its marks have
/// the station's heading as their device ("030") and the turn as their state ("cw", "ccw"). After
/// each reading the deviation is solved, and one that does not fit is asked for again while the
/// aircraft still stands there; at the end further stations, when they settle something.
///
/// errors  OutOfRange: a number of stations, no compass, a name twice, loads, a sigma
Result<Plan> swing_run_plan(const SwingRunOptions& options);

/// The readings that are kept, in the order of their visits.
std::vector<const Read*> kept_reads(const State& state);

/// The same, as the solution takes them; rows count from 0.
std::vector<SwingReading> swing_readings_of(const State& state);

/// "120 cw", "120 cw on": what a reading was meant for.
std::string visit_name(const Read& read);

/// The options without the limits of compasses that were not read yet.
SwingOptions options_for(const SwingOptions& options, const std::vector<SwingReading>& readings);

/// The fewest headings whose readings would bring the curve's 95 % half-width below `wanted_deg`
/// everywhere; empty: it is there already, or kMostSettling do not bring it. From the covariance
/// alone, whatever was read.
///
/// candidates_deg  to choose from
inline constexpr std::size_t kMostSettling = 4;
std::vector<double> settling_stations(const SwingCompass& compass, const SwingOptions& options,
                                      double wanted_deg, const std::vector<double>& candidates_deg);

}  // namespace qn::run
