// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_trains_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kWindow_s = 60.0;
constexpr double kLeastUsed = 0.3;  // of a window
constexpr double kChunk_s = 6.0;    // how finely a train's ends are told
constexpr double kSlowest_Hz = 0.08;
constexpr double kLeastPeriods = 5.0;
constexpr double kDeviate = 6.5;  // beyond chance: once in 1e10 looks
constexpr double kSamePeriod = 0.04;
constexpr double kShortest_s = 20.0;

struct Seen {
  double from_s = 0.0, to_s = 0.0;
  double period_s = 0.0;
  double deviate = 0.0;
};

class Finder {
 public:
  Finder(Series& series, const std::array<std::vector<double>, 3>& fit, const RestSpectrum& rest,
         const std::vector<unsigned char>& not_here)
      : series_{series}, fit_{fit}, rest_{rest}, saved_{series.beside_switch} {
    series_.beside_switch.resize(series.fine.size(), 0);
    for (std::size_t k = 0; k < not_here.size(); ++k) {
      if (not_here[k]) series_.beside_switch[k] = 1;
    }
  }
  ~Finder() { series_.beside_switch = saved_; }
  Finder(const Finder&) = delete;
  Finder& operator=(const Finder&) = delete;

  std::vector<Train> find() {
    std::vector<Seen> spans;
    const Pieces& fine = series_.fine;
    const double end_s = fine.middle_s(fine.size() - 1);
    for (double from = fine.from_s; from + 0.5 * kWindow_s < end_s; from += 0.5 * kWindow_s) {
      const Stretch stretch = stretch_of(series_, fit_, from, std::min(from + kWindow_s, end_s));
      if (stretch.used < kLeastUsed * static_cast<double>(stretch.left_uT[0].size())) continue;
      const auto found = find_period(series_, rest_, {stretch}, kSlowest_Hz, kDeviate);
      if (!found) continue;
      const Seen seen{from, std::min(from + kWindow_s, end_s), found->period_s, found->deviate};
      const bool goes_on = !spans.empty() && from <= spans.back().to_s &&
                           std::abs(seen.period_s / spans.back().period_s - 1.0) < kSamePeriod;
      if (!goes_on) {
        spans.push_back(seen);
        continue;
      }
      spans.back().to_s = seen.to_s;
      if (seen.deviate > spans.back().deviate) {
        spans.back().deviate = seen.deviate;
        spans.back().period_s = seen.period_s;
      }
    }
    std::sort(spans.begin(), spans.end(),
              [](const Seen& a, const Seen& b) { return a.deviate > b.deviate; });
    std::vector<Train> out;
    for (const Seen& span : spans) {
      // A stronger train may have explained this one.
      if (auto train = settle(span)) out.push_back(*train);
    }
    return out;
  }

 private:
  std::optional<Train> settle(const Seen& span) {
    const Stretch stretch =
        stretch_of(series_, fit_, span.from_s - 0.5 * kWindow_s, span.to_s + 0.5 * kWindow_s);
    const auto found = find_period(series_, rest_, {stretch}, kSlowest_Hz, kDeviate);
    if (!found || std::abs(found->period_s / span.period_s - 1.0) > 3.0 * kSamePeriod) {
      return std::nullopt;
    }
    const auto [first, last] = extent(stretch, *found);
    const double lasts_s = static_cast<double>(last - first) * series_.fine.length_s;
    if (lasts_s < std::max(kShortest_s, kLeastPeriods * found->period_s)) {
      return std::nullopt;
    }
    const double start =
        series_.fine.from_s + static_cast<double>(stretch.first) * series_.fine.length_s;
    Train out;
    out.from_s = series_.fine.middle_s(stretch.first + first);
    out.to_s = series_.fine.middle_s(stretch.first + last);
    out.period_s = found->period_s;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      out.size_uT[axis] = found->high_uT[axis] - found->low_uT[axis];
    }
    // The fold holds quiet time as well: brought to the size it has inside.
    Fold inside = found->folds.front();
    const double share = strength_between(stretch, *found, first, last);
    for (Vector3& m : inside.mean_uT) {
      for (double& v : m) v *= share;
    }
    for (double& v : out.size_uT) v *= share;
    take_out(series_.fine, stretch.first + first, last - first, start, inside, out.period_s);
    const std::size_t block = series_.blocks.at(out.from_s) + 1;
    const std::size_t end_block = series_.blocks.at(out.to_s);
    if (end_block > block) {
      take_out(series_.blocks, block, end_block - block, start, inside, out.period_s);
    }
    return out;
  }

  // How much of the folded shape pieces [from, to) hold: 1 when it is there as folded.
  double strength_between(const Stretch& stretch, const Repeating& found, std::size_t from,
                          std::size_t to) const {
    const Fold& fold = found.folds.front();
    const std::size_t bins = fold.mean_uT.size();
    double with = 0.0, shape = 0.0;
    for (std::size_t k = from; k < to; ++k) {
      if (!series_.steady(stretch.first + k)) continue;
      const double turns = static_cast<double>(k) * series_.fine.length_s / found.period_s;
      const auto bin = std::min(bins - 1, static_cast<std::size_t>((turns - std::floor(turns)) *
                                                                   static_cast<double>(bins)));
      for (std::size_t axis = 0; axis < 3; ++axis) {
        with += stretch.left_uT[axis][k] * fold.mean_uT[bin][axis];
        shape += fold.mean_uT[bin][axis] * fold.mean_uT[bin][axis];
      }
    }
    return shape > 0.0 ? with / shape : 0.0;
  }

  // The longest run of chunks that hold the shape; chunks about which nothing is known go with it.
  std::pair<std::size_t, std::size_t> extent(const Stretch& stretch, const Repeating& found) const {
    const auto chunk =
        static_cast<std::size_t>(std::max(kChunk_s, 1.5 * found.period_s) / series_.fine.length_s);
    const std::size_t n = stretch.left_uT[0].size();
    std::size_t best_from = 0, best_to = 0, from = 0, last_seen = 0;
    bool open = false;
    const auto close = [&] {
      if (open && last_seen - from > best_to - best_from) {
        best_from = from;
        best_to = last_seen;
      }
      open = false;
    };
    for (std::size_t k = 0; k + chunk <= n; k += chunk) {
      double known = 0.0;
      for (std::size_t i = k; i < k + chunk; ++i) {
        known += series_.steady(stretch.first + i) ? 1.0 : 0.0;
      }
      if (known < 0.3 * static_cast<double>(chunk)) continue;
      if (strength_between(stretch, found, k, k + chunk) > 0.45) {
        if (!open) from = k;
        open = true;
        last_seen = k + chunk;
      } else {
        close();
      }
    }
    close();
    return {best_from, best_to};
  }

  Series& series_;
  const std::array<std::vector<double>, 3>& fit_;
  const RestSpectrum& rest_;
  std::vector<unsigned char> saved_;
};

}  // namespace

std::vector<Train> take_out_trains(Series& series, const std::array<std::vector<double>, 3>& fit_uT,
                                   const RestSpectrum& rest,
                                   const std::vector<unsigned char>& not_here) {
  return Finder{series, fit_uT, rest, not_here}.find();
}

}  // namespace qn::disturbance
