// SPDX-License-Identifier: Apache-2.0
#include "procedure/heading_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "procedure/disturbance_result_internal.h"
#include "procedure/heading_steps_internal.h"
#include "procedure/heading_vectors_internal.h"
#include "procedure/heading_words_internal.h"

namespace qn {
namespace {

using namespace disturbance;
using namespace heading_only;

constexpr double kGivenHeading_deg = 1.0;  // 1 sigma, own assumptions
constexpr double kShownHeading_deg = 3.0;

// All that was read, before anything is solved.
struct Logs {
  std::vector<Display> displays;
  std::vector<MarkedRun> runs;
};

Result<Logs> read_logs(const std::vector<HeadingLog>& logs, const DisturbanceOptions& options) {
  Logs out;
  for (std::size_t k = 0; k < logs.size(); ++k) {
    auto display = read_display(logs[k], options.earth.horizontal_uT, k + 1);
    if (!display) return display.error();
    const SensorRecording& pseudo = display.value().pseudo;
    auto run = understand_marks(logs[k].marks, options.equipment, pseudo.time_s.front(),
                                pseudo.time_s.back());
    if (!run) {
      Error error = run.error();
      if (k > 0) error.where = fmt::format("log {}, {}", k + 1, error.where);
      return error;
    }
    out.displays.push_back(std::move(display).value());
    out.runs.push_back(std::move(run).value());
  }
  return out;
}

// Repeats of a display differ by a step of it for no reason of the device's.
double matters_uT(const DisturbanceOptions& options, const Display& display) {
  const double limit = std::min(options.limit.value.in_rad(), 1.5);
  const double steps = 1.5 * display.log.step.in_rad();
  return options.earth.horizontal_uT * std::max(0.1 * std::sin(limit), steps);
}

std::vector<HeadingSteps> solve_logs(Logs& logs, const DisturbanceOptions& options,
                                     const ParallelFor& parallel, HeadingOnly& headings) {
  const double h = options.earth.horizontal_uT;
  std::vector<Series> series;
  std::vector<ResponseLog> learnt;
  std::optional<FoundResponse> found;
  if (headings.source == HeadingSource::magnetic) {
    headings.response = DisplayResponse{};
  } else {
    series.reserve(logs.runs.size());
    for (std::size_t k = 0; k < logs.runs.size(); ++k) {
      series.push_back(prepare_series(logs.displays[k].pseudo));
      learnt.push_back(
          start_of(logs.runs[k], series[k].blocks, logs.displays[k].log.step.in_rad() * h));
    }
    found = find_response(learnt);
    if (found) {
      headings.response = found->best;
      headings.response_from = found->from;
      headings.response_to = found->to;
    }
  }
  const bool follows = found && found->best.kind != DisplayResponse::Kind::sharp;
  std::vector<HeadingSteps> out;
  for (std::size_t k = 0; k < logs.runs.size(); ++k) {
    const double matters = matters_uT(options, logs.displays[k]);
    out.push_back(follows ? followed_steps(logs.displays[k], learnt[k], *found, h, matters)
                          : sharp_steps(logs.displays[k], logs.runs[k], h, matters, parallel));
    add_what_noise_does_not_say(logs.displays[k], options, out.back());
  }
  return out;
}

// States of all logs under one list of fields.
class Fields {
 public:
  explicit Fields(const std::vector<HeadingSteps>& steps) {
    for (std::size_t k = 0; k < steps.size(); ++k) {
      const Solved& solved = *steps[k].solved;
      of_log_.emplace_back();
      for (std::size_t s = 0; s < solved.states.size(); ++s) {
        of_log_[k].push_back(index_of(solved, s));
        SeenState& seen = seen_[of_log_[k].back()];
        if (seen.logs.empty()) {
          seen.turned_rad = steps[k].turned_rad[s];
          seen.sigma_rad = std::sqrt(steps[k].covariance_rad2(s, s));
        }
        seen.logs.push_back(k);
        seen.contested = seen.contested || solved.states[s].reading.contested;
      }
    }
  }

  std::vector<SeenState>& seen() { return seen_; }
  const std::vector<std::size_t>& of_log(std::size_t k) const { return of_log_[k]; }

