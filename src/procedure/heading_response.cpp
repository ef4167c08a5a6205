// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>

#include "estimation/gaussian_draws.h"
#include "estimation/joint_effects.h"
#include "procedure/heading_response_internal.h"

namespace qn::heading_only {
namespace {

using disturbance::MarkedRun;
using disturbance::Visit;

constexpr double kFree_uT = 1000.0;
constexpr double kStrongSigmas = 10.0;  // below, a step is seen but not its shape
constexpr double kStrongSteps = 3.0;    // of the display's own
constexpr double kInside95 = 3.84;      // chi-square of one number

std::vector<double> series_of(const ResponseLog& log) {
  std::vector<double> out = log.blocks->mean_uT[0];
  const double start = out.empty() ? 0.0 : out.front();
  for (double& y : out) y -= start;
  return out;
}

// All visits at the size that fits best, and what the whitened blocks leave.
struct Solution {
  std::vector<double> size, sigma;
  double rms = 1.0;
  double blocks = 0.0;
  double cost() const { return 2.0 * blocks * std::log(std::max(rms, 1e-12)); }
};

Solution solve(const ResponseLog& log, const DisplayResponse& response) {
  const DriftFilter filter{log.noise, usable_blocks(log)};
  const std::vector<BlockColumn> columns = visit_columns(log, response);
  const EffectEquations equations{filter, columns, series_of(log)};
  std::vector<std::size_t> alone(columns.size());
  for (std::size_t c = 0; c < alone.size(); ++c) alone[c] = c;
  const JointEffects found = equations.solve(alone, columns.size(), kFree_uT);
  Solution out;
  out.size = found.size;
  out.rms = found.weighted_rms;
  out.blocks = static_cast<double>(filter.blocks_in_use());
  for (std::size_t c = 0; c < columns.size(); ++c) {
    out.sigma.push_back(found.weighted_rms * std::sqrt(std::max(0.0, found.covariance(c, c))));
  }
  return out;
}

std::vector<double> left_by(const ResponseLog& log, const DisplayResponse& response,
                            const std::vector<double>& size) {
  std::vector<double> out = series_of(log);
  const std::vector<BlockColumn> columns = visit_columns(log, response);
  for (std::size_t c = 0; c < columns.size(); ++c) {
    for (std::size_t k = 0; k < columns[c].values.size() && columns[c].begin + k < out.size();
         ++k) {
      out[columns[c].begin + k] -= size[c] * columns[c].values[k];
    }
  }
  return out;
}

// How much less is left when the visit has that column at its best size: in noise variances.
double explained(const DriftFilter& filter, const BlockColumn& white, const BlockColumn& column) {
  const BlockColumn c = filter.whiten(column);
  const double cc = overlap(c, c);
  if (!(cc > 0.0)) return 0.0;
  const double cr = overlap(c, white);
  return cr * cr / cc;
}

struct Scan {
  double reach_s, step_s;
};

// Moments of the strong steps, one at a time, the others taken out as they stand. A moment far from
// where marks usually lie has to be worth it (Student's t, 3 degrees of freedom).
void move_strong(const DisplayResponse& response, const Scan& scan, ResponseLog& log) {
  const Solution now = solve(log, response);
  const DriftFilter filter{log.noise, usable_blocks(log)};
  std::vector<double> left = left_by(log, response, now.size);
  const double scale = now.rms * now.rms;
  for (const std::size_t v : log.strong) {
    const Visit& visit = log.run->visits[v];
    const auto put_back = [&](double sign) {
      const BlockColumn column = column_of(log, response, v);
      for (std::size_t k = 0; k < column.values.size() && column.begin + k < left.size(); ++k) {
        left[column.begin + k] += sign * now.size[v] * column.values[k];
      }
    };
    put_back(1.0);
    const BlockColumn white = filter.whiten({0, left});
    for (const auto& which : {visit.begin, visit.end}) {
      if (!which) continue;
      const double mark_s = log.run->switches[*which].mark_s;
      const double middle = log.times_s[*which];
      double best = -std::numeric_limits<double>::infinity();
      double best_s = middle;
      for (double shift = -scan.reach_s; shift <= scan.reach_s + 1e-9; shift += scan.step_s) {
        const double t = middle + shift;
        const double late = (t - mark_s - log.common_s) / log.spread_s;
        if (std::abs(t - mark_s) > 8.0) continue;
        log.times_s[*which] = t;
        if (visit.begin && visit.end && log.times_s[*visit.end] < log.times_s[*visit.begin] + 0.5) {
          continue;
        }
        const double worth = 0.5 * explained(filter, white, column_of(log, response, v)) / scale -
                             2.0 * std::log1p(late * late / 3.0);
        if (worth > best) {
          best = worth;
          best_s = t;
        }
      }
      log.times_s[*which] = best_s;
      log.own[*which] = 1;
    }
    put_back(-1.0);
  }
}

// Whatever was not seen switches as late after its mark as what was.
void move_others(ResponseLog& log) {
  std::vector<double> delays;
  for (std::size_t s = 0; s < log.times_s.size(); ++s) {
    if (log.own[s]) delays.push_back(log.times_s[s] - log.run->switches[s].mark_s);
  }
  if (delays.size() >= 4) {
    log.common_s = quantile(delays, 0.5);
    for (double& d : delays) d = std::abs(d - log.common_s);
    log.spread_s = std::max(0.3, 1.4826 * quantile(delays, 0.5));
  }
  for (std::size_t s = 0; s < log.times_s.size(); ++s) {
    if (!log.own[s]) log.times_s[s] = log.run->switches[s].mark_s + log.common_s;
  }
}

void learn_noise(const DisplayResponse& response, ResponseLog& log) {
  const Solution now = solve(log, response);
  BlockTimes blocks = usable_blocks(log);
  blocks.fresh.assign(log.blocks->size(), 0);
  for (std::size_t k = 0; k < log.times_s.size(); ++k) {
    // A moment a little wrong would pass for drift.
    const double unsure = log.own[k] ? log.blocks->length_s : 2.0 * log.spread_s;
    const std::size_t first = log.blocks->at(log.times_s[k] - unsure);
    const std::size_t last = log.blocks->at(log.times_s[k] + unsure);
    for (std::size_t b = first; b <= last; ++b) blocks.use[b] = 0;
    blocks.fresh[std::min(last + 1, blocks.fresh.size() - 1)] = 1;
  }
  const double least = log.step_uT * log.step_uT / (12.0 * log.blocks->nominal_count);
  log.noise = fit_drift_noise(blocks, left_by(log, response, now.size));
  log.noise.white_variance = std::max(log.noise.white_variance, least);
}

// A car that passes, a door: blocks far from those around them, with no switch near. Whatever a
// lagging display shows of it is over with it, or nearly.
void leave_out_odd(const DisplayResponse& response, ResponseLog& log) {
  constexpr std::size_t kAround = 40;
  constexpr double kFar = 6.0;
  const std::vector<double> left = left_by(log, response, solve(log, response).size);
  const disturbance::Pieces& blocks = *log.blocks;
  std::vector<double> off(left.size());
  for (std::size_t b = 0; b < left.size(); ++b) {
    const std::size_t first = b > kAround ? b - kAround : 0;
    const std::size_t last = std::min(b + kAround + 1, left.size());
    std::vector<double> near(left.begin() + static_cast<std::ptrdiff_t>(first),
                             left.begin() + static_cast<std::ptrdiff_t>(last));
    off[b] = left[b] - quantile(near, 0.5);
  }
  std::vector<double> sizes;
  for (const double o : off) sizes.push_back(std::abs(o));
  const double scale = std::max(1.4826 * quantile(sizes, 0.5), 0.3 * log.step_uT);
  log.odd.assign(left.size(), 0);
  for (std::size_t b = 0; b < left.size(); ++b) log.odd[b] = std::abs(off[b]) > kFar * scale;
  for (std::size_t s = 0; s < log.times_s.size(); ++s) {
    const double transit = transit_of(*log.run, s);
    const std::size_t last =
        blocks.at(log.times_s[s] + transit + 3.0 * log.spread_s + 2.0 * response.time_constant_s);
    for (std::size_t b = blocks.at(log.times_s[s] - 3.0 * log.spread_s); b <= last; ++b) {
      log.odd[b] = 0;
    }
  }
}

void find_strong(const DisplayResponse& response, ResponseLog& log) {
  const Solution now = solve(log, response);
  log.strong.clear();
  for (std::size_t v = 0; v < log.run->visits.size(); ++v) {
    const Visit& visit = log.run->visits[v];
    const disturbance::Item& item = log.run->items[visit.item];
    // Sets are switched one by one, steel travels and engines come up to speed: shapes of their
    // own.
    const bool plain = item.what == disturbance::Item::What::device &&
                       item.device.kind != DeviceKind::engine && visit.begin &&
                       transit_of(*log.run, *visit.begin) <= 0.0;
    const double size = std::abs(now.size[v]);
    if (plain && size > kStrongSigmas * now.sigma[v] && size > kStrongSteps * log.step_uT) {
      log.strong.push_back(v);
    }
  }
}

double cost_of(const std::vector<ResponseLog>& logs, const DisplayResponse& response) {
  double sum = 0.0;
  for (const ResponseLog& log : logs) sum += solve(log, response).cost();
  return sum;
}

std::size_t lowest(const std::vector<double>& cost) {
  return static_cast<std::size_t>(std::min_element(cost.begin(), cost.end()) - cost.begin());
}

}  // namespace

ResponseLog start_of(const MarkedRun& run, const disturbance::Pieces& blocks, double step_uT) {
  ResponseLog out;
  out.run = &run;
  out.blocks = &blocks;
  out.step_uT = step_uT;
  for (const disturbance::Switch& s : run.switches) out.times_s.push_back(s.mark_s);
  out.own.assign(run.switches.size(), 0);
  std::vector<double> moves;
  for (std::size_t b = 1; b < blocks.size(); ++b) {
    moves.push_back(std::abs(blocks.mean_uT[0][b] - blocks.mean_uT[0][b - 1]));
  }
  const double sd = moves.empty() ? 0.0 : quantile(moves, 0.5);
  const double white = std::max(sd * sd, 0.02 * step_uT * step_uT + 1e-10);
  out.noise = {white, 0.003 * white, 0.0, 0.0, 1.0};
  return out;
}

std::optional<FoundResponse> find_response(std::vector<ResponseLog>& logs) {
  const std::vector<DisplayResponse> scale = response_scale();
  const auto costs = [&](const std::vector<ResponseLog>& at) {
    std::vector<double> out;
    for (const DisplayResponse& response : scale) out.push_back(cost_of(at, response));
    return out;
  };
  // While it is being looked for the rest of the display is held stiff: a drift that may go as it
  // likes would take what comes slowly, or fades, for its own.
  std::vector<ResponseLog> learnt = logs;
  DisplayResponse best = scale[lowest(costs(learnt))];
  for (const Scan scan : {Scan{8.0, 0.5}, Scan{1.5, 0.1}}) {
    std::size_t strong = 0;
    for (ResponseLog& log : learnt) {
      find_strong(best, log);
      strong += log.strong.size();
      move_strong(best, scan, log);
      move_others(log);
      leave_out_odd(best, log);
    }
    if (strong < 2) return std::nullopt;
    best = scale[lowest(costs(learnt))];
  }
  for (ResponseLog& log : learnt) learn_noise(best, log);

  // How well it is known: its neighbours on the scale with the moments that suit each best.
  const auto suited_to = [&](std::size_t k) {
    std::vector<ResponseLog> out = learnt;
    for (ResponseLog& log : out) {
      move_strong(scale[k], {1.0, 0.2}, log);
      move_strong(scale[k], {0.2, 0.05}, log);
    }
    return out;
  };
  std::vector<std::optional<double>> cost(scale.size());
  const auto cost_at = [&](std::size_t k) {
    if (!cost[k]) cost[k] = cost_of(suited_to(k), scale[k]);
    return *cost[k];
  };
  std::size_t at =
      static_cast<std::size_t>(std::find(scale.begin(), scale.end(), best) - scale.begin());
  const std::size_t end = scale.size() - 1;
  while (at > 0 && cost_at(at - 1) < cost_at(at)) --at;
  while (at < end && cost_at(at + 1) < cost_at(at)) ++at;
  std::size_t first = at;
  std::size_t last = at;
  while (first > 0 && cost_at(first) < cost_at(at) + kInside95) --first;
  while (last < end && cost_at(last) < cost_at(at) + kInside95) ++last;
  if (first == 0 || last == end) return std::nullopt;
  logs = suited_to(at);
  return FoundResponse{scale[at], scale[first], scale[last]};
}

}  // namespace qn::heading_only
