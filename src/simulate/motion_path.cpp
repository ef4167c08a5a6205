// SPDX-License-Identifier: Apache-2.0
#include "simulate/motion_path.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "vocab/heading.h"

namespace qn::simulate {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr double kRepeatSwing_deg =
    20.0;  // how far the aircraft swings off a mark it comes back to

/// 0 before `from`, 1 after `to`, and a smooth rise between.
double eased(double t, double from, double to) {
  if (t <= from) return 0.0;
  if (t >= to) return 1.0;
  return 0.5 - 0.5 * std::cos(std::numbers::pi * (t - from) / (to - from));
}

/// A slow wave of mean square 1/2 per axis: three sines of incommensurate rates, phases at random.
struct Wander {
  std::array<double, 3> rate_hz;
  std::array<double, 3> phase;

  Wander(Random& random, double slowest_hz) : rate_hz{}, phase{} {
    constexpr std::array<double, 3> kRatio{1.0, 1.618, 2.618};
    for (std::size_t i = 0; i < 3; ++i) {
      rate_hz[i] = slowest_hz * kRatio[i] * random.uniform(0.85, 1.15);
      phase[i] = random.uniform(0.0, kTurn);
    }
  }
  double at(double t) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < 3; ++i) sum += std::sin(kTurn * rate_hz[i] * t + phase[i]);
    return sum / std::sqrt(3.0);
  }
};

struct Leg {
  double from_s, to_s;  // of the turn that ends on `heading_deg`
  double heading_deg;   // not wrapped: the turn's direction is in it
};

double heading_on(const std::vector<Leg>& legs, double start_deg, double t) {
  double heading = start_deg;
  for (const Leg& leg : legs) {
    if (t <= leg.from_s) break;
    heading += (leg.heading_deg - heading) * eased(t, leg.from_s, leg.to_s);
  }
  return heading;
}

}  // namespace

double duration_s(const Tumble& plan) { return plan.rest_s + plan.turning_s; }

double duration_s(const Swing& plan) { return 2.0 * plan.rest_s + plan.arc_deg / plan.rate_deg_s; }

double duration_s(const Stations& plan) {
  const std::size_t stops =
      plan.count + (plan.repeated > 0 ? 1U : 0U) - (plan.missed > 0 ? 1U : 0U);
  return static_cast<double>(stops) * (plan.dwell_s + plan.turn_s);
}

MotionPath tumble_path(const Tumble& plan, const std::vector<double>& time_s, Random random) {
  MotionPath path;
  path.body_from_earth.reserve(time_s.size());
  const double start_deg = random.uniform(0.0, 360.0);
  // A reach below 90 degrees is a hand that turns the thing about and rocks it. The waves fade in
  // after the rest so that the start is level.
  if (plan.reach_deg < 90.0) {
    const Wander roll{random, plan.speed_rad_s / kTurn * 0.4};
    const Wander pitch{random, plan.speed_rad_s / kTurn * 0.4};
    const double turn_deg_s = plan.speed_rad_s * 0.4 * 360.0 / kTurn;
    for (const double t : time_s) {
      const double on = eased(t, plan.rest_s, plan.rest_s + 2.0);
      const double since = std::max(0.0, t - plan.rest_s - 1.0);
      // tanh keeps the extremes of the wave inside the reach
      path.body_from_earth.push_back(body_from_earth(
          {start_deg + turn_deg_s * since, on * plan.reach_deg * std::tanh(pitch.at(t)),
           on * plan.reach_deg * std::tanh(roll.at(t))}));
    }
    return path;
  }
  // Else the rate of turn itself is a slow wave about each body axis, summed up in small steps.
  const std::array<Wander, 3> rate{Wander{random, 0.04}, Wander{random, 0.04},
                                   Wander{random, 0.04}};
  const double scale = plan.speed_rad_s / std::sqrt(1.5);  // three axes of mean square 1/2
  Matrix3 R = body_from_earth({start_deg, 0.0, 0.0});
  double t = time_s.empty() ? 0.0 : time_s.front();
  for (const double next : time_s) {
    const int steps = std::max(1, static_cast<int>(std::ceil((next - t) / 0.02)));
    const double dt = (next - t) / steps;
    for (int k = 0; k < steps; ++k) {
      const double middle = t + (k + 0.5) * dt;
      const double on = scale * eased(middle, plan.rest_s, plan.rest_s + 1.0);
      const Vector3 w{on * rate[0].at(middle), on * rate[1].at(middle), on * rate[2].at(middle)};
      const double speed = std::hypot(w[0], w[1], w[2]);
      if (speed * dt == 0.0) continue;
      // The body turns by w dt, so what is fixed in the Earth turns the other way in body axes.
      R = product(about_axis({w[0] / speed, w[1] / speed, w[2] / speed}, -speed * dt), R);
    }
    t = next;
    path.body_from_earth.push_back(R);
  }
  return path;
}

