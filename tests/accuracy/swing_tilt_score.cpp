// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_tilt_score.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <map>
#include <utility>
#include <vector>

#include "accuracy/scores_of.h"
#include "procedure/swing_tilt_maker.h"

namespace qn::accuracy {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

const char* stood_name(test::Stood stood) {
  switch (stood) {
    case test::Stood::tail_low: return "tail low";
    case test::Stood::uneven: return "each stop its own";
    case test::Stood::sloping: return "sloping apron";
  }
  return "";
}

struct TiltScore {
  std::vector<Reading> readings;
  std::string stood;
  std::vector<bool> worst_held;  // of each compass
  std::vector<double> as_level;  // held by the bands of the same readings taken as level: B and C
  bool named = false;
};

void score_compass(const test::IronCompass& truth, const SwingCompass& found,
                   const SwingCompass& as_level, TiltScore& out) {
  const auto level = test::level_coefficients(truth, found.exact());
  static const char* const names[5] = {"A", "B", "C", "D", "E"};
  for (std::size_t j = 0; j < 5; ++j) {
    const auto [lo, hi] = found.band_95_deg[j];
    out.readings.push_back({std::string{names[j]} + ", " + out.stood, level[j], lo, hi,
                            found.curve.coefficients_deg[j] - level[j], kNone});
    const auto [low, high] = as_level.band_95_deg[j];
    if (j == 1 || j == 2) out.as_level.push_back(low <= level[j] && level[j] <= high ? 1.0 : 0.0);
  }
  for (std::size_t k = 0; k < found.points.size(); k += 9) {
    const SwingPoint& p = found.points[k];
    out.readings.push_back({"curve on N, E, S, W, " + out.stood,
                            truth.level_deviation(p.indicated_deg), p.lo_deg, p.hi_deg, kNone,
                            kNone});
  }
  double worst = 0.0;
  for (int z = 0; z < 360; z += 2) {
    worst = std::max(worst, std::fabs(truth.level_deviation(z)));
  }
  out.worst_held.push_back(found.worst_95_deg.first <= worst && worst <= found.worst_95_deg.second);
  out.named = out.named || !found.gross.empty();
}

TiltScore score_case(std::uint64_t seed) {
  TiltScore out;
  test::TiltedSwing swing = test::make_tilted_swing(seed);
  out.stood = stood_name(swing.stood);
  SwingOptions options;
  options.rounding_deg = swing.rounding_deg;
  const auto found = solve_swing(swing.readings, options);
  for (SwingReading& r : swing.readings) r.pitch_deg = r.roll_deg = kNone;
  const auto as_level = solve_swing(swing.readings, options);
  for (std::size_t c = 0; c < swing.compasses.size(); ++c) {
    score_compass(swing.compasses[c], found.value().compasses[c], as_level.value().compasses[c],
                  out);
  }
  return out;
}

struct Counted {
  std::size_t held = 0, of = 0;
  double share() const { return static_cast<double>(held) / static_cast<double>(of); }
};

std::string counted_words(const std::string& what, const Counted& count) {
  char text[200];
  std::snprintf(text, sizeof text, "%s: %zu of %zu, %.1f %%.", what.c_str(), count.held, count.of,
                100.0 * count.share());
  return text;
}

}  // namespace

std::string how_tilt_drawn() {
  return "An aircraft of iron turned in space by a geometry of its own, with compasses that keep "
         "themselves level. A third stood tail low by 8 to 13 degrees and one wing low by 1 (1 "
         "sigma), a third tilted its own way on each stop (2 degrees in pitch and roll, 1 sigma), "
         "a "
         "third on an apron that slopes by 1 to 3 degrees. 8 to 24 stations, once or both ways, "
         "one "
         "or two compasses, rounded to 0.1, 1 or 5 degrees, dip 50 to 70. The iron comes from what "
         "the solver believes, as tail low all around nothing is learnt of it: the pull down 0.2 "
         "of "
         "the horizontal field, D, E and A of soft iron 0.1 over the tangent of the dip, and 0.02 "
         "between down and across (1 sigma). Truth is the level aircraft.";
}

CoverageTable run_tilt_table(std::size_t cases, std::uint64_t first_seed,
                             const ParallelFor& parallel) {
  const auto scores = scores_of(cases, first_seed, parallel, score_case);
  CoverageTable out;
  std::map<std::string, Counted> worst, as_level;
  Counted named;
  for (const TiltScore& score : scores) {
    for (const Reading& reading : score.readings) out.add(reading);
    for (const bool held : score.worst_held) {
      worst[score.stood].held += held ? 1 : 0;
      ++worst[score.stood].of;
    }
    for (const double held : score.as_level) {
      as_level[score.stood].held += held > 0.5 ? 1 : 0;
      ++as_level[score.stood].of;
    }
    named.held += score.named ? 1 : 0;
    ++named.of;
  }
  for (const auto& [stood, count] : worst) {
    const double grace =
        cases >= gate::kMany
            ? 0.0
            : gate::kStandardErrors * std::sqrt(0.05 * 0.95 / static_cast<double>(count.of));
    out.add_check(
        counted_words("Band of the largest deviation holds, " + stood + " (asked: 93 to 98 %)",
                      count),
        count.share() >= 0.93 - grace && count.share() <= 0.98 + grace);
  }
  for (const auto& [stood, count] : as_level) {
    out.add_check(
        counted_words("B and C of the same readings taken as level, " + stood + " (no limit set)",
                      count),
        true);
  }
  out.add_check(counted_words("A sound reading is named wrong (allowed: 2 %)", named),
                named.share() <= 0.02);
  return out;
}

}  // namespace qn::accuracy
