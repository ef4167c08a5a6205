// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "procedure/disturbance_pulse_train_internal.h"
#include "procedure/disturbance_pulsing_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kShortest_s = 4.0;    // of on-time that can show a period
constexpr double kEdge_s = 0.5;        // left out beside a switch
constexpr double kTravelEdge_s = 1.5;  // steel draws a shape of its own, with no sharp ends
constexpr double kLeastPeriods = 3.5;
constexpr double kDeviate = 5.5;  // beyond chance: once in 5e7 looks
// Of a device that should stand still: what shakes or drifts a little is no pulse.
constexpr double kUnexpectedDeviate = 12.0;
constexpr double kUnexpectedPeriods = 7.0;

double length_of(const Vector3& v) { return std::hypot(v[0], v[1], v[2]); }

// What the fine pieces from `first` on show above rest, all other devices' share taken out.
struct AboveRest {
  std::size_t first = 0;
  std::array<std::vector<double>, 3> field_uT;
};

class Looker {
 public:
  Looker(Series& series, const Problem& problem, const VisitSolution& visits,
         const std::array<std::vector<double>, 3>& fit, const RestSpectrum& rest)
      : series_{series},
        run_{*problem.run},
        times_{problem.times},
        visits_{visits},
        fit_{fit},
        rest_{rest},
        noise_uT2_{sample_variance(series, rest)} {
    for (double& v : noise_uT2_) v = std::max(v, 1e-15);  // an axis that stands still
  }

  std::optional<PulsingItem> look(std::size_t item) {
    std::vector<Stretch> stretches;
    std::vector<std::size_t> visit_of;
    const double end_s = series_.fine.middle_s(series_.fine.size() - 1);
    const double transit = run_.items[item].device.transit_s;
    const bool travels = run_.items[item].device.kind == DeviceKind::moving;
    const double edge_s = travels ? kTravelEdge_s : kEdge_s;
    double longest_s = 0.0;
    for (std::size_t v = 0; v < run_.visits.size(); ++v) {
      const Visit& visit = run_.visits[v];
      if (visit.item != item) continue;
      const double from =
          visit.begin ? moment(*visit.begin) + transit + edge_s : series_.fine.from_s + kEdge_s;
      const double to = visit.end ? moment(*visit.end) - edge_s : end_s;
      if (to - from < kShortest_s) continue;
      longest_s = std::max(longest_s, to - from);
      stretches.push_back(stretch_of(series_, fit_, from, to));
      visit_of.push_back(v);
    }
    const bool device = run_.items[item].what == Item::What::device;
    const bool expected = !device || run_.items[item].device.kind == DeviceKind::pulsing;
    const double periods = expected ? kLeastPeriods : kUnexpectedPeriods;
    auto found = find_period(series_, rest_, stretches, periods / longest_s,
                             expected ? kDeviate : kUnexpectedDeviate);
    if (!found || (!expected && !believed(*found))) return std::nullopt;
    PulsingItem out{item, std::move(*found), visit_of, false, {}};
    if (device && expected) periods_s_.push_back(out.shape.period_s);
    // Several devices of a set pulse at once: no rectangle.
    if (device) {
      if (auto train = fit_pulse_train(series_, stretches, out.shape, noise_uT2_, expected)) {
        take_out_train(std::move(*train), stretches, visit_of, out);
        return out;
      }
    }
    for (std::size_t i = 0; i < stretches.size(); ++i) {
      take_out_of(stretches[i], out.shape.folds[i], out.shape.period_s);
    }
    return out;
  }

 private:
  double moment(std::size_t s) const { return times_[s].mean_s; }

  // Of a device that should not pulse: one visit alone may show anything, a moment that was missed
  // as well. Then it is a period only if a device has it that was worked in its place.
  bool believed(const Repeating& found) const {
    const auto showing = std::count_if(found.folds.begin(), found.folds.end(),
                                       [](const Fold& fold) { return fold.shows(); });
    if (showing > 1 || found.folds.size() == 1) return true;
    return std::any_of(periods_s_.begin(), periods_s_.end(), [&](double period_s) {
      return std::abs(found.period_s / period_s - 1.0) < 0.03;
    });
  }

