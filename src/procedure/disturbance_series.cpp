// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/disturbance_series_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kFine_s = 0.05;
constexpr double kLeastBlock_s = 0.25;
constexpr double kMostBlock_s = 1.0;
constexpr double kMostBlocks = 7200.0;
constexpr double kSpikeSigma = 9.0;
constexpr std::size_t kRailRun = 4;  // equal extreme readings in a row

double median_interval(const std::vector<double>& time_s) {
  std::vector<double> gaps;
  const std::size_t stride = std::max<std::size_t>(1, time_s.size() / 5000);
  for (std::size_t k = 1; k < time_s.size(); k += stride) gaps.push_back(time_s[k] - time_s[k - 1]);
  return std::max(quantile(gaps, 0.5), 1e-6);
}

double middle_of_five(const std::vector<double>& y, std::size_t k) {
  std::array<double, 5> near{y[k - 2], y[k - 1], y[k], y[k + 1], y[k + 2]};
  std::nth_element(near.begin(), near.begin() + 2, near.end());
  return near[2];
}

// Readings far from the middle of five neighbours, which no step and no slope is. Several close to
// each other are something that pulses, and stay.
void find_spikes(const SensorRecording& log, Series& out) {
  const std::size_t n = log.size();
  out.use.assign(n, 1);
  std::vector<std::size_t> far;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::vector<double>& y = log.field[axis];
    std::vector<double> sizes;
    const std::size_t stride = std::max<std::size_t>(1, n / 20000);
    for (std::size_t k = 2; k + 2 < n; k += stride) {
      sizes.push_back(std::abs(y[k] - middle_of_five(y, k)));
    }
    if (sizes.empty()) return;
    // The middle of five is one of the five: half of the differences are small or zero, so look
    // further out and at the quantum as well.
    const double scale = std::max(quantile(sizes, 0.8) / 1.0, out.quantum_uT);
    const double most = kSpikeSigma * scale;
    for (std::size_t k = 2; k + 2 < n; ++k) {
      // With both neighbours near, three of the five are, and so is their middle.
      if (std::abs(y[k] - y[k - 1]) <= most && std::abs(y[k] - y[k + 1]) <= most) continue;
      if (std::abs(y[k] - middle_of_five(y, k)) > most) far.push_back(k);
    }
  }
  std::sort(far.begin(), far.end());
  far.erase(std::unique(far.begin(), far.end()), far.end());
  constexpr double kNear_s = 10.0;
  for (std::size_t i = 0; i < far.size(); ++i) {
    const double t = log.time_s[far[i]];
    std::size_t company = 0;
    for (std::size_t j = i; j-- > 0 && t - log.time_s[far[j]] < kNear_s;) {
      company += far[j] + 2 < far[i] ? 1U : 0U;
    }
    for (std::size_t j = i + 1; j < far.size() && log.time_s[far[j]] - t < kNear_s; ++j) {
      company += far[j] > far[i] + 2 ? 1U : 0U;
    }
    if (company >= 3) continue;
    out.use[far[i]] = 0;
    Spike spike{t, {}};
    for (std::size_t axis = 0; axis < 3; ++axis) {
      spike.size_uT[axis] = log.field[axis][far[i]] - middle_of_five(log.field[axis], far[i]);
    }
    out.spikes.push_back(spike);
  }
}

// The smallest step between readings, when nearly all steps are whole multiples of it.
double quantum_of(const SensorRecording& log) {
  double quantum = 0.0;
  for (const std::vector<double>& y : log.field) {
    std::vector<double> steps;
    const std::size_t most = std::min<std::size_t>(y.size(), 20000);
    for (std::size_t k = 1; k < most; ++k) {
      const double step = std::abs(y[k] - y[k - 1]);
      if (step > 1e-9) steps.push_back(step);
    }
    if (steps.size() < 20) continue;
    std::vector<double> sorted = steps;
    const double smallest = quantile(sorted, 0.02);
    double whole = 0.0;
    for (const double step : steps) {
      const double ratio = step / smallest;
      whole += std::abs(ratio - std::round(ratio)) < 0.02 * std::max(1.0, ratio) ? 1.0 : 0.0;
    }
    const double typical = quantile(steps, 0.5);
    if (whole > 0.98 * static_cast<double>(steps.size()) && smallest > 0.05 * typical) {
      quantum = std::max(quantum, smallest);
    }
  }
  return quantum;
}

