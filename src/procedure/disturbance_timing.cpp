// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <utility>

#include "estimation/gaussian_draws.h"
#include "estimation/log_sum.h"
#include "procedure/disturbance_likelihood_internal.h"
#include "procedure/disturbance_moment_internal.h"
#include "procedure/disturbance_odds_internal.h"
#include "procedure/disturbance_timing_internal.h"
#include "procedure/disturbance_window_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kMostSide_s = 6.0;   // of the two means a step is seen between
constexpr double kBroad_uT = 3.0;     // 1 sigma of a jump about which nothing is known
constexpr double kShareKnown = 0.75;  // odds that a repeat does what the other repeats did
constexpr double kClearEvidence = 7.0;
constexpr double kSureEvidence = 15.0;  // what the delay law is learnt from
constexpr double kClearSigma_s = 0.7;

// The delay law over and over.
class DelayDensity {
 public:
  explicit DelayDensity(const DelayLaw& law)
      : common_s_{law.common_s},
        per_spread_{1.0 / law.spread_s},
        height_{0.97 * 2.0 / (3.14159265358979 * std::sqrt(3.0)) / law.spread_s} {}
  double at(double delay_s) const {
    const double z = (delay_s - common_s_) * per_spread_;
    const double near = 1.0 + z * z / 3.0;
    return height_ / (near * near) + 0.03 / (2.0 * kMostLate_s);
  }

 private:
  double common_s_, per_spread_, height_;
};

struct Bounds {
  double from_s, to_s, side_s;
};

double transit_of(const MarkedRun& run, const Switch& at) {
  return run.items[at.item].device.transit_s;
}

// Where the switch may be: within kMostLate_s of its mark, between its own neighbours.
Bounds bounds_of(const Pieces& fine, const MarkedRun& run, const std::vector<SwitchTime>& times,
                 const DelayLaw& law, std::size_t self) {
  const Switch& at = run.switches[self];
  const double centre = at.mark_s + law.common_s;
  const double log_end = fine.from_s + fine.length_s * static_cast<double>(fine.size());
  Bounds out{centre - kMostLate_s, centre + kMostLate_s, kMostSide_s};
  out.from_s = std::max(out.from_s, fine.from_s + 0.5 * kLeastSide_s);
  out.to_s = std::min(out.to_s, log_end - 0.5 * kLeastSide_s);
  const auto moment = [&](std::size_t s) {
    return times[s].clear ? times[s].mean_s : run.switches[s].mark_s + law.common_s;
  };
  for (std::size_t s = 0; s < run.switches.size(); ++s) {
    if (s == self || run.switches[s].item != at.item) continue;
    const double gap = std::abs(run.switches[s].mark_s - at.mark_s);
    if (gap > 60.0) continue;
    out.side_s = std::min(out.side_s, std::max(kLeastSide_s, 0.6 * gap - transit_of(run, at)));
    if (s < self) {
      // Steel turns back only once it has arrived.
      const double arrives_s = moment(s) + std::max(0.5, transit_of(run, at));
      out.from_s = std::max(out.from_s, std::min(arrives_s, centre - 0.1));
    } else {
      const double leaves_s = moment(s) - std::max(0.5, transit_of(run, at));
      out.to_s = std::min(out.to_s, std::max(leaves_s, centre + 0.1));
    }
  }
  out.to_s = std::max(out.to_s, out.from_s + fine.length_s);
  return out;
}

// Where steel stood still before and after one of its travels: up to its own travels before and
// after, which draw shapes that no single travel can.
std::pair<double, double> still_about(const MarkedRun& run, const std::vector<SwitchTime>& times,
                                      const DelayLaw& law, std::size_t self) {
  const Switch& at = run.switches[self];
  const double transit = transit_of(run, at);
  std::pair<double, double> out{-1e300, 1e300};
  for (std::size_t s = 0; s < run.switches.size(); ++s) {
    if (s == self || run.switches[s].item != at.item) continue;
    const double gap = std::abs(run.switches[s].mark_s - at.mark_s);
    const double moment = times[s].clear ? times[s].mean_s : run.switches[s].mark_s + law.common_s;
    const double margin =
        times[s].clear ? 0.3 : std::min(2.0 * law.spread_s, 0.3 * std::max(0.0, gap - transit));
    if (s < self) {
      out.first = std::max(out.first, moment + transit + margin);
    } else {
      out.second = std::min(out.second, moment - margin);
    }
  }
  return out;
}

