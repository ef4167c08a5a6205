// SPDX-License-Identifier: Apache-2.0
#include "simulate/sensor_recording_maker.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "vocab/expects.h"

namespace qn::simulate {
namespace {

// One stream of chance per source.
enum Stream : std::uint64_t { kPath = 1, kNoise, kSteel, kSpikes, kClock, kGaps, kAngles, kAccel };

double duration_s(const AtRest& plan) { return plan.seconds; }

MotionPath rest_path(const AtRest& plan, const SensorTruth& truth, std::size_t count) {
  MotionPath path;
  path.body_from_earth.assign(count,
                              body_from_earth_on_ground(plan.heading_deg, truth.slope, truth.deck));
  return path;
}

std::vector<double> sample_times(const RecordingPlan& plan, double seconds) {
  const double step = 1.0 / plan.clock.rate_hz;
  const auto count = static_cast<std::size_t>(std::floor(seconds * plan.clock.rate_hz)) + 1;
  Random gaps{plan.seed, kGaps};
  std::vector<double> gap_starts;
  for (std::size_t i = 0; i < plan.clock.gap_count; ++i) {
    gap_starts.push_back(gaps.uniform(0.0, std::max(0.0, seconds - plan.clock.gap_s)));
  }
  std::vector<double> out;
  out.reserve(count);
  for (std::size_t k = 0; k < count; ++k) {
    const double t = static_cast<double>(k) * step;
    const bool lost = std::any_of(gap_starts.begin(), gap_starts.end(), [&](double from) {
      return t >= from && t < from + plan.clock.gap_s;
    });
    if (!lost) out.push_back(t);
  }
  return out;
}

MotionPath path_of(const RecordingPlan& plan, const std::vector<double>& time_s) {
  const SensorTruth& truth = plan.truth;
  const Random random{plan.seed, kPath};
  if (const auto* tumble = std::get_if<Tumble>(&plan.motion)) {
    return tumble_path(*tumble, time_s, random);
  }
  if (const auto* swing = std::get_if<Swing>(&plan.motion)) {
    return swing_path(*swing, truth.slope, truth.deck, time_s, random);
  }
  if (const auto* stations = std::get_if<Stations>(&plan.motion)) {
    return stations_path(*stations, truth.slope, truth.deck, time_s, random);
  }
  return rest_path(std::get<AtRest>(plan.motion), truth, time_s.size());
}

/// What passing steel adds: direction turning slowly from one random direction to another under a
/// sin^2 hump, so that it begins and ends without a step.
std::vector<Vector3> steel_field(const RecordingPlan& plan, const std::vector<double>& time_s) {
  const PassingSteel& steel = plan.truth.steel;
  std::vector<Vector3> out(time_s.size(), Vector3{});
  if (steel.share <= 0.0 || steel.size_uT == 0.0 || time_s.empty()) return out;
  QN_EXPECTS(steel.share <= 0.5 && steel.seconds > 0.0);
  Random random{plan.seed, kSteel};
  const auto wanted =
      static_cast<std::size_t>(std::llround(steel.share * static_cast<double>(time_s.size())));
  std::size_t touched = 0;
  for (int passage = 0; touched < wanted && passage < 10'000; ++passage) {
    const double from =
        random.uniform(time_s.front(), std::max(time_s.front(), time_s.back() - steel.seconds));
    const Vector3 first = random.direction();
    const Vector3 last = random.direction();
    for (std::size_t k = 0; k < time_s.size(); ++k) {
      const double u = (time_s[k] - from) / steel.seconds;
      if (u <= 0.0 || u >= 1.0 || touched >= wanted) continue;
      if (out[k] == Vector3{}) ++touched;
      const double hump = std::sin(std::numbers::pi * u);
      for (std::size_t i = 0; i < 3; ++i) {
        out[k][i] += steel.size_uT * hump * hump * ((1.0 - u) * first[i] + u * last[i]);
      }
    }
  }
  return out;
}

double rounded(double value, double quantum) {
  return quantum > 0.0 ? quantum * std::round(value / quantum) : value;
}

double recorded(const SensorTruth& truth, double raw_uT) {
  double value = rounded(raw_uT, truth.quantum_uT);
  if (truth.rail_uT > 0.0) value = std::clamp(value, -truth.rail_uT, truth.rail_uT);
  if (!truth.counts_per_uT) return value;
  // One count is the quantum when the two agree: then the product is a whole number, exactly.
  const double counts = value * *truth.counts_per_uT;
  const double whole = std::round(counts);
  return std::abs(counts - whole) < 1e-6 ? whole : counts;
}

void add_field(const RecordingPlan& plan, const std::vector<double>& time_s,
               SimulatedRecording& out) {
  Noise noise{plan.truth.noise, Random{plan.seed, kNoise}};
  Random spikes{plan.seed, kSpikes};
  const std::vector<Vector3> steel = steel_field(plan, time_s);
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    Vector3 raw = clean_raw_uT(plan.truth, out.body_from_earth[k]);
    const Vector3 n = noise.at(time_s[k]);
    const bool spike = plan.truth.spikes.share > 0.0 && spikes.uniform() < plan.truth.spikes.share;
    const Vector3 direction = spike ? spikes.direction() : Vector3{};
    for (std::size_t i = 0; i < 3; ++i) {
      raw[i] += n[i] + steel[k][i] + plan.truth.spikes.size_uT * direction[i];
      out.recording.field[i].push_back(recorded(plan.truth, raw[i]));
    }
    out.disturbed.push_back(spike || steel[k] != Vector3{});
  }
}

void add_attitude(const RecordingPlan& plan, const std::vector<double>& time_s,
                  SimulatedRecording& out) {
  if (!plan.truth.attitude) return;
  const AttitudeColumns& columns = *plan.truth.attitude;
  // The noise source is the same kind as the field's; only the unit differs. Third axis unused.
  Noise noise{{columns.white_sigma_deg, columns.slow_sigma_deg, columns.slow_correlation_time_s},
              Random{plan.seed, kAngles}};
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    const Attitude attitude = attitude_of(out.body_from_earth[k]);
    const Vector3 n = noise.at(time_s[k]);
    out.recording.roll_deg.push_back(attitude.roll_deg + columns.roll_bias_deg + n[0]);
    out.recording.pitch_deg.push_back(attitude.pitch_deg + columns.pitch_bias_deg + n[1]);
  }
}