 private:
  std::size_t index_of(const Solved& solved, std::size_t s) {
    const Device& device = solved.run.items[solved.states[s].item].device;
    const std::string& state = device.states[solved.states[s].state];
    for (std::size_t f = 0; f < seen_.size(); ++f) {
      if (seen_[f].device == device.name && seen_[f].state == state) return f;
    }
    SeenState fresh;
    fresh.device = device.name;
    fresh.state = state;
    seen_.push_back(fresh);
    return seen_.size() - 1;
  }

  std::vector<SeenState> seen_;
  std::vector<std::vector<std::size_t>> of_log_;
};

JointFields fields_of_log(const JointFields& all, const std::vector<std::size_t>& which) {
  JointFields out;
  out.covariance_uT2 = SquareMatrix{3 * which.size()};
  for (std::size_t i = 0; i < which.size(); ++i) {
    out.field_uT.push_back(all.field_uT[which[i]]);
    for (std::size_t j = 0; j < which.size(); ++j) {
      for (std::size_t a = 0; a < 3; ++a) {
        for (std::size_t b = 0; b < 3; ++b) {
          out.covariance_uT2(3 * i + a, 3 * j + b) =
              all.covariance_uT2(3 * which[i] + a, 3 * which[j] + b);
        }
      }
    }
  }
  return out;
}

// From the pseudo-field to the part of a real one that the display shows.
void show_as_fields(const DisplayLog& log, double h, Solved& solved) {
  const double stood = log.aircraft_heading.in_rad();
  const auto turn = [&](Vector3& size) { size = part_seen(stood, size[0] / h, h); };
  for (std::size_t v = 0; v < solved.visits.size_uT.size(); ++v) {
    const double sigma = solved.visits.sigma_uT[v][0];
    const double z = stood + solved.visits.size_uT[v][0] / h;
    turn(solved.visits.size_uT[v]);
    solved.visits.sigma_uT[v] = {sigma * std::abs(std::sin(z)), sigma * std::abs(std::cos(z)), 0.0};
  }
  for (Spike& spike : solved.series.spikes) turn(spike.size_uT);
  for (Train& train : solved.trains) turn(train.size_uT);
  for (PulsingItem& item : solved.pulsing) {
    turn(item.shape.high_uT);
    turn(item.shape.low_uT);
  }
}

RunTrace trace_shown(const Solved& solved) {
  RunTrace out = trace_of(solved);
  for (auto* values : {&out.field_uT, &out.fit_uT, &out.rest_uT}) {
    for (Vector3& value : *values) value = {value[0], 0.0, 0.0};
  }
  return out;
}

// Devices of the first log, and those that only further ones show.
std::vector<DeviceEffect> devices_of_all(const std::vector<HeadingLog>& logs, const Logs& read,
                                         const std::vector<HeadingSteps>& steps,
                                         const JointFields& all, const Fields& fields,
                                         const DisturbanceOptions& options) {
  std::vector<DeviceEffect> out;
  for (std::size_t k = 0; k < logs.size(); ++k) {
    const JointFields joint = fields_of_log(all, fields.of_log(k));
    for (DeviceEffect& device :
         device_effects(*steps[k].solved, joint, logs[k].marks, read.displays[k].pseudo, options)) {
      const auto known = std::find_if(out.begin(), out.end(),
                                      [&](const DeviceEffect& d) { return d.name == device.name; });
      if (known == out.end()) {
        out.push_back(std::move(device));
        continue;
      }
      for (StateEffect& state : device.states) {
        const auto same = [&](const StateEffect& s) { return s.state == state.state; };
        if (std::none_of(known->states.begin(), known->states.end(), same)) {
          known->states.push_back(std::move(state));
        }
      }
      for (const std::string& remark : device.remarks) {
        if (remark.rfind("No effect seen", 0) == 0) continue;
        known->remarks.push_back(fmt::format("In log {}: {}", k + 1, remark));
      }
    }
  }
  std::stable_sort(out.begin(), out.end(), [](const DeviceEffect& a, const DeviceEffect& b) {
    return a.worst_state().heading.worst > b.worst_state().heading.worst;
  });
  return out;
}

// Where the repeats of one log disagree, the others still have their say.
void restore_contested(const std::vector<SeenState>& seen, const JointFields& all,
                       const LocalField& earth, DisturbanceRun& run) {
  for (std::size_t f = 0; f < seen.size(); ++f) {
    if (!seen[f].contested) continue;
    for (DeviceEffect& device : run.devices) {
      for (StateEffect& state : device.states) {
        if (device.name != seen[f].device || state.state != seen[f].state) continue;
        state.field = sum_of_fields({{device.name, state.state, f, false}}, all);
        state.heading = heading_error_of(state.field, earth);
        state.no_effect_seen = false;
      }
    }
  }
}

// The sizes in microtesla are only as good as H; their heading errors do not depend on it.
void add_scale(const LocalField& earth, UncertainField& field) {
  const double share = earth.sigma_horizontal_uT / earth.horizontal_uT;
  for (std::size_t a = 0; a < 3; ++a) {
    for (std::size_t b = 0; b < 3; ++b) {
      field.covariance_uT2[a][b] += share * share * field.field_uT[a] * field.field_uT[b];
    }
  }
}

}  // namespace

Result<DisturbanceRun> analyse_heading_logs(const std::vector<HeadingLog>& logs,
                                            const DisturbanceOptions& options, HeadingSource source,
                                            const ParallelFor& parallel) {
  auto read = read_logs(logs, options);
  if (!read) return read.error();
  DisturbanceRun run;
  HeadingOnly headings;
  headings.source = source;
  for (const Display& display : read.value().displays) headings.logs.push_back(display.log);
  std::vector<HeadingSteps> steps = solve_logs(read.value(), options, parallel, headings);

  Fields fields{steps};
  std::vector<TurnedDisplay> turned;
  for (std::size_t k = 0; k < steps.size(); ++k) {
    const DisplayLog& log = headings.logs[k];
    const double sigma_deg = log.heading_from_display ? kShownHeading_deg : kGivenHeading_deg;
    turned.push_back({log.aircraft_heading.in_rad(), Angle::degrees(sigma_deg).in_rad(),
                      steps[k].turned_rad, steps[k].covariance_rad2, fields.of_log(k)});
  }
  const double h = options.earth.horizontal_uT;
  const JointFields all = horizontal_fields(turned, fields.seen().size(), h);
  for (std::size_t f = 0; f < fields.seen().size(); ++f) {
    SeenState& seen = fields.seen()[f];
    seen.across_unseen = in_line(headings, seen.logs);
    const double rounding = read.value().displays[seen.logs.front()].rounding_rad;
    seen.rounding_share = 2.0 * rounding * rounding / (seen.sigma_rad * seen.sigma_rad);
  }

  DisturbanceOptions of_angles = options;
  of_angles.earth.sigma_horizontal_uT = 0.0;
  for (std::size_t k = 0; k < steps.size(); ++k) {
    if (k == 0) {
      run.noise = noise_of(*steps[k].solved, read.value().displays[k].pseudo);
      run.trace = trace_shown(*steps[k].solved);
    }
    show_as_fields(headings.logs[k], h, *steps[k].solved);
  }
  const Solved& first = *steps.front().solved;
  const SensorRecording& log = read.value().displays.front().pseudo;
  run.earth = options.earth;
  run.limit = options.limit;
  run.from_s = log.time_s.front();
  run.to_s = log.time_s.back();
  run.noise.quantum_uT = h * headings.logs.front().step.in_rad();
  run.common_delay_s = -first.delays.common_s;
  run.common_delay_sigma_s = first.delays.common_sigma_s;
  const JointFields of_first = fields_of_log(all, fields.of_log(0));
  run.devices = devices_of_all(logs, read.value(), steps, all, fields, of_angles);
  add_combinations(first, of_first, of_angles, run);
  run.unexplained = unexplained_of(first, of_first, of_angles);
  run.heading_only = headings;
  restore_contested(fields.seen(), all, of_angles.earth, run);
  for (const SeenState& seen : fields.seen()) {
    if (seen.logs.size() == logs.size() || seen.logs.size() > 1 || logs.size() == 1) continue;
    run.remarks.push_back(fmt::format("{}, {}: worked in log {} only, so on one heading only.",
                                      seen.device, seen.state, seen.logs.front() + 1));
  }
  put_into_words(first, options, run);
  doubt_what_was_not_seen(fields.seen(), run);
  tell_of_displays(options, run);
  for (DeviceEffect& device : run.devices) {
    for (StateEffect& state : device.states) add_scale(options.earth, state.field);
  }
  for (CombinationEffect& sum : run.combinations) add_scale(options.earth, sum.field);
  return run;
}

}  // namespace qn