// A device may do nothing at all: then any moment of its own is as good as another.
double quiet_or(double log_ratio) {
  return log_sum(std::log(kQuietShare), std::log(1.0 - kQuietShare) + log_ratio);
}

SwitchTime find_one(const Pieces& fine, const MarkedRun& run, const LongRunRate& rate,
                    const DelayLaw& law, const std::vector<SwitchTime>& times,
                    const std::vector<ExpectedJump>& jumps, std::size_t self, bool by_law = false) {
  const Switch& at = run.switches[self];
  const Bounds bounds = bounds_of(fine, run, times, law, self);
  const double transit = transit_of(run, at);
  const bool set = is_set(run, self);
  const bool travels = !set && run.items[at.item].device.kind == DeviceKind::moving;
  double window_from = bounds.from_s - transit - kReach * bounds.side_s;
  double window_to = bounds.to_s + kReach * bounds.side_s + transit;
  if (travels) {
    const auto [from, to] = still_about(run, times, law, self);
    window_from = std::max(window_from, std::min(from, bounds.from_s - kLeastSide_s));
    window_to =
        std::min(window_to, std::max(to, at.mark_s + law.common_s + transit + kLeastSide_s));
  }
  const Window window{fine, run, times, jumps, self, window_from, window_to};
  const auto steps = static_cast<std::size_t>((bounds.to_s - bounds.from_s) / fine.length_s) + 1;
  const ExpectedJump& expected = jumps[self];
  std::vector<double> log_prior(steps);
  constexpr Vector3 kBroad{kBroad_uT * kBroad_uT, kBroad_uT * kBroad_uT, kBroad_uT * kBroad_uT};
  // Six sizes are free in a travel: what they gain by chance.
  constexpr double kSixByChance = 12.0;
  std::vector<double> own(steps);  // log likelihood ratio of a jump of this device's
  std::vector<double> any(steps);  // the same, of a jump of anything's
  Vector3 spread{};                // of what the other repeats foretell
  for (std::size_t axis = 0; axis < 3; ++axis) {
    spread[axis] = expected.from_others_sigma_uT[axis] * expected.from_others_sigma_uT[axis];
  }
  // That the device's own jump is too small to be seen.
  double unseen = std::log(kQuietShare);
  const DelayDensity density{law};
  for (std::size_t k = 0; k < steps; ++k) {
    const double t = bounds.from_s + fine.length_s * static_cast<double>(k);
    log_prior[k] = std::log(density.at(t - at.mark_s) + 1e-300);
  }
  if (travels && !by_law) {
    // A travel has no sharp edge.
    const auto every = static_cast<std::size_t>(std::max(1.0, 0.15 / fine.length_s));
    for (std::size_t k = 0; k < steps; ++k) {
      const double t = bounds.from_s + fine.length_s * static_cast<double>(k);
      any[k] = k % every == 0 ? window.travel_ratio(t, transit, rate) - kSixByChance : any[k - 1];
      own[k] = k % every == 0 ? quiet_or(any[k]) : own[k - 1];
    }
  } else if (!set && !by_law) {
    JumpRatio broad{{}, kBroad};
    JumpRatio foretold{expected.from_others_uT.value_or(Vector3{}), spread};
    Window::Cursor cursor;
    const auto try_at = [&](std::size_t k) {
      const double t = bounds.from_s + fine.length_s * static_cast<double>(k);
      Window::Contrast c = window.contrast(t, bounds.side_s, travel_of(run, at), rate, cursor);
      if (!c.known) return;
      any[k] = broad.of(c);
      own[k] = quiet_or(any[k]);
      if (expected.from_others_uT) {
        own[k] =
            log_sum(std::log(kShareKnown) + foretold.of(c), std::log(1.0 - kShareKnown) + own[k]);
        c.jump_uT = {};
        unseen = log_sum(std::log(kShareKnown) + foretold.of(c),
                         std::log((1.0 - kShareKnown) * kQuietShare));
      }
    };
    try_where_it_matters(fine.length_s, log_prior, own, any, try_at);
  }
  SwitchTime out =
      posterior(bounds.from_s, fine.length_s,
                by_law || set ? log_prior
                              : with_unplanned(log_prior, own, any, unseen, fine.length_s,
                                               std::max(1.0, travels ? transit : 0.0)));
  out.log_evidence = evidence_near(out, log_prior, own);
  out.clear = out.log_evidence > kClearEvidence && out.sigma_s < kClearSigma_s;
  return out;
}

