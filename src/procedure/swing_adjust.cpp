// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_adjust.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "procedure/swing_adjust_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Where a screw moves the reading by less than this share of what it moves at best, a turn there
// tells nothing and is a slip of the pen.
constexpr double kNoEffect = 0.2;
// From so many headings on, a wrong reading can be told from a large coefficient.
constexpr std::size_t kEnoughToDoubt = 6;

std::optional<Error> check_turns(const std::vector<SwingReading>& readings) {
  for (const SwingReading& r : readings) {
    if (!std::isfinite(r.set_deg) || r.adjuster == 0) continue;
    if (std::fabs(leverage_of(r.adjuster, r.station_deg)) >= kNoEffect) continue;
    return Error{ErrorKind::OutOfRange,
                 fmt::format("adjuster {} turned on {}, where it does nothing", r.adjuster,
                             swing_heading_text(r.station_deg)),
                 fmt::format("row {} of the stations", r.row + 1),
                 "B (E-W) turned near E or W, C (N-S) near N or S",
                 "correct the adjuster, or leave the cell empty: the heading decides then"};
  }
  return std::nullopt;
}

/// Of each compass the readings under the loads in which it was read last.
std::vector<std::vector<SwingReading>> by_compass(const std::vector<SwingReading>& readings,
                                                  std::vector<bool>& others) {
  std::vector<std::vector<SwingReading>> out;
  for (const SwingReading& r : readings) {
    const auto same = std::find_if(out.begin(), out.end(), [&](const auto& group) {
      return group.front().compass == r.compass;
    });
    if (same == out.end()) {
      out.push_back({r});
    } else {
      same->push_back(r);
    }
  }
  for (auto& group : out) {
    const std::string loads = group.back().loads;
    const auto gone = std::erase_if(group, [&](const SwingReading& r) { return r.loads != loads; });
    others.push_back(gone > 0);
  }
  return out;
}

/// The readings before the first turn, as a swing: which of them is wrong.
std::vector<DoubtfulReading> doubts_of(const std::vector<SwingReading>& readings,
                                       const SwingOptions& options, bool& certain) {
  std::vector<SwingReading> before;
  std::set<double> headings;
  for (const SwingReading& r : readings) {
    before.push_back(r);
    headings.insert(r.station_deg);
    if (std::isfinite(r.set_deg)) break;
  }
  if (headings.size() < kEnoughToDoubt) return {};
  SwingOptions alone = options;
  alone.limits.clear();
  const auto solved = solve_swing(before, alone);
  if (!solved || !solved.value().compasses.front().solved) return {};
  const SwingCompass& compass = solved.value().compasses.front();
  certain = compass.suspects.empty();
  return certain ? compass.gross : compass.suspects;
}

std::vector<SwingReading> without(const std::vector<SwingReading>& readings,
                                  const std::vector<DoubtfulReading>& wrong) {
  std::vector<SwingReading> out;
  for (const SwingReading& r : readings) {
    const bool doubtful = std::any_of(wrong.begin(), wrong.end(),
                                      [&](const DoubtfulReading& d) { return d.row == r.row; });
    if (!doubtful || std::isfinite(r.set_deg)) out.push_back(r);
  }
  return out;
}

AdjustScene scene_of(const std::vector<SwingReading>& readings,
                     const std::optional<double>& standing_deg) {
  AdjustScene scene{readings, history_of(readings), 0.0, std::nullopt, 0.0};
  scene.standing_deg = wrap_360_deg(standing_deg.value_or(readings.back().station_deg));
  // A stay is the one in hand only when nothing was read on another mark since.
  const AdjustRow& last = scene.history.rows.back();
  if (last.station_deg == scene.standing_deg) {
    scene.visit_here = last.visit;
    scene.reads_here_deg = last.indicated_deg;
  }
  return scene;
}

