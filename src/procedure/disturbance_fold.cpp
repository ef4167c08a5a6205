// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "estimation/gaussian_draws.h"
#include "estimation/periodogram.h"
#include "procedure/disturbance_fold_internal.h"
#include "procedure/disturbance_period_internal.h"

namespace qn::disturbance {
namespace {

Fold fold(const Stretch& stretch, const Series& series, double period_s, std::size_t bins,
          const Vector3& noise_variance) {
  const Pieces& fine = series.fine;
  Fold out{std::vector<Vector3>(bins, Vector3{}), std::vector<double>(bins, 0.0), 0.0};
  const double turn = fine.length_s / period_s;
  for (std::size_t k = 0; k < stretch.left_uT[0].size(); ++k) {
    if (!series.steady(stretch.first + k)) continue;
    const std::size_t bin = out.bin_of((static_cast<double>(k) + 0.5) * turn);
    out.count[bin] += 1.0;
    for (std::size_t axis = 0; axis < 3; ++axis) out.mean_uT[bin][axis] += stretch.left_uT[axis][k];
  }
  Vector3 middle{};
  for (std::size_t b = 0; b < bins; ++b) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      out.mean_uT[b][axis] /= std::max(out.count[b], 1.0);
      middle[axis] += out.mean_uT[b][axis] / static_cast<double>(bins);
    }
  }
  for (std::size_t b = 0; b < bins; ++b) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      out.mean_uT[b][axis] -= middle[axis];
      out.between += out.count[b] * out.mean_uT[b][axis] * out.mean_uT[b][axis] /
                     std::max(noise_variance[axis], 1e-15);
    }
  }
  return out;
}

std::size_t bins_for(double period_s, double piece_s) {
  return static_cast<std::size_t>(std::clamp(std::floor(period_s / piece_s), 3.0, 30.0));
}

// What counts of a stretch, laid close together.
struct Packed {
  std::vector<double> at;  // pieces from the stretch's first, to the middle
  std::array<std::vector<double>, 3> left;
};

Packed packed(const Stretch& stretch, const Series& series) {
  Packed out;
  for (std::size_t k = 0; k < stretch.left_uT[0].size(); ++k) {
    if (!series.steady(stretch.first + k)) continue;
    out.at.push_back(static_cast<double>(k) + 0.5);
    for (std::size_t axis = 0; axis < 3; ++axis) out.left[axis].push_back(stretch.left_uT[axis][k]);
  }
  return out;
}

// Fold::between of a stretch, and nothing else of its fold.
double between(const Packed& stretch, double turn, std::size_t bins,
               const Vector3& noise_variance) {
  constexpr std::size_t kMost = 32;
  double sum[3][kMost] = {}, count[kMost] = {};
  const auto scale = static_cast<double>(bins);
  for (std::size_t k = 0; k < stretch.at.size(); ++k) {
    const double turns = stretch.at[k] * turn;
    const double phase = turns - static_cast<double>(static_cast<long long>(turns));
    const auto bin = static_cast<std::size_t>(phase * scale);
    count[bin] += 1.0;
    for (std::size_t axis = 0; axis < 3; ++axis) sum[axis][bin] += stretch.left[axis][k];
  }
  double out = 0.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    double middle = 0.0;
    for (std::size_t b = 0; b < bins; ++b) {
      sum[axis][b] /= std::max(count[b], 1.0);
      middle += sum[axis][b] / scale;
    }
    for (std::size_t b = 0; b < bins; ++b) {
      const double d = sum[axis][b] - middle;
      out += count[b] * d * d / std::max(noise_variance[axis], 1e-15);
    }
  }
  return out;
}

enum class Fineness { rough, fine };

// The period at which the fold stands out most: in steps of a tenth of a turn over the longest
// stretch, then of a fortieth about the best; roughly, of three tenths.
double refined_period(const std::vector<Stretch>& stretches, const Series& series, double period_s,
                      const Vector3& noise_variance, Fineness fineness) {
  const Pieces& fine = series.fine;
  std::vector<Packed> all;
  double longest = 1.0;
  for (const Stretch& s : stretches) {
    longest = std::max(longest, static_cast<double>(s.left_uT[0].size()) * fine.length_s);
    all.push_back(packed(s, series));
  }
  const std::size_t bins = bins_for(period_s, fine.length_s);
  const double reach = 0.6 * period_s * period_s / longest;
  double best = period_s;
  double most = -1.0;
  const auto try_at = [&](double p) {
    if (p <= 2.0 * fine.length_s) return;
    double sum = 0.0;
    for (const Packed& s : all) sum += between(s, fine.length_s / p, bins, noise_variance);
    if (sum > most) {
      most = sum;
      best = p;
    }
  };
  if (fineness == Fineness::rough) {
    for (int i = -1; i <= 1; ++i) try_at(period_s + 0.5 * reach * i);
    return best;
  }
  for (int i = -6; i <= 6; ++i) try_at(period_s + reach * i / 6.0);
  const double about = best;
  for (const int i : {-3, -2, -1, 1, 2, 3}) try_at(about + reach * i / 24.0);
  return best;
}

