// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>

#include "estimation/gaussian_draws.h"
#include "procedure/station_match_internal.h"
#include "vocab/heading.h"

namespace qn::sensor_model {
namespace {

std::vector<double> unwrapped(const std::vector<double>& deg) {
  std::vector<double> out = deg;
  for (std::size_t k = 1; k < out.size(); ++k) {
    out[k] = out[k - 1] + wrap_180_deg(deg[k] - out[k - 1]);
  }
  return out;
}

// Mean over +-half_s, by running sums.
std::vector<double> smoothed(const std::vector<double>& t, const std::vector<double>& y,
                             double half_s) {
  std::vector<double> sum(y.size() + 1, 0.0);
  for (std::size_t k = 0; k < y.size(); ++k) sum[k + 1] = sum[k] + y[k];
  std::vector<double> out(y.size());
  std::size_t from = 0;
  std::size_t to = 0;
  for (std::size_t k = 0; k < y.size(); ++k) {
    while (t[from] < t[k] - half_s) ++from;
    while (to < y.size() && t[to] <= t[k] + half_s) ++to;
    out[k] = (sum[to] - sum[from]) / static_cast<double>(to - from);
  }
  return out;
}

double mean_of(const std::vector<double>& y, std::size_t begin, std::size_t end) {
  double sum = 0.0;
  for (std::size_t k = begin; k < end; ++k) sum += y[k];
  return sum / static_cast<double>(end - begin);
}

// Two stops are one when the aircraft did not turn away between them.
bool stayed_near(const std::vector<double>& heading, std::size_t begin, std::size_t end,
                 const Stop& now, const Stop& before) {
  constexpr double kNear_deg = 3.0;
  if (std::abs(now.heading_deg - before.heading_deg) >= kNear_deg) return false;
  return std::all_of(heading.begin() + static_cast<std::ptrdiff_t>(begin),
                     heading.begin() + static_cast<std::ptrdiff_t>(end),
                     [&](double h) { return std::abs(h - before.heading_deg) < kNear_deg; });
}

constexpr double kCoupling_deg = 6.0;    // how far a stop may be off its row: soft iron unsolved
constexpr double kMissing = 4.0;         // cost of a row without a stop, or a stop without a row
constexpr double kUsualTurn_deg = 25.0;  // a sensor is mounted nearly along the airframe

struct Alignment {
  double cost = std::numeric_limits<double>::infinity();
  std::vector<std::optional<std::size_t>> stop_of_row;
};

Alignment edit_distance(const std::vector<double>& stops, const std::vector<double>& rows,
                        double turn_deg) {
  const std::size_t S = stops.size();
  const std::size_t R = rows.size();
  std::vector<double> cost((S + 1) * (R + 1), 0.0);
  const auto at = [&](std::size_t s, std::size_t r) -> double& { return cost[s * (R + 1) + r]; };
  const auto pair_cost = [&](std::size_t s, std::size_t r) {
    const double off = wrap_180_deg(stops[s] - rows[r] - turn_deg) / kCoupling_deg;
    return std::min(off * off, 2.5 * kMissing);
  };
  for (std::size_t s = 0; s <= S; ++s) at(s, 0) = kMissing * static_cast<double>(s);
  for (std::size_t r = 0; r <= R; ++r) at(0, r) = kMissing * static_cast<double>(r);
  for (std::size_t s = 1; s <= S; ++s) {
    for (std::size_t r = 1; r <= R; ++r) {
      at(s, r) = std::min({at(s - 1, r - 1) + pair_cost(s - 1, r - 1), at(s - 1, r) + kMissing,
                           at(s, r - 1) + kMissing});
    }
  }
  Alignment out;
  // Liked, not insisted on: it must not outweigh a stop and a row that go without each other.
  const double turn = wrap_180_deg(turn_deg) / kUsualTurn_deg;
  out.cost = at(S, R) + std::min(turn * turn, 1.5 * kMissing);
  out.stop_of_row.resize(R);
  for (std::size_t s = S, r = R; s > 0 && r > 0;) {
    if (at(s, r) == at(s - 1, r - 1) + pair_cost(s - 1, r - 1)) {
      if (pair_cost(s - 1, r - 1) < 2.0 * kMissing) out.stop_of_row[r - 1] = s - 1;
      --s;
      --r;
    } else if (at(s, r) == at(s - 1, r) + kMissing) {
      --s;
    } else {
      --r;
    }
  }
  return out;
}

struct BestAlignment {
  Alignment alignment;
  double turn_deg = 0.0;
  double runner_up = std::numeric_limits<double>::infinity();
};

BestAlignment best_alignment(const std::vector<double>& stops, const std::vector<double>& rows) {
  BestAlignment best;
  std::vector<std::pair<double, double>> tried;  // cost, turn
  for (const double stop : stops) {
    for (const double row : rows) {
      const double turn = wrap_180_deg(stop - row);
      Alignment alignment = edit_distance(stops, rows, turn);
      tried.emplace_back(alignment.cost, turn);
      if (alignment.cost < best.alignment.cost) {
        best.alignment = std::move(alignment);
        best.turn_deg = turn;
      }
    }
  }
  for (const auto& [cost, turn] : tried) {
    if (std::abs(wrap_180_deg(turn - best.turn_deg)) > 12.0) {
      best.runner_up = std::min(best.runner_up, cost);
    }
  }
  return best;
}

}  // namespace

std::vector<Stop> find_stops(const std::vector<double>& time_s,
                             const std::vector<double>& heading_deg, double noise_deg,
                             double shortest_s) {
  std::vector<Stop> stops;
  if (time_s.size() < 3) return stops;
  const std::vector<double> h = smoothed(time_s, unwrapped(heading_deg), 0.4);
  const double tolerance = std::max(1.0, 2.0 * noise_deg);
  for (std::size_t k = 0; k < h.size();) {
    // Grow from k while all stays within the tolerance of the first second's level.
    double low = h[k];
    double high = h[k];
    std::size_t end = k;
    while (end < h.size() && std::max(high, h[end]) - std::min(low, h[end]) <= tolerance) {
      low = std::min(low, h[end]);
      high = std::max(high, h[end]);
      ++end;
    }
    if (time_s[end - 1] - time_s[k] < shortest_s) {
      ++k;
      continue;
    }
    Stop stop{k, end, mean_of(h, k, end)};
    if (!stops.empty() && stayed_near(h, stops.back().end, k, stop, stops.back())) {
      stops.back().end = end;
      stops.back().heading_deg = mean_of(h, stops.back().begin, end);
    } else {
      stops.push_back(stop);
    }
    k = end;
  }
  for (Stop& stop : stops) {
    // The edges belong to the turning: the smoothing reaches over them.
    while (stop.begin + 1 < stop.end &&
           std::abs(h[stop.begin] - stop.heading_deg) > 0.4 * tolerance) {
      ++stop.begin;
    }
    while (stop.end - 1 > stop.begin &&
           std::abs(h[stop.end - 1] - stop.heading_deg) > 0.4 * tolerance) {
      --stop.end;
    }
    stop.heading_deg = wrap_360_deg(mean_of(h, stop.begin, stop.end));
  }
  return stops;
}

StationAlignment align_stations(const std::vector<double>& stops, const std::vector<double>& rows) {
  StationAlignment out;
  out.stop_of_row.resize(rows.size());
  if (stops.empty() || rows.empty()) return out;
  BestAlignment best = best_alignment(stops, rows);
  std::vector<double> mirrored = stops;
  for (double& h : mirrored) h = wrap_360_deg(-h);
  const BestAlignment reversed = best_alignment(mirrored, rows);
  out.backwards = rows.size() >= 3 && reversed.alignment.cost + kMissing < best.alignment.cost;
  out.stop_of_row = best.alignment.stop_of_row;
  out.turn_deg = best.turn_deg;
  out.ambiguous = best.runner_up < best.alignment.cost + 1.0;
  std::vector<unsigned char> taken(stops.size(), 0);
  std::vector<double> offs;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    if (!out.stop_of_row[r]) continue;
    taken[*out.stop_of_row[r]] = 1;
    offs.push_back(std::abs(wrap_180_deg(stops[*out.stop_of_row[r]] - rows[r] - out.turn_deg)));
  }
  if (!offs.empty()) out.spread_deg = quantile(offs, 0.5);
  for (std::size_t s = 0; s < stops.size(); ++s) {
    if (!taken[s]) out.extra_stops.push_back(s);
  }
  return out;
}

}  // namespace qn::sensor_model