void add_accel(const RecordingPlan& plan, SimulatedRecording& out) {
  if (!plan.truth.accel) return;
  Random random{plan.seed, kAccel};
  for (const Matrix3& R : out.body_from_earth) {
    // Third column: the Earth's "down" in body axes. What holds the sensor up points the other way.
    for (std::size_t i = 0; i < 3; ++i) {
      out.recording.accel_g[i].push_back(-R[i][2] + plan.truth.accel->sigma_g * random.normal());
    }
  }
}

void add_time_stamps(const RecordingPlan& plan, const std::vector<double>& time_s,
                     SimulatedRecording& out) {
  Random random{plan.seed, kClock};
  const double most = 0.4 / plan.clock.rate_hz;
  for (const double t : time_s) {
    const double error = plan.clock.jitter_sigma_s > 0.0
                             ? std::clamp(plan.clock.jitter_sigma_s * random.normal(), -most, most)
                             : 0.0;
    out.recording.time_s.push_back(t + error);
  }
  if (out.recording.time_s.empty()) return;
  const double start = std::min(0.0, out.recording.time_s.front());
  for (double& t : out.recording.time_s) t -= start;  // a recording starts at 0
}

}  // namespace

SimulatedRecording make_recording(const RecordingPlan& plan) {
  QN_EXPECTS(plan.clock.rate_hz > 0.0);
  SimulatedRecording out;
  out.truth = plan.truth;
  const double seconds =
      std::visit([](const auto& motion) { return duration_s(motion); }, plan.motion);
  const std::vector<double> time_s = sample_times(plan, seconds);
  MotionPath path = path_of(plan, time_s);
  out.body_from_earth = std::move(path.body_from_earth);
  out.stops = std::move(path.stops);
  out.north_error_deg = path.north_error_deg;
  constexpr double kNotGiven = std::numeric_limits<double>::quiet_NaN();
  for (const double row : path.station_rows_deg)
    out.stations.push_back({row, kNotGiven, kNotGiven});
  for (const Stop& stop : out.stops) {
    out.known_headings.push_back({0.5 * (stop.from_s + stop.to_s), stop.station_deg});
  }
  for (const Matrix3& R : out.body_from_earth)
    out.heading_deg.push_back(attitude_of(R).heading_deg);
  out.recording.unit = plan.truth.counts_per_uT ? FieldUnit::counts : FieldUnit::microtesla;
  out.recording.tally.rows = time_s.size();
  out.recording.tally.gaps = plan.clock.gap_count;
  out.recording.tally.median_interval_s = 1.0 / plan.clock.rate_hz;
  add_time_stamps(plan, time_s, out);
  add_field(plan, time_s, out);
  add_attitude(plan, time_s, out);
  add_accel(plan, out);
  return out;
}

}  // namespace qn::simulate
