// SPDX-License-Identifier: Apache-2.0
#include "estimation/drift_filter.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "vocab/expects.h"

namespace qn {
namespace {

// Diffuse in practice, in units of the white variance: far beyond any jump and any warming up, and
// small enough that nothing is lost in rounding.
constexpr double kFreeLevel = 1e10;
constexpr double kFreeSlope = 100.0;
// Of a column's largest whitened value: what is cut off its end changes no size by a thousandth of
// its sigma.
constexpr double kNothingLeft = 1e-5;

// Covariance of (level, slope, slow), upper triangle: ll ls lw ss sw ww.
struct Covariance {
  double ll = 0, ls = 0, lw = 0, ss = 0, sw = 0, ww = 0;
};

void pass_time(Covariance& p, const DriftNoise& noise, double dt, double fade) {
  // level += dt * slope; slow *= fade. The walks of slope and level are integrated over dt.
  p.ll +=
      dt * (2.0 * p.ls + dt * p.ss) + noise.level_rate * dt + noise.slope_rate * dt * dt * dt / 3.0;
  p.ls += dt * p.ss + noise.slope_rate * dt * dt / 2.0;
  p.ss += noise.slope_rate * dt;
  p.lw = fade * (p.lw + dt * p.sw);
  p.sw *= fade;
  p.ww = fade * fade * p.ww + (1.0 - fade * fade) * noise.slow_variance;
}

}  // namespace

DriftFilter::DriftFilter(const DriftNoise& noise, const BlockTimes& blocks) {
  const std::size_t n = blocks.time_s.size();
  QN_EXPECTS(blocks.weight.size() == n && blocks.use.size() == n && noise.slow_time_s > 0.0);
  steps_.resize(n);
  covariance_.resize(6 * n);
  Covariance p;
  p.ll = kFreeLevel * noise.white_variance;
  p.ss = kFreeSlope * noise.white_variance;
  p.ww = noise.slow_variance;
  double fading_s = 0.0, fade = 1.0;  // of the interval before: nearly all are alike
  double product = 1.0;               // of variances: fewer logarithms
  for (std::size_t b = 0; b < n; ++b) {
    Step& step = steps_[b];
    step.interval_s = b == 0 ? 0.0 : blocks.time_s[b] - blocks.time_s[b - 1];
    if (std::abs(step.interval_s - fading_s) > 1e-9 * fading_s) {
      fading_s = step.interval_s;
      fade = std::exp(-fading_s / noise.slow_time_s);
    }
    step.fade = fade;
    if (b > 0) pass_time(p, noise, step.interval_s, step.fade);
    if (!blocks.fresh.empty() && blocks.fresh[b]) p.ll += kFreeLevel * noise.white_variance;
    const double stored[6] = {p.ll, p.ls, p.lw, p.ss, p.sw, p.ww};
    std::copy(stored, stored + 6, covariance_.begin() + static_cast<std::ptrdiff_t>(6 * b));
    if (!blocks.use[b]) continue;
    const double h0 = p.ll + p.lw;
    const double h1 = p.ls + p.sw;
    const double h2 = p.lw + p.ww;
    const double extra = blocks.extra.empty() ? 0.0 : blocks.extra[b];
    const double variance = h0 + h2 + noise.white_variance / blocks.weight[b] + extra;
    step.gain[0] = h0 / variance;
    step.gain[1] = h1 / variance;
    step.gain[2] = h2 / variance;
    step.inverse_sd = 1.0 / std::sqrt(variance);
    p.ll -= step.gain[0] * h0;
    p.ls -= step.gain[0] * h1;
    p.lw -= step.gain[0] * h2;
    p.ss -= step.gain[1] * h1;
    p.sw -= step.gain[1] * h2;
    p.ww -= step.gain[2] * h2;
    product *= variance;
    if (product < 1e-100 || product > 1e100) {
      log_variance_ += std::log(product);
      product = 1.0;
    }
    ++in_use_;
  }
  log_variance_ += std::log(product);
}

BlockColumn DriftFilter::whiten(const BlockColumn& column) const {
  BlockColumn out;
  out.begin = column.begin;
  out.values.reserve(column.values.size() + 256);
  double level = 0.0, slope = 0.0, slow = 0.0;
  double largest = 0.0;
  for (std::size_t b = column.begin; b < steps_.size(); ++b) {
    const std::size_t k = b - column.begin;
    const Step& step = steps_[b];
    level += step.interval_s * slope;
    slow *= step.fade;
    const double x = k < column.values.size() ? column.values[k] : 0.0;
    const double innovation = x - level - slow;
    double white = 0.0;
    if (step.inverse_sd > 0.0) {
      white = innovation * step.inverse_sd;
      level += step.gain[0] * innovation;
      slope += step.gain[1] * innovation;
      slow += step.gain[2] * innovation;
    }
    out.values.push_back(white);
    largest = std::max(largest, std::abs(white));
    if (k >= column.values.size() && step.inverse_sd > 0.0 &&
        (std::abs(level) + std::abs(slow)) * step.inverse_sd < kNothingLeft * largest &&
        std::abs(slope) * step.inverse_sd < kNothingLeft * largest) {
      break;
    }
  }
  return out;
}

// One recursion waits for its own last step; several side by side do not wait for each other. All
// run from where the first begins until nothing is left of any.
void DriftFilter::whiten_some(const std::array<const BlockColumn*, kSideBySide>& columns,
                              const std::array<BlockColumn*, kSideBySide>& out) const {
  constexpr std::size_t kLookEvery = 16;
  constexpr std::size_t kN = kSideBySide;
  std::size_t first = steps_.size();
  std::size_t last = 0;
  for (const BlockColumn* column : columns) {
    if (column->values.empty()) continue;
    first = std::min(first, column->begin);
    last = std::max(last, column->begin + column->values.size());
  }
  double x[kLookEvery][kN], white[kLookEvery][kN];
  double level[kN] = {}, slope[kN] = {}, slow[kN] = {}, largest[kN] = {};
  bool over[kN] = {};
  for (std::size_t l = 0; l < kN; ++l) {
    over[l] = columns[l]->values.empty();
    out[l]->begin = columns[l]->begin;
    out[l]->values.clear();
    out[l]->values.reserve(columns[l]->values.size() + 1024);
  }
  for (std::size_t from = first; from < steps_.size(); from += kLookEvery) {
    const std::size_t count = std::min(kLookEvery, steps_.size() - from);
    for (auto& row : x) std::fill(row, row + kN, 0.0);
    for (std::size_t l = 0; l < kN; ++l) {
      const BlockColumn& column = *columns[l];
      const std::size_t begin = std::max(from, column.begin);
      const std::size_t end = std::min(from + count, column.begin + column.values.size());
      for (std::size_t b = begin; b < end; ++b) x[b - from][l] = column.values[b - column.begin];
    }
    double sd = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
      const Step& step = steps_[from + i];
      // Where the block is not in use, gains are zero as the inverse of its deviation is.
      for (std::size_t l = 0; l < kN; ++l) {
        const double ahead = level[l] + step.interval_s * slope[l];
        const double faded = slow[l] * step.fade;
        const double innovation = x[i][l] - ahead - faded;
        white[i][l] = innovation * step.inverse_sd;
        level[l] = ahead + step.gain[0] * innovation;
        slope[l] += step.gain[1] * innovation;
        slow[l] = faded + step.gain[2] * innovation;
      }
      sd = std::max(sd, step.inverse_sd);
    }
    bool all_over = true;
    for (std::size_t l = 0; l < kN; ++l) {
      const BlockColumn& column = *columns[l];
      if (over[l] || from + count <= column.begin) {
        all_over = all_over && over[l];
        continue;
      }
      for (std::size_t i = std::max(from, column.begin) - from; i < count; ++i) {
        out[l]->values.push_back(white[i][l]);
        largest[l] = std::max(largest[l], std::abs(white[i][l]));
      }
      over[l] = from + count >= column.begin + column.values.size() && sd > 0.0 &&
                (std::abs(level[l]) + std::abs(slow[l])) * sd < kNothingLeft * largest[l] &&
                std::abs(slope[l]) * sd < kNothingLeft * largest[l];
      all_over = all_over && over[l];
    }
    if (all_over && from + count >= last) break;
  }
}

