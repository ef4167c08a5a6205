// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <utility>

#include "estimation/gaussian_draws.h"
#include "procedure/disturbance_trains_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kWindow_s = 60.0;
constexpr double kLeastUsed = 0.3;     // of a window
constexpr double kLeastChunk_s = 1.5;  // how finely a train's ends are told: whole periods of it
constexpr double kLeastKnown = 0.3;    // of such a chunk
constexpr double kFurther_s = 60.0;  // how far beyond the windows that show it a train is followed
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

// What is badly fitted (a motor's start, a switch read wrongly) is large and rare; a train is
// neither. Cut down to a few times what is usual.
Stretch without_the_rare(Stretch stretch) {
  constexpr double kUsual = 5.0;
  for (std::vector<double>& left : stretch.left_uT) {
    std::vector<double> sizes;
    // Some of many tell what is usual; in steps that fall in with no period.
    const std::size_t every = std::max<std::size_t>(1, left.size() / 300);
    for (std::size_t k = 0, i = 0; k < left.size(); k += 1 + (i++ * 5 % 7) * (every - 1) / 3) {
      if (left[k] != 0.0) sizes.push_back(std::abs(left[k]));
    }
    if (sizes.empty()) continue;
    const double most = kUsual * quantile(sizes, 0.5);
    for (double& y : left) y = std::clamp(y, -most, most);
  }
  return stretch;
}

class Finder {
 public:
  Finder(Series& series, const std::array<std::vector<double>, 3>& fit, const RestSpectrum& rest,
         const std::vector<unsigned char>& not_here)
      : series_{series}, fit_{fit}, rest_{rest}, saved_{series.beside_switch} {
    // Beyond the noise of one sample on some axis: what is smaller spoils nothing, and is too often
    // the badly fitted part of something else.
    constexpr double kLeastSwing = 1.4;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double sd = std::sqrt(rest.density(axis, 0.3 / series.interval_s) / series.interval_s);
      least_swing_uT_[axis] = kLeastSwing * std::max(sd, 1e-9);
    }
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
    std::vector<std::size_t> steady(fine.size() + 1, 0);  // pieces before each that count
    for (std::size_t k = 0; k < fine.size(); ++k) {
      steady[k + 1] = steady[k] + (series_.steady(k) ? 1U : 0U);
    }
    for (double from = fine.from_s; from + 0.5 * kWindow_s < end_s; from += 0.5 * kWindow_s) {
      const double to = std::min(from + kWindow_s, end_s);
      const std::size_t first = fine.at(from);
      const std::size_t last = fine.at(to);
      const auto used = static_cast<double>(steady[last] - steady[first]);
      if (used < kLeastUsed * static_cast<double>(last - first)) continue;
      const Stretch stretch = without_the_rare(stretch_of(series_, fit_, from, to));
      const auto found =
          find_period(series_, rest_, {stretch}, kSlowest_Hz, kDeviate, least_swing_uT_);
      if (!found) continue;
      const Seen seen{from, to, found->period_s, found->deviate};
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
    auto shape = shape_of(span.from_s, span.to_s);
    if (!shape || std::abs(shape->period_s / span.period_s - 1.0) > 3.0 * kSamePeriod) {
      return std::nullopt;
    }
    // The minutes that showed it give its shape; that gives its ends; all of it gives a better one.
    Reach reach = reach_of(*shape, span.from_s - kFurther_s, span.to_s + kFurther_s);
    if (const auto better = shape_of(reach.from_s, reach.to_s);
        better && std::abs(better->period_s / shape->period_s - 1.0) < kSamePeriod) {
      shape = better;
      reach = reach_of(*shape, reach.from_s - kFurther_s, reach.to_s + kFurther_s);
    }
    if (reach.to_s - reach.from_s < std::max(kShortest_s, kLeastPeriods * shape->period_s)) {
      return std::nullopt;
    }
    if (!stands_out(shape->swing_uT)) return std::nullopt;
    reach = carried_on(*shape, reach);
    const Train out{reach.from_s, reach.to_s, shape->period_s, shape->swing_uT};
    take_out_between(series_.fine, out, *shape);
    take_out_between(series_.blocks, out, *shape);
    return out;
  }

