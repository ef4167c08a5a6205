// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/plan_times_internal.h"

namespace qn {
namespace {

// Nobody knows these before the run; the plan says so in its assumptions.
constexpr double kCorrelatedShare = 0.5;
constexpr double kCorrelation_s = 1.0;
constexpr double kWalk_uT_per_sqrt_min = 0.05;
constexpr double kLongestRest_s = 64.0;

double deviation_uT(Angle half_width, double horizontal_uT) {
  return horizontal_uT * std::sin(half_width.in_rad()) / kNormal95;
}

/// Counted seconds of hold that bring `visits` visits to `variance_uT2`; infinite when none do.
double hold_for(const PlanNoise& noise, double rest_s, std::size_t visits, double variance_uT2) {
  const double floor_uT2 = std::sqrt(noise.R_uT2_s * noise.q_uT2_per_s);
  const double sum = 2.0 * static_cast<double>(visits) * variance_uT2 / floor_uT2;
  const double rest = std::tanh(rest_s / noise.time_scale_s);
  const double hold = 1.0 / (sum - 1.0 / rest);
  if (!(hold > 0.0 && hold < 1.0)) return INFINITY;
  return 2.0 * noise.time_scale_s * std::atanh(hold);
}

double with_ends_s(double counted) { return counted + 2.0 * kUncountedEnd_s; }

struct Reached {
  StateTimes times;
  double total_s = 0.0;
};

Reached reach(const TimeNeeds& needs, double rest_s, const PlanNoise& noise,
              const PlanOptions& options) {
  const double horizontal_uT = options.earth.horizontal_uT;
  const double wanted_uT = deviation_uT(0.1 * options.limit.value, horizontal_uT);
  const double own_rest_s = std::min(rest_s, needs.longest_rest_s);
  const auto total_s = [&](std::size_t visits, double dwell_s) {
    return static_cast<double>(visits) * (dwell_s + own_rest_s + 2.0 * needs.transit_s);
  };
  Reached best;
  for (std::size_t visits = kLeastVisits; visits <= kMostVisits; ++visits) {
    const double counted = hold_for(noise, counted_s(own_rest_s), visits, wanted_uT * wanted_uT);
    const double dwell_s =
        std::min(std::max(std::ceil(with_ends_s(counted)), needs.least_s), needs.longest_s);
    const bool enough = counted_s(dwell_s) >= counted;
    const double total = total_s(visits, dwell_s);
    if (!enough || (best.times.enough && total >= best.total_s)) continue;
    best = {{visits, dwell_s, {}, true}, total};
  }
  if (!best.times.enough) {
    best.times = {kMostVisits, needs.longest_s, {}, false};
    best.total_s = total_s(kMostVisits, needs.longest_s);
  }
  const double one = noise.visit_variance_uT2(counted_s(best.times.dwell_s), counted_s(own_rest_s));
  best.times.half_width =
      half_width_of(one / static_cast<double>(best.times.visits), horizontal_uT);
  return best;
}

}  // namespace

PlanNoise plan_noise(double noise_uT, double rate_Hz) {
  PlanNoise noise;
  noise.white_uT = noise_uT;
  noise.rate_Hz = rate_Hz;
  noise.correlated_uT = kCorrelatedShare * noise_uT;
  noise.correlation_s = kCorrelation_s;
  noise.walk_uT_per_sqrt_min = kWalk_uT_per_sqrt_min;
  noise.R_uT2_s = noise_uT * noise_uT / rate_Hz +
                  2.0 * noise.correlated_uT * noise.correlated_uT * noise.correlation_s;
  noise.q_uT2_per_s = kWalk_uT_per_sqrt_min * kWalk_uT_per_sqrt_min / 60.0;
  noise.time_scale_s = std::sqrt(noise.R_uT2_s / noise.q_uT2_per_s);
  return noise;
}

double PlanNoise::visit_variance_uT2(double dwell_s, double rest_s) const {
  const double hold = std::tanh(dwell_s / (2.0 * time_scale_s));
  const double rest = std::tanh(rest_s / time_scale_s);
  return std::sqrt(R_uT2_s * q_uT2_per_s) * (1.0 / hold + 1.0 / rest) / 2.0;
}

double counted_s(double with_ends) {
  return std::max(with_ends - 2.0 * kUncountedEnd_s, 0.5 * with_ends);
}

Angle half_width_of(double variance_uT2, double horizontal_uT) {
  const double half_uT = kNormal95 * std::sqrt(variance_uT2);
  return Angle::radians(std::asin(std::min(1.0, half_uT / horizontal_uT)));
}

PlanTimes plan_times(const std::vector<TimeNeeds>& needs, const PlanNoise& noise,
                     const PlanOptions& options) {
  PlanTimes best;
  std::size_t best_short = needs.size() + 1;
  double best_total_s = 0.0;
  for (double rest_s = kLeastHold_s; rest_s <= kLongestRest_s; rest_s += 1.0) {
    PlanTimes times{rest_s, {}};
    std::size_t too_short = 0;
    double total_s = 0.0;
    for (const TimeNeeds& need : needs) {
      const Reached reached = reach(need, rest_s, noise, options);
      if (!reached.times.enough) ++too_short;
      total_s += reached.total_s;
      times.states.push_back(reached.times);
    }
    if (too_short > best_short || (too_short == best_short && total_s >= best_total_s)) continue;
    best = std::move(times);
    best_short = too_short;
    best_total_s = total_s;
  }
  return best;
}

}  // namespace qn
