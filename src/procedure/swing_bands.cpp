// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_compass_internal.h"
#include "procedure/swing_mixture_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr std::size_t kDraws = 800;
// A coefficient whose band is no narrower than this share of what was believed before is not told
// by the readings.
constexpr double kTold = 0.6;

std::vector<SwingRow> rows_without(const CompassFit& fit, const GrossSet& set) {
  std::vector<SwingRow> out;
  for (std::size_t i = 0; i < fit.rows.size(); ++i) {
    if (std::find(set.rows.begin(), set.rows.end(), i) == set.rows.end()) {
      out.push_back(fit.rows[i]);
    }
  }
  return out;
}

double share_of(const CompassFit& fit, std::size_t k) {
  double total = 0.0;
  for (std::size_t i = 0; i < fit.posteriors.size(); ++i) total += fit.sets[i].probability;
  return fit.sets[k].probability / total;
}

// From every opinion in proportion to its probability.
std::vector<SwingParameters> all_draws(const CompassFit& fit) {
  std::vector<SwingParameters> out;
  out.reserve(kDraws);
  for (std::size_t k = fit.posteriors.size(); k-- > 0;) {
    const double share = share_of(fit, k) * static_cast<double>(kDraws);
    const std::size_t count =
        k == 0 ? kDraws - out.size() : 2 * static_cast<std::size_t>(std::lround(0.5 * share));
    if (count == 0) continue;
    draw_swing(rows_without(fit, fit.sets[k]), fit.posteriors[k], fit.prior, out.size(), count,
               out);
  }
  return out;
}

// Of many draws about 0 only the outer ones are put in order.
std::pair<double, double> outer_95(const std::vector<double>& off, std::vector<double>& kept) {
  double squares = 0.0;
  for (const double x : off) squares += x * x;
  const double sigma = std::sqrt(squares / static_cast<double>(off.size()));
  const auto cut = static_cast<std::size_t>(0.025 * static_cast<double>(off.size()));
  const auto outer = [&](double sign) {
    double from = 1.3 * sigma;
    do {
      kept.clear();
      for (const double x : off) {
        if (sign * x >= from) kept.push_back(sign * x);
      }
      from -= 0.5 * sigma + 1e-12;
    } while (kept.size() <= cut);
    std::nth_element(kept.begin(), kept.begin() + static_cast<std::ptrdiff_t>(cut), kept.end(),
                     std::greater<>{});
    return sign * kept[cut];
  };
  return {outer(-1.0), outer(1.0)};
}

/// The law of A..E and h/2: normal laws while rounding is fine, else only its draws.
class SwingLaw {
 public:
  SwingLaw(const CompassFit& fit, const std::vector<SwingParameters>& draws, double north_deg)
      : draws_{draws}, north_deg_{north_deg} {
    for (std::size_t k = 0; k < fit.posteriors.size(); ++k) {
      const SwingPosterior& posterior = fit.posteriors[k];
      normal_ = normal_ && !coarsely_rounded(posterior, fit.prior);
      const double best = posterior.likeliest().log_weight;
      double total = 0.0;
      for (const SwingNode& node : posterior.nodes) total += std::exp(node.log_weight - best);
      for (const SwingNode& node : posterior.nodes) {
        nodes_.push_back(&node);
        mixture_.weights.push_back(share_of(fit, k) * std::exp(node.log_weight - best) / total);
      }
    }
    mixture_.means.resize(nodes_.size());
    mixture_.sigmas.resize(nodes_.size());
    off_.resize(draws.size());
    for (std::size_t j = 0; j < kSwingParameters; ++j) {
      SwingParameters way{};
      way[j] = 1.0;
      mean_[j] = mean_along(way);
    }
  }

  const SwingParameters& mean() const { return mean_; }

  SwingMatrix covariance() const {
    SwingMatrix out{};
    const auto add = [&](const SwingParameters& at, double weight) {
      for (std::size_t i = 0; i < kSwingParameters; ++i) {
        for (std::size_t j = 0; j < kSwingParameters; ++j) {
          out[i][j] += weight * (at[i] - mean_[i]) * (at[j] - mean_[j]);
        }
      }
    };
    if (normal_) {
      for (std::size_t k = 0; k < nodes_.size(); ++k) {
        add(nodes_[k]->theta, mixture_.weights[k]);
        for (std::size_t i = 0; i < kSwingParameters; ++i) {
          for (std::size_t j = 0; j < kSwingParameters; ++j) {
            out[i][j] += mixture_.weights[k] * nodes_[k]->spread.covariance[i][j];
          }
        }
      }
    } else {
      for (const SwingParameters& d : draws_) add(d, 1.0 / static_cast<double>(draws_.size()));
    }
    out[0][0] += north_deg_ * north_deg_;
    return out;
  }

