// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/swing_adjust_internal.h"
#include "procedure/swing_compass_internal.h"

namespace qn {
namespace {

// Tilts that no band shows are not spoken of.
constexpr double kSpokenOf_deg = 1.0;
// From this share of the sigmas of B and C on, levelling the aircraft is what would help.
constexpr double kMostOfIt = 0.7;

// "10.2 deg nose up and 1.0 deg left wing down".
std::string stood(double pitch_deg, double roll_deg) {
  std::string out =
      fmt::format("{:.1f} deg {}", std::fabs(pitch_deg), pitch_deg < 0.0 ? "nose down" : "nose up");
  if (std::fabs(roll_deg) >= 0.05) {
    out += fmt::format(" and {:.1f} deg {} wing down", std::fabs(roll_deg),
                       roll_deg > 0.0 ? "right" : "left");
  }
  return out;
}

}  // namespace

TiltLaw tilt_law(const CompassFit& fit, const std::vector<double>& shares) {
  TiltLaw out;
  const auto each = [&](const auto& use) {
    for (std::size_t k = 0; k < fit.posteriors.size(); ++k) {
      const SwingPosterior& posterior = fit.posteriors[k];
      const double best = posterior.likeliest().log_weight;
      double total = 0.0;
      for (const SwingNode& node : posterior.nodes) total += std::exp(node.log_weight - best);
      for (const SwingNode& node : posterior.nodes) {
        if (node.tilt) use(node, shares[k] * std::exp(node.log_weight - best) / total);
      }
    }
  };
  each([&](const SwingNode& node, double weight) {
    for (std::size_t t = 0; t < kTiltNumbers; ++t) out.mean[t] += weight * node.tilt->mean[t];
  });
  each([&](const SwingNode& node, double weight) {
    const TiltMatrix covariance = node.tilt->covariance_with(node.spread.covariance);
    for (std::size_t t = 0; t < kTiltNumbers; ++t) {
      for (std::size_t u = 0; u < kTiltNumbers; ++u) {
        out.covariance[t][u] +=
            weight * (covariance[t][u] +
                      (node.tilt->mean[t] - out.mean[t]) * (node.tilt->mean[u] - out.mean[u]));
      }
    }
  });
  return out;
}

SwingStance stance_of(const CompassFit& fit, const TiltLaw& law) {
  SwingStance out;
  for (const SwingRow& row : fit.rows) {
    out.pitch_deg += row.pitch_deg / static_cast<double>(fit.rows.size());
    out.roll_deg += row.roll_deg / static_cast<double>(fit.rows.size());
    out.most_deg = std::max({out.most_deg, std::fabs(row.pitch_deg), std::fabs(row.roll_deg)});
  }
  out.per_deg = law.mean;
  for (std::size_t t = 0; t < kTiltNumbers; ++t) {
    out.sigma_per_deg[t] = std::sqrt(law.covariance[t][t]);
  }
  const auto sigma = [&](std::size_t of) {
    const double p = out.pitch_deg, r = out.roll_deg;
    return std::sqrt(p * p * law.covariance[of][of] + 2.0 * p * r * law.covariance[of][of + 1] +
                     r * r * law.covariance[of + 1][of + 1]);
  };
  out.b_sigma_deg = sigma(0);
  out.c_sigma_deg = sigma(2);
  return out;
}

void fill_tilt_words(SwingCompass& compass, const std::vector<SwingReading>& readings) {
  if (!compass.stance || compass.stance->most_deg < kSpokenOf_deg) return;
  const SwingStance& stance = *compass.stance;
  compass.remarks.push_back(fmt::format(
      "The aircraft stood tilted, up to {:.1f} deg, on the mean {}. A to E are those of the level "
      "aircraft: what the iron below and above a compass adds when it is tilted (of a compass that "
      "keeps itself level; 1 sigma 0.2 deg of B or C for each degree, assumed) stands in their "
      "bands, on the mean {:.1f} deg in B and {:.1f} deg in C (1 sigma).",
      stance.most_deg, stood(stance.pitch_deg, stance.roll_deg), stance.b_sigma_deg,
      stance.c_sigma_deg));
  const auto missing = std::count_if(readings.begin(), readings.end(), [](const SwingReading& r) {
    return !std::isfinite(r.roll_deg) || !std::isfinite(r.pitch_deg);
  });
  if (missing > 0) {
    compass.remarks.push_back(
        fmt::format("Roll or pitch of {} of its {} readings was not given: they are taken to have "
                    "stood like the others, or level where none was given.",
                    missing, readings.size()));
  }
  const double all = std::hypot(compass.sigma_deg[1], compass.sigma_deg[2]);
  if (compass.verdict.limit && compass.verdict.state == VerdictState::unproven &&
      compass.suspects.empty() &&
      std::hypot(stance.b_sigma_deg, stance.c_sigma_deg) > kMostOfIt * all) {
    compass.verdict.do_next =
        "bring the aircraft into the attitude of level flight (tail on a trestle, struts even) and "
        "swing again: most of the band is what its tilt may have added";
  }
}

void doubt_tilted(SwingAdjustment& out, const std::vector<SwingReading>& readings) {
  std::vector<SwingRow> rows(readings.size());
  take_attitudes(rows, readings);
  double pitch = 0.0, roll = 0.0;
  for (const SwingRow& row : rows) {
    pitch += row.pitch_deg / static_cast<double>(rows.size());
    roll += row.roll_deg / static_cast<double>(rows.size());
  }
  if (std::max(std::fabs(pitch), std::fabs(roll)) < kSpokenOf_deg) return;
  const auto [b, c] = tilt_sigmas_deg(pitch, roll);
  out.remarks.push_back(fmt::format(
      "The aircraft stands tilted, on the mean {}: screws are set for it as it stands. Level, B "
      "may "
      "be another by {:.1f} deg and C by {:.1f} deg (1 sigma, assumed), which is not in the bands "
      "here. Adjust in the attitude of level flight.",
      stood(pitch, roll), b, c));
  Verdict& verdict = out.verdict;
  const double more = 1.96 * std::hypot(b, c);
  if (verdict.state != VerdictState::within ||
      out.worst_after_95_deg.second + more <= verdict.limit->value.in_deg()) {
    return;
  }
  verdict.state = VerdictState::unproven;
  verdict.because += "; level, it may be more";
}

}  // namespace qn