MotionPath swing_path(const Swing& plan, const Slope& slope, const DeckTilt& deck,
                      const std::vector<double>& time_s, Random random) {
  MotionPath path;
  path.body_from_earth.reserve(time_s.size());
  const double turning_s = plan.arc_deg / plan.rate_deg_s;
  const double waves = random.uniform(2.0, 5.0);
  const double phase = random.uniform(0.0, kTurn);
  const double sign = plan.anticlockwise ? -1.0 : 1.0;
  for (const double t : time_s) {
    const double u = std::clamp((t - plan.rest_s) / turning_s, 0.0, 1.0);
    // d/du of u - e sin(..)/(..) is 1 - e cos(..) > 0: uneven, never backward. The clamp's ends are
    // set right by taking the part of the whole.
    const auto uneven = [&](double x) {
      return x - plan.unevenness * std::sin(kTurn * waves * x + phase) / (kTurn * waves);
    };
    const double part = (uneven(u) - uneven(0.0)) / (uneven(1.0) - uneven(0.0));
    path.body_from_earth.push_back(body_from_earth_on_ground(
        plan.start_heading_deg + sign * plan.arc_deg * part, slope, deck));
  }
  return path;
}

MotionPath stations_path(const Stations& plan, const Slope& slope, const DeckTilt& deck,
                         const std::vector<double>& time_s, Random random) {
  MotionPath path;
  path.north_error_deg = plan.north_sigma_deg * random.normal();
  std::vector<Leg> legs;
  const double spacing = 360.0 / static_cast<double>(plan.count);
  double clock = 0.0;
  double start_deg = 0.0;
  for (std::size_t row = 0; row < plan.count; ++row) {
    const double station = plan.first_heading_deg + spacing * static_cast<double>(row);
    path.station_rows_deg.push_back(wrap_360_deg(station));
    if (row + 1 == plan.missed) continue;  // the next leg sweeps past without a stop
    const int visits = row + 1 == plan.repeated ? 2 : 1;
    for (int visit = 0; visit < visits; ++visit) {
      const double heading =
          station + path.north_error_deg + plan.placement_sigma_deg * random.normal();
      if (legs.empty() && path.stops.empty()) {
        start_deg = heading;  // the recording starts on the first mark
      } else if (visit == 1) {
        const double half = clock + 0.5 * plan.turn_s;
        legs.push_back({clock, half, heading - kRepeatSwing_deg});
        legs.push_back({half, clock + plan.turn_s, heading});
        clock += plan.turn_s;
      } else {
        legs.push_back({clock, clock + plan.turn_s, heading});
        clock += plan.turn_s;
      }
      path.stops.push_back(
          {row, path.station_rows_deg.back(), heading, clock, clock + plan.dwell_s});
      clock += plan.dwell_s;
    }
  }
  // Back to the first mark, so that the turn is closed.
  legs.push_back({clock, clock + plan.turn_s, start_deg + 360.0});
  path.body_from_earth.reserve(time_s.size());
  for (const double t : time_s) {
    path.body_from_earth.push_back(
        body_from_earth_on_ground(heading_on(legs, start_deg, t), slope, deck));
  }
  return path;
}

}  // namespace qn::simulate
