// SPDX-License-Identifier: Apache-2.0
#include "simulate/disturbance_signal.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace qn::simulate {
namespace {

double smooth(double u) { return u * u * (3.0 - 2.0 * u); }

/// Seconds of pulse in the first `since_s` of a train that begins with a pulse.
double pulse_time_s(double since_s, double period_s, double duty) {
  if (since_s <= 0.0) return 0.0;
  const double whole = std::floor(since_s / period_s);
  return whole * duty * period_s + std::min(since_s - whole * period_s, duty * period_s);
}

/// One device as time goes on.
class Activity {
 public:
  Activity(const DeviceTruth& device, double interval_s)
      : device_{device}, interval_s_{interval_s} {}

  void begin(const Switch& change) {
    slow_at_switch_ = slow(change.at_s - switch_s_);
    before_ = now_;
    now_ = change.state;
    switch_s_ = change.at_s;
    switched_ = true;
  }

  bool idle(double time_s) const {
    if (now_ != 0) return false;
    const double quiet_after_s = device_.device.transit_s + 40.0 * device_.slow_time_s;
    return !switched_ || time_s - switch_s_ > quiet_after_s;
  }

  bool away() const { return now_ != 0; }

  Vector3 field(double time_s) const {
    const double since_s = time_s - switch_s_;
    const StateTruth& from = device_.states[before_];
    const StateTruth& to = device_.states[now_];
    const double u = arrived(since_s);
    const Vector3 slow_uT = slow(since_s);
    const double hump = std::sin(std::numbers::pi * u);
    const Vector3& path_uT = now_ != 0 ? to.path_uT : from.path_uT;
    const double times = pulsing(since_s) * surge(since_s);
    Vector3 out{};
    for (std::size_t i = 0; i < 3; ++i) {
      const double a = from.field_uT[i] - from.slow_uT[i];
      const double b = to.field_uT[i] - to.slow_uT[i];
      out[i] = times * (a + (b - a) * u) + slow_uT[i] + hump * hump * path_uT[i];
    }
    return out;
  }

  double tilt_share(double time_s) const { return arrived(time_s - switch_s_); }
  const StateTruth& from() const { return device_.states[before_]; }
  const StateTruth& to() const { return device_.states[now_]; }

  double current_A(double time_s) const {
    const double since_s = time_s - switch_s_;
    const double full = device_.device.current_A.value_or(0.0);
    // Gear and flap motors draw only while they run, whichever way.
    if (device_.device.transit_s > 0.0) return since_s < device_.device.transit_s ? full : 0.0;
    return away() && !device_.absent ? full * pulsing(since_s) * device_.duty * surge(since_s)
                                     : 0.0;
  }

 private:
  double arrived(double since_s) const {
    const double transit_s = device_.device.transit_s;
    if (transit_s <= 0.0 || since_s >= transit_s) return 1.0;
    return smooth(std::max(0.0, since_s / transit_s));
  }

  Vector3 slow(double since_s) const {
    const Vector3& target = device_.states[now_].slow_uT;
    const double left =
        device_.slow_time_s > 0.0 && switched_ ? std::exp(-since_s / device_.slow_time_s) : 0.0;
    Vector3 out{};
    for (std::size_t i = 0; i < 3; ++i) {
      out[i] = target[i] + (slow_at_switch_[i] - target[i]) * left;
    }
    return out;
  }

  /// Field over its mean.
  double pulsing(double since_s) const {
    if (device_.period_s <= 0.0 || !away()) return 1.0;
    const double on_s = pulse_time_s(since_s, device_.period_s, device_.duty) -
                        pulse_time_s(since_s - interval_s_, device_.period_s, device_.duty);
    return on_s / (interval_s_ * device_.duty);
  }

  double surge(double since_s) const {
    if (device_.inrush == 0.0 || !away()) return 1.0;
    return 1.0 + device_.inrush * std::exp(-since_s / device_.inrush_time_s);
  }

  const DeviceTruth& device_;
  double interval_s_;
  std::size_t before_ = 0;
  std::size_t now_ = 0;
  double switch_s_ = 0.0;
  bool switched_ = false;
  Vector3 slow_at_switch_{};
};

}  // namespace

void add_device(const DeviceTruth& device, const std::vector<Switch>& switches,
                const std::vector<double>& time_s, double interval_s, Random vibration,
                DeviceSignals& sum) {
  // A sample taken at the very moment of the switch counts as after it, whatever the last digit.
  constexpr double kSameMoment_s = 1e-9;
  Activity activity{device, interval_s};
  std::size_t next = 0;
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    const double t = time_s[k];
    while (next < switches.size() && switches[next].at_s <= t + kSameMoment_s) {
      activity.begin(switches[next++]);
    }
    if (activity.idle(t)) continue;
    const Vector3 field_uT = activity.field(t);
    const double share = activity.tilt_share(t);
    const StateTruth& from = activity.from();
    const StateTruth& to = activity.to();
    for (std::size_t i = 0; i < 3; ++i) sum.field_uT[k][i] += field_uT[i];
    if (device.vibration_uT > 0.0 && activity.away()) {
      for (std::size_t i = 0; i < 3; ++i) {
        sum.field_uT[k][i] += device.vibration_uT * vibration.normal();
      }
    }
    sum.roll_deg[k] += from.tilt_roll_deg + share * (to.tilt_roll_deg - from.tilt_roll_deg);
    sum.pitch_deg[k] += from.tilt_pitch_deg + share * (to.tilt_pitch_deg - from.tilt_pitch_deg);
    sum.current_A[k] += activity.current_A(t);
  }
}

}  // namespace qn::simulate
