// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/disturbance_attitude_internal.h"
#include "procedure/levelling.h"
#include "vocab/angle.h"

namespace qn::disturbance {
namespace {

constexpr double kSmooth_s = 0.5;     // either way
constexpr double kLeastLogged = 0.9;  // of the samples
constexpr double kGravityOnly_g = 0.05;
constexpr double kMoved = 2.0;  // times what its noise alone would look like

bool mostly_logged(const std::vector<double>& column, std::size_t rows) {
  const auto finite =
      std::count_if(column.begin(), column.end(), [](double x) { return std::isfinite(x); });
  return rows > 0 && static_cast<double>(finite) >= kLeastLogged * static_cast<double>(rows);
}

// Gravity from specific force, (0, 0, -1) level and at rest, whichever way the device counts it.
void attitude_from_gravity(SensorRecording& log) {
  double down_sum = 0.0;
  for (const double z : log.accel_g[2]) down_sum += std::isfinite(z) ? z : 0.0;
  const double sign = down_sum > 0.0 ? 1.0 : -1.0;
  for (std::size_t k = 0; k < log.size(); ++k) {
    const auto lean = lean_from_gravity(
        {sign * log.accel_g[0][k], sign * log.accel_g[1][k], sign * log.accel_g[2][k]},
        kGravityOnly_g);
    log.pitch_deg.push_back(lean ? Angle::radians(lean->pitch_rad).in_deg() : std::nan(""));
    log.roll_deg.push_back(lean ? Angle::radians(lean->roll_rad).in_deg() : std::nan(""));
  }
}

struct Smoothed {
  std::vector<double> deg;
  double usual_deg = 0.0;
  bool moved = false;
};

Smoothed smoothed(const std::vector<double>& time_s, const std::vector<double>& raw_deg) {
  Smoothed out;
  std::vector<double> finite;
  for (const double x : raw_deg) {
    if (std::isfinite(x)) finite.push_back(x);
  }
  out.usual_deg = quantile(finite, 0.5);
  double sum = 0.0, count = 0.0, noise = 0.0, movement = 0.0, width = 0.0;
  std::size_t from = 0, to = 0;
  double last = out.usual_deg;
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    const auto take = [&](std::size_t i, double sign) {
      if (!std::isfinite(raw_deg[i])) return;
      sum += sign * (raw_deg[i] - out.usual_deg);
      count += sign;
    };
    while (to < time_s.size() && time_s[to] <= time_s[k] + kSmooth_s) take(to++, 1.0);
    while (time_s[from] < time_s[k] - kSmooth_s) take(from++, -1.0);
    if (count > 0.5) last = out.usual_deg + sum / count;
    out.deg.push_back(last);
    if (std::isfinite(raw_deg[k])) noise += (raw_deg[k] - last) * (raw_deg[k] - last);
    movement += (last - out.usual_deg) * (last - out.usual_deg);
    width += std::max(count, 1.0);
  }
  const double n = static_cast<double>(time_s.size());
  out.moved = movement > kMoved * kMoved * noise / std::max(width / n, 1.0);
  return out;
}

}  // namespace

bool hold_still(SensorRecording& log) {
  const std::size_t n = log.size();
  if (!mostly_logged(log.roll_deg, n) || !mostly_logged(log.pitch_deg, n)) {
    log.roll_deg.clear();
    log.pitch_deg.clear();
    if (!mostly_logged(log.accel_g[0], n) || !mostly_logged(log.accel_g[1], n) ||
        !mostly_logged(log.accel_g[2], n)) {
      return false;
    }
    attitude_from_gravity(log);
    if (!mostly_logged(log.roll_deg, n)) {  // it shook: no gravity to be seen
      log.roll_deg.clear();
      log.pitch_deg.clear();
      return false;
    }
  }
  const Smoothed roll = smoothed(log.time_s, log.roll_deg);
  const Smoothed pitch = smoothed(log.time_s, log.pitch_deg);
  if (!roll.moved && !pitch.moved) return true;
  const auto lean = [](double roll_deg, double pitch_deg) {
    return Lean{Angle::degrees(roll_deg).in_rad(), Angle::degrees(pitch_deg).in_rad()};
  };
  const Lean usual = lean(roll.usual_deg, pitch.usual_deg);
  for (std::size_t k = 0; k < n; ++k) {
    const Vector3 level = levelled({log.field[0][k], log.field[1][k], log.field[2][k]},
                                   lean(roll.deg[k], pitch.deg[k]));
    const Vector3 held = leaned(level, usual);
    for (std::size_t axis = 0; axis < 3; ++axis) log.field[axis][k] = held[axis];
  }
  return true;
}

}  // namespace qn::disturbance
