// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_warming_internal.h"

namespace qn::disturbance {
namespace {

const std::vector<double> kConstants_s{1.5, 2.2, 3.2, 4.7, 7.0, 10.0, 15.0, 25.0, 40.0, 60.0};
const std::vector<double> kSome_s{2.2, 4.7, 10.0, 25.0};
// Twice the log likelihood that three further sizes must win: even odds, where one device in ten
// climbs and a climb may be of any size up to the step.
constexpr double kClearGain = 16.0;

void add(BlockColumn& to, const BlockColumn& column, double factor) {
  if (column.values.empty()) return;
  if (to.values.empty()) {
    to.begin = column.begin;
  } else if (column.begin < to.begin) {
    to.values.insert(to.values.begin(), to.begin - column.begin, 0.0);
    to.begin = column.begin;
  }
  const std::size_t end = column.begin + column.values.size() - to.begin;
  if (to.values.size() < end) to.values.resize(end, 0.0);
  for (std::size_t k = 0; k < column.values.size(); ++k) {
    to.values[column.begin - to.begin + k] += factor * column.values[k];
  }
}

// One axis: what is left when everything known is taken out, whitened.
struct Axis {
  DriftFilter filter;
  BlockColumn left;
  const std::vector<BlockColumn>& columns;  // whitened, of the solution
};

Axis axis_of(const Problem& problem, const VisitSolution& solution, std::size_t axis) {
  DriftFilter filter{solution.noise[axis], blocks_of_axis(solution, axis)};
  BlockColumn white = filter.whiten({0, left_uT(problem, solution, solution.size_uT, axis)});
  return {std::move(filter), std::move(white), solution.equations[axis].white()};
}

bool climbs_at_all(const StateVisits& state, const VisitSolution& solution) {
  return std::any_of(state.visits.begin(), state.visits.end(), [&](std::size_t v) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      if (std::abs(solution.size_uT[v][axis]) > 8.0 * solution.sigma_uT[v][axis]) return true;
    }
    return false;
  });
}

double longest_visit_s(const Problem& problem, const StateVisits& state) {
  double out = 0.0;
  for (const std::size_t v : state.visits) {
    const Visit& visit = problem.run->visits[v];
    if (!visit.begin || !visit.end) continue;
    out = std::max(out, problem.times[*visit.end].mean_s - problem.times[*visit.begin].mean_s);
  }
  return out;
}

// Of these constants those that were watched for long enough to be told from a drift.
std::vector<double> watched(const std::vector<double>& constants_s, double longest_s) {
  std::vector<double> out;
  for (const double constant_s : constants_s) {
    if (out.empty() || constant_s <= longest_s) out.push_back(constant_s);
  }
  return out;
}

// Twice the log likelihood that a climb of each time constant would win beside the steps of these
// visits; none where the visits do not show the same climb. What passes beside one visit is no
// climb of a device.
std::vector<double> gains(const Problem& problem, const StateVisits& state,
                          const std::vector<Axis>& axes, const std::vector<double>& constants_s) {
  // How much more each visit's own climb may win: by chance, and because no model is quite right.
  constexpr double kByChance = 8.0, kOfGain = 0.5;
  std::vector<std::size_t> visits;
  for (const std::size_t v : state.visits) {
    if (problem.run->visits[v].begin) visits.push_back(v);
  }
  std::vector<BlockColumn> drawn;
  for (const double constant_s : constants_s) {
    for (const std::size_t v : visits) {
      drawn.push_back(warming_column(problem, problem.run->visits[v], constant_s));
    }
  }
  const std::size_t n = visits.size();
  std::vector<double> out(constants_s.size(), 0.0), each(constants_s.size(), 0.0);
  for (const Axis& axis : axes) {
    std::vector<BlockColumn> white = axis.filter.whiten(drawn);
    for (std::size_t i = 0; i < out.size(); ++i) {
      // The part of the climb that no step of these visits can take.
      BlockColumn climb;
      for (std::size_t r = 0; r < n; ++r) {
        BlockColumn& one = white[i * n + r];
        const BlockColumn& step = axis.columns[visits[r]];
        add(one, step, -overlap(one, step) / std::max(overlap(step, step), 1e-12));
        add(climb, one, 1.0);
        const double own = overlap(one, one);
        if (own > 1e-9) each[i] += std::pow(overlap(one, axis.left), 2) / own;
      }
      const double size = overlap(climb, climb);
      if (size > 1e-9) out[i] += std::pow(overlap(climb, axis.left), 2) / size;
    }
  }
  for (std::size_t i = 0; i < out.size(); ++i) {
    if (each[i] - out[i] > kByChance + kOfGain * out[i]) out[i] = 0.0;
  }
  return out;
}

}  // namespace

std::vector<Warming> find_warmings(const Problem& problem, const VisitSolution& solution,
                                   const std::vector<StateVisits>& states) {
  std::vector<Axis> axes;
  for (std::size_t axis = 0; axis < 3; ++axis) axes.push_back(axis_of(problem, solution, axis));
  std::vector<Warming> out;
  for (const StateVisits& state : states) {
    const Item& item = problem.run->items[state.item];
    // The path of steel is no climb, and a train of pulses that begins is none either.
    const DeviceKind kind = item.device.kind;
    if (item.what != Item::What::device || kind == DeviceKind::moving ||
        kind == DeviceKind::pulsing) {
      continue;
    }
    if (!climbs_at_all(state, solution)) continue;
    // A climb shows with a neighbouring constant too, nearly as clearly as with its own.
    const double longest_s = longest_visit_s(problem, state);
    const std::vector<double> some = gains(problem, state, axes, watched(kSome_s, longest_s));
    if (*std::max_element(some.begin(), some.end()) < 0.6 * kClearGain) continue;
    const std::vector<double> constants_s = watched(kConstants_s, longest_s);
    const std::vector<double> all = gains(problem, state, axes, constants_s);
    const auto most = std::max_element(all.begin(), all.end());
    Warming best{state.item, 0.0};
    if (*most > kClearGain) {
      best.time_constant_s = constants_s[static_cast<std::size_t>(most - all.begin())];
    }
    const bool known =
        std::any_of(out.begin(), out.end(), [&](const Warming& w) { return w.item == state.item; });
    if (best.time_constant_s > 0.0 && !known) out.push_back(best);
  }
  return out;
}

}  // namespace qn::disturbance
