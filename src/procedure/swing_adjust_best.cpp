// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/swing_adjust_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// A screw is turned where it moves the reading by at least half of what it moves at best: on NE
// both can be, one after the other.
constexpr double kLeverage = 0.5;
constexpr double kGoodLeverage = 0.9;  // of a mark that one goes to for it
// Known to this many times the scatter of one reading, a coefficient may be turned away.
constexpr double kKnown = 2.0;

double scatter_of(const SwingSettings& settings) {
  return std::hypot(settings.prior.sigma(0.0), settings.prior.rounding_deg / std::sqrt(12.0));
}

/// The nearest mark read so far where the screw has its effect, or the quarter itself.
double mark_for(char adjuster, const AdjustScene& scene) {
  const auto away = [&](double deg) { return std::fabs(wrap_180_deg(deg - scene.standing_deg)); };
  std::optional<double> best;
  for (const AdjustRow& row : scene.history.rows) {
    if (std::fabs(leverage_of(adjuster, row.station_deg)) < kGoodLeverage) continue;
    if (!best || away(row.station_deg) <= away(*best)) best = row.station_deg;
  }
  if (best) return *best;
  const double first = adjuster == 'B' ? 90.0 : 0.0;
  return away(first) <= away(first + 180.0) ? first : first + 180.0;
}

/// Puts one more turn to the plan. `curve` is as the turns before it leave it.
void add_turn(SwingAdjustment& out, const AdjustScene& scene, const AdjustState& state,
              DeviationCurve& curve, char adjuster, double station_deg) {
  AdjusterTurn turn;
  turn.adjuster = adjuster;
  turn.station_deg = station_deg;
  turn.here = station_deg == scene.standing_deg;
  const bool stays = turn.here && scene.visit_here;
  // Where the aircraft really stands, as far as its readings tell.
  const double stands = station_deg + (stays ? state.placing_deg[*scene.visit_here] : 0.0);
  const bool first = std::none_of(out.turns.begin(), out.turns.end(), [&](const AdjusterTurn& t) {
    return t.station_deg == station_deg;
  });
  turn.reads_deg = stays && first ? scene.reads_here_deg
                   : first        ? wrap_360_deg(indicated_on(curve, stands, stands))
                                  : out.turns.back().set_deg;
  double& coefficient = curve.coefficients_deg[coefficient_of(adjuster)];
  turn.change_deg = -coefficient;
  coefficient = 0.0;
  turn.set_deg = wrap_360_deg(indicated_on(curve, stands, stands));
  out.turns.push_back(turn);
}

/// The mark, of eight around the circle, whose reading would tell most about what the screws take
/// off. Of several alike the nearest.
double most_telling_mark(const AdjustScene& scene, const SwingSettings& settings) {
  const DeviationCurve now = state_of(scene.history, settings).curve();
  double best_deg = 0.0;
  double least = 1e300;
  for (int k = 0; k < 8; ++k) {
    const double mark = 45.0 * k;
    AdjustHistory more = scene.history;
    // It reads what is foretold: which mark is read counts, not what will be seen there.
    more.rows.push_back(
        {mark, indicated_on(now, mark, mark), 1.0, more.visits, more.turned.size()});
    ++more.visits;
    const AdjustState after = state_of(more, settings);
    const double turning = std::fabs(wrap_180_deg(mark - scene.standing_deg));
    const double cost =
        (after.covariance(1, 1) + after.covariance(2, 2)) * (1.0 + 0.002 * turning / 45.0);
    if (cost < least * 0.999) {
      least = cost;
      best_deg = mark;
    }
  }
  return best_deg;
}

}  // namespace

void plan_least_squares(SwingAdjustment& out, const AdjustScene& scene,
                        const SwingSettings& settings, bool mount_turns) {
  const AdjustState state = state_of(scene.history, settings);
  DeviationCurve curve = state.curve();
  const auto known = [&](char adjuster) {
    return state.sigma_deg[coefficient_of(adjuster)] < kKnown * scatter_of(settings);
  };
  const auto worth_it = [&](char adjuster) {
    const std::size_t j = coefficient_of(adjuster);
    return std::fabs(state.now_deg[j]) >
           std::max(0.5 * settings.prior.rounding_deg, state.sigma_deg[j]);
  };
  std::vector<char> screws = {'B', 'C'};
  std::sort(screws.begin(), screws.end(), [&](char a, char b) {
    return std::fabs(leverage_of(a, scene.standing_deg)) >
           std::fabs(leverage_of(b, scene.standing_deg));
  });
  std::vector<char> elsewhere;
  std::string unknown;
  for (const char screw : screws) {
    if (!known(screw)) {
      unknown += unknown.empty() ? std::string{screw} : std::string{" and "} + screw;
    } else if (worth_it(screw)) {
      if (std::fabs(leverage_of(screw, scene.standing_deg)) >= kLeverage) {
        add_turn(out, scene, state, curve, screw, scene.standing_deg);
      } else {
        elsewhere.push_back(screw);
      }
    }
  }
  for (const char screw : elsewhere) {
    add_turn(out, scene, state, curve, screw, mark_for(screw, scene));
  }
  // More readings do not better the north that stands in A: what is told is enough.
  if (mount_turns && state.told[0] && worth_it('A')) {
    const double where = out.turns.empty() ? scene.standing_deg : out.turns.back().station_deg;
    add_turn(out, scene, state, curve, 'A', where);
  }
  if (!unknown.empty()) {
    out.read_next_deg = most_telling_mark(scene, settings);
    out.why_read =
        fmt::format("the readings so far do not tell {} well enough to turn by", unknown);
  }
}

}  // namespace qn