std::vector<BlockColumn> DriftFilter::whiten(const std::vector<BlockColumn>& columns) const {
  std::vector<BlockColumn> out(columns.size());
  std::vector<std::size_t> order(columns.size());
  for (std::size_t c = 0; c < order.size(); ++c) order[c] = c;
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return columns[a].begin < columns[b].begin;
  });
  BlockColumn spare;
  const BlockColumn none;
  for (std::size_t p = 0; p < order.size(); p += kSideBySide) {
    std::array<const BlockColumn*, kSideBySide> in;
    std::array<BlockColumn*, kSideBySide> to;
    in.fill(&none);
    to.fill(&spare);
    for (std::size_t l = 0; l < kSideBySide && p + l < order.size(); ++l) {
      in[l] = &columns[order[p + l]];
      to[l] = &out[order[p + l]];
    }
    whiten_some(in, to);
  }
  return out;
}

// Rauch, Tung and Striebel's backward pass in the form that needs no inverse (Bryson and Frazier):
// it carries r = the gradient of the likelihood with respect to the predicted state.
std::vector<DriftFilter::Backward> DriftFilter::both_ways(const std::vector<double>& series) const {
  const std::size_t n = steps_.size();
  QN_EXPECTS(series.size() == n);
  std::vector<Backward> out(n);
  double level = 0.0, slope = 0.0, slow = 0.0;
  for (std::size_t b = 0; b < n; ++b) {
    const Step& step = steps_[b];
    level += step.interval_s * slope;
    slow *= step.fade;
    out[b].predicted = {level, slope, slow};
    if (step.inverse_sd <= 0.0) continue;
    const double innovation = series[b] - level - slow;
    out[b].weighted = innovation * step.inverse_sd * step.inverse_sd;
    level += step.gain[0] * innovation;
    slope += step.gain[1] * innovation;
    slow += step.gain[2] * innovation;
  }
  std::array<double, 3> r{};
  for (std::size_t b = n; b-- > 0;) {
    const Step& step = steps_[b];
    if (b + 1 < n) {  // back through the transition to block b + 1
      const Step& next = steps_[b + 1];
      r = {r[0], r[1] + next.interval_s * r[0], r[2] * next.fade};
    }
    if (step.inverse_sd > 0.0) {
      out[b].weighted -= step.gain[0] * r[0] + step.gain[1] * r[1] + step.gain[2] * r[2];
      r[0] += out[b].weighted;
      r[2] += out[b].weighted;
    }
    out[b].gradient = r;
  }
  return out;
}

std::vector<double> DriftFilter::weighted(const std::vector<double>& series) const {
  std::vector<double> out;
  out.reserve(series.size());
  for (const Backward& block : both_ways(series)) out.push_back(block.weighted);
  return out;
}

std::vector<double> DriftFilter::smoothed_level(const std::vector<double>& series) const {
  const std::vector<Backward> blocks = both_ways(series);
  std::vector<double> out(blocks.size());
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const double* p = &covariance_[6 * b];
    const std::array<double, 3>& r = blocks[b].gradient;
    out[b] = blocks[b].predicted[0] + p[0] * r[0] + p[1] * r[1] + p[2] * r[2];
  }
  return out;
}

}  // namespace qn