  double begin_of(const Stretch& stretch) const {
    return series_.fine.from_s + static_cast<double>(stretch.first) * series_.fine.length_s;
  }
  double end_of(const Stretch& stretch) const {
    return begin_of(stretch) +
           static_cast<double>(stretch.left_uT[0].size()) * series_.fine.length_s;
  }

  // Which part of the period is the device's doing: the one that differs from rest. False where
  // neither pulse nor pause is at rest.
  bool pause_is_rest(PulseTrain& train, const std::vector<Stretch>& stretches,
                     const std::vector<std::size_t>& visit_of,
                     const std::vector<AboveRest>& above) const {
    constexpr double kShare = 0.35;  // of the mean: what the first look at it may be off by
    Vector3 mean{};
    double sigma = 0.0, count = 0.0;
    for (std::size_t i = 0; i < visit_of.size(); ++i) {
      if (!train.pulse_s[i]) continue;
      // Over whole periods in the midst of the visit: its ends are not known well yet.
      const std::size_t all = stretches[i].left_uT[0].size();
      const double periods =
          std::floor(static_cast<double>(all) * series_.fine.length_s / train.shape.period_s);
      const auto whole = static_cast<std::size_t>(std::max(periods, 1.0) * train.shape.period_s /
                                                  series_.fine.length_s);
      const std::size_t first = stretches[i].first + (all - std::min(all, whole)) / 2;
      Vector3 sum{};
      double pieces = 0.0;
      for (std::size_t k = first; k < first + std::min(all, whole); ++k) {
        if (series_.fine.count[k] <= 0.0) continue;
        pieces += 1.0;
        for (std::size_t a = 0; a < 3; ++a) sum[a] += above[i].field_uT[a][k - above[i].first];
      }
      for (std::size_t a = 0; a < 3; ++a) mean[a] += sum[a] / std::max(pieces, 1.0);
      sigma = std::max(sigma, length_of(visits_.sigma_uT[visit_of[i]]));
      count += 1.0;
    }
    const auto off_by = [&](double share) {
      Vector3 d{};
      for (std::size_t a = 0; a < 3; ++a) d[a] = mean[a] / count - share * train.shape.height[a];
      return length_of(d);
    };
    const double upright = off_by(train.shape.duty);
    const double reversed = off_by(train.shape.duty - 1.0);
    if (reversed < upright) {
      for (std::size_t i = 0; i < visit_of.size(); ++i) {
        if (train.pulse_s[i]) *train.pulse_s[i] += train.shape.duty * train.shape.period_s;
      }
      train.shape.duty = 1.0 - train.shape.duty;
      for (double& h : train.shape.height) h = -h;
    }
    const double size = train.shape.duty * length_of(train.shape.height);
    return std::min(upright, reversed) < kShare * size + 4.0 * sigma;
  }

  AboveRest above_rest(std::size_t v, std::size_t first, std::size_t last) const {
    const Pieces& fine = series_.fine;
    const Pieces& blocks = series_.blocks;
    const BlockColumn& own = visits_.columns[v];
    AboveRest out{first, {}};
    const auto without_own = [&](std::size_t b, std::size_t axis) {
      const bool in = b >= own.begin && b - own.begin < own.values.size();
      return fit_[axis][b] - (in ? visits_.size_uT[v][axis] * own.values[b - own.begin] : 0.0);
    };
    for (std::size_t k = first; k <= last; ++k) {
      const BetweenBlocks read =
          between_blocks((fine.middle_s(k) - blocks.from_s) / blocks.length_s - 0.5, blocks.size());
      for (std::size_t axis = 0; axis < 3; ++axis) {
        out.field_uT[axis].push_back(fine.mean_uT[axis][k] -
                                     (1.0 - read.share) * without_own(read.below, axis) -
                                     read.share * without_own(read.next, axis));
      }
    }
    return out;
  }

