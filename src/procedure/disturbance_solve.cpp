// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "procedure/disturbance_solve_internal.h"
#include "procedure/disturbance_switching_internal.h"
#include "vocab/expects.h"

namespace qn::disturbance {
namespace {

constexpr double kFree_uT = 1000.0;  // 1 sigma of a size nobody knows: far beyond the Earth's field
constexpr int kParts = 4;            // moments a block is looked at for the share it was on

double transit_of(const MarkedRun& run, std::size_t s) {
  return run.items[run.switches[s].item].device.transit_s;
}

// Shares of the block in which `value(t)` holds, by its mean over a few moments.
template <class Value>
double mean_over(const Pieces& blocks, std::size_t b, const Value& value) {
  double sum = 0.0;
  for (int i = 0; i < kParts; ++i) {
    sum += value(blocks.from_s + (static_cast<double>(b) + (i + 0.5) / kParts) * blocks.length_s);
  }
  return sum / kParts;
}

// Blocks in which steel was on its way say nothing about either end of it.
void leave_out_transits(const Problem& problem, BlockTimes& blocks) {
  const Pieces& pieces = problem.series->blocks;
  for (std::size_t s = 0; s < problem.times.size(); ++s) {
    const double transit = transit_of(*problem.run, s);
    const DeviceKind kind = problem.run->items[problem.run->switches[s].item].device.kind;
    const std::size_t item = problem.run->switches[s].item;
    const double settle = problem.run->items[item].settle_s;
    if (transit <= 0.0 && settle <= 0.0) continue;
    const SwitchTime& at = problem.times[s];
    // Steel on its way draws its own shape, which must not pass for a moment well seen.
    double margin = std::min(at.sigma_s, kind == DeviceKind::motor ? 0.3 : 2.0);
    if (kind == DeviceKind::moving || problem.run->items[item].what != Item::What::device) {
      margin = std::max(margin, at.clear ? problem.mark_spread_s : 2.0 * problem.mark_spread_s);
    }
    const std::size_t first = pieces.at(at.mean_s - margin - settle);
    const std::size_t last = pieces.at(at.mean_s + transit + margin + settle);
    for (std::size_t b = first; b <= last; ++b) blocks.use[b] = 0;
  }
}

// Blocks of a visit, its switches' uncertainty left out.
std::pair<std::size_t, std::size_t> blocks_of(const Problem& problem, const Visit& visit) {
  const Pieces& blocks = problem.series->blocks;
  std::size_t first = 0;
  std::size_t last = blocks.size();
  if (visit.begin) {
    const SwitchTime& at = problem.times[*visit.begin];
    first = blocks.at(at.mean_s + transit_of(*problem.run, *visit.begin) + at.sigma_s) + 1;
  }
  if (visit.end) {
    const SwitchTime& at = problem.times[*visit.end];
    last = blocks.at(at.mean_s - at.sigma_s);
  }
  return {first, std::max(first, last)};
}

// Blocks in which nothing was on, or might have been: what the noise and the drift are learnt from.
// With effects in between, drift slower than a visit could not be told from them.
std::vector<unsigned char> at_rest(const Problem& problem, const BlockTimes& blocks) {
  const Pieces& pieces = problem.series->blocks;
  std::vector<unsigned char> out = blocks.use;
  const auto clear_out = [&](double from_s, double to_s) {
    for (std::size_t b = pieces.at(from_s); b <= pieces.at(to_s); ++b) out[b] = 0;
  };
  const double end_s = pieces.middle_s(pieces.size() - 1);
  // Where the moment is not seen, the device is weak: what of it may be on beyond the likely is
  // less than the rest that would be lost.
  const auto margin_of = [&](const SwitchTime& at) {
    return (at.clear ? 3.0 : 1.0) * std::min(at.sigma_s, problem.mark_spread_s);
  };
  for (const Visit& visit : problem.run->visits) {
    double from = pieces.from_s;
    double to = end_s;
    if (visit.begin) {
      const SwitchTime& at = problem.times[*visit.begin];
      from = at.mean_s - margin_of(at);
    }
    if (visit.end) {
      const SwitchTime& at = problem.times[*visit.end];
      to = at.mean_s + margin_of(at) + transit_of(*problem.run, *visit.end);
      for (const Warming& warming : problem.warmings) {
        if (warming.item == visit.item) to += 3.0 * warming.time_constant_s;
      }
    }
    clear_out(from, to);
  }
  for (const Event& event : problem.events) clear_out(event.from_s - 1.0, event.to_s + 1.0);
  return out;
}

// Where the level may jump as far as the noise is concerned: clear switches, their transits' ends
// and events.
std::vector<unsigned char> jumps_of(const Problem& problem) {
  const Pieces& blocks = problem.series->blocks;
  std::vector<unsigned char> out(blocks.size(), 0);
  const auto mark = [&](double t) {
    const std::size_t b = blocks.at(t);
    out[b] = 1;
    if (b + 1 < out.size()) out[b + 1] = 1;
  };
  for (std::size_t s = 0; s < problem.times.size(); ++s) {
    if (!problem.times[s].clear) continue;
    mark(problem.times[s].mean_s);
    const double transit = transit_of(*problem.run, s);
    if (transit > 0.0) mark(problem.times[s].mean_s + transit);
  }
  for (const Event& event : problem.events) {
    mark(event.from_s);
    mark(event.to_s);
  }
  return out;
}

void add_warming_columns(const Problem& problem, VisitSolution& out) {
  for (const Warming& warming : problem.warmings) {
    for (std::size_t v = 0; v < problem.run->visits.size(); ++v) {
      const Visit& visit = problem.run->visits[v];
      if (visit.item != warming.item || !visit.begin) continue;
      out.columns.push_back(warming_column(problem, visit, warming.time_constant_s));
      out.warming_visit.push_back(v);
    }
  }
}

}  // namespace

BlockColumn event_column(const Pieces& blocks, const Event& event) {
  BlockColumn out;
  out.begin = blocks.at(event.from_s);
  const std::size_t last = blocks.at(event.to_s);
  for (std::size_t b = out.begin; b <= last; ++b) {
    out.values.push_back(mean_over(blocks, b, [&](double t) {
      if (t < event.from_s || t >= event.to_s) return 0.0;
      if (event.shape == Event::Shape::box) return 1.0;
      const double arch =
          std::sin(std::numbers::pi * (t - event.from_s) / (event.to_s - event.from_s));
      return arch * arch;
    }));
  }
  return out;
}

BlockColumn warming_column(const Problem& problem, const Visit& visit, double constant_s) {
  const Pieces& blocks = problem.series->blocks;
  QN_EXPECTS(visit.begin);
  const double on_s = problem.times[*visit.begin].mean_s;
  const double off_s =
      visit.end ? problem.times[*visit.end].mean_s : blocks.middle_s(blocks.size() - 1);
  BlockColumn out;
  out.begin = blocks.at(on_s);
  const double reached = 1.0 - std::exp(-(off_s - on_s) / constant_s);
  const std::size_t last = blocks.at(off_s + 7.0 * constant_s);
  const auto at = [&](double t) {
    if (t < on_s) return 0.0;
    if (t < off_s) return 1.0 - std::exp(-(t - on_s) / constant_s);
    return reached * std::exp(-(t - off_s) / constant_s);
  };
  // From one block to the next what is missing, or left, fades by the same factor, but where it
  // turns.
  const double fade = std::exp(-blocks.length_s / constant_s);
  const std::size_t turns = blocks.at(off_s);
  out.values.reserve(last - out.begin + 1);
  for (std::size_t b = out.begin; b <= last; ++b) {
    const bool drawn = b <= out.begin + 1 || b == turns || b == turns + 1;
    if (drawn) {
      out.values.push_back(mean_over(blocks, b, at));
    } else if (b < turns) {
      out.values.push_back(1.0 - (1.0 - out.values.back()) * fade);
    } else {
      out.values.push_back(out.values.back() * fade);
    }
  }
  return out;
}

BlockTimes blocks_of_axis(const VisitSolution& solution, std::size_t axis) {
  BlockTimes out = solution.times;
  out.extra = solution.extra[axis];
  return out;
}

std::vector<double> effects_uT(const VisitSolution& solution, const std::vector<Vector3>& size_uT,
                               std::size_t axis, std::size_t blocks) {
  std::vector<double> out(blocks, 0.0);
  for (std::size_t c = 0; c < solution.columns.size(); ++c) {
    const BlockColumn& column = solution.columns[c];
    for (std::size_t k = 0; k < column.values.size() && column.begin + k < blocks; ++k) {
      out[column.begin + k] += size_uT[c][axis] * column.values[k];
    }
  }
  return out;
}

VisitSolution solve_visits(const Problem& problem, const ParallelFor& parallel,
                           const VisitSolution* before, Learn learn) {
  const Pieces& blocks = problem.series->blocks;
  VisitSolution out;
  BlockTimes& times = out.times;
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    times.time_s.push_back(blocks.middle_s(b));
    times.weight.push_back(std::max(blocks.count[b], 0.1) / blocks.nominal_count);
    times.use.push_back(blocks.count[b] > 0.25 * blocks.nominal_count ? 1 : 0);
  }
  leave_out_transits(problem, times);
  out.extra = out.at_switches = uncertain_edges(problem);
  for (std::size_t v = 0; v < problem.unrest_uT2.size(); ++v) {
    const auto [first, last] = blocks_of(problem, problem.run->visits[v]);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      for (std::size_t b = first; b < last; ++b) out.extra[axis][b] += problem.unrest_uT2[v][axis];
    }
  }
  for (const Visit& visit : problem.run->visits) {
    out.columns.push_back(visit_column(problem, visit));
  }
  for (const Event& event : problem.events) out.columns.push_back(event_column(blocks, event));
  add_warming_columns(problem, out);

  const std::size_t columns = out.columns.size();
  out.size_uT.assign(columns, {});
  out.sigma_uT.assign(columns, {});
  const std::vector<unsigned char> fresh = jumps_of(problem);
  const double quantum_uT = problem.series->quantum_uT;
  const double rounding_variance = quantum_uT * quantum_uT / (12.0 * blocks.nominal_count);
  const std::vector<unsigned char> rest = at_rest(problem, times);
  const bool enough_rest = std::count(rest.begin(), rest.end(), 1) >= 60;
  std::vector<std::optional<EffectEquations>> equations(3);
  out.single.resize(3);
  BlockTimes learnt_from = times;
  if (enough_rest) {
    learnt_from.use = rest;
  } else {
    learnt_from.fresh = fresh;
  }
  parallel(3, [&](std::size_t axis) {
    std::optional<DriftNoise> about;
    const bool known = before && !before->columns.empty() && learn != Learn::anew;
    if (known) about = before->noise[axis];
    out.noise[axis] = about && learn == Learn::not_again
                          ? *about
                          : fit_drift_noise(learnt_from, blocks.mean_uT[axis], about);
    // An axis that stands on one number of a coarse sensor is rounded, not free of noise.
    out.noise[axis].white_variance = std::max(out.noise[axis].white_variance, rounding_variance);
    std::vector<double> series = blocks.mean_uT[axis];
    const double start = series.empty() ? 0.0 : series.front();
    for (double& y : series) y -= start;
    const DriftFilter filter{out.noise[axis], blocks_of_axis(out, axis)};
    equations[axis].emplace(filter, out.columns, series);
    SingleEffects solved = equations[axis]->solve_single(kFree_uT);
    for (std::size_t c = 0; c < columns; ++c) {
      out.size_uT[c][axis] = solved.size[c];
      out.sigma_uT[c][axis] = solved.sigma[c];
    }
    out.single[axis] = std::move(solved);
  });
  for (auto& axis : equations) out.equations.push_back(std::move(*axis));
  return out;
}

