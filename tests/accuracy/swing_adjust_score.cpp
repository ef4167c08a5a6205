// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_adjust_score.h"

#include <cmath>
#include <cstdio>
#include <limits>
#include <map>
#include <utility>
#include <vector>

#include "accuracy/scores_of.h"
#include "procedure/swing_adjust_maker.h"

namespace qn::accuracy {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

struct AdjustScore {
  std::vector<Reading> readings;
  std::string group;  ///< marks and rule
  bool worst_held = false;
};

AdjustScore score_case(std::uint64_t seed) {
  simulate::Random random{seed, 31};
  AdjustScore out;
  const int marks = seed % 2 == 0 ? 4 : 8;
  const bool halving = seed / 2 % 2 == 0;
  const std::string on = marks == 4 ? "4 marks" : "8 marks";
  out.group = on + (halving ? ", halving" : ", least squares");
  const auto turned = test::turned_compass(
      random, marks, halving ? AdjustRule::halving : AdjustRule::least_squares);
  const auto& [compass, a] = turned.value();
  static const char* const names[5] = {"A", "B", "C", "D", "E"};
  for (std::size_t j = 0; j < 5; ++j) {
    const double half = a.after_95_deg[j];
    out.readings.push_back({std::string{names[j]} + " after, " + on, compass.coefficients_deg[j],
                            a.after_deg[j] - half, a.after_deg[j] + half,
                            a.after_deg[j] - compass.coefficients_deg[j], kNone});
  }
  for (const DeviationLeft& left : a.left) {
    out.readings.push_back({"left on eight marks, " + out.group,
                            compass.deviation(left.indicated_deg), left.lo_deg, left.hi_deg, kNone,
                            kNone});
  }
  const double worst = compass.worst();
  out.worst_held = a.worst_after_95_deg.first <= worst && worst <= a.worst_after_95_deg.second;
  return out;
}

}  // namespace

std::string how_adjust_drawn() {
  return "A compass read once on 4 or 8 marks, rounded to 1 degree, then turned as `swing adjust` "
         "says, by the halving rule or by least squares, and what is left held against what was "
         "foretold. The truth comes from what the solver believes beforehand, because four marks "
         "do not tell D and hardly the size of the noise: D and E ± 3 degrees, the square of the "
         "noise 4 over a chi-square of 4 degrees of freedom times that of 0.7 degrees for reading "
         "and place each. A ± 1.5, B and C ± 5 degrees, north ± 0.5, lag between the turns ± 0.5 "
         "(1 "
         "sigma).";
}

CoverageTable run_adjust_table(std::size_t cases, std::uint64_t first_seed,
                               const ParallelFor& parallel) {
  const auto scores = scores_of(cases, first_seed, parallel, score_case);
  CoverageTable out;
  std::map<std::string, std::pair<std::size_t, std::size_t>> worst;  // held, of
  for (const AdjustScore& score : scores) {
    for (const Reading& reading : score.readings) out.add(reading);
    auto& [held, of] = worst[score.group];
    held += score.worst_held ? 1 : 0;
    ++of;
  }
  for (const auto& [group, count] : worst) {
    const double share = static_cast<double>(count.first) / static_cast<double>(count.second);
    // Three standard errors of grace where there are few.
    const double grace =
        cases >= gate::kMany
            ? 0.0
            : gate::kStandardErrors * std::sqrt(0.05 * 0.95 / static_cast<double>(count.second));
    char text[160];
    std::snprintf(text, sizeof text,
                  "Band of the largest deviation left holds, %s (asked: 93 to 98 %%): %zu of %zu, "
                  "%.1f %%.",
                  group.c_str(), count.first, count.second, 100.0 * share);
    out.add_check(text, share >= 0.93 - grace && share <= 0.98 + grace);
  }
  return out;
}

}  // namespace qn::accuracy
