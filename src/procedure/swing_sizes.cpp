// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/swing_group_internal.h"

namespace qn {
namespace {

constexpr int kRounds = 8;
constexpr double kLongest = 0.7;  // step of a logarithm
// Nodes about the size found, as the sizes of one compass alone have them.
constexpr int kNodes = 9;
constexpr double kNodeStep = 1.25;

// Score and information of the logarithms of the sizes by restricted likelihood, with their prior.
struct SizeStep {
  std::size_t count = 0;
  std::vector<double> score, information;  // count x count
};

SizeStep step_at(const JointSystem& system, const std::vector<JointRow>& rows,
                 const SwingPrior& prior, const JointSizes& sizes) {
  const std::size_t n = rows.size(), compasses = sizes.reading.size();
  SizeStep out;
  out.count = compasses + 1;
  out.score.assign(out.count, 0.0);
  out.information.assign(out.count * out.count, 0.0);
  std::size_t visits = 0;
  for (const JointRow& row : rows) visits = std::max(visits, row.visit + 1);
  std::vector<double> reading2(compasses, 0.0);
  for (const JointRow& row : rows) reading2[row.compass] = row.reading_deg * row.reading_deg;
  const std::vector<double>& p = system.projector();
  // P times the columns of the stays, and the same once more.
  std::vector<double> onto(n * visits, 0.0), across(visits * visits, 0.0), left(visits, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      onto[i * visits + rows[j].visit] += p[i * n + j] * system.placing(j);
    }
    left[rows[i].visit] += system.placing(i) * system.left()[i];
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t v = 0; v < visits; ++v) {
      across[rows[i].visit * visits + v] += system.placing(i) * onto[i * visits + v];
    }
  }
  const std::size_t s = compasses;
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t c = rows[i].compass;
    const double own = sizes.reading[c] * reading2[c];
    out.score[c] += 0.5 * own * (system.left()[i] * system.left()[i] - p[i * n + i]);
    for (std::size_t j = 0; j < n; ++j) {
      const std::size_t d = rows[j].compass;
      out.information[c * out.count + d] +=
          0.5 * own * sizes.reading[d] * reading2[d] * p[i * n + j] * p[i * n + j];
    }
    for (std::size_t v = 0; v < visits; ++v) {
      const double both = 0.5 * own * onto[i * visits + v] * onto[i * visits + v];
      out.information[c * out.count + s] += both;
      out.information[s * out.count + c] += both;
    }
  }
  for (std::size_t v = 0; v < visits; ++v) {
    out.score[s] += 0.5 * (left[v] * left[v] - across[v * visits + v]);
    for (std::size_t w = 0; w < visits; ++w) {
      out.information[s * out.count + s] += 0.5 * across[v * visits + w] * across[v * visits + w];
    }
  }
  // Scaled inverse chi-square about 1.
  for (std::size_t a = 0; a < out.count; ++a) {
    const double size = a == s ? sizes.station : sizes.reading[a];
    out.score[a] += 0.5 * prior.shared_dof * (1.0 / size - 1.0);
    out.information[a * out.count + a] += 0.5 * prior.shared_dof;
  }
  return out;
}

// Gauss's elimination; the information is positive with its prior.
std::vector<double> solved(SizeStep at, std::vector<double> right) {
  const std::size_t n = at.count;
  for (std::size_t j = 0; j < n; ++j) {
    for (std::size_t i = j + 1; i < n; ++i) {
      const double times = at.information[i * n + j] / at.information[j * n + j];
      for (std::size_t l = j; l < n; ++l) {
        at.information[i * n + l] -= times * at.information[j * n + l];
      }
      right[i] -= times * right[j];
    }
  }
  for (std::size_t j = n; j-- > 0;) {
    for (std::size_t l = j + 1; l < n; ++l) right[j] -= at.information[j * n + l] * right[l];
    right[j] /= at.information[j * n + j];
  }
  return right;
}

// How firmly the scatter of one compass's readings is known: degrees of freedom of the chi-square
// with the same relative spread (Satterthwaite).
double freedom_of(const SizeStep& at, const JointSystem& system, const std::vector<JointRow>& rows,
                  const JointSizes& sizes, std::size_t compass) {
  std::vector<double> way(at.count, 0.0);
  double total = 0.0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i].compass != compass) continue;
    way[compass] += sizes.reading[compass] * rows[i].reading_deg * rows[i].reading_deg;
    way[at.count - 1] += system.placing(i) * system.placing(i);
    total += system.reading_variance(i) + system.placing(i) * system.placing(i);
  }
  for (double& w : way) w /= total;
  const auto spread = solved(at, way);
  double variance = 0.0;
  for (std::size_t a = 0; a < at.count; ++a) variance += way[a] * spread[a];
  return 2.0 / std::max(variance, 1e-6);
}

