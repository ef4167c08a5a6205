// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "estimation/gaussian_draws.h"
#include "estimation/periodogram.h"
#include "procedure/disturbance_fold_internal.h"

namespace qn::disturbance {
namespace {

double density_at(const DriftNoise& noise, double block_s, double f_Hz) {
  const double x = 2.0 * std::numbers::pi * f_Hz * noise.slow_time_s;
  return noise.white_variance * block_s +
         2.0 * noise.slow_variance * noise.slow_time_s / (1.0 + x * x);
}

}  // namespace

RestSpectrum::RestSpectrum(const Series& series, const MarkedRun& run,
                           const std::vector<SwitchTime>& times,
                           const std::array<std::vector<double>, 3>& fit_uT,
                           const std::array<DriftNoise, 3>& noise)
    : noise_{noise}, block_s_{series.blocks.length_s}, fine_s_{series.fine.length_s} {
  constexpr double kStretch_s = 4.0;
  constexpr std::size_t kFewest = 8;
  constexpr std::size_t kEnough = 150;  // their median is good to a few hundredths
  const double dt = series.fine.length_s;
  const auto samples = static_cast<std::size_t>(kStretch_s / dt);
  const std::size_t padded = 2 * padded_size(samples);
  bin_Hz_ = 1.0 / (static_cast<double>(padded) * dt);
  std::vector<unsigned char> busy(series.fine.size(), 0);
  for (const Visit& visit : run.visits) {
    const std::size_t from = visit.begin ? series.fine.at(times[*visit.begin].mean_s - 1.0) : 0;
    const double settled = visit.end ? times[*visit.end].mean_s + 1.0 +
                                           run.items[visit.item].device.transit_s +
                                           run.items[visit.item].settle_s
                                     : series.fine.middle_s(series.fine.size() - 1);
    const std::size_t to = series.fine.at(settled);
    for (std::size_t k = from; k <= to; ++k) busy[k] = 1;
  }
  std::vector<std::size_t> quiet;  // where stretches begin
  for (std::size_t k = 0; k + samples < busy.size();) {
    const auto first = busy.begin() + static_cast<std::ptrdiff_t>(k);
    const auto taken = std::find(first, first + static_cast<std::ptrdiff_t>(samples), 1);
    if (taken == first + static_cast<std::ptrdiff_t>(samples)) {
      quiet.push_back(k);
      k += samples;
    } else {
      k = static_cast<std::size_t>(taken - busy.begin()) + 1;
    }
  }
  const std::size_t every = std::max<std::size_t>(1, quiet.size() / kEnough);
  const PowerSpectrum transform{padded};
  std::array<std::vector<std::vector<float>>, 3> powers;
  for (std::size_t i = 0; i < quiet.size(); i += every) {
    const std::size_t k = quiet[i];
    const Stretch stretch =
        stretch_of(series, fit_uT, series.fine.middle_s(k), series.fine.middle_s(k + samples));
    if (stretch.used < 0.8 * static_cast<double>(samples)) continue;
    auto [x, y] = transform.of_two(stretch.left_uT[0], stretch.left_uT[1]);
    std::array<std::vector<float>, 3> here{std::move(x), std::move(y),
                                           transform.of(stretch.left_uT[2])};
    for (std::size_t axis = 0; axis < 3; ++axis) {
      for (float& p : here[axis]) p *= static_cast<float>(dt / stretch.used);
      powers[axis].push_back(std::move(here[axis]));
    }
  }
  if (powers[0].size() < kFewest) return;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    std::vector<double> middle(padded / 2 + 1);
    for (std::size_t j = 0; j < middle.size(); ++j) {
      std::vector<double> here;
      for (const auto& power : powers[axis]) here.push_back(power[j]);
      middle[j] = quantile(here, 0.5) / std::numbers::ln2;  // of an exponential variable
    }
    seen_[axis].resize(middle.size());
    for (std::size_t j = 0; j < middle.size(); ++j) {
      constexpr std::size_t kSmooth = 4;
      double sum = 0.0, count = 0.0;
      for (std::size_t i = j > kSmooth ? j - kSmooth : 1;
           i <= std::min(j + kSmooth, middle.size() - 1); ++i) {
        sum += middle[i];
        count += 1.0;
      }
      seen_[axis][j] = sum / std::max(count, 1.0);
    }
  }
}

double RestSpectrum::density(std::size_t axis, double frequency_Hz) const {
  const double model = density_at(noise_[axis], block_s_, frequency_Hz);
  if (seen_[axis].empty()) return model;
  const auto j = static_cast<std::size_t>(std::round(frequency_Hz / bin_Hz_));
  return std::max(model, seen_[axis][std::min(j, seen_[axis].size() - 1)]);
}

const RestSpectrum::Bins& RestSpectrum::bins(std::size_t padded) const {
  const auto known = bins_.find(padded);
  if (known != bins_.end()) return known->second;
  Bins& out = bins_.emplace(padded, padded).first->second;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    out.per_power[axis].reserve(padded / 2 + 1);
    for (std::size_t j = 0; j <= padded / 2; ++j) {
      const double f = static_cast<double>(j) / (static_cast<double>(padded) * fine_s_);
      out.per_power[axis].push_back(
          static_cast<float>(fine_s_ / std::max(density(axis, f), 1e-15 * fine_s_)));
    }
  }
  return out;
}

}  // namespace qn::disturbance
