// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Turned by this and more while showing no more than that: the compass stands still.
constexpr double kTurned_deg = 90.0;
constexpr double kStill_deg = 5.0;

/// The smallest arc that holds all of them.
double arc_of(std::vector<double> headings_deg) {
  std::sort(headings_deg.begin(), headings_deg.end());
  double gap = headings_deg.front() + 360.0 - headings_deg.back();
  for (std::size_t i = 1; i < headings_deg.size(); ++i) {
    gap = std::max(gap, headings_deg[i] - headings_deg[i - 1]);
  }
  return 360.0 - gap;
}

}  // namespace

std::optional<double> swing_turned_in_vain_deg(const std::vector<SwingReading>& readings) {
  std::vector<double> stations;
  std::vector<double> shown;
  for (const SwingReading& r : readings) {
    stations.push_back(r.station_deg);
    shown.push_back(wrap_360_deg(r.indicated_deg));
  }
  const double turned = arc_of(stations);
  return turned >= kTurned_deg && arc_of(shown) < kStill_deg ? std::optional{turned} : std::nullopt;
}

}  // namespace qn