// What tilt adds, taken out of the information on the parameters when the noise is so large.
TiltSpread tilt_at(TiltEquations told, double size, SwingMatrix& information) {
  for (std::size_t t = 0; t < kTiltNumbers; ++t) {
    for (double& x : told.across[t]) x /= size * size;
    for (std::size_t u = 0; u < kTiltNumbers; ++u) {
      told.information[t][u] = told.information[t][u] / (size * size) + tilt_precision()[t][u];
    }
  }
  SwingParameters none{};
  return take_out(told, information, none);
}

SwingPosterior posterior_of(const JointSystem& system, const SwingParameters& theta,
                            const SwingParameters& sd, double freedom, double scale,
                            std::size_t compass, DeviationForm form) {
  SwingPosterior out;
  out.form = form;
  // What the readings tell, without what was believed before: that does not grow with the noise.
  auto tilted = system.told(compass);
  SwingMatrix told =
      tilted ? tilted->parameters : spread_of_information(system.covariance(compass)).covariance;
  for (std::size_t j = 0; j < kSwingParameters; ++j) told[j][j] -= 1.0 / (sd[j] * sd[j]);
  SwingPrior spread_prior;
  spread_prior.noise_dof = freedom;
  const SwingParameters step = system.step(compass);
  for (int k = -kNodes / 2; k <= kNodes / 2; ++k) {
    SwingNode node;
    const double size = std::pow(kNodeStep, k);
    node.scale = size * scale;
    node.log_weight = log_scale_prior(size, spread_prior);
    SwingMatrix information = told;
    for (std::size_t i = 0; i < kSwingParameters; ++i) {
      for (std::size_t j = 0; j < kSwingParameters; ++j) information[i][j] /= size * size;
      information[i][i] += 1.0 / (sd[i] * sd[i]);
    }
    if (tilted) node.tilt = tilt_at(tilted->tilt, size, information);
    node.spread = spread_of_information(information);
    for (std::size_t j = 0; j < kSwingParameters; ++j) node.theta[j] = theta[j] + step[j];
    if (node.tilt) node.tilt->mean = system.tilt(compass);
    if (node.spread.positive) out.nodes.push_back(node);
  }
  return out;
}

}  // namespace

std::vector<SwingPosterior> joint_posteriors(const std::vector<JointRow>& rows,
                                             const std::vector<CompassFit>& fits,
                                             const std::vector<SwingParameters>& theta) {
  const SwingPrior& prior = fits.front().prior;
  std::vector<SwingParameters> sd;
  for (const CompassFit& fit : fits) sd.push_back(fit.prior.sd);
  JointSizes sizes{std::vector<double>(fits.size(), 1.0), 1.0};
  for (int round = 0;; ++round) {
    const JointSystem system{rows, sd, prior, sizes};
    if (!system.good()) return {};
    const SizeStep at = step_at(system, rows, prior, sizes);
    const auto step = solved(at, at.score);
    double longest = 0.0;
    for (const double s : step) longest = std::max(longest, std::fabs(s));
    if (longest < 0.02 || round == kRounds) {
      std::vector<SwingPosterior> out;
      const double station2 = prior.station_sigma_deg * prior.station_sigma_deg;
      for (std::size_t c = 0; c < fits.size(); ++c) {
        const double reading2 = std::pow(fits[c].prior.reading_sigma_deg, 2);
        const double scale = std::sqrt((sizes.reading[c] * reading2 + sizes.station * station2) /
                                       (reading2 + station2));
        out.push_back(posterior_of(system, theta[c], sd[c], freedom_of(at, system, rows, sizes, c),
                                   scale, c, fits[c].form));
        if (out.back().nodes.empty()) return {};
      }
      return out;
    }
    for (std::size_t c = 0; c < fits.size(); ++c) {
      sizes.reading[c] *= std::exp(std::clamp(step[c], -kLongest, kLongest));
    }
    sizes.station *= std::exp(std::clamp(step.back(), -kLongest, kLongest));
  }
}

}  // namespace qn
