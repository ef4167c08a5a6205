// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <vector>

#include "estimation/drift_filter.h"
#include "estimation/gaussian_draws.h"

namespace qn {
namespace {

// Natural logarithms of level_rate, slope_rate, slow_variance (all over the white variance) and of
// the slow time constant.
using Shape = std::array<double, 4>;

DriftNoise noise_of(const Shape& shape, double white) {
  return {white, white * std::exp(shape[0]), white * std::exp(shape[1]), white * std::exp(shape[2]),
          std::exp(shape[3])};
}

// Weak opinions that keep the search where the data say nothing: no drift at all is as good as
// e^-16 of the white noise a second.
constexpr Shape kLowest{-18.0, -26.0, -8.0, -2.3};
constexpr Shape kHighest{2.0, -2.0, 4.0, 1.8};  // slow noise beyond 6 s is the level's business

struct Profile {
  double minus_log_likelihood = 0.0;
  double scale = 1.0;  // the white variance that fits best
};

Profile profile(const BlockTimes& blocks, const std::vector<double>& series, const Shape& shape) {
  // The filter's first guess of the level is free only against variances near 1.
  const DriftFilter filter{noise_of(shape, 1.0), blocks};
  const BlockColumn white = filter.whiten({0, series});
  double sum = 0.0;
  for (const double e : white.values) sum += e * e;
  std::size_t free = 2;  // level and slope at the start
  for (std::size_t b = 0; b < blocks.fresh.size(); ++b) free += blocks.fresh[b] ? 1U : 0U;
  const double n =
      static_cast<double>(filter.blocks_in_use() - std::min(free, filter.blocks_in_use() - 1));
  Profile out;
  out.scale = std::max(sum / n, 1e-12);  // a series that stands still has no logarithm
  out.minus_log_likelihood = 0.5 * (filter.log_variance() + n * std::log(out.scale));
  return out;
}

// Nelder and Mead's simplex (Computer Journal 7, 1965): four numbers, no derivatives.
Shape minimise(const std::function<double(const Shape&)>& cost, Shape start, double spread,
               int evaluations) {
  constexpr std::size_t kN = 4;
  struct Corner {
    Shape at;
    double cost;
  };
  const auto inside = [](Shape s) {
    for (std::size_t i = 0; i < kN; ++i) s[i] = std::clamp(s[i], kLowest[i], kHighest[i]);
    return s;
  };
  std::vector<Corner> corners;
  const auto try_at = [&](Shape s) {
    s = inside(s);
    --evaluations;
    return Corner{s, cost(s)};
  };
  corners.push_back(try_at(start));
  for (std::size_t i = 0; i < kN; ++i) {
    Shape s = start;
    s[i] += s[i] + spread > kHighest[i] ? -spread : spread;
    corners.push_back(try_at(s));
  }
  const auto better = [](const Corner& a, const Corner& b) { return a.cost < b.cost; };
  while (evaluations > 0) {
    std::sort(corners.begin(), corners.end(), better);
    if (corners.back().cost - corners.front().cost < 0.02) break;
    Shape middle{};
    for (std::size_t c = 0; c < kN; ++c) {
      for (std::size_t i = 0; i < kN; ++i) middle[i] += corners[c].at[i] / kN;
    }
    const auto along = [&](double t) {
      Shape s{};
      for (std::size_t i = 0; i < kN; ++i)
        s[i] = middle[i] + t * (corners.back().at[i] - middle[i]);
      return try_at(s);
    };
    const Corner reflected = along(-1.0);
    if (reflected.cost < corners.front().cost) {
      const Corner further = along(-2.0);
      corners.back() = further.cost < reflected.cost ? further : reflected;
    } else if (reflected.cost < corners[kN - 1].cost) {
      corners.back() = reflected;
    } else {
      const Corner nearer = along(reflected.cost < corners.back().cost ? -0.5 : 0.5);
      if (nearer.cost < std::min(reflected.cost, corners.back().cost)) {
        corners.back() = nearer;
      } else {
        for (std::size_t c = 1; c <= kN; ++c) {
          Shape s{};
          for (std::size_t i = 0; i < kN; ++i) {
            s[i] = 0.5 * (corners[c].at[i] + corners.front().at[i]);
          }
          corners[c] = try_at(s);
        }
      }
    }
  }
  return std::min_element(corners.begin(), corners.end(), better)->at;
}

// Typical square of the difference of neighbours, robust: twice the white variance or so.
double rough_variance(const BlockTimes& blocks, const std::vector<double>& series) {
  std::vector<double> steps;
  for (std::size_t b = 1; b < series.size(); ++b) {
    if (blocks.use[b] && blocks.use[b - 1]) steps.push_back(std::abs(series[b] - series[b - 1]));
  }
  if (steps.empty()) return 1e-12;
  const double sd = 1.4826 * quantile(steps, 0.5) / std::sqrt(2.0);
  return std::max(sd * sd, 1e-12);
}

constexpr int kLooks = 3;

// A jump that the noise does not explain is no noise: the level is let free there. Returns whether
// there was one.
bool free_what_jumps(const DriftNoise& noise, const std::vector<double>& series,
                     BlockTimes& blocks) {
  constexpr double kBeyondNoise = 6.0;
  const BlockColumn white = DriftFilter{noise, blocks}.whiten({0, series});
  std::vector<double> sizes;
  for (const double e : white.values) {
    if (e != 0.0) sizes.push_back(std::abs(e));
  }
  if (sizes.empty()) return false;
  const double most = kBeyondNoise * 1.4826 * quantile(sizes, 0.5);
  bool any = false;
  blocks.fresh.resize(series.size(), 0);
  for (std::size_t b = 0; b < white.values.size(); ++b) {
    if (std::abs(white.values[b]) <= most || blocks.fresh[b]) continue;
    blocks.fresh[b] = 1;
    any = true;
  }
  return any;
}

}  // namespace

DriftNoise fit_drift_noise(const BlockTimes& blocks, const std::vector<double>& series) {
  const double rough = rough_variance(blocks, series);
  std::vector<double> scaled = series;
  double first = 0.0;
  for (std::size_t b = 0; b < series.size(); ++b) {
    if (blocks.use[b]) {
      first = series[b];
      break;
    }
  }
  for (double& y : scaled) y = (y - first) / std::sqrt(rough);
  BlockTimes scaled_blocks = blocks;
  for (double& extra : scaled_blocks.extra) extra /= rough;
  Shape best{-7.0, -16.0, -3.0, -0.7};
  double spread = 3.0;
  for (int look = 0; look < kLooks; ++look) {
    const auto cost = [&](const Shape& s) {
      return profile(scaled_blocks, scaled, s).minus_log_likelihood;
    };
    best = minimise(cost, best, spread, 90);
    if (!free_what_jumps(noise_of(best, 1.0), scaled, scaled_blocks)) break;
    spread = 1.5;
  }
  return noise_of(best, rough * profile(scaled_blocks, scaled, best).scale);
}

}  // namespace qn