  bool stands_out(const Vector3& swing_uT) const {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      if (std::abs(swing_uT[axis]) > least_swing_uT_[axis]) return true;
    }
    return false;
  }

  struct Shape {
    double period_s = 0.0, start_s = 0.0;  // phase zero
    Fold fold;
    Vector3 swing_uT{};
  };

  std::optional<Shape> shape_of(double from_s, double to_s) const {
    const Stretch stretch = without_the_rare(stretch_of(series_, fit_, from_s, to_s));
    const auto found =
        find_period(series_, rest_, {stretch}, kSlowest_Hz, kDeviate, least_swing_uT_);
    if (!found) return std::nullopt;
    Shape out;
    out.period_s = found->period_s;
    out.start_s = series_.fine.from_s + static_cast<double>(stretch.first) * series_.fine.length_s;
    out.fold = found->folds.front();
    for (std::size_t axis = 0; axis < 3; ++axis) {
      out.swing_uT[axis] = found->high_uT[axis] - found->low_uT[axis];
    }
    return out;
  }

  struct Reach {
    double from_s = 0.0, to_s = 0.0;
  };

  // The stretch of whole periods over which the shape being there explains most more than its being
  // absent; periods about which nothing is known count neither way.
  Reach reach_of(const Shape& shape, double from_s, double to_s) const {
    const Stretch stretch = without_the_rare(stretch_of(series_, fit_, from_s, to_s));
    const Pieces& fine = series_.fine;
    const double chunk_s = shape.period_s * std::ceil(kLeastChunk_s / shape.period_s);
    const auto chunk = static_cast<std::size_t>(std::round(chunk_s / fine.length_s));
    const double begin_s = fine.from_s + static_cast<double>(stretch.first) * fine.length_s;
    double best = 0.0, sum = 0.0;
    std::size_t best_from = 0, best_to = 0, from = 0;
    for (std::size_t k = 0; k + chunk <= stretch.left_uT[0].size(); k += chunk) {
      if (sum <= 0.0) {
        sum = 0.0;
        from = k;
      }
      sum += gain_of(shape, stretch, k, k + chunk);
      if (sum > best) {
        best = sum;
        best_from = from;
        best_to = k + chunk;
      }
    }
    return {begin_s + static_cast<double>(best_from) * fine.length_s,
            begin_s + static_cast<double>(best_to) * fine.length_s};
  }

  // Known by its shape, a train is followed on through the time in which something else pulses and
  // where it would not have been told from that.
  Reach carried_on(const Shape& shape, const Reach& reach) {
    constexpr double kSure = 8.0;  // log likelihood ratio
    const Pieces& fine = series_.fine;
    const std::vector<unsigned char> without = std::exchange(series_.beside_switch, saved_);
    const Stretch stretch =
        stretch_of(series_, fit_, reach.from_s - kFurther_s, reach.to_s + kFurther_s);
    const double begin_s = fine.from_s + static_cast<double>(stretch.first) * fine.length_s;
    const double chunk_s = shape.period_s * std::ceil(kLeastChunk_s / shape.period_s);
    const auto chunk = static_cast<long long>(std::round(chunk_s / fine.length_s));
    const auto count = static_cast<long long>(stretch.left_uT[0].size());
    const auto outwards = [&](double from_s, long long step) {
      auto k = static_cast<long long>(std::round((from_s - begin_s) / fine.length_s));
      if (step < 0) k -= chunk;
      double sum = 0.0, most = kSure, at_s = from_s;
      for (; k >= 0 && k + chunk <= count; k += step) {
        sum += gain_of(shape, stretch, static_cast<std::size_t>(k),
                       static_cast<std::size_t>(k + chunk), true);
        if (sum < -kSure) break;
        if (sum <= most) continue;
        most = sum;
        at_s = begin_s + static_cast<double>(step > 0 ? k + chunk : k) * fine.length_s;
      }
      return at_s;
    };
    const Reach out{outwards(reach.from_s, -chunk), outwards(reach.to_s, chunk)};
    series_.beside_switch = without;
    return out;
  }

  // Log likelihood ratio of the shape being there against its not being there.
  //
  // in_company  something else may pulse: all that the shape leaves is noise to it
  double gain_of(const Shape& shape, const Stretch& stretch, std::size_t from, std::size_t to,
                 bool in_company = false) const {
    const Pieces& fine = series_.fine;
    Vector3 y{}, s{}, ys{}, ss{}, yy{};
    double count = 0.0;
    for (std::size_t k = from; k < to; ++k) {
      if (!series_.steady(stretch.first + k)) continue;
      const double turns = (fine.middle_s(stretch.first + k) - shape.start_s) / shape.period_s;
      const Vector3& m = shape.fold.mean_uT[shape.fold.bin_of(turns)];
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double left = stretch.left_uT[axis][k];
        y[axis] += left;
        s[axis] += m[axis];
        ys[axis] += left * m[axis];
        ss[axis] += m[axis] * m[axis];
        yy[axis] += left * left;
      }
      count += 1.0;
    }
    if (count < kLeastKnown * static_cast<double>(to - from)) return 0.0;
    double sum = 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      double variance = std::max(rest_.density(axis, 1.0 / shape.period_s) / fine.length_s, 1e-15);
      const double cross = ys[axis] - y[axis] * s[axis] / count;
      const double square = ss[axis] - s[axis] * s[axis] / count;
      if (in_company) {
        const double left = yy[axis] - y[axis] * y[axis] / count - 2.0 * cross + square;
        variance = std::max(variance, left / count);
      }
      sum += (cross - 0.5 * square) / variance;
    }
    return sum;
  }

  static void take_out_between(Pieces& pieces, const Train& train, const Shape& shape) {
    const std::size_t first = pieces.at(train.from_s + 0.5 * pieces.length_s);
    const std::size_t last = pieces.at(train.to_s + 0.5 * pieces.length_s);
    if (last > first) {
      take_out(pieces, first, last - first, shape.start_s, shape.fold, shape.period_s);
    }
  }

  Series& series_;
  const std::array<std::vector<double>, 3>& fit_;
  const RestSpectrum& rest_;
  std::vector<unsigned char> saved_;
  Vector3 least_swing_uT_{};
};

}  // namespace

std::vector<Train> take_out_trains(Series& series, const std::array<std::vector<double>, 3>& fit_uT,
                                   const RestSpectrum& rest,
                                   const std::vector<unsigned char>& not_here) {
  return Finder{series, fit_uT, rest, not_here}.find();
}

}  // namespace qn::disturbance
