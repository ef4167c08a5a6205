// SPDX-License-Identifier: Apache-2.0
#include "accuracy/disturbance_bound.h"

#include <Eigen/Dense>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "accuracy/disturbance_columns.h"
#include "simulate/random.h"

using namespace qn;
using namespace qn::accuracy;
using namespace qn::simulate;

namespace {

Device lamp() {
  Device out;
  out.name = "lamp";
  return out;
}

/// One lamp, worked so often, and nothing else going on.
DisturbanceSettings quiet(std::size_t passes) {
  DisturbanceSettings s;
  s.rate_Hz = 5.0;
  s.noise = {0.2, 0.0, 0.0};
  s.operator_habits.passes = passes;
  s.operator_habits.combination_dwell_s = 0.0;
  return s;
}

SimulatedRun made_with(const DisturbanceSettings& settings, std::uint64_t seed) {
  return make_disturbance_run({device_with_fields(lamp(), {{1.0, 2.0, -1.0}})}, settings, seed);
}

double on_samples(const SimulatedRun& made) {
  const TrueScript script = true_script(made);
  double count = 0.0;
  for (const double t : made.recording.time_s) {
    for (const TrueVisit& visit : script.visits) {
      if (t + 1e-9 >= visit.on_s && t + 1e-9 < visit.off_s) count += 1.0;
    }
  }
  return count;
}

}  // namespace

TEST_CASE("in white noise the bound is that of a difference of two means", "[closed-form]") {
  const SimulatedRun made = made_with(quiet(2), 7);
  const double on = on_samples(made);
  const double off = static_cast<double>(made.recording.size()) - on;
  const double expected = 0.2 * std::sqrt(1.0 / on + 1.0 / off);
  const auto bound = disturbance_bound(made);
  REQUIRE(bound[0].size() == 2);
  CHECK(bound[0][1].visits == 2);
  for (const double sd : bound[0][1].sd_uT) CHECK(sd == Approx(expected).epsilon(1e-4));
}

TEST_CASE("the bound in slow noise and drift is that of dense least squares", "[closed-form]") {
  DisturbanceSettings settings = quiet(1);
  settings.rate_Hz = 3.0;
  settings.noise = {0.1, 0.08, 1.5};
  settings.drift.wander_uT = 20.0;
  const SimulatedRun made = made_with(settings, 11);
  const TrueScript script = true_script(made);
  const std::vector<double>& t = made.recording.time_s;
  const auto n = static_cast<Eigen::Index>(t.size());
  // Twice integrated white noise from rest: E[w(s) w(t)] = q (s^2 t / 2 - s^3 / 6), s <= t.
  const double q = 20.0 * 20.0 / (1200.0 * 1200.0 * 1200.0 / 3.0);
  Eigen::MatrixXd V(n, n);
  Eigen::MatrixXd X(n, 2);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double ti = t[static_cast<std::size_t>(i)];
    X(i, 0) = 1.0;
    X(i, 1) = ti + 1e-9 >= script.visits[0].on_s && ti + 1e-9 < script.visits[0].off_s ? 1.0 : 0.0;
    for (Eigen::Index j = 0; j < n; ++j) {
      const double tj = t[static_cast<std::size_t>(j)];
      const double a = std::min(ti, tj);
      const double b = std::max(ti, tj);
      V(i, j) = q * (a * a * b / 2.0 - a * a * a / 6.0) + 0.08 * 0.08 * std::exp(-(b - a) / 1.5) +
                (i == j ? 0.1 * 0.1 : 0.0);
    }
  }
  const Eigen::MatrixXd covariance = (X.transpose() * V.llt().solve(X)).inverse();
  const double expected = std::sqrt(covariance(1, 1));
  CHECK(disturbance_bound(made)[0][1].sd_uT[0] == Approx(expected).epsilon(2e-4));
}

TEST_CASE("a step that was skipped tells nothing", "[synthetic]") {
  DisturbanceSettings settings = quiet(2);
  settings.operator_habits.skipped_share = 1.0;
  const auto bound = disturbance_bound(made_with(settings, 3));
  CHECK(bound[0][1].visits == 0);
  CHECK(std::isnan(bound[0][1].sd_uT[0]));
}

