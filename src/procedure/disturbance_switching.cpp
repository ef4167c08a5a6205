// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_switching_internal.h"

namespace qn::disturbance {
namespace {

// A motor draws several times its current at first, and fades: own assumption, on the wide side.
constexpr double kInrush = 5.0;
constexpr double kInrush_s = 0.5;

double on_at(const Problem& problem, const Visit& visit, double t) {
  const double begun = visit.begin ? problem.times[*visit.begin].done_by(t) : 1.0;
  const double ended = visit.end ? problem.times[*visit.end].done_by(t) : 0.0;
  return begun - ended;
}

// The mean of it over a block. A clear switch is over within a few hundredths of a second: only
// where something is switched is it looked at finely.
double on_share(const Problem& problem, const Visit& visit, std::size_t b) {
  constexpr int kFine = 24;
  const Pieces& blocks = problem.series->blocks;
  const double from = blocks.from_s + static_cast<double>(b) * blocks.length_s;
  const double first = on_at(problem, visit, from);
  const double middle = on_at(problem, visit, from + 0.5 * blocks.length_s);
  if (first == middle && middle == on_at(problem, visit, from + blocks.length_s)) return first;
  double sum = 0.0;
  for (int i = 0; i < kFine; ++i) {
    sum += on_at(problem, visit, from + (i + 0.5) / kFine * blocks.length_s);
  }
  return sum / kFine;
}

// Square of what a starting motor adds to its field in the blocks after its switch, over all
// moments the switch may have had. A weak motor's start says nothing against its blocks.
void add_inrush(const Pieces& blocks, const SwitchTime& at, const Vector3& jump_uT,
                std::array<std::vector<double>, 3>& extra) {
  constexpr double kOver_s = 6.0 * kInrush_s;
  const double fade = std::exp(-2.0 * at.step_s / kInrush_s);
  const auto steps = at.probability.size() + static_cast<std::size_t>(kOver_s / at.step_s);
  double square = 0.0;
  for (std::size_t k = 0; k < steps; ++k) {
    square *= fade;
    if (k < at.probability.size()) square += kInrush * kInrush * at.probability[k];
    const double share = square * std::min(1.0, at.step_s / blocks.length_s);
    const std::size_t b = blocks.at(at.from_s + at.step_s * static_cast<double>(k));
    for (std::size_t axis = 0; axis < 3; ++axis) {
      extra[axis][b] += share * jump_uT[axis] * jump_uT[axis];
    }
  }
}

// Variance of the share of a block that lies after a switch of uncertain moment.
double share_variance(const SwitchTime& at, const Pieces& blocks, std::size_t b) {
  const double from = blocks.from_s + static_cast<double>(b) * blocks.length_s;
  const double to = from + blocks.length_s;
  const auto first =
      static_cast<std::size_t>(std::max(0.0, std::floor((from - at.from_s) / at.step_s + 0.5)));
  const double within = at.step_s / blocks.length_s;  // a moment is known to its step at best
  double mean = first < at.running.size() ? at.running[first] : 1.0;
  double square = mean;
  for (std::size_t k = first; k < at.probability.size(); ++k) {
    const double moment = at.from_s + at.step_s * static_cast<double>(k);
    if (moment >= to) break;
    const double share = std::min(1.0, (to - moment) / blocks.length_s);
    mean += at.probability[k] * share;
    square += at.probability[k] * (share * share + within * within / 12.0);
  }
  return std::max(0.0, square - mean * mean);
}

}  // namespace

// The column of a visit: how much of each block it was on, as far as is known.
BlockColumn visit_column(const Problem& problem, const Visit& visit) {
  const Pieces& blocks = problem.series->blocks;
  const double first = visit.begin ? problem.times[*visit.begin].from_s : blocks.from_s;
  BlockColumn out;
  out.begin = blocks.at(first);
  std::size_t last = blocks.size() - 1;
  if (visit.end) {
    const SwitchTime& end = problem.times[*visit.end];
    last = blocks.at(end.from_s + end.step_s * static_cast<double>(end.probability.size()));
  }
  for (std::size_t b = out.begin; b <= last; ++b) {
    out.values.push_back(on_share(problem, visit, b));
  }
  return out;
}

// A block near a switch of uncertain moment may hold the device on or off.
std::array<std::vector<double>, 3> uncertain_edges(const Problem& problem) {
  const Pieces& blocks = problem.series->blocks;
  std::array<std::vector<double>, 3> out;
  for (auto& extra : out) extra.assign(blocks.size(), 0.0);
  for (std::size_t s = 0; s < problem.times.size(); ++s) {
    const SwitchTime& at = problem.times[s];
    const double to_s = at.from_s + at.step_s * static_cast<double>(at.probability.size());
    for (std::size_t b = blocks.at(at.from_s); b <= blocks.at(to_s); ++b) {
      const double unsure = share_variance(at, blocks, b);
      if (unsure <= 0.0) continue;
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double jump = problem.jumps_uT[s][axis];
        out[axis][b] += unsure * jump * jump;
      }
    }
    const Switch& what = problem.run->switches[s];
    if (problem.run->items[what.item].device.kind == DeviceKind::motor && what.to_state != 0) {
      add_inrush(blocks, at, problem.jumps_uT[s], out);
    }
  }
  return out;
}

}  // namespace qn::disturbance
