// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_warming_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kConstants_s[] = {1.5, 2.2, 3.2, 4.7, 7.0, 10.0, 15.0, 25.0, 40.0, 60.0};
// Twice the log likelihood that three further sizes must win over chance: once in 1e6 looks.
constexpr double kClearGain = 32.0;

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

}  // namespace

std::vector<Warming> find_warmings(const Problem& problem, const VisitSolution& solution,
                                   const std::vector<StateVisits>& states) {
  std::vector<Axis> axes;
  for (std::size_t axis = 0; axis < 3; ++axis) axes.push_back(axis_of(problem, solution, axis));
  std::vector<Warming> out;
  for (const StateVisits& state : states) {
    const Item& item = problem.run->items[state.item];
    if (item.what != Item::What::device || item.device.kind == DeviceKind::moving) continue;
    if (!climbs_at_all(state, solution)) continue;
    Warming best{state.item, 0.0};
    double most = kClearGain;
    for (const double constant_s : kConstants_s) {
      double gain = 0.0;
      for (const Axis& axis : axes) {
        // The part of the climb that no step of these visits can take.
        BlockColumn climb;
        for (const std::size_t v : state.visits) {
          if (!problem.run->visits[v].begin) continue;
          BlockColumn one =
              axis.filter.whiten(warming_column(problem, problem.run->visits[v], constant_s));
          const BlockColumn& step = axis.columns[v];
          add(one, step, -overlap(one, step) / std::max(overlap(step, step), 1e-12));
          add(climb, one, 1.0);
        }
        const double size = overlap(climb, climb);
        if (size > 1e-9) gain += std::pow(overlap(climb, axis.left), 2) / size;
      }
      if (gain > most) {
        most = gain;
        best.time_constant_s = constant_s;
      }
    }
    const bool known =
        std::any_of(out.begin(), out.end(), [&](const Warming& w) { return w.item == state.item; });
    if (best.time_constant_s > 0.0 && !known) out.push_back(best);
  }
  return out;
}

}  // namespace qn::disturbance
