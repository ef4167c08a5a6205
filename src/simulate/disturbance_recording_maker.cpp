// SPDX-License-Identifier: Apache-2.0
#include "simulate/disturbance_recording_maker.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "simulate/attitude.h"
#include "simulate/disturbance_heading.h"
#include "simulate/disturbance_signal.h"
#include "simulate/operator_script.h"
#include "simulate/random.h"
#include "simulate/unplanned_events.h"
#include "vocab/expects.h"

namespace qn::simulate {
namespace {

enum Stream : std::uint64_t {
  kNoise = 60,
  kDrift,
  kWander,
  kGaps,
  kAngles,
  kTogether,
  kCurrent,
  kFirstVibration = 2000
};

Vector3 earth_in_body(const DisturbanceSettings& settings, double roll_deg, double pitch_deg) {
  const Attitude attitude{settings.heading_deg, settings.pitch_deg + pitch_deg,
                          settings.roll_deg + roll_deg};
  const Vector3 earth_uT{settings.horizontal_uT, 0.0, settings.down_uT};
  return product(body_from_earth(attitude), earth_uT);
}

void add(const Vector3& what, double times, Vector3& to) {
  for (std::size_t i = 0; i < 3; ++i) to[i] += times * what[i];
}

std::vector<double> even_times(double end_s, double rate_Hz) {
  const auto count = static_cast<std::size_t>(std::floor(end_s * rate_Hz)) + 1;
  std::vector<double> out(count);
  for (std::size_t k = 0; k < count; ++k) out[k] = static_cast<double>(k) / rate_Hz;
  return out;
}

void add_earth(const DisturbanceSettings& settings, DeviceSignals& sum) {
  double roll_deg = 0.0;
  double pitch_deg = 0.0;
  Vector3 earth = earth_in_body(settings, 0.0, 0.0);
  for (std::size_t k = 0; k < sum.field_uT.size(); ++k) {
    if (sum.roll_deg[k] != roll_deg || sum.pitch_deg[k] != pitch_deg) {
      roll_deg = sum.roll_deg[k];
      pitch_deg = sum.pitch_deg[k];
      earth = earth_in_body(settings, roll_deg, pitch_deg);
    }
    add(earth, 1.0, sum.field_uT[k]);
  }
}

void add_drift(const std::vector<double>& time_s, DisturbanceTruth& truth, DeviceSignals& sum) {
  const Drift& drift = truth.settings.drift;
  Random random{truth.seed, kDrift};
  truth.warm_up_time_s = random.uniform(drift.warm_up_time_s.lo, drift.warm_up_time_s.hi);
  const double length_uT = random.uniform(drift.warm_up_uT.lo, drift.warm_up_uT.hi);
  add(random.direction(), length_uT, truth.warm_up_uT);

  // The integral of a random walk of q uT/s per root second has sd q sqrt(t^3 / 3).
  constexpr double kStated_s = 1200.0;
  const double q = drift.wander_uT / std::sqrt(kStated_s * kStated_s * kStated_s / 3.0);
  Random wander{truth.seed, kWander};
  Vector3 slope{};
  Vector3 level{};
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    const double step_s = k > 0 ? time_s[k] - time_s[k - 1] : 0.0;
    for (std::size_t i = 0; i < 3; ++i) {
      const double fresh = q * std::sqrt(step_s) * wander.normal();
      level[i] += (slope[i] + 0.5 * fresh) * step_s;
      slope[i] += fresh;
    }
    add(level, 1.0, sum.field_uT[k]);
    add(truth.warm_up_uT, 1.0 - std::exp(-time_s[k] / truth.warm_up_time_s), sum.field_uT[k]);
  }
}

void add_interaction(const OperatorScript& script, const std::vector<double>& time_s,
                     DisturbanceTruth& truth, DeviceSignals& sum) {
  Vector3 extra{};
  add(Random{truth.seed, kTogether}.direction(), truth.settings.effects.all_on_extra_uT, extra);
  for (const Span& on : script.everything_on_s) {
    for (std::size_t k = 0; k < time_s.size(); ++k) {
      if (time_s[k] >= on.lo && time_s[k] < on.hi) add(extra, 1.0, sum.field_uT[k]);
    }
  }
  const auto together = [&](const std::string& phase, bool everything) {
    CombinationTruth out;
    out.phase = phase;
    if (everything) out.field_uT = extra;
    for (const DeviceTruth& device : truth.devices) {
      if (!everything && !belongs_to_phase(device.device, phase)) continue;
      out.devices.push_back(device.device.name);
      add(device.states[1].field_uT, 1.0, out.field_uT);
    }
    out.worst_heading_error_deg =
        worst_heading_error_of(out.field_uT, truth.settings.horizontal_uT).size_deg;
    truth.combinations.push_back(out);
  };
  together("everything", true);
  for (const std::string& phase : phases_of(truth.devices)) together(phase, false);
}

void draw_gaps(double end_s, DisturbanceTruth& truth) {
  Random random{truth.seed, kGaps};
  for (std::size_t i = 0; i < truth.settings.gaps; ++i) {
    const double lasts_s = random.uniform(truth.settings.gap_s.lo, truth.settings.gap_s.hi);
    const double from_s = random.uniform(1.0, std::max(1.0, end_s - lasts_s - 1.0));
    truth.gaps_s.push_back({from_s, from_s + lasts_s});
  }
  std::sort(truth.gaps_s.begin(), truth.gaps_s.end(),
            [](const Span& a, const Span& b) { return a.lo < b.lo; });
}

double recorded(const DisturbanceSettings& settings, double value_uT) {
  const double q = settings.quantum_uT;
  const double stepped = q > 0.0 ? q * std::round(value_uT / q) : value_uT;
  const double rail = settings.rail_uT;
  return rail > 0.0 ? std::clamp(stepped, -rail, rail) : stepped;
}

SensorRecording record(const std::vector<double>& time_s, const DeviceSignals& sum,
                       const DisturbanceTruth& truth) {
  const DisturbanceSettings& settings = truth.settings;
  Noise noise{settings.noise, Random{truth.seed, kNoise}};
  Random angles{truth.seed, kAngles};
  Random amperes{truth.seed, kCurrent};
  SensorRecording out;
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    const double t = time_s[k];
    const Vector3 n = noise.at(t);
    const double roll_error_deg = settings.attitude_sigma_deg * angles.normal();
    const double pitch_error_deg = settings.attitude_sigma_deg * angles.normal();
    const double current_error_A = 0.05 * amperes.normal();
    const bool lost = std::any_of(truth.gaps_s.begin(), truth.gaps_s.end(),
                                  [t](const Span& gap) { return t >= gap.lo && t < gap.hi; });
    if (lost) continue;
    out.time_s.push_back(t);
    for (std::size_t i = 0; i < 3; ++i) {
      out.field[i].push_back(recorded(settings, sum.field_uT[k][i] + n[i]));
    }
    if (settings.log_attitude) {
      out.roll_deg.push_back(settings.roll_deg + sum.roll_deg[k] + roll_error_deg);
      out.pitch_deg.push_back(settings.pitch_deg + sum.pitch_deg[k] + pitch_error_deg);
    }
    if (settings.log_current) out.current_A.push_back(1.0 + sum.current_A[k] + current_error_A);
    if (settings.log_temperature) {
      out.temperature_C.push_back(18.0 + 14.0 * (1.0 - std::exp(-t / truth.warm_up_time_s)));
    }
  }
  out.tally.rows = out.size();
  out.tally.gaps = truth.gaps_s.size();
  out.tally.median_interval_s = 1.0 / settings.rate_Hz;
  return out;
}

}  // namespace

