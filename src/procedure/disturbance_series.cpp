// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "estimation/gaussian_draws.h"
#include "procedure/disturbance_pieces_internal.h"
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

// Beyond it a reading is far from the middle of five neighbours.
double spike_size(const std::vector<double>& y, double quantum_uT) {
  std::vector<double> sizes;
  const std::size_t stride = std::max<std::size_t>(1, y.size() / 20000);
  for (std::size_t k = 2; k + 2 < y.size(); k += stride) {
    sizes.push_back(std::abs(y[k] - middle_of_five(y, k)));
  }
  if (sizes.empty()) return std::numeric_limits<double>::infinity();
  // The middle of five is one of the five: half of the differences are small or zero, so look
  // further out and at the quantum as well.
  return kSpikeSigma * std::max(quantile(sizes, 0.8), quantum_uT);
}

// What one reading of the whole log gives: a long one comes from memory slower than it is added up.
struct OnePass {
  static constexpr std::size_t kChunk = 2048;
  std::array<std::vector<std::size_t>, 3> jumps;  // samples beside a step beyond a spike's size
  std::array<std::vector<double>, 3> low, high;   // of each chunk
  Pieces fine;                                    // spikes not yet left out
};

OnePass read_through(const SensorRecording& log, const std::array<double, 3>& spike_uT,
                     double interval_s) {
  OnePass out;
  const std::size_t n = log.size();
  out.fine = empty_pieces(log, kFine_s, interval_s);
  for (std::size_t from = 0; from < n; from += OnePass::kChunk) {
    const std::size_t to = std::min(from + OnePass::kChunk, n);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double* y = log.field[axis].data();
      double low = y[from];
      double high = low;
      double before = from > 0 ? y[from - 1] : y[from];
      for (std::size_t k = from; k < to; ++k) {
        const double here = y[k];
        low = here < low ? here : low;
        high = here > high ? here : high;
        if (std::abs(here - before) > spike_uT[axis]) {
          out.jumps[axis].push_back(k - 1);
          out.jumps[axis].push_back(k);
        }
        before = here;
      }
      out.low[axis].push_back(low);
      out.high[axis].push_back(high);
    }
    add_samples(log, from, to, out.fine);
  }
  return out;
}

// Readings far from the middle of five neighbours, which no step and no slope is. Several close to
// each other are something that pulses, and stay.
void find_spikes(const SensorRecording& log, const OnePass& seen,
                 const std::array<double, 3>& spike_uT, Series& out) {
  const std::size_t n = log.size();
  std::vector<std::size_t> far;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::vector<double>& y = log.field[axis];
    // With both neighbours near, three of the five are, and so is their middle.
    for (const std::size_t k : seen.jumps[axis]) {
      if (k < 2 || k + 2 >= n) continue;
      if (std::abs(y[k] - middle_of_five(y, k)) > spike_uT[axis]) far.push_back(k);
    }
  }
  std::sort(far.begin(), far.end());
  far.erase(std::unique(far.begin(), far.end()), far.end());
  constexpr double kNear_s = 10.0;
  constexpr std::size_t kCompany = 3;
  for (std::size_t i = 0; i < far.size(); ++i) {
    const double t = log.time_s[far[i]];
    std::size_t company = 0;
    for (std::size_t j = i; company < kCompany && j-- > 0 && t - log.time_s[far[j]] < kNear_s;) {
      company += far[j] + 2 < far[i] ? 1U : 0U;
    }
    for (std::size_t j = i + 1;
         company < kCompany && j < far.size() && log.time_s[far[j]] - t < kNear_s; ++j) {
      company += far[j] > far[i] + 2 ? 1U : 0U;
    }
    if (company >= kCompany) continue;
    Spike spike{t, {}, far[i]};
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

// Runs of readings at the rail.
std::vector<std::array<std::size_t, 2>> runs_at(const std::vector<double>& y, double rail,
                                                const std::vector<double>& extremes) {
  std::vector<std::array<std::size_t, 2>> out;
  std::size_t at = 0;
  for (std::size_t chunk = 0; chunk < extremes.size(); ++chunk) {
    if (std::abs(extremes[chunk] - rail) >= 1e-9) continue;
    at = std::max(at, chunk * OnePass::kChunk);
    const std::size_t last = std::min((chunk + 1) * OnePass::kChunk, y.size());
    while (at < last) {
      std::size_t end = at;
      while (end < y.size() && std::abs(y[end] - rail) < 1e-9) ++end;
      if (end - at >= kRailRun) out.push_back({at, end});
      at = std::max(end, at + 1);
    }
  }
  return out;
}

// An axis that stands at its own extreme value again and again has met its rail.
void find_rails(const SensorRecording& log, const OnePass& seen, Series& out) {
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::vector<double>& y = log.field[axis];
    const double low = *std::min_element(seen.low[axis].begin(), seen.low[axis].end());
    const double high = *std::max_element(seen.high[axis].begin(), seen.high[axis].end());
    if (high - low < 20.0 * std::max(out.quantum_uT, 1e-6)) continue;
    for (const bool top : {false, true}) {
      const double rail = top ? high : low;
      const auto runs = runs_at(y, rail, top ? seen.high[axis] : seen.low[axis]);
      double total = 0.0;
      for (const auto& [from, end] : runs) total += static_cast<double>(end - from);
      // A coarse sensor at rest repeats its extreme value too, but never for long.
      if (total * out.interval_s <= 1.0 || !rail_is_hard(y, rail, out.quantum_uT)) continue;
      for (const auto& [from, end] : runs) {
        out.at_rail_s.push_back({log.time_s[from], log.time_s[end - 1]});
      }
    }
  }
  std::sort(out.at_rail_s.begin(), out.at_rail_s.end());
}

}  // namespace

Series prepare_series(const SensorRecording& recording) {
  Series out;
  out.interval_s = median_interval(recording.time_s);
  out.quantum_uT = quantum_of(recording);
  std::array<double, 3> spike_uT{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    spike_uT[axis] = spike_size(recording.field[axis], out.quantum_uT);
  }
  OnePass seen = read_through(recording, spike_uT, out.interval_s);
  find_spikes(recording, seen, spike_uT, out);
  find_rails(recording, seen, out);
  for (const Spike& spike : out.spikes) leave_out_sample(recording, spike.sample, seen.fine);
  const double duration = recording.time_s.back() - recording.time_s.front();
  const double block = std::clamp(duration / kMostBlocks, kLeastBlock_s, kMostBlock_s);
  const double block_s = std::max(block, 2.0 * out.interval_s);
  // Blocks are whole numbers of samples; where they are whole numbers of pieces too, those are
  // added up.
  Pieces blocks = empty_pieces(recording, block_s, out.interval_s);
  const double together = blocks.nominal_count / seen.fine.nominal_count;
  if (std::abs(together - std::round(together)) < 1e-9) {
    out.blocks = merged(seen.fine, static_cast<std::size_t>(std::round(together)));
  } else {
    add_samples(recording, 0, recording.size(), blocks);
    for (const Spike& spike : out.spikes) leave_out_sample(recording, spike.sample, blocks);
    out.blocks = std::move(blocks);
  }
  sums_to_means(out.blocks);
  sums_to_means(seen.fine);
  out.fine = std::move(seen.fine);
  return out;
}

}  // namespace qn::disturbance
