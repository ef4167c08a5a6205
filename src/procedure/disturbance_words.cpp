// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/disturbance_result_internal.h"
#include "vocab/letters.h"

namespace qn::disturbance {
namespace {

std::string figure(Angle angle) { return fmt::format("{:.1f}°", angle.in_deg()); }

std::string heading(double deg) {
  const double whole = std::round(deg);
  return fmt::format("{:03.0f}", whole >= 360.0 ? 0.0 : whole);
}

std::string named(const DeviceEffect& device, const StateEffect& state) {
  return device.states.size() > 1 ? device.name + " (" + state.state + ")" : device.name;
}

const StateEffect* worst_of(const DisturbanceRun& run, VerdictState wanted,
                            const DeviceEffect** device) {
  for (const DeviceEffect& d : run.devices) {
    for (const StateEffect& s : d.states) {
      if (s.verdict.state != wanted || &s != &d.worst_state()) continue;
      *device = &d;
      return &s;
    }
  }
  return nullptr;
}

void judge_run(DisturbanceRun& run) {
  run.verdict.limit = run.limit;
  const DeviceEffect* device = nullptr;
  if (const StateEffect* s = worst_of(run, VerdictState::over, &device)) {
    run.verdict.state = VerdictState::over;
    const bool lost = s->heading.worst_95.hi.in_deg() >= 179.0;
    run.sentence = lost ? capitalised(fmt::format(
                              "{} can turn the heading right round: where it is on, north is "
                              "lost. Move its wires, or the sensor.",
                              named(*device, *s)))
                        : capitalised(fmt::format(
                              "{} turns north by up to {}, worst near {} magnetic. Move its "
                              "wires, or the sensor.",
                              named(*device, *s), figure(s->heading.worst_95.hi),
                              heading(s->heading.worst_at_heading_deg)));
    run.verdict.because = fmt::format("{}: {}", named(*device, *s), s->verdict.because);
    run.verdict.do_next = s->verdict.do_next;
    return;
  }
  if (const StateEffect* s = worst_of(run, VerdictState::unproven, &device)) {
    run.verdict.state = VerdictState::unproven;
    const bool nothing = s->heading.worst_95.hi.in_deg() >= 179.0;
    run.sentence = nothing ? fmt::format("Nothing can be said of the {} yet: {} {}",
                                         named(*device, *s), s->verdict.because, s->verdict.do_next)
                           : fmt::format("Not decided for the {}: between {} and {}. {}",
                                         named(*device, *s), figure(s->heading.worst_95.lo),
                                         figure(s->heading.worst_95.hi), s->verdict.do_next);
    run.verdict.because = fmt::format("{}: {}", named(*device, *s), s->verdict.because);
    run.verdict.do_next = s->verdict.do_next;
    return;
  }
  for (const VerdictState wanted : {VerdictState::over, VerdictState::unproven}) {
    for (const CombinationEffect& sum : run.combinations) {
      if (sum.verdict.state != wanted) continue;
      run.verdict = sum.verdict;
      const Band95& band = sum.worst_subset_95.hi > sum.heading.worst_95.hi ? sum.worst_subset_95
                                                                            : sum.heading.worst_95;
      run.sentence =
          wanted == VerdictState::over
              ? fmt::format(
                    "No device is over your limit by itself, but together in {} they turn "
                    "north by up to {}.",
                    sum.phase, figure(band.hi))
              : fmt::format(
                    "Each device is within the limit by itself; together in {} they come to "
                    "{} to {}, which does not decide.",
                    sum.phase, figure(band.lo), figure(band.hi));
      return;
    }
  }
  run.verdict.state = VerdictState::within;
  if (run.devices.empty()) return;
  const StateEffect& s = run.devices.front().worst_state();
  run.sentence =
      fmt::format("Nothing that was worked turns north by more than {}; the most is the {}.",
                  figure(s.heading.worst_95.hi), named(run.devices.front(), s));
  run.verdict.because = fmt::format("at most {}", figure(s.heading.worst_95.hi));
}

void add_assumptions(const DisturbanceOptions& options, DisturbanceRun& run) {
  run.assumptions.push_back(fmt::format(
      "Earth's field {:.2f} µT horizontal and {:.2f} µT down, known to {:.2f} and {:.2f} "
      "µT (1 sigma): {}.",
      options.earth.horizontal_uT, options.earth.down_uT, options.earth.sigma_horizontal_uT,
      options.earth.sigma_down_uT, options.earth.source));
  const bool moves = std::any_of(run.devices.begin(), run.devices.end(), [](const DeviceEffect& d) {
    return d.kind == DeviceKind::moving || d.kind == DeviceKind::engine;
  });
  if (moves && !options.rigid) {
    run.assumptions.push_back(fmt::format(
        "Gear, flaps or engine may tilt the airframe by {:.1f}° (1 sigma), which turns the "
        "field like a disturbance: own assumption, in the bands of these devices; "
        "--rigid leaves it out.",
        kTilt_deg));
  }
  run.assumptions.emplace_back(
      "Repeats are read with these odds, own assumption: 92 % as marked, 4 % skipped, 3 % another "
      "device, 1 % something else.");
}

}  // namespace

RunNoise noise_of(const Solved& solved, const SensorRecording& recording) {
  RunNoise out;
  out.quantum_uT = solved.series.quantum_uT;
  // One sample's noise from neighbours; its memory and the drift from the blocks.
  double white = 0.0;
  double drift = 0.0;
  double slow = 0.0;
  double memory = 0.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    std::vector<double> steps;
    const std::size_t stride = std::max<std::size_t>(1, recording.size() / 20000);
    for (std::size_t k = 1; k < recording.size(); k += stride) {
      steps.push_back(std::abs(recording.field[axis][k] - recording.field[axis][k - 1]));
    }
    const double sd = 1.4826 * quantile(steps, 0.5) / std::sqrt(2.0);
    white += std::max(sd * sd, out.quantum_uT * out.quantum_uT / 12.0) / 3.0;
    slow += solved.visits.noise[axis].slow_variance / 3.0;
    memory += solved.visits.noise[axis].slow_variance * solved.visits.noise[axis].slow_time_s / 3.0;
    const std::vector<double>& rest = solved.rest_uT[axis];
    if (rest.size() > 2) {
      const double minutes = (recording.time_s.back() - recording.time_s.front()) / 60.0;
      drift += std::pow((rest.back() - rest.front()) / minutes, 2);
    }
  }
  out.white_uT = std::sqrt(white);
  out.correlation_time_s = memory / (white + slow);
  out.drift_uT_per_min = std::sqrt(drift);
  return out;
}

