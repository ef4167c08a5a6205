// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "estimation/gaussian_draws.h"
#include "estimation/periodogram.h"
#include "procedure/disturbance_period_internal.h"

namespace qn::disturbance {
namespace {

constexpr std::size_t kHarmonics = 4;

}  // namespace

Spectrum joint_spectrum(const std::vector<Stretch>& stretches, const RestSpectrum& rest,
                        std::size_t padded) {
  Spectrum sum(padded / 2 + 1, 0.0F);
  const RestSpectrum::Bins& bins = rest.bins(padded);
  const auto add = [&](const Spectrum& power, std::size_t axis, double used) {
    const auto share = static_cast<float>(1.0 / std::max(used, 1.0));
    const float* noise = bins.per_power[axis].data();
    for (std::size_t j = 1; j < sum.size(); ++j) sum[j] += power[j] * noise[j] * share;
  };
  // Series go through the transform in pairs.
  std::vector<std::pair<std::size_t, std::size_t>> all;  // stretch, axis
  for (std::size_t s = 0; s < stretches.size(); ++s) {
    for (std::size_t axis = 0; axis < 3; ++axis) all.emplace_back(s, axis);
  }
  for (std::size_t i = 0; i < all.size(); i += 2) {
    const auto& [s, a] = all[i];
    const auto& [t, b] = all[std::min(i + 1, all.size() - 1)];
    const auto powers = bins.transform.of_two(stretches[s].left_uT[a], stretches[t].left_uT[b]);
    add(powers[0], a, stretches[s].used);
    if (i + 1 < all.size()) add(powers[1], b, stretches[t].used);
  }
  return sum;
}

double floor_of(const Spectrum& spectrum, double exponentials) {
  std::vector<double> sorted(spectrum.begin() + 1, spectrum.end());
  return std::max(1.0, quantile(sorted, 0.5) / (exponentials - 1.0 / 3.0));
}

// Only what is beyond chance by `least`: nearly everywhere nothing need be worked out.
FoundPeriod strongest_period(const Spectrum& spectrum, const PeriodSearch& search) {
  const auto& [bin_Hz, lowest_Hz, exponentials, least] = search;
  FoundPeriod best{0.0, least};
  std::array<float, kHarmonics> most{};
  const double own = exponentials;
  const auto raise = [&best, &most, own] {
    for (std::size_t h = 0; h < kHarmonics; ++h) {
      most[h] =
          static_cast<float>(exponential_sum_at(best.deviate, own * static_cast<double>(h + 1)));
    }
  };
  raise();
  const auto first = static_cast<std::size_t>(std::ceil(lowest_Hz / bin_Hz));
  for (std::size_t j = std::max<std::size_t>(first, 1); j < spectrum.size(); ++j) {
    float sum = 0.0F;
    bool any = false;
    for (std::size_t h = 1; h <= kHarmonics && h * j < spectrum.size(); ++h) {
      sum += spectrum[h * j];
      any = any || sum > most[h - 1];
    }
    if (!any) continue;
    // Pulses are strongest at their own frequency: without this a third of it would do as well.
    float strongest = 0.0F;
    for (std::size_t h = 2; h <= kHarmonics && h * j < spectrum.size(); ++h) {
      strongest = std::max(strongest, spectrum[h * j]);
    }
    if (spectrum[j] < 0.6F * strongest) continue;
    sum = 0.0F;
    double count = 0.0;
    for (std::size_t h = 1; h <= kHarmonics && h * j < spectrum.size(); ++h) {
      sum += spectrum[h * j];
      count += exponentials;
      const double deviate = exponential_sum_deviate(sum, count);
      if (deviate > best.deviate) {
        best = {1.0 / (static_cast<double>(j) * bin_Hz), deviate};
      }
    }
    raise();
  }
  return best;
}

bool worth_a_look(const Spectrum& spectrum, const PeriodSearch& search) {
  constexpr float kKept = 0.65F;
  const auto beyond = [&](float scale) {
    std::array<float, kHarmonics> most{};
    for (std::size_t h = 0; h < kHarmonics; ++h) {
      most[h] = kKept * scale *
                static_cast<float>(exponential_sum_at(
                    search.least, search.exponentials * static_cast<double>(h + 1)));
    }
    const auto first = static_cast<std::size_t>(search.lowest_Hz / search.bin_Hz);
    for (std::size_t j = std::max<std::size_t>(first, 1); j < spectrum.size(); ++j) {
      float sum = spectrum[j];
      if (sum > most[0]) return true;
      for (std::size_t h = 2; h <= kHarmonics && h * j < spectrum.size(); ++h) {
        const std::size_t reach = (h + 1) / 2;
        float near = 0.0F;
        for (std::size_t i = h * j - reach; i <= std::min(h * j + reach, spectrum.size() - 1);
             ++i) {
          near = std::max(near, spectrum[i]);
        }
        sum += near;
        if (sum > most[h - 1]) return true;
      }
    }
    return false;
  };
  if (!beyond(1.0F)) return false;
  const double floor = floor_of(spectrum, search.exponentials);
  return floor <= 1.0 || beyond(0.9F * static_cast<float>(floor));
}

}  // namespace qn::disturbance