  /// 95 % of way'(theta - mean), north included.
  std::pair<double, double> band_95(const SwingParameters& way) {
    const double north = way[0] * north_deg_;
    if (!normal_) {
      for (std::size_t d = 0; d < draws_.size(); ++d) {
        off_[d] = north * swing_numbers(d)[kSwingParameters] + along(way, draws_[d]);
      }
      return outer_95(off_, kept_);
    }
    for (std::size_t k = 0; k < nodes_.size(); ++k) {
      mixture_.means[k] = along(way, nodes_[k]->theta);
      mixture_.sigmas[k] = std::sqrt(quadratic(nodes_[k]->spread.covariance, way) + north * north);
    }
    return mixture_.band_95();
  }

 private:
  double along(const SwingParameters& way, const SwingParameters& theta) const {
    double sum = 0.0;
    for (std::size_t j = 0; j < kSwingParameters; ++j) sum += way[j] * (theta[j] - mean_[j]);
    return sum;
  }
  double mean_along(const SwingParameters& way) const {
    double sum = 0.0;
    if (normal_) {
      for (std::size_t k = 0; k < nodes_.size(); ++k) {
        sum += mixture_.weights[k] * along(way, nodes_[k]->theta);
      }
      return sum;
    }
    for (const SwingParameters& d : draws_) sum += along(way, d);
    return sum / static_cast<double>(draws_.size());
  }

  const std::vector<SwingParameters>& draws_;
  double north_deg_;
  bool normal_ = true;
  std::vector<const SwingNode*> nodes_;
  NormalMixture mixture_;
  std::vector<double> off_, kept_;
  SwingParameters mean_{};
};

void fill_coefficients(SwingCompass& compass, const CompassFit& fit, const SwingSettings& settings,
                       SwingLaw& law) {
  const SwingMatrix covariance = law.covariance();
  for (std::size_t i = 0; i < 5; ++i) {
    SwingParameters way{};
    way[i] = 1.0;
    const auto [lo, hi] = law.band_95(way);
    compass.band_95_deg[i] = {law.mean()[i] + lo, law.mean()[i] + hi};
    for (std::size_t j = 0; j < 5; ++j) compass.covariance_deg2[i][j] = covariance[i][j];
    compass.sigma_deg[i] = std::sqrt(covariance[i][i]);
    const double before = std::hypot(fit.prior.sd[i], i == 0 ? settings.north_sigma_deg : 0.0);
    compass.supported[i] = compass.sigma_deg[i] < kTold * before;
  }
  if (fit.both_turns) {
    compass.hysteresis_deg = 2.0 * law.mean()[5];
    compass.hysteresis_sigma_deg = 2.0 * std::sqrt(covariance[5][5]);
  }
}

void fill_curve(SwingCompass& compass, SwingLaw& law) {
  SwingShape shape = peak_of(compass.curve, compass.draws_deg);
  compass.worst_deviation_deg = shape.worst_deg;
  compass.worst_at_deg = shape.worst_at_deg;
  compass.worst_95_deg = shape.worst_95_deg;
  compass.points = std::move(shape.points);
  for (SwingPoint& point : compass.points) {
    const auto ways = compass.curve.at(point.indicated_deg).per_coefficient;
    const auto [lo, hi] = law.band_95({ways[0], ways[1], ways[2], ways[3], ways[4], 0.0});
    point.lo_deg += lo;
    point.hi_deg += hi;
  }
}

}  // namespace

void fill_bands(SwingCompass& compass, const CompassFit& fit, const SwingSettings& settings) {
  const std::vector<SwingParameters> draws = all_draws(fit);
  SwingLaw law{fit, draws, settings.north_sigma_deg};
  const SwingParameters mean = law.mean();
  compass.solved = true;
  compass.curve = curve_of(fit.form, mean);
  compass.draws_deg.reserve(5 * draws.size());
  for (std::size_t d = 0; d < draws.size(); ++d) {
    // The seventh number: north knows nothing of the fit.
    compass.draws_deg.push_back(draws[d][0] +
                                settings.north_sigma_deg * swing_numbers(d)[kSwingParameters]);
    compass.draws_deg.insert(compass.draws_deg.end(), draws[d].begin() + 1, draws[d].begin() + 5);
  }
  fill_coefficients(compass, fit, settings, law);
  fill_curve(compass, law);
  SwingTilt tilt{};
  if (fit.prior.tilted) {
    std::vector<double> shares;
    for (std::size_t k = 0; k < fit.posteriors.size(); ++k) shares.push_back(share_of(fit, k));
    const TiltLaw tilted = tilt_law(fit, shares);
    tilt = tilted.mean;
    compass.stance = stance_of(fit, tilted);
  }
  compass.noise_deg = fit.posteriors.front().mean_scale() * fit.prior.sigma(0.0);
  for (const SwingRow& row : fit.rows) {
    const double foretold =
        curve_on_stop(compass.curve, row, tilt).deviation_deg(row.indicated_deg) +
        row.turn * (fit.both_turns ? mean[5] : 0.0);
    compass.residuals_deg.push_back(wrap_180_deg(row.station_deg - row.indicated_deg - foretold));
  }
  compass.lack_of_fit_p = swing_lack_of_fit(fit, mean, tilt, fit.sets.front().rows);
}

}  // namespace qn
