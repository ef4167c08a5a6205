// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "estimation/periodogram.h"
#include "procedure/disturbance_fold_internal.h"

namespace qn::disturbance {
namespace {

constexpr std::size_t kHarmonics = 4;

double fit_at(const Pieces& blocks, const std::vector<double>& fit, double t) {
  const double k = (t - blocks.from_s) / blocks.length_s - 0.5;
  const auto below =
      static_cast<std::size_t>(std::clamp(std::floor(k), 0.0, static_cast<double>(fit.size() - 1)));
  const std::size_t above = std::min(below + 1, fit.size() - 1);
  const double share = std::clamp(k - static_cast<double>(below), 0.0, 1.0);
  return fit[below] + share * (fit[above] - fit[below]);
}

// Sum over axes and visits of power over the noise's own: k unit exponentials at each frequency.
std::vector<double> joint_spectrum(const Series& series, const std::vector<Stretch>& stretches,
                                   const RestSpectrum& rest, std::size_t padded) {
  std::vector<double> sum(padded / 2 + 1, 0.0);
  const double dt = series.fine.length_s;
  const PowerSpectrum transform{padded};
  for (const Stretch& stretch : stretches) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const std::vector<double> power = transform.of(stretch.left_uT[axis]);
      for (std::size_t j = 1; j < sum.size(); ++j) {
        const double f = static_cast<double>(j) / (static_cast<double>(padded) * dt);
        const double expected = rest.density(axis, f) / dt * stretch.used;
        sum[j] += power[j] / std::max(expected, 1e-15);
      }
    }
  }
  // Whatever shakes at all frequencies while it is on (an engine) has no period for that: measured
  // against the middle of its own spectrum, which a train's few lines do not move.
  const double k = 3.0 * static_cast<double>(stretches.size());
  std::vector<double> sorted(sum.begin() + 1, sum.end());
  const double floor = quantile(sorted, 0.5) / (k - 1.0 / 3.0);
  if (floor > 1.0) {
    for (double& z : sum) z /= floor;
  }
  return sum;
}

struct Found {
  double period_s = 0.0;
  double deviate = 0.0;
};

Found strongest_period(const std::vector<double>& spectrum, std::size_t padded, double dt,
                       double lowest_Hz, double exponentials) {
  Found best;
  const double bin_Hz = 1.0 / (static_cast<double>(padded) * dt);
  const auto first = static_cast<std::size_t>(std::ceil(lowest_Hz / bin_Hz));
  for (std::size_t j = std::max<std::size_t>(first, 1); j < spectrum.size(); ++j) {
    double sum = 0.0;
    double count = 0.0;
    // Pulses are strongest at their own frequency: without this a third of it would do as well.
    double strongest = 0.0;
    for (std::size_t h = 2; h <= kHarmonics && h * j < spectrum.size(); ++h) {
      strongest = std::max(strongest, spectrum[h * j]);
    }
    if (spectrum[j] < 0.6 * strongest) continue;
    for (std::size_t h = 1; h <= kHarmonics && h * j < spectrum.size(); ++h) {
      sum += spectrum[h * j];
      count += exponentials;
      const double deviate = exponential_sum_deviate(sum, count);
      if (deviate > best.deviate) {
        best = {1.0 / (static_cast<double>(j) * bin_Hz), deviate};
      }
    }
  }
  return best;
}

Fold fold(const Stretch& stretch, const Series& series, double period_s, std::size_t bins,
          const Vector3& noise_variance) {
  const Pieces& fine = series.fine;
  Fold out{std::vector<Vector3>(bins, Vector3{}), std::vector<double>(bins, 0.0), 0.0};
  for (std::size_t k = 0; k < stretch.left_uT[0].size(); ++k) {
    if (!series.steady(stretch.first + k)) continue;
    const double turns = (static_cast<double>(k) + 0.5) * fine.length_s / period_s;
    const std::size_t bin = out.bin_of(turns);
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

double refined_period(const std::vector<Stretch>& stretches, const Series& series, double period_s,
                      const Vector3& noise_variance) {
  const Pieces& fine = series.fine;
  double longest = 1.0;
  for (const Stretch& s : stretches) {
    longest = std::max(longest, static_cast<double>(s.left_uT[0].size()) * fine.length_s);
  }
  const double reach = 0.6 * period_s * period_s / longest;
  double best = period_s;
  double most = -1.0;
  for (int i = -24; i <= 24; ++i) {
    const double p = period_s + reach * i / 24.0;
    if (p <= 2.0 * fine.length_s) continue;
    double between = 0.0;
    for (const Stretch& s : stretches) {
      between += fold(s, series, p, bins_for(period_s, fine.length_s), noise_variance).between;
    }
    if (between > most) {
      most = between;
      best = p;
    }
  }
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

Vector3 sample_variance(const Series& series, const RestSpectrum& rest) {
  Vector3 out{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    out[axis] = rest.density(axis, 1.0) / series.fine.length_s;
  }
  return out;
}

}  // namespace

Stretch stretch_of(const Series& series, const std::array<std::vector<double>, 3>& fit,
                   double from_s, double to_s) {
  const Pieces& fine = series.fine;
  Stretch out;
  out.first = fine.at(from_s);
  const std::size_t last = fine.at(to_s);
  const std::size_t n = last > out.first ? last - out.first : 0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    std::vector<double>& left = out.left_uT[axis];
    left.assign(n, 0.0);
    double mean = 0.0, slope = 0.0, moment = 0.0, count = 0.0;
    const double middle = 0.5 * static_cast<double>(n);
    for (std::size_t k = 0; k < n; ++k) {
      if (!series.steady(out.first + k)) continue;
      const double x = static_cast<double>(k) - middle;
      left[k] = fine.mean_uT[axis][out.first + k] -
                fit_at(series.blocks, fit[axis], fine.middle_s(out.first + k));
      mean += left[k];
      slope += x * left[k];
      moment += x * x;
      count += 1.0;
    }
    mean /= std::max(count, 1.0);
    slope /= std::max(moment, 1.0);
    for (std::size_t k = 0; k < n; ++k) {
      if (!series.steady(out.first + k)) continue;
      left[k] -= mean + slope * (static_cast<double>(k) - middle);
    }
    out.used = count;
  }
  return out;
}

std::size_t Fold::bin_of(double turns) const {
  const double phase = turns - std::floor(turns);
  const auto bins = static_cast<double>(mean_uT.size());
  return std::min(mean_uT.size() - 1, static_cast<std::size_t>(phase * bins));
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
                                     double deviate) {
  const Vector3 variance = sample_variance(series, rest);
  if (stretches.empty()) return std::nullopt;
  std::size_t most = 0;
  for (const Stretch& s : stretches) most = std::max(most, s.left_uT[0].size());
  const std::size_t padded = 4 * padded_size(most);
  const std::vector<double> spectrum = joint_spectrum(series, stretches, rest, padded);
  const Found found = strongest_period(spectrum, padded, series.fine.length_s, slowest_Hz,
                                       3.0 * static_cast<double>(stretches.size()));
  if (found.deviate < deviate || found.period_s < 3.0 * series.fine.length_s) {
    return std::nullopt;
  }
  Repeating out;
  out.deviate = found.deviate;
  out.period_s = refined_period(stretches, series, found.period_s, variance);
  const std::size_t bins = bins_for(out.period_s, series.fine.length_s);
  for (const Stretch& s : stretches) {
    out.folds.push_back(fold(s, series, out.period_s, bins, variance));
  }
  describe_shape(out.folds, out);
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