Vector3 jump_at(const Pieces& fine, const MarkedRun& run, const LongRunRate& rate,
                const DelayLaw& law, const std::vector<SwitchTime>& times,
                const std::vector<ExpectedJump>& jumps, std::size_t self, double at_s) {
  const Bounds bounds = bounds_of(fine, run, times, law, self);
  const double transit = transit_of(run, run.switches[self]);
  const Window window{fine,
                      run,
                      times,
                      jumps,
                      self,
                      at_s - transit - kReach * bounds.side_s,
                      at_s + kReach * bounds.side_s + transit};
  Window::Cursor cursor;
  return window.contrast(at_s, bounds.side_s, travel_of(run, run.switches[self]), rate, cursor)
      .jump_uT;
}

// A device cannot be switched off before it was switched on: then neither moment was seen.
void keep_order(const Pieces& fine, const MarkedRun& run, const LongRunRate& rate,
                const DelayLaw& law, std::vector<SwitchTime>& times,
                const std::vector<ExpectedJump>& jumps) {
  constexpr double kShortest_s = 0.5;
  for (const Visit& visit : run.visits) {
    if (!visit.begin || !visit.end) continue;
    const double marked = run.switches[*visit.end].mark_s - run.switches[*visit.begin].mark_s;
    const double seen = times[*visit.end].mean_s - times[*visit.begin].mean_s;
    if (seen > std::min(kShortest_s, 0.5 * marked)) continue;
    for (const std::size_t s : {*visit.begin, *visit.end}) {
      times[s] = find_one(fine, run, rate, law, times, jumps, s, true);
    }
  }
}

// One step in the trace may suit several marks: it belongs to the one whose mark is nearest by the
// delay law, not to the one that could be looked at for longest.
std::size_t likeliest_owner(const MarkedRun& run, const DelayLaw& law,
                            const std::vector<SwitchTime>& found,
                            const std::vector<unsigned char>& done, std::size_t strongest) {
  constexpr double kSameStep_s = 1.0;
  if (!found[strongest].clear) return strongest;
  const auto nearness = [&](std::size_t s) {
    return law.density(found[s].mean_s - run.switches[s].mark_s);
  };
  std::size_t best = strongest;
  for (std::size_t s = 0; s < found.size(); ++s) {
    if (done[s] || !found[s].clear ||
        std::abs(found[s].mean_s - found[strongest].mean_s) > kSameStep_s) {
      continue;
    }
    if (nearness(s) > nearness(best)) best = s;
  }
  return best;
}

// Steel must have gone before it can come back: with its going not yet taken out, its coming back
// would be looked for in both.
std::size_t first_of_its_travel(const MarkedRun& run, const std::vector<unsigned char>& done,
                                std::size_t s) {
  if (run.items[run.switches[s].item].device.transit_s <= 0.0) return s;
  for (const Visit& visit : run.visits) {
    if (visit.end == s && visit.begin && !done[*visit.begin]) return *visit.begin;
  }
  return s;
}

}  // namespace

double DelayLaw::density(double delay_s) const { return DelayDensity{*this}.at(delay_s); }

