// SPDX-License-Identifier: Apache-2.0
#include <utility>

#include "procedure/disturbance_pulsing_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kShortest_s = 4.0;  // of on-time that can show a period
constexpr double kEdge_s = 0.5;      // left out beside a switch
constexpr double kLeastPeriods = 3.5;
constexpr double kDeviate = 5.5;  // beyond chance: once in 5e7 looks
// Of a device that should stand still: what shakes or drifts a little is no pulse.
constexpr double kUnexpectedDeviate = 12.0;
constexpr double kUnexpectedPeriods = 7.0;

class Looker {
 public:
  Looker(Series& series, const MarkedRun& run, const std::vector<SwitchTime>& times,
         const std::array<std::vector<double>, 3>& fit, const RestSpectrum& rest)
      : series_{series}, run_{run}, times_{times}, fit_{fit}, rest_{rest} {}

  std::optional<PulsingItem> look(std::size_t item) {
    std::vector<Stretch> stretches;
    const double end_s = series_.fine.middle_s(series_.fine.size() - 1);
    double longest_s = 0.0;
    for (const Visit& visit : run_.visits) {
      if (visit.item != item) continue;
      const double transit = run_.items[item].device.transit_s;
      const double from =
          visit.begin ? moment(*visit.begin) + transit + kEdge_s : series_.fine.from_s + kEdge_s;
      const double to = visit.end ? moment(*visit.end) - kEdge_s : end_s;
      if (to - from < kShortest_s) continue;
      longest_s = std::max(longest_s, to - from);
      stretches.push_back(stretch_of(series_, fit_, from, to));
    }
    const bool expected = run_.items[item].what != Item::What::device ||
                          run_.items[item].device.kind == DeviceKind::pulsing;
    const double periods = expected ? kLeastPeriods : kUnexpectedPeriods;
    const auto found = find_period(series_, rest_, stretches, periods / longest_s,
                                   expected ? kDeviate : kUnexpectedDeviate);
    if (!found) return std::nullopt;
    for (std::size_t i = 0; i < stretches.size(); ++i) {
      take_out_of(stretches[i], found->folds[i], found->period_s);
    }
    return PulsingItem{item, *found};
  }

 private:
  double moment(std::size_t s) const { return times_[s].mean_s; }

  void take_out_of(const Stretch& stretch, const Fold& fold, double period_s) {
    const Pieces& fine = series_.fine;
    const double start = fine.from_s + static_cast<double>(stretch.first) * fine.length_s;
    const std::size_t count = stretch.left_uT[0].size();
    const double end = start + static_cast<double>(count) * fine.length_s;
    take_out(series_.fine, stretch.first, count, start, fold, period_s);
    const std::size_t first = series_.blocks.at(start) + 1;
    const std::size_t last = series_.blocks.at(end);
    if (last > first) take_out(series_.blocks, first, last - first, start, fold, period_s);
  }

  Series& series_;
  const MarkedRun& run_;
  const std::vector<SwitchTime>& times_;
  const std::array<std::vector<double>, 3>& fit_;
  const RestSpectrum& rest_;
};

}  // namespace

std::vector<PulsingItem> take_out_pulses(Series& series, const MarkedRun& run,
                                         const std::vector<SwitchTime>& times,
                                         const std::array<std::vector<double>, 3>& fit_uT,
                                         const RestSpectrum& rest) {
  Looker looker{series, run, times, fit_uT, rest};
  std::vector<PulsingItem> out;
  for (std::size_t item = 0; item < run.items.size(); ++item) {
    if (auto found = looker.look(item)) out.push_back(std::move(*found));
  }
  return out;
}

}  // namespace qn::disturbance
