// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/f_tail.h"
#include "procedure/swing_contradictions_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kContradicts = 0.01;

double sign_of_turn(SwingTurn turn) {
  return turn == SwingTurn::unknown ? 0.0 : turn == SwingTurn::clockwise ? 1.0 : -1.0;
}

}  // namespace

std::vector<Contradiction> contradictions_of(const SwingCompass& c, double assumed_deg,
                                             double assumed_dof) {
  std::vector<Contradiction> pairs;
  if (c.residuals_deg.size() != c.observed.size()) return pairs;
  double squares = assumed_dof * assumed_deg * assumed_deg;
  double freedom = assumed_dof - (c.hysteresis_deg ? 6.0 : 5.0);
  for (std::size_t i = 0; i < c.observed.size(); ++i) {
    if (c.observed[i].used) {
      squares += c.residuals_deg[i] * c.residuals_deg[i];
      freedom += 1.0;
    }
    for (std::size_t k = i + 1; k < c.observed.size(); ++k) {
      const SwingObserved& a = c.observed[i];
      const SwingObserved& b = c.observed[k];
      if (a.station_deg != b.station_deg) continue;
      const double lag =
          0.5 * c.hysteresis_deg.value_or(0.0) * (sign_of_turn(a.turn) - sign_of_turn(b.turn));
      pairs.push_back(
          {i, k, std::fabs(wrap_180_deg(a.deviation_deg - b.deviation_deg - lag)), 1.0});
    }
  }
  const double count = static_cast<double>(pairs.size());
  for (Contradiction& pair : pairs) {
    // The scatter of all others: a pair far apart would hide itself in its own scatter.
    // One that is left out as wrong has no part in that of the others.
    const bool both = c.observed[pair.first].used && c.observed[pair.second].used;
    const double own = both ? 0.5 * pair.apart_deg * pair.apart_deg : 0.0;
    const double others = std::max(squares - own, 0.0);
    const double dof = std::max(freedom - (both ? 1.0 : 0.0), 1.0);
    const double least = 0.25 * assumed_deg * assumed_deg;
    const double variance = std::max(others / dof, least);
    const double t2 = pair.apart_deg * pair.apart_deg / (2.0 * variance);
    pair.p = std::min(1.0, count * f_tail(t2, 1.0, dof));
  }
  std::erase_if(pairs, [](const Contradiction& pair) { return pair.p >= kContradicts; });
  return pairs;
}

}  // namespace qn
