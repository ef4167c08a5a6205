// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_events_internal.h"

namespace qn::disturbance {
namespace {

constexpr std::size_t kMostEvents = 12;
constexpr double kShoulder_s = 8.0;  // of quiet on both sides that an event stands out from
// Sum of three squares, in variances, beyond chance once in about 1e7 looks.
constexpr double kClear = 50.0;
constexpr double kColour = 3.0;  // noise over long times against that between neighbours, at most
constexpr double kLengths_s[] = {1.0, 2.0, 4.0, 7.0, 11.0, 16.0, 24.0};

struct Candidate {
  double score = 0.0;
  std::size_t from = 0, to = 0;  // blocks
};

// Rest field and effects with a rest field too stiff to follow an event: what drifts within half a
// minute is what is looked for, and the noise as fitted may have taken it for drift.
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
  std::vector<double> left(blocks.size());
  for (std::size_t b = 0; b < left.size(); ++b) {
    left[b] = blocks.mean_uT[axis][b] - start - effects[b];
  }
  std::vector<double> fit = DriftFilter{noise, blocks_of_axis(solution, axis)}.smoothed_level(left);
  for (std::size_t b = 0; b < fit.size(); ++b) fit[b] += start + effects[b];
  return fit;
}

class Left {
 public:
  Left(const Problem& problem, const VisitSolution& solution)
      : blocks_{problem.series->blocks}, rate_{long_run_rate(solution, blocks_.length_s)} {
    const std::size_t n = blocks_.size();
    // An event makes the noise look slow and large: neighbours do not know of it.
    const LongRunRate rough = rough_long_run_rate(blocks_);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      rate_[axis] = std::min(rate_[axis], kColour * rough[axis]);
    }
    std::array<std::vector<double>, 3> fit;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      sums_[axis].assign(n + 1, 0.0);
      fit[axis] = stiff_fit(problem, solution, axis);
    }
    used_.assign(n + 1, 0.0);
    for (std::size_t b = 0; b < n; ++b) {
      const bool use = solution.times.use[b] != 0;
      used_[b + 1] = used_[b] + (use ? 1.0 : 0.0);
      for (std::size_t axis = 0; axis < 3; ++axis) {
        sums_[axis][b + 1] = sums_[axis][b] + (use ? blocks_.mean_uT[axis][b] - fit[axis][b] : 0.0);
      }
    }
    for (std::size_t axis = 0; axis < 3; ++axis) {
      extra_[axis].assign(n + 1, 0.0);
      for (std::size_t b = 0; b < n; ++b) {
        extra_[axis][b + 1] = extra_[axis][b] + solution.extra[axis][b];
      }
    }
  }

  // How far the mean over [from, to) stands out from both its sides.
  double score(std::size_t from, std::size_t to) const {
    const auto side = static_cast<std::size_t>(kShoulder_s / blocks_.length_s);
    const std::size_t first = from > side ? from - side : 0;
    const std::size_t last = std::min(to + side, blocks_.size());
    const double inside = used_[to] - used_[from];
    const double outside = used_[last] - used_[first] - inside;
    const double need = std::max(1.0, 0.4 * static_cast<double>(side));
    if (inside < 0.7 * static_cast<double>(to - from) || outside < need) return 0.0;
    double sum = 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double in = (sums_[axis][to] - sums_[axis][from]) / inside;
      const double out =
          (sums_[axis][last] - sums_[axis][to] + sums_[axis][from] - sums_[axis][first]) / outside;
      const double extra =
          (extra_[axis][last] - extra_[axis][first]) / static_cast<double>(last - first);
      const double variance =
          (rate_[axis] / blocks_.length_s + extra) * (1.0 / inside + 1.0 / outside);
      sum += (in - out) * (in - out) / variance;
    }
    return sum;
  }

  // How far the level after block `at` stands from the level before it.
  double step_score(std::size_t at) const {
    const auto side = static_cast<std::size_t>(kShoulder_s / blocks_.length_s);
    if (at < side || at + side >= blocks_.size()) return 0.0;
    const double before = used_[at] - used_[at - side];
    const double after = used_[at + side] - used_[at];
    const double need = 0.7 * static_cast<double>(side);
    if (before < need || after < need) return 0.0;
    double sum = 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double jump = (sums_[axis][at + side] - sums_[axis][at]) / after -
                          (sums_[axis][at] - sums_[axis][at - side]) / before;
      const double extra =
          (extra_[axis][at + side] - extra_[axis][at - side]) / static_cast<double>(2 * side);
      const double variance =
          (rate_[axis] / blocks_.length_s + extra) * (1.0 / before + 1.0 / after);
      sum += jump * jump / variance;
    }
    return sum;
  }

  std::size_t size() const { return blocks_.size(); }

 private:
  const Pieces& blocks_;
  LongRunRate rate_;
  std::array<std::vector<double>, 3> sums_, extra_;
  std::vector<double> used_;
};

// Blocks beside a switch of a device that does something.
std::vector<unsigned char> beside_switches(const Problem& problem) {
  const Pieces& blocks = problem.series->blocks;
  std::vector<unsigned char> out(blocks.size(), 0);
  for (std::size_t s = 0; s < problem.times.size(); ++s) {
    const SwitchTime& at = problem.times[s];
    const Item& item = problem.run->items[problem.run->switches[s].item];
    const double reach = 1.0 + std::min(2.0 * at.sigma_s, 3.0) + item.settle_s;
    const std::size_t last = blocks.at(at.mean_s + reach + item.device.transit_s);
    for (std::size_t b = blocks.at(at.mean_s - reach); b <= last; ++b) out[b] = 1;
  }
  return out;
}

}  // namespace

void find_events(Problem& problem, const VisitSolution& solution) {
  const Pieces& blocks = problem.series->blocks;
  const Left left{problem, solution};
  const std::vector<unsigned char> beside = beside_switches(problem);
  std::vector<Candidate> found;
  for (const double length_s : kLengths_s) {
    const auto length = static_cast<std::size_t>(std::max(1.0, length_s / blocks.length_s));
    const std::size_t step = std::max<std::size_t>(1, length / 6);
    for (std::size_t from = 1; from + length + 1 < left.size(); from += step) {
      const std::size_t to = from + length;
      if (beside[from] && beside[to]) continue;
      const double score = left.score(from, to);
      if (score > kClear) found.push_back({score, from, to});
    }
  }
  for (std::size_t at = 1; at + 1 < left.size(); ++at) {
    if (beside[at]) continue;
    const double score = left.step_score(at);
    if (score > 1.5 * kClear) found.push_back({score, at, left.size()});
  }
  std::sort(found.begin(), found.end(),
            [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
  for (const Candidate& candidate : found) {
    if (problem.events.size() >= kMostEvents) break;
    const double from_s = blocks.from_s + static_cast<double>(candidate.from) * blocks.length_s;
    const double to_s = blocks.from_s + static_cast<double>(candidate.to) * blocks.length_s;
    const bool taken =
        std::any_of(problem.events.begin(), problem.events.end(), [&](const Event& event) {
          return from_s < event.to_s + kShoulder_s && event.from_s - kShoulder_s < to_s;
        });
    if (!taken) problem.events.push_back({from_s, to_s});
  }
}

}  // namespace qn::disturbance