// High and low part of the folded period, along the direction in which it moves most.
void describe_shape(const std::vector<Fold>& folds, Repeating& out) {
  Vector3 widest{};
  const Fold* model = &folds.front();
  for (const Fold& f : folds) {
    if (f.between > model->between) model = &f;
  }
  double length = 0.0;
  for (const Vector3& m : model->mean_uT) {
    const double d = std::hypot(m[0], m[1], m[2]);
    if (d > length) {
      length = d;
      widest = m;
    }
  }
  if (length <= 0.0) return;
  std::vector<double> along;
  for (const Vector3& m : model->mean_uT) {
    along.push_back((m[0] * widest[0] + m[1] * widest[1] + m[2] * widest[2]) / length);
  }
  const auto [low, high] = std::minmax_element(along.begin(), along.end());
  const double half = 0.5 * (*low + *high);
  double above = 0.0;
  for (std::size_t b = 0; b < along.size(); ++b) {
    const bool up = along[b] > half;
    above += up ? 1.0 : 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      (up ? out.high_uT : out.low_uT)[axis] += model->mean_uT[b][axis];
    }
  }
  const double bins = static_cast<double>(along.size());
  for (std::size_t axis = 0; axis < 3; ++axis) {
    out.high_uT[axis] /= std::max(above, 1.0);
    out.low_uT[axis] /= std::max(bins - above, 1.0);
  }
  out.duty = above / bins;
}

void over_floor(Spectrum& spectrum, double exponentials) {
  const auto floor = static_cast<float>(floor_of(spectrum, exponentials));
  for (float& z : spectrum) z /= floor;
}

// Half: the first look sees a shape less sharply.
bool swings(const Repeating& shape, const Vector3& least_uT) {
  for (std::size_t axis = 0; axis < 3; ++axis) {
    if (std::abs(shape.high_uT[axis] - shape.low_uT[axis]) > 0.5 * least_uT[axis]) return true;
  }
  return false;
}

}  // namespace

Vector3 sample_variance(const Series& series, const RestSpectrum& rest) {
  Vector3 out{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    out[axis] = rest.density(axis, 1.0) / series.fine.length_s;
  }
  return out;
}

BetweenBlocks between_blocks(double at, std::size_t blocks) {
  const std::size_t top = blocks - 1;
  const double inside = std::clamp(at, 0.0, static_cast<double>(top));
  BetweenBlocks out;
  out.below = std::min(static_cast<std::size_t>(inside), top > 0 ? top - 1 : 0);
  out.next = std::min(out.below + 1, top);
  out.share = inside - static_cast<double>(out.below);
  return out;
}

Stretch stretch_of(const Series& series, const std::array<std::vector<double>, 3>& fit,
                   double from_s, double to_s) {
  const Pieces& fine = series.fine;
  Stretch out;
  out.first = fine.at(from_s);
  const std::size_t last = fine.at(to_s);
  const std::size_t n = last > out.first ? last - out.first : 0;
  std::vector<double> counts(n);  // 1 where something is known and nothing is being switched
  for (std::size_t k = 0; k < n; ++k) {
    counts[k] = series.steady(out.first + k) ? 1.0 : 0.0;
    out.used += counts[k];
  }
  // Where the fit is read: between the middles of its blocks.
  std::vector<BetweenBlocks> read(n);
  const double scale = fine.length_s / series.blocks.length_s;
  const double start =
      (fine.middle_s(out.first) - series.blocks.from_s) / series.blocks.length_s - 0.5;
  for (std::size_t k = 0; k < n; ++k) {
    read[k] = between_blocks(start + scale * static_cast<double>(k), fit[0].size());
  }
  const double middle = 0.5 * static_cast<double>(n);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    std::vector<double>& left = out.left_uT[axis];
    left.assign(n, 0.0);
    const double* y = fine.mean_uT[axis].data() + out.first;
    double mean = 0.0, slope = 0.0, moment = 0.0;
    for (std::size_t k = 0; k < n; ++k) {
      const double x = static_cast<double>(k) - middle;
      left[k] = counts[k] * (y[k] - read[k].of(fit[axis]));
      mean += left[k];
      slope += x * left[k];
      moment += counts[k] * x * x;
    }
    mean /= std::max(out.used, 1.0);
    slope /= std::max(moment, 1.0);
    for (std::size_t k = 0; k < n; ++k) {
      left[k] -= counts[k] * (mean + slope * (static_cast<double>(k) - middle));
    }
  }
  return out;
}