std::vector<Vector3> visit_unrest(const Problem& problem, const VisitSolution& solution,
                                  const std::array<std::vector<double>, 3>& fit_uT) {
  constexpr double kClearExcess = 1.6;  // of the variance; half of it is chance in 20 blocks
  const Pieces& blocks = problem.series->blocks;
  std::vector<Vector3> out(problem.run->visits.size(), Vector3{});
  for (std::size_t v = 0; v < out.size(); ++v) {
    const auto [first, last] = blocks_of(problem, problem.run->visits[v]);
    if (last < first + 6) continue;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const DriftNoise& noise = solution.noise[axis];
      const double expected = noise.white_variance + noise.slow_variance;
      double sum = 0.0, square = 0.0, count = 0.0;
      for (std::size_t b = first; b < last; ++b) {
        if (!solution.times.use[b] || solution.at_switches[axis][b] > expected) continue;
        const double r = blocks.mean_uT[axis][b] - fit_uT[axis][b];
        sum += r;
        square += r * r;
        count += 1.0;
      }
      if (count < 6.0) continue;
      // Its own size apart: a visit that stands elsewhere than its state's others does not shake.
      const double about_itself = square - sum * sum / count;
      // What chance alone gives once in a thousand visits for independent blocks.
      const double chance = 1.0 + 3.1 * std::sqrt(2.0 / count);
      const double ratio = about_itself / count / expected;
      if (ratio > std::max(kClearExcess, chance)) out[v][axis] = about_itself / count - expected;
    }
  }
  return out;
}

