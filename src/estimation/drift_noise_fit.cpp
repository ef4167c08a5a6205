// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <optional>
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

// What the likelihood needs of the series: the blocks in use alone. Over the others the drift
// passes in one step, as exactly as in many.
struct UsedBlock {
  double interval_s = 0.0;  // from the one before
  double y = 0.0;
  double white = 1.0;  // variance of the white part, in units of the white variance
  double extra = 0.0;
  bool fresh = false;
};

std::vector<UsedBlock> used_blocks(const BlockTimes& blocks, const std::vector<double>& series,
                                   double scale) {
  std::vector<UsedBlock> out;
  out.reserve(series.size());
  double before_s = 0.0;
  double first = 0.0;
  bool fresh = false;
  for (std::size_t b = 0; b < series.size(); ++b) {
    fresh = fresh || (!blocks.fresh.empty() && blocks.fresh[b]);
    if (!blocks.use[b]) continue;
    if (out.empty()) {
      before_s = blocks.time_s[b];
      first = series[b];
    }
    out.push_back({blocks.time_s[b] - before_s, (series[b] - first) / std::sqrt(scale),
                   1.0 / blocks.weight[b], blocks.extra.empty() ? 0.0 : blocks.extra[b] / scale,
                   fresh});
    before_s = blocks.time_s[b];
    fresh = false;
  }
  return out;
}

// The DriftFilter's recursion, nothing of it kept: what is left of each block and its variance go
// to `take`.
template <class Take>
void pass_over(const std::vector<UsedBlock>& blocks, const DriftNoise& noise, const Take& take) {
  constexpr double kFreeLevel = 1e10;
  constexpr double kFreeSlope = 100.0;
  double ll = kFreeLevel * noise.white_variance, ls = 0.0, lw = 0.0;
  double ss = kFreeSlope * noise.white_variance, sw = 0.0, ww = noise.slow_variance;
  double level = 0.0, slope = 0.0, slow = 0.0;
  double fading_s = 0.0, fade = 1.0;  // of the interval before: nearly all are alike
  double walk_ll = 0.0, walk_ls = 0.0, walk_ss = 0.0, walk_ww = 0.0;
  for (const UsedBlock& block : blocks) {
    const double dt = block.interval_s;
    if (std::abs(dt - fading_s) > 1e-9 * fading_s) {
      fading_s = dt;
      fade = std::exp(-dt / noise.slow_time_s);
      walk_ll = noise.level_rate * dt + noise.slope_rate * dt * dt * dt / 3.0;
      walk_ls = noise.slope_rate * dt * dt / 2.0;
      walk_ss = noise.slope_rate * dt;
      walk_ww = (1.0 - fade * fade) * noise.slow_variance;
    }
    ll += dt * (2.0 * ls + dt * ss) + walk_ll;
    ls += dt * ss + walk_ls;
    lw = fade * (lw + dt * sw);
    ss += walk_ss;
    sw *= fade;
    ww = fade * fade * ww + walk_ww;
    if (block.fresh) ll += kFreeLevel * noise.white_variance;
    level += dt * slope;
    slow *= fade;
    const double h0 = ll + lw;
    const double h1 = ls + sw;
    const double h2 = lw + ww;
    const double variance = h0 + h2 + noise.white_variance * block.white + block.extra;
    const double inverse = 1.0 / variance;
    const double left = block.y - level - slow;
    take(left, variance, inverse);
    const double g0 = h0 * inverse;
    const double g1 = h1 * inverse;
    const double g2 = h2 * inverse;
    ll -= g0 * h0;
    ls -= g0 * h1;
    lw -= g0 * h2;
    ss -= g1 * h1;
    sw -= g1 * h2;
    ww -= g2 * h2;
    level += g0 * left;
    slope += g1 * left;
    slow += g2 * left;
  }
}

struct Profile {
  double minus_log_likelihood = 0.0;
  double scale = 1.0;  // the white variance that fits best
};