  void take_out_train(PulseTrain train, const std::vector<Stretch>& stretches,
                      const std::vector<std::size_t>& visit_of, PulsingItem& out) {
    constexpr double kAround_s = 8.0;
    const Pieces& fine = series_.fine;
    std::vector<AboveRest> above;
    for (std::size_t i = 0; i < stretches.size(); ++i) {
      above.push_back(above_rest(visit_of[i], fine.at(begin_of(stretches[i]) - kAround_s),
                                 fine.at(end_of(stretches[i]) + kAround_s)));
    }
    const bool rest_between = pause_is_rest(train, stretches, visit_of, above);
    std::vector<TrainExtent> whole, within;
    out.cut_short.assign(visit_of.size(), 0.0);
    for (std::size_t i = 0; i < stretches.size(); ++i) {
      if (!train.pulse_s[i]) continue;
      const double from = begin_of(stretches[i]);
      const double to = end_of(stretches[i]);
      const double before = std::floor((from - *train.pulse_s[i]) / train.shape.period_s);
      const double begin = *train.pulse_s[i] + before * train.shape.period_s;
      within.push_back(
          {begin, static_cast<std::size_t>(std::ceil((to - begin) / train.shape.period_s)), 0.0});
      if (!rest_between) continue;
      if (const auto extent = extent_of(train, *train.pulse_s[i], fine, above[i].first,
                                        above[i].field_uT, noise_uT2_, from + 1.0, to - 1.0)) {
        whole.push_back(*extent);
        out.cut_short[i] = extent->cut_short;
      }
    }
    out.whole = whole.size() == within.size();
    for (const TrainExtent& extent : out.whole ? whole : within) {
      even_out(series_.fine, train, extent);
      even_out(series_.blocks, train, extent);
    }
    out.shape.period_s = train.shape.period_s;
    if (out.shape.short_pulses) return;  // length and height cannot be told apart
    out.shape.duty = train.shape.duty;
    for (std::size_t a = 0; a < 3; ++a) {
      out.shape.high_uT[a] = (1.0 - train.shape.duty) * train.shape.height[a];
      out.shape.low_uT[a] = -train.shape.duty * train.shape.height[a];
    }
  }

  void take_out_of(const Stretch& stretch, const Fold& fold, double period_s) {
    const double start = begin_of(stretch);
    const std::size_t count = stretch.left_uT[0].size();
    const double end = end_of(stretch);
    take_out(series_.fine, stretch.first, count, start, fold, period_s);
    const std::size_t first = series_.blocks.at(start) + 1;
    const std::size_t last = series_.blocks.at(end);
    if (last > first) take_out(series_.blocks, first, last - first, start, fold, period_s);
  }

  Series& series_;
  const MarkedRun& run_;
  const std::vector<SwitchTime>& times_;
  const VisitSolution& visits_;
  const std::array<std::vector<double>, 3>& fit_;
  const RestSpectrum& rest_;
  Vector3 noise_uT2_{};
  std::vector<double> periods_s_;  // of devices that should pulse
};

}  // namespace

SwitchedOff switched_off(const PulsingItem& found, std::size_t visit) {
  constexpr double kNearlyWhole = 0.85;
  const double pulse_s = found.shape.duty * found.shape.period_s;
  const double pause_s = found.shape.period_s - pulse_s;
  const double in_a_pause = pause_s / std::sqrt(12.0);
  const auto at = std::find(found.visits.begin(), found.visits.end(), visit) - found.visits.begin();
  const double cut = static_cast<std::size_t>(at) < found.cut_short.size()
                         ? found.cut_short[static_cast<std::size_t>(at)]
                         : 0.0;
  if (cut <= 0.0) return {-0.5 * pause_s, in_a_pause};
  if (cut < kNearlyWhole) return {cut * pulse_s, (1.0 - kNearlyWhole) * pulse_s};
  return {pulse_s + 0.5 * pause_s, in_a_pause};
}

std::vector<PulsingItem> take_out_pulses(Series& series, const Problem& problem,
                                         const VisitSolution& visits,
                                         const std::array<std::vector<double>, 3>& fit_uT,
                                         const RestSpectrum& rest) {
  Looker looker{series, problem, visits, fit_uT, rest};
  std::vector<PulsingItem> out;
  const auto& items = problem.run->items;
  for (const bool pulsing : {true, false}) {
    for (std::size_t item = 0; item < items.size(); ++item) {
      if ((items[item].device.kind == DeviceKind::pulsing) != pulsing) continue;
      if (auto found = looker.look(item)) out.push_back(std::move(*found));
    }
  }
  return out;
}

}  // namespace qn::disturbance