std::vector<double> left_uT(const Problem& problem, const VisitSolution& solution,
                            const std::vector<Vector3>& size_uT, std::size_t axis) {
  const std::vector<double>& mean = problem.series->blocks.mean_uT[axis];
  const std::vector<double> effects = effects_uT(solution, size_uT, axis, mean.size());
  std::vector<double> out(mean.size());
  for (std::size_t b = 0; b < mean.size(); ++b) out[b] = mean[b] - mean.front() - effects[b];
  return out;
}

std::vector<double> stiff_fit(const Problem& problem, const VisitSolution& solution,
                              std::size_t axis) {
  constexpr double kStiff_s = 40.0;
  const Pieces& blocks = problem.series->blocks;
  const std::vector<double> effects = effects_uT(solution, solution.size_uT, axis, blocks.size());
  DriftNoise noise = solution.noise[axis];
  noise.level_rate = 0.0;
  // A slope that walks with rate q follows what changes within (white / q)^(1/4).
  noise.slope_rate =
      std::min(noise.slope_rate, noise.white_variance * blocks.length_s / std::pow(kStiff_s, 4));
  const double start = blocks.mean_uT[axis].front();
  std::vector<double> fit = DriftFilter{noise, blocks_of_axis(solution, axis)}.smoothed_level(
      left_uT(problem, solution, solution.size_uT, axis));
  for (std::size_t b = 0; b < fit.size(); ++b) fit[b] += start + effects[b];
  return fit;
}

LongRunRate long_run_rate(const VisitSolution& solution, double block_s) {
  LongRunRate out{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const DriftNoise& noise = solution.noise[axis];
    out[axis] = noise.white_variance * block_s + 2.0 * noise.slow_variance * noise.slow_time_s;
  }
  return out;
}

LongRunRate rough_long_run_rate(const Pieces& blocks) {
  LongRunRate out{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    std::vector<double> steps;
    for (std::size_t b = 1; b < blocks.size(); ++b) {
      if (blocks.count[b] > 0.0 && blocks.count[b - 1] > 0.0) {
        steps.push_back(std::abs(blocks.mean_uT[axis][b] - blocks.mean_uT[axis][b - 1]));
      }
    }
    const double sd = steps.empty() ? 0.0 : 1.4826 * quantile(steps, 0.5) / std::sqrt(2.0);
    out[axis] = std::max(sd * sd * blocks.length_s, 1e-10);
  }
  return out;
}

}  // namespace qn::disturbance
