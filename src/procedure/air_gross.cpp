// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

#include "estimation/log_sum.h"
#include "procedure/air_gross_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// The sizes of the noise are believed like this many readings at least: a scatter several times
// the assumed one is rarer than a wrong reading.
constexpr double kFirmSizes = 12.0;
constexpr double kAskedFor = 0.002;  // opinions less likely than that are not worth a fit
constexpr std::size_t kFewestOthers = 3;
constexpr double kGrossRad = std::numbers::pi / 180.0;
constexpr double kNudge = 1e-3;
// A heading off by 10 is seen when that is three sigma of what the others foretell.
constexpr double kMisread_deg = 10.0, kSeen = 3.0;
// Shifts tried, in degrees or knots: how far apart, how far on at once, how vague at most (1 sigma
// of 40).
constexpr double kApart = 2.0, kFarthest = 15.0, kFlattest = 1.0 / (40.0 * 40.0);

double firmer(const AirScales& s, double dof) {
  const double more = std::max(kFirmSizes - dof, 0.0);
  const auto log_prior = [](double x) { return -std::log(x) - 0.5 / (x * x); };
  return more * (log_prior(s.heading) + log_prior(s.velocity));
}

double log_evidence(const AirPosterior& posterior, double dof) {
  std::vector<double> logs;
  for (const AirNode& n : posterior.nodes) logs.push_back(n.log_weight + firmer(n.scales, dof));
  return log_sum(logs);
}

// Without its heading a leg still tells that its air velocity lies on the circle; without its track
// or its speed it tells little, and nothing of it is used.
std::vector<AirRow> without_reading(const AirFit& fit, std::size_t row, AirReading kind) {
  std::vector<AirRow> out = fit.rows;
  if (kind == AirReading::heading) {
    out[row].indicated_deg.reset();
  } else {
    out.erase(out.begin() + static_cast<std::ptrdiff_t>(row));
  }
  return out;
}

/// How a reading that is off by a shift agrees with the other legs: exp(log_height) times a normal
/// law's shape about `middle`, by one size of the noise.
struct ShiftLaw {
  double log_height = 0.0, middle = 0.0, variance = 1.0;
};

double& reading_of(AirRow& row, AirReading kind) {
  if (kind == AirReading::heading) return *row.indicated_deg;
  return kind == AirReading::track ? *row.track_deg : row.groundspeed_kt;
}

/// One node of the noise, and a leg it did not see whole.
class Foretold {
 public:
  Foretold(const AirFit& fit, const AirNode& node) : fit_{fit}, node_{node} {}

  /// The node knows the leg's ground velocity: what is left is the heading beside it.
  ShiftLaw of_heading(const AirRow& row) const {
    const AirPrior& prior = fit_.prior;
    const DeviationForm form = fit_.posterior.form;
    const double there = air_foretold(row, AirReading::heading, form, node_.theta, prior);
    std::vector<double> slopes(kAirParameters);
    for (std::size_t j = 0; j < kAirParameters; ++j) {
      AirParameters moved = node_.theta;
      moved[j] += kNudge;
      slopes[j] =
          wrap_180_deg(air_foretold(row, AirReading::heading, form, moved, prior) - there) / kNudge;
    }
    const auto [east, north] = air_velocity(row, node_.theta);
    const double slope = air_curve(form, node_.theta).at(there).slope;
    const double per_deg = std::hypot(east, north) * (1.0 + slope) * kGrossRad;
    // Of the ground velocity's own errors, what lies across the nose.
    const double turn = std::atan2(east, north) - *row.track_deg * kGrossRad;
    const double cross = row.groundspeed_kt * prior.track_sigma_deg * kGrossRad;
    const double velocity = std::pow(prior.wind_sigma_kt, 2) + std::pow(cross * std::cos(turn), 2) +
                            std::pow(prior.speed_sigma_kt * std::sin(turn), 2);
    ShiftLaw out;
    out.middle = wrap_180_deg(*row.indicated_deg - there);
    out.variance = std::pow(node_.scales.heading * prior.heading_sigma_deg, 2) +
                   std::pow(node_.scales.velocity / per_deg, 2) * velocity +
                   propagate(slopes, 1, node_.covariance)(0, 0);
    out.log_height = -std::log(std::fabs(per_deg)) - 0.5 * std::log(out.variance);
    return out;
  }

  /// The node knows nothing of the leg: track or speed as the rest of it foretells. Three shifts
  /// about the likeliest; there the logarithm of the density is a parabola.
  std::optional<ShiftLaw> of_velocity(const AirRow& row, AirReading kind) const {
    double middle = first_shift(row, kind);
    for (int tries = 0; tries < 6; ++tries) {
      std::array<double, 3> logs{};
      for (std::size_t k = 0; k < 3; ++k) {
        AirRow moved = row;
        double& reading = reading_of(moved, kind);
        reading -= middle + kApart * (static_cast<double>(k) - 1.0);
        if (kind == AirReading::speed) reading = std::max(reading, 1.0);
        logs[k] = log_density(moved);
      }
      const double bend = -(logs[0] - 2.0 * logs[1] + logs[2]) / (kApart * kApart);
      if (!(bend > kFlattest)) return std::nullopt;
      const double slope = (logs[2] - logs[0]) / (2.0 * kApart);
      const double move = slope / bend;
      if (std::fabs(move) < kApart) {
        return ShiftLaw{logs[1] + 0.5 * slope * move, middle + move, 1.0 / bend};
      }
      middle += std::clamp(move, -kFarthest, kFarthest);
    }
    return std::nullopt;
  }