void fill_left(SwingAdjustment& out, const AdjustScene& scene, const SwingSettings& settings) {
  const AdjustState now = state_of(scene.history, settings);
  out.now_deg = now.now_deg;
  out.now_sigma_deg = now.sigma_deg;
  out.told = now.told;
  const SwingShape before = shape_of(now.curve(), now.draws());
  out.worst_now_deg = before.worst_deg;
  out.worst_now_95_deg = before.worst_95_deg;
  const AdjustState after = state_of(with_turns(scene, out.turns), settings);
  out.after_deg = after.now_deg;
  out.after_sigma_deg = after.sigma_deg;
  for (std::size_t j = 0; j < 5; ++j) {
    SwingCoefficients way{};
    way[j] = 1.0;
    const auto [lo, hi] = after.band_95(way);
    out.after_95_deg[j] = std::max(hi - after.now_deg[j], after.now_deg[j] - lo);
  }
  const SwingShape shape = shape_of(after.curve(), after.draws());
  out.worst_after_deg = shape.worst_deg;
  out.worst_after_at_deg = shape.worst_at_deg;
  out.worst_after_95_deg = shape.worst_95_deg;
  for (int mark = 0; mark < 360; mark += 45) {
    const auto value = after.curve().at(mark);
    const auto [lo, hi] = after.band_95(value.per_coefficient);
    out.left.push_back({static_cast<double>(mark), value.deviation_deg, lo, hi});
  }
  out.no_screw_deg = std::fabs(out.now_deg[0]) + std::hypot(out.now_deg[3], out.now_deg[4]);
}

SwingAdjustment adjust_compass(const std::vector<SwingReading>& all,
                               const SwingAdjustOptions& options) {
  SwingAdjustment out;
  out.compass = all.front().compass;
  out.loads = all.front().loads;
  bool certain = true;
  out.doubtful = doubts_of(all, options.swing, certain);
  const auto readings = without(all, certain ? out.doubtful : std::vector<DoubtfulReading>{});
  const AdjustScene scene = scene_of(readings, options.standing_deg);
  const SwingSettings settings = settings_of(options.swing);
  if (!certain) {
    out.read_next_deg = out.doubtful.front().station_deg;
    out.why_read = "one reading is probably wrong, and a compass is not turned by it";
  } else if (options.rule == AdjustRule::halving) {
    plan_halving(out, scene, settings);
  } else {
    plan_least_squares(out, scene, settings, options.mount_turns);
  }
  out.one_heading = std::all_of(readings.begin(), readings.end(), [&](const SwingReading& r) {
    return r.station_deg == readings.front().station_deg;
  });
  if (out.one_heading && !out.read_next_deg) {
    out.read_next_deg = wrap_360_deg(readings.front().station_deg + 180.0);
    out.why_read = "one heading does not tell what is on the others";
  }
  fill_left(out, scene, settings);
  fill_adjust_words(out, scene, options);
  doubt_tilted(out, readings);
  return out;
}

// Round the rose and always the same: no screw helps that, and any rule would turn one far.
std::optional<Error> check_moves(const std::vector<SwingReading>& group) {
  if (!swing_turned_in_vain_deg(group)) return std::nullopt;
  return Error{ErrorKind::BadInput,
               fmt::format("{} shows {:03.0f} on every heading: it does not move",
                           group.front().compass.empty() ? "the compass" : group.front().compass,
                           group.front().indicated_deg),
               fmt::format("the stations, row {}", group.back().row + 1),
               "a compass that turns with the aircraft",
               "free it (caging, pivot, fluid) or correct the readings, before a screw is turned"};
}

}  // namespace

AdjustHistory with_turns(const AdjustScene& scene, const std::vector<AdjusterTurn>& turns) {
  AdjustHistory out = scene.history;
  std::optional<std::size_t> visit = scene.visit_here;
  double at_deg = scene.standing_deg;
  for (const AdjusterTurn& turn : turns) {
    if (turn.station_deg != at_deg || !visit) visit = out.visits;
    at_deg = turn.station_deg;
    out.add_turn(turn.adjuster, turn.station_deg, turn.set_deg, *visit);
  }
  return out;
}

Result<SwingAdjustments> adjust_swing(const std::vector<SwingReading>& readings,
                                      const SwingAdjustOptions& options) {
  // What a swing refuses is refused here in the same words.
  if (auto wrong = check_swing(readings, options.swing)) return *wrong;
  if (auto wrong = check_turns(readings)) return *wrong;
  SwingAdjustments out;
  out.rule = options.rule;
  out.assumptions = swing_assumptions(options.swing);
  std::vector<bool> others;
  const auto groups = by_compass(readings, others);
  for (std::size_t k = 0; k < groups.size(); ++k) {
    if (auto stuck = check_moves(groups[k])) return *stuck;
    out.compasses.push_back(adjust_compass(groups[k], options));
    SwingAdjustment& last = out.compasses.back();
    if (others[k]) {
      last.remarks.push_back(fmt::format(
          "Readings under other loads than those of the last row ({}) play no part here.",
          last.loads.empty() ? "not said" : "loads " + last.loads));
    }
    out.sentence += (out.sentence.empty() ? "" : "\n") + last.sentence;
  }
  return out;
}

}  // namespace qn
