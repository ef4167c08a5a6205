// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "estimation/drift_filter.h"
#include "estimation/joint_effects.h"
#include "procedure/disturbance_timing_internal.h"
#include "vocab/parallel.h"

namespace qn::disturbance {

/// Something in the trace that no mark explains, given its own columns so that it spoils nothing.
struct Event {
  double from_s = 0.0;
  double to_s = 0.0;  ///< beyond the log's end: a step that stays
  /// There and gone at once, or coming and going like something that passes.
  enum class Shape { box, hump };
  Shape shape = Shape::box;
};

/// One more shape of a visit than on and off: heating up and cooling down.
struct Warming {
  std::size_t item = 0;
  double time_constant_s = 10.0;
};

/// Everything one linear solution needs.
struct Problem {
  const Series* series = nullptr;
  const MarkedRun* run = nullptr;
  std::vector<SwitchTime> times;  ///< one a switch
  std::vector<Vector3> jumps_uT;  ///< as believed so far, one a switch: sizes what is uncertain
  std::vector<Event> events;
  std::vector<Warming> warmings;
  double mark_spread_s = 1.5;       ///< of the delay law: how far off an unclear moment may be
  std::vector<Vector3> unrest_uT2;  ///< further variance of a block while a visit lasts (vibration)
};

/// Sizes of all columns, each visit by itself. Axis by axis: axes share the columns, not the noise.
struct VisitSolution {
  std::array<DriftNoise, 3> noise;
  std::vector<EffectEquations> equations;  ///< 3
  std::vector<BlockColumn> columns;  ///< visits, events, then warmings (a pair of visit lists)
  std::vector<std::size_t> warming_visit;  ///< for each warming column, its visit
  BlockTimes times;                        ///< of axis 0; `extra` differs by axis
  std::array<std::vector<double>, 3> extra;
  std::array<std::vector<double>, 3> at_switches;  ///< of `extra`, what unsure moments add
  std::vector<Vector3> size_uT;                    ///< of each column, solved with every visit free
  std::vector<Vector3> sigma_uT;
  std::vector<SingleEffects> single;  ///< of each axis: that solution
};

/// What heating adds to the step of a visit, 1 when hot: 1 - exp(-t/T) while on, fading with T
/// afterwards.
BlockColumn warming_column(const Problem& problem, const Visit& visit, double constant_s);

/// How much of each block an event is there, 1 at its height.
BlockColumn event_column(const Pieces& blocks, const Event& event);

/// How the noise is learnt: by a search from nowhere, by one from what it was found to be before,
/// or not, taken as it was.
enum class Learn { anew, from_before, not_again };

/// Sizes of all columns, and the noise they stand in.
///
/// before  the solution before, if there is one
VisitSolution solve_visits(const Problem& problem, const ParallelFor& parallel,
                           const VisitSolution* before = nullptr, Learn learn = Learn::from_before);

/// The solution's blocks as one axis sees them.
BlockTimes blocks_of_axis(const VisitSolution& solution, std::size_t axis);

/// What all columns add to each block on one axis, at the given size of each column.
std::vector<double> effects_uT(const VisitSolution& solution, const std::vector<Vector3>& size_uT,
                               std::size_t axis, std::size_t blocks);

/// What all columns at the given sizes leave of each block on one axis, counted from the first
/// block's reading: rest field, drift and noise.
std::vector<double> left_uT(const Problem& problem, const VisitSolution& solution,
                            const std::vector<Vector3>& size_uT, std::size_t axis);

/// Variance of the blocks of each visit beyond the noise at rest, from what `fit_uT` leaves; zero
/// where there is no clear excess.
std::vector<Vector3> visit_unrest(const Problem& problem, const VisitSolution& solution,
                                  const std::array<std::vector<double>, 3>& fit_uT);

/// Rest field and effects on one axis, a value a block, with a rest field too stiff to follow an
/// event: what comes and goes within half a minute is looked for in what this leaves, and the noise
/// as fitted may have taken it for drift.
std::vector<double> stiff_fit(const Problem& problem, const VisitSolution& solution,
                              std::size_t axis);

/// uT^2 s: what a mean over T seconds varies by, times T.
LongRunRate long_run_rate(const VisitSolution& solution, double block_s);

/// A first guess of it, before anything is known.
LongRunRate rough_long_run_rate(const Pieces& blocks);

}  // namespace qn::disturbance