 private:
  double log_density(const AirRow& row) const {
    AirNuisance at{*row.indicated_deg, airspeed_of(row, node_.theta)};
    const AirLegView view =
        view_air_leg(row, fit_.posterior.form, node_.theta, fit_.prior, node_.scales, at);
    std::vector<double> jacobian;
    for (std::size_t k = 0; k < view.rows; ++k) {
      jacobian.insert(jacobian.end(), view.gradient[k].begin(), view.gradient[k].end());
    }
    SquareMatrix spread = propagate(jacobian, view.rows, node_.covariance);
    for (std::size_t k = 0; k < view.rows; ++k) spread(k, k) += 1.0;
    const SquareMatrix weight = inverse(spread);
    if (weight.size == 0) return -1e9;
    double squared = 0.0;
    for (std::size_t i = 0; i < view.rows; ++i) {
      for (std::size_t j = 0; j < view.rows; ++j) {
        squared += view.residual[i] * weight(i, j) * view.residual[j];
      }
    }
    return -0.5 * (squared + view.log_determinant + log_determinant(spread));
  }

  double first_shift(const AirRow& row, AirReading kind) const {
    AirRow read = row;
    const double off = reading_of(read, kind) -
                       air_foretold(row, kind, fit_.posterior.form, node_.theta, fit_.prior);
    return kind == AirReading::speed ? off : wrap_180_deg(off);
  }

  const AirFit& fit_;
  const AirNode& node_;
};

struct JudgedReading {
  double log_odds = 0.0;  ///< with the evidence of the other legs
  const char* likely = "";
};

/// others  the posterior that does not know the reading: of a heading it knows the leg's velocity,
///         of a track or speed nothing of the leg
std::optional<JudgedReading> judge_reading(const AirFit& fit, const AirPosterior& others,
                                           std::size_t i, AirReading kind) {
  const AirRow& row = fit.rows[i];
  std::vector<ShiftLaw> laws;
  for (const AirNode& node : others.nodes) {
    const Foretold leg{fit, node};
    auto law = kind == AirReading::heading ? std::optional{leg.of_heading(row)}
                                           : leg.of_velocity(row, kind);
    if (!law) continue;
    law->log_height += node.log_weight + firmer(node.scales, fit.prior.noise_dof);
    laws.push_back(*law);
  }
  if (laws.empty()) return std::nullopt;
  double best = -1e300;
  for (const ShiftLaw& law : laws) best = std::max(best, law.log_height);
  AirRow read = row;
  double free_share = 1.0, total = 0.0, most = 0.0;
  JudgedReading out;
  const auto add = [&](double part, const char* name) {
    total += part;
    if (part > most) {
      most = part;
      out.likely = name;
    }
  };
  const bool turns = kind != AirReading::speed;
  for (const AirCause& cause : air_causes_of(kind, reading_of(read, kind), fit.by_hand)) {
    free_share -= cause.share;
    double part = 0.0;
    for (const ShiftLaw& law : laws) {
      const double off = law.middle - cause.shift;
      const double away = turns ? wrap_180_deg(off) : off;
      part += std::exp(law.log_height - best - 0.5 * away * away / law.variance);
    }
    add(cause.share * part, cause.name);
  }
  double part = 0.0;
  for (const ShiftLaw& law : laws) {
    part += std::exp(law.log_height - best) * std::sqrt(2.0 * std::numbers::pi * law.variance) *
            air_stray_density(kind, law.middle, law.variance);
  }
  add(free_share * part, kNoPattern);
  const double chance = air_wrong_chance(kind, fit.by_hand);
  out.log_odds = best + std::log(total) + std::log(chance / (1.0 - chance));
  return out;
}

}  // namespace

bool air_readings_weighed(const AirFit& fit) { return fit.rows.size() > kFewestOthers; }

void weigh_air_opinions(AirFit& fit) {
  std::vector<AirOpinion> out(1);
  out.front().posterior = fit.posterior;
  std::vector<double> log_odds = {log_evidence(fit.posterior, fit.prior.noise_dof)};
  const auto weigh = [&](std::size_t i, AirReading kind, const AirPosterior& others) {
    if (!tells_wind(fit, others.likeliest())) return;
    const auto judged = judge_reading(fit, others, i, kind);
    if (!judged) return;
    out.push_back({i, kind, judged->likely, 0.0, others});
    log_odds.push_back(judged->log_odds);
  };
  for (std::size_t i = 0; i < fit.rows.size() && air_readings_weighed(fit); ++i) {
    if (!can_be_doubted(fit.rows[i])) continue;
    const auto fitted = [&](AirReading kind) {
      return fit_air_rows(without_reading(fit, i, kind), fit.posterior.form, fit.prior,
                          fit.posterior.likeliest().theta);
    };
    const AirPosterior beside = fitted(AirReading::heading);
    weigh(i, AirReading::heading, beside);
    const bool told = tells_wind(fit, beside.likeliest());
    const double variance = Foretold{fit, beside.likeliest()}.of_heading(fit.rows[i]).variance;
    if (!told || kSeen * std::sqrt(variance) > kMisread_deg) fit.unchecked.push_back(i);
    const AirPosterior rest = fitted(AirReading::speed);
    for (const AirReading kind : {AirReading::track, AirReading::speed}) weigh(i, kind, rest);
  }
  const double all = log_sum(log_odds);
  for (std::size_t k = 0; k < out.size(); ++k) out[k].probability = std::exp(log_odds[k] - all);
  std::erase_if(out, [](const AirOpinion& o) { return o.row && o.probability < kAskedFor; });
  double kept = 0.0;
  for (const AirOpinion& o : out) kept += o.probability;
  for (AirOpinion& o : out) o.probability /= kept;
  std::stable_sort(out.begin(), out.end(), [](const AirOpinion& a, const AirOpinion& b) {
    return a.probability > b.probability;
  });
  fit.opinions = std::move(out);
}

}  // namespace qn
