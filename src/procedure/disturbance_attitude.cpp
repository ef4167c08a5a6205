// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/disturbance_attitude_internal.h"
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
    const double x = sign * log.accel_g[0][k];
    const double y = sign * log.accel_g[1][k];
    const double z = sign * log.accel_g[2][k];
    const double size = std::hypot(x, y, z);
    const bool steady = std::abs(size - 1.0) < kGravityOnly_g;
    const double pitch = steady ? std::asin(std::clamp(-x / size, -1.0, 1.0)) : std::nan("");
    const double roll = steady ? std::atan2(y, z) : std::nan("");
    log.pitch_deg.push_back(Angle::radians(pitch).in_deg());
    log.roll_deg.push_back(Angle::radians(roll).in_deg());
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
  const double roll0 = Angle::degrees(roll.usual_deg).in_rad();
  const double pitch0 = Angle::degrees(pitch.usual_deg).in_rad();
  for (std::size_t k = 0; k < n; ++k) {
    const double r = Angle::degrees(roll.deg[k]).in_rad();
    const double p = Angle::degrees(pitch.deg[k]).in_rad();
    const double x = log.field[0][k], y = log.field[1][k], z = log.field[2][k];
    // Out of roll, then out of pitch: levelled.
    const double level_y = y * std::cos(r) - z * std::sin(r);
    const double leaned = y * std::sin(r) + z * std::cos(r);
    const double level_x = x * std::cos(p) + leaned * std::sin(p);
    const double down = -x * std::sin(p) + leaned * std::cos(p);
    // And into the usual attitude.
    const double back = level_x * std::sin(pitch0) + down * std::cos(pitch0);
    log.field[0][k] = level_x * std::cos(pitch0) - down * std::sin(pitch0);
    log.field[1][k] = level_y * std::cos(roll0) + back * std::sin(roll0);
    log.field[2][k] = -level_y * std::sin(roll0) + back * std::cos(roll0);
  }
  return true;
}

}  // namespace qn::disturbance
