// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_posterior_mean.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "simulate/random.h"

namespace qn::accuracy {
namespace {

// A to E, half the lag between the turns, logarithm of the size of the noise.
constexpr int kParameters = 7;
using Point = Eigen::Matrix<double, kParameters, 1>;

// As the solver assumes when it is told nothing.
constexpr double kReading_deg = 0.7, kPlacing_deg = 0.7, kHalfLag_deg = 10.0;
constexpr double kIdle_deg = 0.25;

constexpr double kDegree = std::numbers::pi / 180.0;

/// Chance that a normal deviate of this scatter falls between two places.
double chance_between(double lo, double hi, double sigma) {
  const double scale = 1.0 / (sigma * std::numbers::sqrt2);
  // On the side where the tails keep their digits.
  return lo > 0.0 ? 0.5 * (std::erfc(lo * scale) - std::erfc(hi * scale))
                  : 0.5 * (std::erfc(-hi * scale) - std::erfc(-lo * scale));
}

class IntervalModel {
 public:
  explicit IntervalModel(const SwingTrial& trial)
      : rows_{trial.readings}, step_{trial.rounding_deg}, both_{trial.both_turns} {
    // The assumed size counts like the readings missing to 8 left over, 1 to 4
    // (docs/math/swing.md).
    const double left_over = static_cast<double>(rows_.size()) - (both_ ? 6.0 : 5.0);
    noise_dof_ = std::min(std::max(8.0 - left_over, 1.0), 4.0);
  }

  double log_density(const Point& at) const {
    const double size = std::exp(at[6]);
    double sum = -noise_dof_ * at[6] - 0.5 * noise_dof_ / (size * size);
    // Turned one way the readings say nothing of it (it is a part of A): any proper law will do.
    const double half_lag = both_ ? kHalfLag_deg : kIdle_deg;
    sum -= 0.5 * at[5] * at[5] / (half_lag * half_lag);
    double product = 1.0;
    for (const SwingReading& r : rows_) {
      const double turn = r.turn == SwingTurn::clockwise ? 1.0 : -1.0;
      const double stands = r.station_deg - (both_ ? turn * at[5] : 0.0);
      double shown = stands - at[0], slope = 0.0;
      for (int i = 0; i < 6; ++i) {
        const double z = shown * kDegree;
        const double s = std::sin(z), c = std::cos(z);
        const double off = at[0] + at[1] * s + at[2] * c + 2.0 * at[3] * s * c +
                           at[4] * (c * c - s * s) + shown - stands;
        slope =
            kDegree * (at[1] * c - at[2] * s + 2.0 * at[3] * (c * c - s * s) - 4.0 * at[4] * s * c);
        const double by = off / std::max(1.0 + slope, 0.3);
        shown -= by;
        if (std::fabs(by) < 1e-4) break;
      }
      const double placed = kPlacing_deg / std::max(1.0 + slope, 0.3);
      const double sigma = size * std::hypot(kReading_deg, placed);
      const double left = std::remainder(r.indicated_deg - shown, 360.0);
      product *= chance_between(left - 0.5 * step_, left + 0.5 * step_, sigma);
      if (product < 1e-200) {
        if (!(product > 0.0)) return -std::numeric_limits<double>::infinity();
        sum += std::log(product);
        product = 1.0;
      }
    }
    return sum + std::log(product);
  }