Profile profile(const std::vector<UsedBlock>& blocks, const Shape& shape) {
  double sum = 0.0;
  double product = 1.0;  // of variances: fewer logarithms
  double log_variance = 0.0;
  std::size_t free = 2;  // level and slope at the start
  // The filter's first guess of the level is free only against variances near 1.
  pass_over(blocks, noise_of(shape, 1.0), [&](double left, double variance, double inverse) {
    sum += left * left * inverse;
    product *= variance;
    if (product < 1e-100 || product > 1e100) {
      log_variance += std::log(product);
      product = 1.0;
    }
  });
  log_variance += std::log(product);
  for (const UsedBlock& block : blocks) free += block.fresh ? 1U : 0U;
  const std::size_t most = blocks.empty() ? 0 : blocks.size() - 1;
  const double n = std::max(1.0, static_cast<double>(blocks.size() - std::min(free, most)));
  Profile out;
  out.scale = std::max(sum / n, 1e-12);  // a series that stands still has no logarithm
  out.minus_log_likelihood = 0.5 * (log_variance + n * std::log(out.scale));
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
bool free_what_jumps(const DriftNoise& noise, std::vector<UsedBlock>& blocks) {
  constexpr double kBeyondNoise = 6.0;
  std::vector<double> sizes;
  sizes.reserve(blocks.size());
  pass_over(blocks, noise, [&](double left, double, double inverse) {
    sizes.push_back(std::abs(left) * std::sqrt(inverse));
  });
  if (sizes.empty()) return false;
  std::vector<double> sorted = sizes;
  const double most = kBeyondNoise * 1.4826 * quantile(sorted, 0.5);
  bool any = false;
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    if (sizes[b] <= most || blocks[b].fresh) continue;
    blocks[b].fresh = true;
    any = true;
  }
  return any;
}

Shape shape_of(const DriftNoise& noise) {
  const double white = noise.white_variance;
  const auto log_of = [](double ratio) { return std::log(std::max(ratio, 1e-30)); };
  Shape out{log_of(noise.level_rate / white), log_of(noise.slope_rate / white),
            log_of(noise.slow_variance / white), log_of(noise.slow_time_s)};
  for (std::size_t i = 0; i < out.size(); ++i) {
    out[i] = std::clamp(out[i], kLowest[i], kHighest[i]);
  }
  return out;
}

}  // namespace

DriftNoise fit_drift_noise(const BlockTimes& blocks, const std::vector<double>& series,
                           const std::optional<DriftNoise>& about) {
  const double rough = rough_variance(blocks, series);
  std::vector<UsedBlock> used = used_blocks(blocks, series, rough);
  const auto cost = [&](const Shape& s) { return profile(used, s).minus_log_likelihood; };
  if (about) {
    Shape best = shape_of(*about);
    free_what_jumps(noise_of(best, 1.0), used);
    // What was near may be far by now (a train of pulses has been found): go on while it moves.
    constexpr double kMoves = 1.0;
    constexpr int kMostTurns = 4;
    for (int turn = 0; turn < kMostTurns; ++turn) {
      const Shape before = best;
      best = minimise(cost, best, turn == 0 ? 0.7 : 2.0, 45);
      double moved = 0.0;
      for (std::size_t i = 0; i < best.size(); ++i) {
        moved = std::max(moved, std::abs(best[i] - before[i]));
      }
      if (moved < kMoves && !free_what_jumps(noise_of(best, 1.0), used)) break;
    }
    return noise_of(best, rough * profile(used, best).scale);
  }
  Shape best{-7.0, -16.0, -3.0, -0.7};
  double spread = 3.0;
  for (int look = 0; look < kLooks; ++look) {
    best = minimise(cost, best, spread, 90);
    if (!free_what_jumps(noise_of(best, 1.0), used)) break;
    spread = 1.5;
  }
  return noise_of(best, rough * profile(used, best).scale);
}

}  // namespace qn