std::size_t Fold::bin_of(double turns) const {
  const auto whole = static_cast<double>(static_cast<long long>(turns));
  const double phase = turns - (whole > turns ? whole - 1.0 : whole);
  const auto bins = static_cast<double>(mean_uT.size());
  return std::min(mean_uT.size() - 1, static_cast<std::size_t>(phase * bins));
}

bool Fold::shows() const {
  const double expected = 3.0 * static_cast<double>(mean_uT.size());
  return between > expected + 5.0 * std::sqrt(2.0 * expected);
}

void take_out(Pieces& pieces, std::size_t first, std::size_t count, double start_s,
              const Fold& fold, double period_s) {
  for (std::size_t k = first; k < std::min(first + count, pieces.size()); ++k) {
    // Longer pieces hold several phases: their mean.
    constexpr int kParts = 8;
    for (int i = 0; i < kParts; ++i) {
      const double t =
          pieces.from_s + (static_cast<double>(k) + (i + 0.5) / kParts) * pieces.length_s;
      const std::size_t bin = fold.bin_of((t - start_s) / period_s);
      for (std::size_t axis = 0; axis < 3; ++axis) {
        pieces.mean_uT[axis][k] -= fold.mean_uT[bin][axis] / kParts;
      }
    }
  }
}

std::optional<Repeating> find_period(const Series& series, const RestSpectrum& rest,
                                     const std::vector<Stretch>& stretches, double slowest_Hz,
                                     double deviate, const Vector3& least_swing_uT) {
  const Vector3 variance = sample_variance(series, rest);
  if (stretches.empty()) return std::nullopt;
  std::size_t most = 0;
  for (const Stretch& s : stretches) most = std::max(most, s.left_uT[0].size());
  PeriodSearch search{1.0, slowest_Hz, 3.0 * static_cast<double>(stretches.size()), deviate};
  const auto spectrum_of = [&](std::size_t padded) {
    search.bin_Hz = 1.0 / (static_cast<double>(padded) * series.fine.length_s);
    return joint_spectrum(stretches, rest, padded);
  };
  const auto shape_at = [&](const FoundPeriod& found, Fineness fineness) {
    Repeating out;
    out.deviate = found.deviate;
    out.period_s = refined_period(stretches, series, found.period_s, variance, fineness);
    const std::size_t bins = bins_for(out.period_s, series.fine.length_s);
    for (const Stretch& s : stretches) {
      out.folds.push_back(fold(s, series, out.period_s, bins, variance));
    }
    describe_shape(out.folds, out);
    return out;
  };
  const double shortest_s = 3.0 * series.fine.length_s;
  // At least half as long again as the series: of a line between two frequencies 0.68 is left.
  Spectrum first_look = spectrum_of(padded_size(most + most / 2));
  if (!worth_a_look(first_look, search)) return std::nullopt;
  if (least_swing_uT != Vector3{}) {
    PeriodSearch rough = search;
    rough.least = 0.6 * search.least;
    over_floor(first_look, rough.exponentials);
    const FoundPeriod seen = strongest_period(first_look, rough);
    if (seen.period_s >= shortest_s && !swings(shape_at(seen, Fineness::rough), least_swing_uT)) {
      return std::nullopt;
    }
  }
  constexpr std::size_t kLong = 4096;  // a long stretch tells periods finely enough
  Spectrum spectrum = spectrum_of((most > kLong ? 2 : 4) * padded_size(most));
  over_floor(spectrum, search.exponentials);
  const FoundPeriod found = strongest_period(spectrum, search);
  if (found.period_s < shortest_s) return std::nullopt;
  Repeating out = shape_at(found, Fineness::fine);
  const double swing = std::hypot(out.high_uT[0] - out.low_uT[0], out.high_uT[1] - out.low_uT[1],
                                  out.high_uT[2] - out.low_uT[2]);
  // A coarse sensor flickers between two of its steps: that is not the device.
  if (swing < 1.2 * series.quantum_uT) return std::nullopt;
  const double share = std::min(out.duty, 1.0 - out.duty);
  // (A fold a little off its period smears a pulse over one phase more.)
  out.short_pulses = share * out.period_s < 2.5 * series.interval_s;
  if (out.short_pulses) {
    const double f = 1.0 / out.period_s;
    const double rate = 1.0 / series.interval_s;
    out.alias_periods_s = {1.0 / (rate - f), 1.0 / (rate + f)};
  }
  return out;
}

}  // namespace qn::disturbance