 private:
  const std::vector<SwingReading>& rows_;
  double step_;
  bool both_;
  double noise_dof_ = 4.0;
};

/// Where it is drawn: centre and root of a Student law of 5 degrees of freedom.
struct Proposal {
  Point centre = Point::Zero();
  Eigen::Matrix<double, kParameters, kParameters> root =
      Eigen::Matrix<double, kParameters, kParameters>::Zero();
};
constexpr double kProposalDof = 5.0, kWider = 1.25;

Proposal around(const SwingTrial& trial, const SwingCompass& about) {
  Proposal out;
  Eigen::Matrix<double, 5, 5> covariance;
  for (int i = 0; i < 5; ++i) {
    out.centre[i] = about.curve.coefficients_deg[static_cast<std::size_t>(i)];
    for (int j = 0; j < 5; ++j) {
      covariance(i, j) =
          about.covariance_deg2[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
    }
  }
  covariance(0, 0) -= 0.5 * 0.5;  // north is no matter of the readings
  const double lag = trial.both_turns ? 0.5 * about.hysteresis_sigma_deg : kIdle_deg;
  if (!trial.both_turns) covariance(0, 0) = std::max(covariance(0, 0), 0.04);
  out.root.topLeftCorner<5, 5>() = Eigen::LLT<Eigen::Matrix<double, 5, 5>>{covariance}.matrixL();
  out.centre[5] = trial.both_turns ? 0.5 * about.hysteresis_deg.value_or(0.0) : 0.0;
  out.root(5, 5) = lag;
  out.centre[6] =
      std::log(std::max(about.noise_deg, 0.05) / std::hypot(kReading_deg, kPlacing_deg));
  out.root(6, 6) = 0.35;
  out.root *= kWider;
  return out;
}

struct Weighed {
  Point mean = Point::Zero();
  double effective = 0.0;
  std::vector<double> weights;
};

Weighed weighed(const std::vector<Point>& points, const std::vector<double>& logs, double temper) {
  Weighed out;
  const double best = *std::max_element(logs.begin(), logs.end());
  double sum = 0.0, squares = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    out.weights.push_back(std::exp(temper * (logs[i] - best)));
    sum += out.weights.back();
    squares += out.weights.back() * out.weights.back();
    out.mean += out.weights.back() * points[i];
  }
  out.mean /= sum;
  for (double& w : out.weights) w /= sum;
  out.effective = sum * sum / squares;
  return out;
}

/// How far the weights must be softened for these draws to be worth as many as asked: 1 not at all.
double softened(const std::vector<Point>& points, const std::vector<double>& logs, double worth) {
  if (weighed(points, logs, 1.0).effective >= worth) return 1.0;
  double soft = 0.0, hard = 1.0;
  for (int i = 0; i < 12; ++i) {
    const double middle = 0.5 * (soft + hard);
    (weighed(points, logs, middle).effective >= worth ? soft : hard) = middle;
  }
  return soft;
}

/// A law about what the draws say, with their weights softened.
Proposal learnt(const std::vector<Point>& points, const std::vector<double>& logs,
                const Proposal& before, double temper) {
  const Weighed soft = weighed(points, logs, temper);
  Eigen::Matrix<double, kParameters, kParameters> covariance =
      1e-6 * before.root * before.root.transpose();
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!(soft.weights[i] > 0.0)) continue;
    const Point off = points[i] - soft.mean;
    covariance += soft.weights[i] * off * off.transpose();
  }
  return {soft.mean, Eigen::LLT<decltype(covariance)>{covariance}.matrixL()};
}

}  // namespace

PosteriorMean swing_posterior_mean(const SwingTrial& trial, const SwingCompass& about,
                                   std::uint64_t seed) {
  constexpr std::size_t kLearning = 4000, kAtOnce = 4000, kMost = 64000;
  constexpr double kWorth = 200.0, kLearnt = 400.0;
  constexpr int kRounds = 12;
  const IntervalModel model{trial};
  Proposal from = around(trial, about);
  simulate::Random random{seed, 37};
  std::vector<Point> points;
  std::vector<double> logs;
  const auto draw = [&](std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
      Point z;
      double chi2 = 0.0;
      for (int j = 0; j < kParameters; ++j) z[j] = random.normal();
      for (int j = 0; j < 5; ++j) chi2 += std::pow(random.normal(), 2);
      const double stretch = std::sqrt(kProposalDof / chi2);
      const double log_proposed = -0.5 * (kProposalDof + kParameters) *
                                  std::log1p(z.squaredNorm() * stretch * stretch / kProposalDof);
      points.push_back(from.centre + from.root * (stretch * z));
      logs.push_back(model.log_density(points.back()) - log_proposed);
    }
  };
  // What a round has taught moves the law; only draws from the last one count.
  for (int round = 0; round < kRounds; ++round) {
    points.clear(), logs.clear();
    draw(kLearning);
    const bool good = weighed(points, logs, 1.0).effective >= kLearnt;
    from = learnt(points, logs, from, softened(points, logs, kWorth));
    if (good) break;
  }
  points.clear(), logs.clear();
  PosteriorMean out;
  while (points.size() < kMost && out.effective < kEnoughDraws) {
    draw(kAtOnce);
    const Weighed now = weighed(points, logs, 1.0);
    out.effective = now.effective;
    for (std::size_t j = 0; j < 5; ++j) out.mean_deg[j] = now.mean[static_cast<int>(j)];
  }
  return out;
}

}  // namespace qn::accuracy
