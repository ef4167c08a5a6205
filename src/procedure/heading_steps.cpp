// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <utility>

#include "procedure/disturbance_result_internal.h"
#include "procedure/heading_repeats_internal.h"
#include "procedure/heading_steps_internal.h"

namespace qn::heading_only {
namespace {

using namespace disturbance;

constexpr double kFree_uT = 1000.0;

// In three axes a device is known by its direction; a display's one number says less.
void read_repeats_of_one_number(double matters_uT, Solved& solved) {
  for (StateVisits& state : solved.states) {
    if (solved.run.items[state.item].what != Item::What::device) continue;
    std::vector<TurnedOnce> turns;
    for (const std::size_t v : state.visits) {
      turns.push_back({solved.visits.size_uT[v][0], solved.visits.sigma_uT[v][0]});
    }
    state.reading = read_turns(turns, matters_uT);
  }
}

void take_angles(double horizontal_uT, HeadingSteps& out) {
  const Solved& solved = *out.solved;
  const std::size_t n = solved.states.size();
  DisturbanceOptions no_tilt;  // the tilt of a display is another one, added later
  no_tilt.earth.horizontal_uT = horizontal_uT;
  no_tilt.rigid = true;
  const JointFields joint = joint_fields(solved, no_tilt);
  out.turned_rad.assign(n, 0.0);
  out.covariance_rad2 = SquareMatrix{n};
  const double square = horizontal_uT * horizontal_uT;
  for (std::size_t i = 0; i < n; ++i) {
    out.turned_rad[i] = joint.field_uT[i][0] / horizontal_uT;
    for (std::size_t j = 0; j < n; ++j) {
      out.covariance_rad2(i, j) = joint.covariance_uT2(3 * i, 3 * j) / square;
    }
  }
}

// One linear solution with the columns of a display that does not follow at once.
VisitSolution followed_visits(const ResponseLog& log, const DisplayResponse& response) {
  const Pieces& blocks = *log.blocks;
  VisitSolution out;
  out.times = usable_blocks(log);
  out.columns = visit_columns(log, response);
  const std::size_t columns = out.columns.size();
  out.size_uT.assign(columns, {});
  out.sigma_uT.assign(columns, {});
  std::vector<std::size_t> alone(columns);
  for (std::size_t c = 0; c < columns; ++c) alone[c] = c;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    out.noise[axis] = log.noise;
    out.extra[axis].assign(blocks.size(), 0.0);
    std::vector<double> series = blocks.mean_uT[axis];
    const double start = series.empty() ? 0.0 : series.front();
    for (double& y : series) y -= start;
    const DriftFilter filter{log.noise, out.times};
    out.equations.emplace_back(filter, out.columns, series);
    const JointEffects found = out.equations[axis].solve(alone, columns, kFree_uT);
    for (std::size_t c = 0; c < columns; ++c) {
      out.size_uT[c][axis] = found.size[c];
      out.sigma_uT[c][axis] = std::sqrt(std::max(0.0, found.covariance(c, c)));
    }
  }
  return out;
}

std::vector<SwitchTime> switch_times(const ResponseLog& log) {
  std::vector<SwitchTime> out(log.times_s.size());
  for (std::size_t s = 0; s < out.size(); ++s) {
    constexpr double kStep_s = 0.1;
    const bool own = log.own[s] != 0;
    out[s].sigma_s = own ? 0.3 : log.spread_s;
    out[s].mean_s = log.times_s[s];
    out[s].clear = own;
    out[s].step_s = kStep_s;
    out[s].from_s = log.times_s[s] - 0.5 * kStep_s;
    out[s].probability = {1.0};
    out[s].running = {0.0, 1.0};
  }
  return out;
}

}  // namespace

HeadingSteps sharp_steps(const Display& display, MarkedRun run, double horizontal_uT,
                         double matters_uT, const ParallelFor& parallel) {
  HeadingSteps out;
  out.solved = std::make_unique<Solved>();
  out.solved->run = std::move(run);
  solve_run(display.pseudo, matters_uT, parallel, *out.solved);
  Solved& solved = *out.solved;
  read_repeats_of_one_number(matters_uT, solved);
  solved.joint = solve_states(solved.problem, solved.visits, solved.states);
  draw_fit(solved);
  take_angles(horizontal_uT, out);
  return out;
}