TEST_CASE("a substituted step tells of the device that was worked", "[synthetic]") {
  DisturbanceSettings settings = quiet(2);
  settings.operator_habits.substituted_share = 1.0;
  Device fan;
  fan.name = "fan";
  const auto made = make_disturbance_run(
      {device_with_fields(lamp(), {{1.0, 0.0, 0.0}}), device_with_fields(fan, {{0.0, 1.0, 0.0}})},
      settings, 5);
  for (const TrueVisit& visit : true_script(made).visits) {
    const auto middle = 0.5 * (visit.on_s + visit.off_s);
    std::size_t k = 0;
    while (made.recording.time_s[k] < middle) ++k;
    // What stands in the trace is the field of the device that the script names.
    const std::size_t axis = visit.device;
    const double rest = made.truth.earth_body_uT[axis];
    CHECK(made.recording.field[axis][k] - rest == Approx(1.0).margin(0.8));
  }
  const auto bound = disturbance_bound(made);
  CHECK(bound[0][1].visits + bound[1][1].visits == 4);
}

TEST_CASE("an airframe that moves unseen puts a floor under the bound", "[closed-form]") {
  DisturbanceSettings settings = quiet(3);
  settings.heading_deg = 0.0;
  settings.tilt.size_deg = {0.2, 0.2};
  Device gear = lamp();
  gear.kind = DeviceKind::moving;
  const auto made =
      make_disturbance_run({device_with_fields(gear, {{1.0, 0.0, 0.0}})}, settings, 5);
  const double still = disturbance_bound(made_with(quiet(3), 5))[0][1].sd_uT[0];
  // Heading north, level: pitch by e turns Z into x, roll by e turns Z into y.
  const double floor = 45.0 * 0.2 * 3.14159265358979 / 180.0 / std::sqrt(2.0);
  const auto sd = disturbance_bound(made)[0][1].sd_uT;
  CHECK(sd[0] == Approx(std::hypot(floor, still)).epsilon(0.01));
  CHECK(sd[1] == Approx(std::hypot(floor, still)).epsilon(0.01));
}

TEST_CASE("the variance of a step's moment is that of simulated posteriors", "[synthetic]") {
  // The posterior of the moment of a step of known size, worked out on a grid of samples, 600 times
  // each: its mean variance is known to about 5 %.
  Random random{17};
  for (const double prior_sd : {6.0, 15.0}) {
    for (const double jump : {0.05, 0.2, 0.4, 0.8, 1.5}) {
      const auto reach = static_cast<int>(5.0 * prior_sd);
      const auto n = static_cast<std::size_t>(2 * reach + 1);
      double sum = 0.0;
      constexpr int kTimes = 600;
      for (int i = 0; i < kTimes; ++i) {
        const int at =
            std::clamp(static_cast<int>(std::lround(prior_sd * random.normal())), -reach, reach);
        std::vector<double> log_weight(n, 0.0);
        const auto middle = static_cast<std::size_t>(at + reach);
        const auto further = [&] { return -0.5 * jump * jump + jump * random.normal(); };
        for (std::size_t k = middle + 1; k < n; ++k) log_weight[k] = log_weight[k - 1] + further();
        for (std::size_t k = middle; k-- > 0;) log_weight[k] = log_weight[k + 1] + further();
        double weight = 0.0, first = 0.0, second = 0.0;
        for (std::size_t k = 0; k < n; ++k) {
          const double d = static_cast<double>(k) - reach;
          const double w = std::exp(log_weight[k] - 0.5 * d * d / (prior_sd * prior_sd));
          weight += w;
          first += w * d;
          second += w * d * d;
        }
        sum += second / weight - first * first / (weight * weight);
      }
      CHECK(moment_variance(jump, prior_sd) == Approx(sum / kTimes).epsilon(0.2));
    }
  }
  CHECK(moment_variance(0.4, 0.0) == 0.0);
}

TEST_CASE("moments to be found cost what one reading at the switch is worth", "[closed-form]") {
  // White noise, one lamp: an unknown moment adds (jump / samples)^2 times its variance, where
  // samples is how many the mean next to it rests on.
  DisturbanceSettings settings = quiet(1);
  settings.marks.jitter_sigma_s = 0.6;
  const SimulatedRun made = made_with(settings, 7);
  const double on = on_samples(made);
  const double off = static_cast<double>(made.recording.size()) - on;
  const double jump = std::sqrt(1.0 + 4.0 + 1.0) / 0.2;
  const double variance = moment_variance(jump, 0.6 * settings.rate_Hz);
  const auto bound = disturbance_bound(made)[0][1];
  const double per_reading[] = {1.0, 2.0, -1.0};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    // At the beginning the reading belongs to the lamp being on, at the end to its being off.
    const double pull =
        per_reading[axis] * per_reading[axis] * (1.0 / (on * on) + 1.0 / (off * off)) * variance;
    const double more = std::pow(bound.finding_uT[axis], 2) - std::pow(bound.sd_uT[axis], 2);
    CHECK(more == Approx(pull).epsilon(2e-3));
  }
}
