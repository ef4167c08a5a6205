// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_effects_internal.h"
#include "procedure/disturbance_scatter_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kFree_uT = 1000.0;

bool is_device(const MarkedRun& run, std::size_t item) {
  return run.items[item].what == Item::What::device;
}

std::string state_name(const MarkedRun& run, const StateVisits& state) {
  const Device& device = run.items[state.item].device;
  return device.states.size() > 2 ? device.name + ", " + device.states[state.state] : device.name;
}

// Weighted mean of visits, leaving one out.
std::optional<SeenField> mean_without(const VisitSolution& solution, const StateVisits& state,
                                      std::optional<std::size_t> left_out) {
  SeenField out;
  bool any = false;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    double weight = 0.0;
    double sum = 0.0;
    for (std::size_t r = 0; r < state.visits.size(); ++r) {
      const std::size_t v = state.visits[r];
      const bool good =
          state.reading.visits.empty() || state.reading.visits[r].what == VisitReading::What::good;
      if (!good || (left_out && *left_out == v)) continue;
      const double sigma = std::max(solution.sigma_uT[v][axis], 1e-9);
      weight += 1.0 / (sigma * sigma);
      sum += solution.size_uT[v][axis] / (sigma * sigma);
      any = true;
    }
    if (weight <= 0.0) continue;
    out.size_uT[axis] = sum / weight;
    out.sigma_uT[axis] = 1.0 / std::sqrt(weight);
  }
  if (!any) return std::nullopt;
  return out;
}

}  // namespace

std::vector<StateVisits> states_worked(const MarkedRun& run) {
  std::vector<StateVisits> out;
  for (std::size_t item = 0; item < run.items.size(); ++item) {
    for (std::size_t state = 1; state < run.items[item].device.states.size(); ++state) {
      StateVisits here{item, state, {}, {}, {}};
      for (std::size_t v = 0; v < run.visits.size(); ++v) {
        if (run.visits[v].item == item && run.visits[v].state == state) here.visits.push_back(v);
      }
      if (!here.visits.empty()) out.push_back(std::move(here));
    }
  }
  return out;
}

void note_worked_together(const MarkedRun& run, std::vector<StateVisits>& states) {
  constexpr double kSameMoment_s = 1.5;
  const auto moment = [&](const std::optional<std::size_t>& s, double none) {
    return s ? run.switches[*s].mark_s : none;
  };
  const auto same = [&](std::size_t v, std::size_t w) {
    const Visit& a = run.visits[v];
    const Visit& b = run.visits[w];
    return std::abs(moment(a.begin, -1e9) - moment(b.begin, -1e9)) < kSameMoment_s &&
           std::abs(moment(a.end, 1e9) - moment(b.end, 1e9)) < kSameMoment_s;
  };
  for (StateVisits& state : states) {
    for (const StateVisits& other : states) {
      if (other.item == state.item || !is_device(run, state.item) || !is_device(run, other.item)) {
        continue;
      }
      const bool always = std::all_of(state.visits.begin(), state.visits.end(), [&](std::size_t v) {
        return std::any_of(other.visits.begin(), other.visits.end(),
                           [&](std::size_t w) { return same(v, w); });
      });
      if (always) state.together_with = run.items[other.item].device.name;
    }
  }
}

void read_all_repeats(const MarkedRun& run, const VisitSolution& solution, double matters_uT,
                      std::vector<StateVisits>& states) {
  for (StateVisits& state : states) state.reading = {};
  std::vector<std::optional<SeenField>> means;
  for (const StateVisits& state : states) {
    means.push_back(mean_without(solution, state, std::nullopt));
  }
  // A second look takes the vectors of the others from visits that were what they say.
  for (int look = 0; look < 2; ++look) {
    for (std::size_t i = 0; i < states.size(); ++i) {
      StateVisits& state = states[i];
      std::vector<SeenField> seen;
      for (const std::size_t v : state.visits) {
        seen.push_back({solution.size_uT[v], solution.sigma_uT[v]});
      }
      if (!is_device(run, state.item)) {
        state.reading.visits.assign(seen.size(), {});
        continue;
      }
      std::vector<KnownVector> others;
      for (std::size_t j = 0; j < states.size(); ++j) {
        if (states[j].item == state.item || !is_device(run, states[j].item) || !means[j]) continue;
        // To have worked a device that hardly does anything is like having skipped the step.
        const Vector3& size = means[j]->size_uT;
        const bool shows = std::hypot(size[0], size[1], size[2]) > 2.0 * matters_uT;
        if (shows) others.push_back({state_name(run, states[j]), *means[j]});
      }
      state.reading = read_repeats(seen, others, matters_uT);
    }
    for (std::size_t i = 0; i < states.size(); ++i) {
      means[i] = mean_without(solution, states[i], std::nullopt);
    }
  }
}

