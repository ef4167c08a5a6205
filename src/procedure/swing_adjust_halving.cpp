// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <array>
#include <cmath>

#include "procedure/swing_adjust_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// A mark counts as a quarter when it is no further from it than this.
constexpr double kQuarter_deg = 15.0;

/// One of N, E, S, W as it stands.
struct Quarter {
  bool read = false;
  double station_deg = 0.0, deviation_deg = 0.0;
  std::size_t last = 0;  ///< its place among all readings
};
using Quarters = std::array<Quarter, 4>;

std::optional<std::size_t> quarter_of(double station_deg) {
  for (std::size_t q = 0; q < 4; ++q) {
    const double off = wrap_180_deg(station_deg - 90.0 * static_cast<double>(q));
    if (std::fabs(off) <= kQuarter_deg) return q;
  }
  return std::nullopt;
}

/// Deviation on each quarter after every turn so far. A screw changes opposite headings by opposite
/// amounts.
Quarters quarters_of(const AdjustHistory& history) {
  Quarters out;
  std::size_t turns = 0;
  for (std::size_t k = 0; k < history.rows.size(); ++k) {
    const AdjustRow& row = history.rows[k];
    const auto here = quarter_of(row.station_deg);
    if (!here) {
      turns = row.turns;
      continue;
    }
    const double deviation = wrap_180_deg(row.station_deg - row.indicated_deg);
    Quarter& q = out[*here];
    if (row.turns > turns && q.read) {
      const double by = deviation - q.deviation_deg;
      Quarter& opposite = out[(*here + 2) % 4];
      if (opposite.read) opposite.deviation_deg -= by;
    }
    turns = row.turns;
    q = {true, row.station_deg, deviation, k};
  }
  return out;
}

char screw_of(std::size_t quarter) { return quarter % 2 == 0 ? 'C' : 'B'; }

/// Half of what the two differ by; all of it while the opposite heading has not been read.
double off_on(const Quarters& quarters, std::size_t q) {
  const Quarter& opposite = quarters[(q + 2) % 4];
  if (!opposite.read) return quarters[q].deviation_deg;
  return 0.5 * (quarters[q].deviation_deg - opposite.deviation_deg);
}

/// Of an axis with both headings read: the nearer one, or the one read last.
std::size_t where_to_turn(const Quarters& quarters, std::size_t axis, double standing_deg) {
  const auto away = [&](std::size_t q) {
    return std::round(std::fabs(wrap_180_deg(quarters[q].station_deg - standing_deg)) / 30.0);
  };
  const std::size_t other = axis + 2;
  if (away(axis) != away(other)) return away(axis) < away(other) ? axis : other;
  return quarters[axis].last > quarters[other].last ? axis : other;
}

}  // namespace

void plan_halving(SwingAdjustment& out, const AdjustScene& scene, const SwingSettings& settings) {
  const Quarters quarters = quarters_of(scene.history);
  const double least = std::max(0.5 * settings.prior.rounding_deg, 0.05);
  const auto here = scene.visit_here ? quarter_of(scene.standing_deg) : std::nullopt;
  const auto turn_on = [&](std::size_t q) {
    const double off = off_on(quarters, q);
    if (std::fabs(off) < least) return;
    AdjusterTurn turn;
    turn.adjuster = screw_of(q);
    turn.station_deg = quarters[q].station_deg;
    turn.here = here && *here == q;
    turn.reads_deg = wrap_360_deg(quarters[q].station_deg - quarters[q].deviation_deg);
    turn.set_deg = wrap_360_deg(turn.reads_deg + off);
    turn.change_deg = -off / (q < 2 ? 1.0 : -1.0);
    out.turns.push_back(turn);
  };
  if (here) turn_on(*here);
  for (std::size_t axis = 0; axis < 2; ++axis) {
    if (here && *here % 2 == axis) continue;
    if (!quarters[axis].read || !quarters[axis + 2].read) continue;
    turn_on(where_to_turn(quarters, axis, scene.standing_deg));
  }
  // The next quarter clockwise that has not been read.
  const double from = std::floor(wrap_360_deg(scene.standing_deg + kQuarter_deg) / 90.0);
  for (int step = 1; step <= 4 && !out.read_next_deg; ++step) {
    const std::size_t q = (static_cast<std::size_t>(from) + static_cast<std::size_t>(step)) % 4;
    if (quarters[q].read) continue;
    out.read_next_deg = 90.0 * static_cast<double>(q);
    out.why_read = quarters[(q + 2) % 4].read
                       ? fmt::format("half of what {} and {} differ by comes off there",
                                     swing_heading_text(*out.read_next_deg),
                                     swing_heading_text(quarters[(q + 2) % 4].station_deg))
                       : "all of its deviation comes off there";
  }
}

}  // namespace qn
