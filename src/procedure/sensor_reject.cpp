// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/sensor_reject_internal.h"

namespace qn::sensor_model {
namespace {

constexpr double kJoin_s = 1.0;   // a person passes for seconds: gross samples this close are one
constexpr double kCalm_s = 0.25;  // means over twice this time show a skirt that samples do not
constexpr double kSkirt = 2.0;    // a mean this far off still belongs to the disturbance

// Means over +-kCalm_s, each over their own robust scale; empty where there is nothing to say.
std::vector<double> calm_scores(const std::vector<double>& time_s,
                                const std::vector<double>& values) {
  if (values.empty()) return {};
  std::vector<double> means(values.size(), 0.0);
  std::size_t from = 0;
  std::size_t to = 0;
  double sum = 0.0;
  double count = 0.0;
  const auto take = [&](std::size_t k, double sign) {
    if (!std::isfinite(values[k])) return;
    sum += sign * values[k];
    count += sign;
  };
  for (std::size_t k = 0; k < values.size(); ++k) {
    while (to < values.size() && time_s[to] <= time_s[k] + kCalm_s) take(to++, 1.0);
    while (time_s[from] < time_s[k] - kCalm_s) take(from++, -1.0);
    means[k] = count > 0.5 ? std::abs(sum / count) : 0.0;
  }
  std::vector<double> sorted;
  const std::size_t stride = std::max<std::size_t>(1, means.size() / 20000);
  for (std::size_t k = 0; k < means.size(); k += stride) sorted.push_back(means[k]);
  const double scale = std::max(1.4826 * quantile(sorted, 0.5), 1e-9);
  for (double& mean : means) mean /= scale;
  return means;
}

std::vector<std::size_t> gross_samples(const std::vector<ResidualKind>& kinds, std::size_t n,
                                       double gross_sigma) {
  std::vector<std::size_t> out;
  for (std::size_t k = 0; k < n; ++k) {
    const bool far = std::any_of(kinds.begin(), kinds.end(), [&](const ResidualKind& kind) {
      return !kind.values->empty() && std::abs((*kind.values)[k]) > gross_sigma * kind.sigma;
    });
    if (far) out.push_back(k);
  }
  return out;
}

}  // namespace

// A dipole passing at a steady pace falls off as (1 + (t/T)^2)^-3/2. If its peak is 20 sigma it is
// above 4.5 sigma for |t| < 1.3 T and below 0.3 sigma only beyond 3.9 T: up to one length to each
// side, and no further than the means still show it. (Always taking the whole length would throw
// good samples away, and with them the directions they were in.)
std::size_t reject_stretches(const std::vector<double>& time_s,
                             const std::vector<ResidualKind>& kinds, double gross_sigma,
                             std::vector<unsigned char>& use) {
  const std::size_t n = time_s.size();
  use.assign(n, 1);
  const std::vector<std::size_t> gross = gross_samples(kinds, n, gross_sigma);
  if (gross.empty()) return 0;
  std::vector<std::vector<double>> scores;
  for (const ResidualKind& kind : kinds) scores.push_back(calm_scores(time_s, *kind.values));
  const auto disturbed = [&](std::size_t k) {
    return std::any_of(scores.begin(), scores.end(), [k](const std::vector<double>& score) {
      return !score.empty() && score[k] > kSkirt;
    });
  };
  for (std::size_t i = 0; i < gross.size();) {
    std::size_t last = i;
    while (last + 1 < gross.size() && time_s[gross[last + 1]] - time_s[gross[last]] <= kJoin_s) {
      ++last;
    }
    std::size_t from = gross[i];
    std::size_t to = gross[last];
    if (last - i >= 2) {
      const double reach = std::max(time_s[to] - time_s[from], kCalm_s);
      const double earliest = time_s[from] - reach;
      const double latest = time_s[to] + reach;
      while (from > 0 && time_s[from - 1] >= earliest && disturbed(from - 1)) --from;
      while (to + 1 < n && time_s[to + 1] <= latest && disturbed(to + 1)) ++to;
    }
    for (std::size_t k = from; k <= to; ++k) use[k] = 0;
    i = last + 1;
  }
  return n - static_cast<std::size_t>(std::count(use.begin(), use.end(), 1));
}

}  // namespace qn::sensor_model