JointStates solve_states(const Problem& problem, const VisitSolution& solution,
                         const std::vector<StateVisits>& states) {
  const std::size_t visits = problem.run->visits.size();
  std::vector<std::size_t> group(solution.columns.size());
  std::size_t effects = states.size();
  for (std::size_t s = 0; s < states.size(); ++s) {
    for (std::size_t r = 0; r < states[s].visits.size(); ++r) {
      const bool good = states[s].reading.visits.empty() ||
                        states[s].reading.visits[r].what == VisitReading::What::good;
      group[states[s].visits[r]] = good ? s : effects++;
    }
  }
  for (std::size_t e = 0; e < problem.events.size(); ++e) group[visits + e] = effects++;
  // What heating adds is one size a state, as the step itself is.
  std::vector<std::optional<std::size_t>> warming_of(states.size());
  for (std::size_t w = 0; w < solution.warming_visit.size(); ++w) {
    const std::size_t v = solution.warming_visit[w];
    const std::size_t column = visits + problem.events.size() + w;
    if (group[v] >= states.size()) {  // a visit set aside warms by itself
      group[column] = effects++;
      continue;
    }
    if (!warming_of[group[v]]) warming_of[group[v]] = effects++;
    group[column] = *warming_of[group[v]];
  }
  JointStates out;
  out.size_uT.assign(states.size(), {});
  out.warming_stands.assign(states.size(), 0.0);
  Vector3 inflation{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const JointEffects solved = solution.equations[axis].solve(group, effects, kFree_uT);
    // Settled = step + warming.
    const auto settled = [&](std::size_t i, std::size_t t) {
      return solved.covariance(i, t) + (warming_of[t] ? solved.covariance(i, *warming_of[t]) : 0.0);
    };
    out.covariance[axis] = SquareMatrix{states.size()};
    for (std::size_t s = 0; s < states.size(); ++s) {
      out.size_uT[s][axis] = solved.size[s] + (warming_of[s] ? solved.size[*warming_of[s]] : 0.0);
      if (warming_of[s]) {
        const std::size_t w = *warming_of[s];
        out.warming_stands[s] += solved.size[w] * solved.size[w] / solved.covariance(w, w);
      }
      for (std::size_t t = 0; t < states.size(); ++t) {
        out.covariance[axis](s, t) =
            settled(s, t) + (warming_of[s] ? settled(*warming_of[s], t) : 0.0);
      }
    }
    inflation[axis] = std::max(1.0, solved.weighted_rms * solved.weighted_rms);
    for (double& v : out.covariance[axis].values) v *= inflation[axis];
  }
  std::vector<Scatter> scatter;
  for (std::size_t s = 0; s < states.size(); ++s) {
    // Visits that heat show steps of their own, the state its settled size.
    const bool alike = !warming_of[s] && !states[s].reading.contested;
    scatter.push_back(alike ? scatter_of(solution, states[s], out.size_uT[s], inflation)
                            : Scatter{});
  }
  const std::vector<double> further = further_variance(scatter);
  for (std::size_t s = 0; s < states.size(); ++s) {
    const double factor = std::sqrt(further[s]);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      for (std::size_t t = 0; t < states.size(); ++t) {
        out.covariance[axis](s, t) *= factor;
        out.covariance[axis](t, s) *= factor;
      }
    }
  }
  return out;
}

namespace {

// What is not beyond chance foretells nothing: moments chosen so that noise repeats itself would
// make it a size.
bool plainly_there(const ExpectedJump& jump) {
  constexpr double kBeyondChance = 12.0;  // chi-square of three axes: once in 140
  if (!jump.from_others_uT) return false;
  double sum = 0.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double sigma = std::max(jump.from_others_sigma_uT[axis], 1e-12);
    sum += (*jump.from_others_uT)[axis] * (*jump.from_others_uT)[axis] / (sigma * sigma);
  }
  return sum > kBeyondChance;
}

}  // namespace

std::vector<ExpectedJump> expected_jumps(const MarkedRun& run, const VisitSolution& solution,
                                         const std::vector<StateVisits>& states) {
  std::vector<const StateVisits*> state_of(run.visits.size(), nullptr);
  for (const StateVisits& state : states) {
    for (const std::size_t v : state.visits) state_of[v] = &state;
  }
  std::vector<ExpectedJump> out(run.switches.size());
  std::vector<unsigned char> known(run.switches.size(), 1);
  for (std::size_t v = 0; v < run.visits.size(); ++v) {
    const auto best = mean_without(solution, *state_of[v], std::nullopt);
    // A visit that was something else is taken out as what it was.
    const auto& readings = state_of[v]->reading.visits;
    const auto r = static_cast<std::size_t>(
        std::find(state_of[v]->visits.begin(), state_of[v]->visits.end(), v) -
        state_of[v]->visits.begin());
    const bool good = readings.empty() || readings[r].what == VisitReading::What::good;
    const Vector3 size =
        good && best && !state_of[v]->reading.contested ? best->size_uT : solution.size_uT[v];
    const auto others = mean_without(solution, *state_of[v], v);
    const auto put = [&](std::size_t s, double sign) {
      for (std::size_t axis = 0; axis < 3; ++axis) out[s].best_uT[axis] += sign * size[axis];
      if (!others || !good) {
        known[s] = 0;
        return;
      }
      if (!out[s].from_others_uT) out[s].from_others_uT = Vector3{};
      for (std::size_t axis = 0; axis < 3; ++axis) {
        (*out[s].from_others_uT)[axis] += sign * others->size_uT[axis];
        out[s].from_others_sigma_uT[axis] =
            std::hypot(out[s].from_others_sigma_uT[axis], others->sigma_uT[axis]);
      }
    };
    if (run.visits[v].begin) put(*run.visits[v].begin, 1.0);
    if (run.visits[v].end) put(*run.visits[v].end, -1.0);
  }
  for (std::size_t s = 0; s < out.size(); ++s) {
    if (!known[s] || !plainly_there(out[s])) out[s].from_others_uT.reset();
  }
  return out;
}

}  // namespace qn::disturbance