double SwitchTime::done_by(double time_s) const {
  const double k = (time_s - from_s) / step_s + 0.5;
  if (k <= 0.0) return 0.0;
  if (k >= static_cast<double>(probability.size())) return 1.0;
  const auto whole = static_cast<std::size_t>(k);
  return running[whole] + (k - static_cast<double>(whole)) * probability[whole];
}

std::vector<SwitchTime> first_switch_times(const Pieces& fine, const MarkedRun& run,
                                           const LongRunRate& rate, const DelayLaw& law,
                                           std::vector<ExpectedJump>& jumps) {
  const std::size_t n = run.switches.size();
  std::vector<SwitchTime> times(n);
  std::vector<SwitchTime> found(n);
  jumps.assign(n, {});
  std::vector<unsigned char> done(n, 0), stale(n, 1);
  for (std::size_t s = 0; s < n; ++s) {
    if (!is_set(run, s)) continue;
    times[s] = find_one(fine, run, rate, law, times, jumps, s);
    jumps[s].best_uT = jump_at(fine, run, rate, law, times, jumps, s, times[s].mean_s);
    done[s] = 1;
  }
  const auto left = static_cast<std::size_t>(std::count(done.begin(), done.end(), 0));
  for (std::size_t round = 0; round < left; ++round) {
    std::size_t best = n;
    for (std::size_t s = 0; s < n; ++s) {
      if (done[s]) continue;
      if (stale[s]) found[s] = find_one(fine, run, rate, law, times, jumps, s);
      stale[s] = 0;
      if (best == n || found[s].log_evidence > found[best].log_evidence) best = s;
    }
    best = first_of_its_travel(run, done, likeliest_owner(run, law, found, done, best));
    done[best] = 1;
    times[best] = found[best];
    if (!times[best].clear) continue;
    const double at = times[best].mean_s;
    jumps[best].best_uT = jump_at(fine, run, rate, law, times, jumps, best, at);
    for (std::size_t s = 0; s < n; ++s) {
      if (std::abs(run.switches[s].mark_s - at) < 2.0 * (kMostLate_s + kMostSide_s)) stale[s] = 1;
    }
  }
  return times;
}

std::vector<SwitchTime> refined_switch_times(const Pieces& fine, const MarkedRun& run,
                                             const LongRunRate& rate, const DelayLaw& law,
                                             const std::vector<SwitchTime>& before,
                                             const std::vector<ExpectedJump>& jumps) {
  std::vector<SwitchTime> out(before.size());
  for (std::size_t s = 0; s < before.size(); ++s) {
    out[s] = find_one(fine, run, rate, law, before, jumps, s);
  }
  keep_order(fine, run, rate, law, out, jumps);
  return out;
}

DelayLaw learn_delays(const MarkedRun& run, const std::vector<SwitchTime>& times,
                      const DelayLaw& assumed) {
  std::vector<double> delays;
  for (std::size_t s = 0; s < times.size(); ++s) {
    if (times[s].clear && times[s].log_evidence > kSureEvidence)
      delays.push_back(times[s].mean_s - run.switches[s].mark_s);
  }
  if (delays.size() < 4) return assumed;
  DelayLaw out;
  std::vector<double> sorted = delays;
  // Marks lie within kMostLate_s of their switches, the log's own delay with them.
  out.common_s = std::clamp(quantile(sorted, 0.5), -kMostLate_s, kMostLate_s);
  std::vector<double> sizes;
  for (const double d : delays) sizes.push_back(std::abs(d - out.common_s));
  // The median size of Student t with 3 degrees of freedom is 0.765 of its scale.
  out.spread_s = std::max(0.15, quantile(sizes, 0.5) / 0.765);
  const double n = static_cast<double>(delays.size());
  // The few delays do not fix their own spread: widen for it.
  out.spread_s *= 1.0 + 1.0 / n;
  out.common_sigma_s = 1.36 * out.spread_s / std::sqrt(n);
  return out;
}

}  // namespace qn::disturbance