// Beyond a hard rail there is nothing, and at it more readings than one step inside.
bool rail_is_hard(const std::vector<double>& y, double rail, double quantum) {
  const double step = std::max(quantum, 1e-9) * 1.5;
  double at = 0.0;
  double beside = 0.0;
  for (const double value : y) {
    const double d = std::abs(value - rail);
    if (d < 1e-9) {
      at += 1.0;
    } else if (d < step) {
      beside += 1.0;
    }
  }
  return at > 3.0 * beside;
}

// An axis that stands at its own extreme value again and again has met its rail.
void find_rails(const SensorRecording& log, Series& out) {
  for (const std::vector<double>& y : log.field) {
    const auto [low, high] = std::minmax_element(y.begin(), y.end());
    for (const double rail : {*low, *high}) {
      if (*high - *low < 20.0 * std::max(out.quantum_uT, 1e-6)) continue;
      std::size_t at = 0;
      double total = 0.0;
      std::vector<std::array<double, 2>> found;
      while (at < y.size()) {
        std::size_t end = at;
        while (end < y.size() && std::abs(y[end] - rail) < 1e-9) ++end;
        if (end - at >= kRailRun) {
          found.push_back({log.time_s[at], log.time_s[end - 1]});
          total += static_cast<double>(end - at);
        }
        at = std::max(end, at + 1);
      }
      // A coarse sensor at rest repeats its extreme value too, but never for long.
      if (total * out.interval_s > 1.0 && rail_is_hard(y, rail, out.quantum_uT)) {
        out.at_rail_s.insert(out.at_rail_s.end(), found.begin(), found.end());
      }
    }
  }
  std::sort(out.at_rail_s.begin(), out.at_rail_s.end());
}

}  // namespace

std::size_t Pieces::at(double time_s) const {
  const double k = std::floor((time_s - from_s) / length_s);
  return static_cast<std::size_t>(std::clamp(k, 0.0, static_cast<double>(size() - 1)));
}

Pieces pieces_of(const SensorRecording& log, const std::vector<unsigned char>& use, double length_s,
                 double interval_s) {
  Pieces out;
  out.length_s = std::max(length_s, interval_s);
  out.nominal_count = std::max(1.0, std::round(out.length_s / interval_s));
  out.length_s = out.nominal_count * interval_s;
  out.from_s = log.time_s.front() - 0.5 * interval_s;
  const double span = log.time_s.back() - out.from_s;
  const auto pieces = static_cast<std::size_t>(std::floor(span / out.length_s)) + 1;
  out.count.assign(pieces, 0.0);
  for (auto& mean : out.mean_uT) mean.assign(pieces, 0.0);
  for (std::size_t k = 0; k < log.size(); ++k) {
    if (!use[k]) continue;
    const std::size_t p = out.at(log.time_s[k]);
    out.count[p] += 1.0;
    for (std::size_t axis = 0; axis < 3; ++axis) out.mean_uT[axis][p] += log.field[axis][k];
  }
  for (std::size_t p = 0; p < pieces; ++p) {
    for (auto& mean : out.mean_uT) mean[p] /= std::max(out.count[p], 1.0);
  }
  return out;
}

Series prepare_series(const SensorRecording& recording) {
  Series out;
  out.interval_s = median_interval(recording.time_s);
  out.quantum_uT = quantum_of(recording);
  find_spikes(recording, out);
  find_rails(recording, out);
  const double duration = recording.time_s.back() - recording.time_s.front();
  const double block = std::clamp(duration / kMostBlocks, kLeastBlock_s, kMostBlock_s);
  out.fine = pieces_of(recording, out.use, kFine_s, out.interval_s);
  out.blocks = pieces_of(recording, out.use, std::max(block, 2.0 * out.interval_s), out.interval_s);
  return out;
}

}  // namespace qn::disturbance