RunTrace trace_of(const Solved& solved) {
  constexpr std::size_t kMost = 3000;
  const Pieces& blocks = solved.series.blocks;
  RunTrace out;
  const std::size_t stride = (blocks.size() + kMost - 1) / kMost;
  for (std::size_t first = 0; first < blocks.size(); first += stride) {
    const std::size_t last = std::min(first + stride, blocks.size());
    Vector3 field{}, fit{}, rest{};
    double count = 0.0;
    bool used = true;
    for (std::size_t b = first; b < last; ++b) {
      if (blocks.count[b] <= 0.0) continue;
      count += 1.0;
      used = used && solved.visits.times.use[b] != 0;
      for (std::size_t axis = 0; axis < 3; ++axis) {
        field[axis] += blocks.mean_uT[axis][b];
        fit[axis] += solved.fit_uT[axis][b];
        rest[axis] += solved.rest_uT[axis][b];
      }
    }
    if (count <= 0.0) continue;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      field[axis] /= count;
      fit[axis] /= count;
      rest[axis] /= count;
    }
    out.time_s.push_back(0.5 * (blocks.middle_s(first) + blocks.middle_s(last - 1)));
    out.field_uT.push_back(field);
    out.fit_uT.push_back(fit);
    out.rest_uT.push_back(rest);
    out.used.push_back(used ? 1 : 0);
  }
  return out;
}

void put_into_words(const Solved& solved, const DisturbanceOptions& options, DisturbanceRun& run) {
  judge_run(run);
  add_assumptions(options, run);
  for (const std::string& remark : solved.run.remarks) run.remarks.push_back(remark);
  if (run.noise.drift_uT_per_min > 0.01) {
    run.remarks.push_back(fmt::format("The rest field drifted by {:.2f} µT a minute; taken out.",
                                      run.noise.drift_uT_per_min));
  }
  std::size_t transits = 0;
  for (const Switch& at : solved.run.switches) {
    transits += solved.run.items[at.item].device.transit_s > 0.0 ? 1U : 0U;
  }
  if (transits > 0) {
    run.remarks.push_back(
        fmt::format("The travel between end states was left out {} times.", transits));
  }
  if (run.all_on && !run.all_on->agree) {
    run.remarks.push_back(
        fmt::format("Everything at once differs from the sum of the parts by {}: look for a shared "
                    "return wire, a relay or steel that saturates.",
                    figure(run.all_on->difference)));
  }
}

}  // namespace qn::disturbance