SimulatedRun make_disturbance_run(const std::vector<DeviceTruth>& devices,
                                  const DisturbanceSettings& settings, std::uint64_t seed) {
  QN_EXPECTS(settings.rate_Hz > 0.0 && settings.horizontal_uT > 0.0);
  SimulatedRun out;
  DisturbanceTruth& truth = out.truth;
  truth.seed = seed;
  truth.settings = settings;
  truth.devices = devices;
  for (DeviceTruth& device : truth.devices) judge_states(device, settings.horizontal_uT);
  truth.earth_body_uT = earth_in_body(settings, 0.0, 0.0);

  OperatorScript script = write_script(truth.devices, settings, seed);
  const std::vector<double> time_s = even_times(script.end_s, settings.rate_Hz);
  DeviceSignals sum{time_s.size()};
  for (std::size_t d = 0; d < truth.devices.size(); ++d) {
    add_device(truth.devices[d], script.switches[d], time_s, 1.0 / settings.rate_Hz,
               Random{seed, kFirstVibration + d}, sum);
  }
  add_earth(settings, sum);
  add_drift(time_s, truth, sum);
  add_interaction(script, time_s, truth, sum);
  truth.events = add_unplanned_events(settings.unplanned, time_s, seed, sum.field_uT);
  draw_gaps(script.end_s, truth);
  out.recording = record(time_s, sum, truth);
  truth.marks = std::move(script.mark_truths);
  out.marks = std::move(script.marks);
  return out;
}

SimulatedRun make_disturbance_run(const std::vector<Device>& equipment,
                                  const DisturbanceSettings& settings, std::uint64_t seed) {
  return make_disturbance_run(draw_devices(equipment, settings, seed), settings, seed);
}

}  // namespace qn::simulate