HeadingSteps followed_steps(const Display& display, const ResponseLog& learnt,
                            const FoundResponse& found, double horizontal_uT, double matters_uT) {
  HeadingSteps out;
  out.solved = std::make_unique<Solved>();
  Solved& solved = *out.solved;
  solved.run = *learnt.run;
  solved.series = prepare_series(display.pseudo);
  solved.problem.series = &solved.series;
  solved.problem.run = &solved.run;
  solved.states = states_worked(solved.run);
  note_worked_together(solved.run, solved.states);
  ResponseLog log = learnt;
  log.run = &solved.run;
  log.blocks = &solved.series.blocks;
  solved.problem.times = switch_times(log);
  solved.problem.mark_spread_s = log.spread_s;
  solved.problem.jumps_uT.assign(solved.run.switches.size(), {});
  solved.delays.common_s = log.common_s;
  solved.delays.spread_s = log.spread_s;
  const auto owned = std::count(log.own.begin(), log.own.end(), 1);
  solved.delays.common_sigma_s = log.spread_s / std::sqrt(std::max(1.0, double(owned)));
  solved.visits = followed_visits(log, found.best);
  // The columns beyond the visits are sizes of their own, as those of events are.
  const auto joint_at = [&](const VisitSolution& visits) {
    solved.problem.events.assign(visits.columns.size() - solved.run.visits.size(), Event{});
    JointStates joint = solve_states(solved.problem, visits, solved.states);
    solved.problem.events.clear();
    return joint;
  };
  for (StateVisits& state : solved.states) state.reading.visits.assign(state.visits.size(), {});
  read_repeats_of_one_number(matters_uT, solved);
  solved.joint = joint_at(solved.visits);
  draw_fit(solved);
  take_angles(horizontal_uT, out);

  // The response is one number for the whole log, and so is the error it makes.
  const VisitSolution slow = followed_visits(log, found.from);
  const VisitSolution quick = followed_visits(log, found.to);
  const JointStates at_slow = joint_at(slow);
  const JointStates at_quick = joint_at(quick);
  constexpr double kBandInSigmas = 2.0 * 1.96;
  std::vector<double> spread;
  for (std::size_t s = 0; s < solved.states.size(); ++s) {
    spread.push_back((at_quick.size_uT[s][0] - at_slow.size_uT[s][0]) /
                     (kBandInSigmas * horizontal_uT));
  }
  for (std::size_t i = 0; i < spread.size(); ++i) {
    for (std::size_t j = 0; j < spread.size(); ++j) {
      out.covariance_rad2(i, j) += spread[i] * spread[j];
    }
  }
  return out;
}

void add_what_noise_does_not_say(const Display& display, const DisturbanceOptions& options,
                                 HeadingSteps& steps) {
  const Solved& solved = *steps.solved;
  const double rounding = display.rounding_rad * display.rounding_rad;
  // A tilt turns the display by as much as the vertical field then leaks into the horizontal one.
  const double tilt_rad =
      Angle::degrees(kTilt_deg).in_rad() * options.earth.down_uT / options.earth.horizontal_uT;
  const std::size_t n = solved.states.size();
  for (std::size_t i = 0; i < n; ++i) {
    const DeviceKind kind = solved.run.items[solved.states[i].item].device.kind;
    const bool may_tilt =
        !options.rigid && (kind == DeviceKind::moving || kind == DeviceKind::engine);
    if (may_tilt) steps.covariance_rad2(i, i) += tilt_rad * tilt_rad;
    if (solved.states[i].reading.contested) {
      double most = 0.0;  // no visit is better than another
      for (const std::size_t v : solved.states[i].visits) {
        const double turned = solved.visits.size_uT[v][0] / options.earth.horizontal_uT;
        most = std::max(most, std::abs(turned - steps.turned_rad[i]));
      }
      steps.covariance_rad2(i, i) += most * most;
    }
    // Between two figures of the display lies as much at rest as while the device is on, and the
    // level at rest is one for all.
    for (std::size_t j = 0; j < n; ++j) steps.covariance_rad2(i, j) += rounding;
    steps.covariance_rad2(i, i) += rounding;
  }
}

}  // namespace qn::heading_only
