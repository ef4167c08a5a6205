// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "procedure/disturbance_timing_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kMostSide_s = 6.0;  // of the two means a step is seen between
constexpr double kLeastSide_s = 0.8;
constexpr double kBroad_uT = 3.0;     // 1 sigma of a jump about which nothing is known
constexpr double kShareKnown = 0.75;  // odds that a repeat does what the other repeats did
constexpr double kReach = 2.5;        // times a side, where part of it is blurred
constexpr double kBlur_s = 0.3;
constexpr double kInrush_s = 2.0;
constexpr double kClearEvidence = 7.0;
constexpr double kSureEvidence = 15.0;  // what the delay law is learnt from
constexpr double kClearSigma_s = 0.7;

// What must not stand on either side of a moment that is tried.
struct Travel {
  double before_s = 0.0, after_s = 0.0;
};

// A set is switched and travels piece by piece: no moment of the trace is its own.
bool is_set(const MarkedRun& run, std::size_t s) {
  return run.items[run.switches[s].item].what != Item::What::device;
}

Travel travel_of(const MarkedRun& run, const Switch& at) {
  const Item& item = run.items[at.item];
  const double transit_s = item.device.transit_s;
  if (item.what != Item::What::device) return {item.settle_s, transit_s + item.settle_s};
  return {0.0, transit_s};
}

// Sums of the window around one switch, all other switches taken out.
class Window {
 public:
  Window(const Pieces& fine, const MarkedRun& run, const std::vector<SwitchTime>& times,
         const std::vector<ExpectedJump>& jumps, std::size_t self, double from_s, double to_s)
      : fine_{fine}, first_{fine.at(from_s)}, last_{fine.at(to_s) + 1} {
    for (auto& sum : sums_) sum.assign(last_ - first_ + 1, 0.0);
    counts_.assign(last_ - first_ + 1, 0.0);
    std::vector<std::size_t> near;
    for (std::size_t s = 0; s < times.size(); ++s) {
      if (s == self || times[s].probability.empty()) continue;
      const double begins = times[s].from_s;
      const double ends =
          begins + times[s].step_s * static_cast<double>(times[s].probability.size());
      if (ends > from_s && begins < to_s) near.push_back(s);
    }
    for (std::size_t k = first_; k < last_; ++k) {
      const double t = fine.middle_s(k);
      const std::size_t i = k - first_;
      // Just at another's switch its removal is never exact: what is left there would pass for this
      // one's.
      const bool blurred = std::any_of(near.begin(), near.end(), [&](std::size_t s) {
        if (!times[s].clear && !is_set(run, s)) return false;
        const Switch& at = run.switches[s];
        const Device& device = run.items[at.item].device;
        const double blur =
            std::max({kBlur_s, 2.5 * times[s].sigma_s, run.items[at.item].settle_s});
        const bool inrush = device.kind == DeviceKind::motor && at.to_state != 0;
        const double settling = std::max(device.transit_s, inrush ? kInrush_s : 0.0);
        return t > times[s].mean_s - blur && t < times[s].mean_s + blur + settling;
      });
      const double count = blurred ? 0.0 : fine.count[k];
      Vector3 others{};
      for (const std::size_t s : near) {
        const double done = times[s].done_by(t);
        for (std::size_t axis = 0; axis < 3; ++axis) others[axis] += done * jumps[s].best_uT[axis];
      }
      counts_[i + 1] = counts_[i] + count;
      for (std::size_t axis = 0; axis < 3; ++axis) {
        sums_[axis][i + 1] = sums_[axis][i] + count * (fine.mean_uT[axis][k] - others[axis]);
      }
    }
  }

  struct Contrast {
    Vector3 jump_uT{};
    Vector3 variance_uT2{};
    bool known = false;
  };

  // Mean of `side` seconds after the step and its transit, less the mean of as long before.
  // Steel on its way draws a hump of its own: nothing of the travel may stand on either side,
  // wherever within it the moment is tried.
  Contrast contrast(double at_s, double side_s, const Travel& travel,
                    const LongRunRate& rate) const {
    const double transit_s = travel.after_s;
    const std::size_t middle = index(at_s - travel.before_s);
    const std::size_t after = index(at_s + transit_s);
    // As much clean time as asked for, further away where something near is blurred.
    const double wanted = side_s * fine_.nominal_count / fine_.length_s;
    const auto first = counts_.begin();
    const std::size_t nearest = index(at_s - travel.before_s - kReach * side_s);
    const std::size_t furthest = index(at_s + transit_s + kReach * side_s);
    const auto begin = static_cast<std::size_t>(
        std::upper_bound(first + static_cast<std::ptrdiff_t>(nearest),
                         first + static_cast<std::ptrdiff_t>(middle), counts_[middle] - wanted) -
        first);
    const auto end = static_cast<std::size_t>(
        std::lower_bound(first + static_cast<std::ptrdiff_t>(after),
                         first + static_cast<std::ptrdiff_t>(furthest), counts_[after] + wanted) -
        first);
    const double before_count = counts_[middle] - counts_[begin];
    const double after_count = counts_[end] - counts_[after];
    Contrast out;
    const double per_s = fine_.nominal_count / fine_.length_s;
    const double before_s = before_count / per_s;
    const double after_s = after_count / per_s;
    if (before_s < 0.5 * kLeastSide_s || after_s < 0.5 * kLeastSide_s) return out;
    out.known = true;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      out.jump_uT[axis] = (sums_[axis][end] - sums_[axis][after]) / after_count -
                          (sums_[axis][middle] - sums_[axis][begin]) / before_count;
      out.variance_uT2[axis] = rate[axis] * (1.0 / before_s + 1.0 / after_s);
    }
    return out;
  }

  // Log likelihood ratio of a travel from `at_s` to `at_s + transit_s` (a ramp between two levels
  // and a hump of its own on the way, both of unknown size) against no change, over the whole
  // window, so that one moment is compared with another on the same data.
  double travel_ratio(double at_s, double transit_s, const LongRunRate& rate) const {
    constexpr double kStep_s = 0.25;
    const auto stride = static_cast<std::size_t>(std::max(1.0, kStep_s / fine_.length_s));
    const double sample_s = fine_.length_s / fine_.nominal_count;
    double ones = 0, r = 0, rr = 0, p = 0, pp = 0, rp = 0;
    std::array<std::array<double, 4>, 3> with{};  // of each axis: 1, ramp, hump, itself
    for (std::size_t i = 0; i + stride < counts_.size(); i += stride) {
      const double n = counts_[i + stride] - counts_[i];
      if (n <= 0.0) continue;
      const double t =
          fine_.from_s +
          (static_cast<double>(first_ + i) + 0.5 * static_cast<double>(stride)) * fine_.length_s;
      const double x = std::clamp((t - at_s) / std::max(transit_s, 0.1), 0.0, 1.0);
      const double hump = std::sin(std::numbers::pi * x);
      ones += n;
      r += n * x;
      rr += n * x * x;
      p += n * hump;
      pp += n * hump * hump;
      rp += n * x * hump;
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double y = sums_[axis][i + stride] - sums_[axis][i];
        with[axis][0] += y;
        with[axis][1] += y * x;
        with[axis][2] += y * hump;
      }
    }
    if (ones <= 0.0) return 0.0;
    // Ramp and hump with the level taken out of them, then the hump with the ramp taken out.
    const double r2 = rr - r * r / ones;
    const double p2 = pp - p * p / ones;
    const double cross = rp - r * p / ones;
    const double hump_left = p2 - (r2 > 1e-9 ? cross * cross / r2 : 0.0);
    double sum = 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double ramp = with[axis][1] - r * with[axis][0] / ones;
      double hump = with[axis][2] - p * with[axis][0] / ones;
      double gain = 0.0;
      if (r2 > 1e-9) {
        gain += ramp * ramp / r2;
        hump -= cross / r2 * ramp;
      }
      if (hump_left > 1e-9) gain += hump * hump / hump_left;
      sum += 0.5 * gain * sample_s / rate[axis];
    }
    return sum;
  }

 private:
  std::size_t index(double time_s) const {
    const double k = std::round((time_s - fine_.from_s) / fine_.length_s);
    const double clamped = std::clamp(k, static_cast<double>(first_), static_cast<double>(last_));
    return static_cast<std::size_t>(clamped) - first_;
  }

  const Pieces& fine_;
  std::size_t first_, last_;
  std::array<std::vector<double>, 3> sums_;
  std::vector<double> counts_;
};

// Log of N(c; mean, variance + spread) / N(c; 0, variance), all axes.
double log_ratio(const Window::Contrast& c, const Vector3& mean, const Vector3& spread_uT2) {
  double sum = 0.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double v = c.variance_uT2[axis];
    const double w = v + spread_uT2[axis];
    const double d = c.jump_uT[axis] - mean[axis];
    sum += 0.5 * (c.jump_uT[axis] * c.jump_uT[axis] / v - d * d / w + std::log(v / w));
  }
  return sum;
}

double log_sum(double a, double b) {
  const double top = std::max(a, b);
  return top + std::log(std::exp(a - top) + std::exp(b - top));
}

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
      out.from_s = std::max(out.from_s, std::min(moment(s) + 0.5, centre - 0.1));
    } else {
      out.to_s = std::min(out.to_s, std::max(moment(s) - 0.5, centre + 0.1));
    }
  }
  out.to_s = std::max(out.to_s, out.from_s + fine.length_s);
  return out;
}

// Probabilities over the grid from the log of prior times likelihood ratio.
SwitchTime posterior(double from_s, double step_s, const std::vector<double>& log_weight,
                     double log_prior_sum) {
  SwitchTime out;
  out.from_s = from_s;
  out.step_s = step_s;
  const double top = *std::max_element(log_weight.begin(), log_weight.end());
  double sum = 0.0;
  for (const double w : log_weight) {
    out.probability.push_back(std::exp(w - top));
    sum += out.probability.back();
  }
  out.running.push_back(0.0);
  for (double& p : out.probability) {
    p /= sum;
    out.running.push_back(out.running.back() + p);
  }
  out.log_evidence = top + std::log(sum) - log_prior_sum;
  double second = 0.0;
  for (std::size_t k = 0; k < out.probability.size(); ++k) {
    const double t = from_s + step_s * static_cast<double>(k);
    out.mean_s += out.probability[k] * t;
    second += out.probability[k] * t * t;
  }
  // A moment is never read finer than its grid.
  out.sigma_s = std::sqrt(std::max(0.0, second - out.mean_s * out.mean_s) + step_s * step_s / 12.0);
  return out;
}

SwitchTime find_one(const Pieces& fine, const MarkedRun& run, const LongRunRate& rate,
                    const DelayLaw& law, const std::vector<SwitchTime>& times,
                    const std::vector<ExpectedJump>& jumps, std::size_t self, bool by_law = false) {
  const Switch& at = run.switches[self];
  const Bounds bounds = bounds_of(fine, run, times, law, self);
  const double transit = transit_of(run, at);
  const Window window{fine,
                      run,
                      times,
                      jumps,
                      self,
                      bounds.from_s - transit - kReach * bounds.side_s,
                      bounds.to_s + kReach * bounds.side_s + transit};
  const auto steps = static_cast<std::size_t>((bounds.to_s - bounds.from_s) / fine.length_s) + 1;
  const ExpectedJump& expected = jumps[self];
  std::vector<double> log_weight(steps);
  std::vector<double> log_prior(steps);
  constexpr Vector3 kBroad{kBroad_uT * kBroad_uT, kBroad_uT * kBroad_uT, kBroad_uT * kBroad_uT};
  const bool set = is_set(run, self);
  const bool travels = !set && run.items[at.item].device.kind == DeviceKind::moving;
  // Six sizes are free in a travel: what they gain by chance.
  constexpr double kSixByChance = 12.0;
  for (std::size_t k = 0; k < steps; ++k) {
    const double t = bounds.from_s + fine.length_s * static_cast<double>(k);
    log_prior[k] = std::log(law.density(t - at.mark_s) + 1e-300);
    if (travels && !by_law) {
      constexpr std::size_t kEvery = 3;  // a travel has no sharp edge
      const double ratio = k % kEvery == 0 ? window.travel_ratio(t, transit, rate) - kSixByChance
                                           : log_weight[k - 1] - log_prior[k - 1];
      log_weight[k] = log_prior[k] + ratio;
      continue;
    }
    const Window::Contrast c = window.contrast(t, bounds.side_s, travel_of(run, at), rate);
    double ratio = 0.0;
    if (c.known && !by_law && !set) {
      ratio = log_ratio(c, {}, kBroad);
      if (expected.from_others_uT) {
        Vector3 spread{};
        for (std::size_t axis = 0; axis < 3; ++axis) {
          spread[axis] = expected.from_others_sigma_uT[axis] * expected.from_others_sigma_uT[axis];
        }
        ratio = log_sum(std::log(kShareKnown) + log_ratio(c, *expected.from_others_uT, spread),
                        std::log(1.0 - kShareKnown) + ratio);
      }
    }
    log_weight[k] = log_prior[k] + ratio;
  }
  double prior_sum = log_prior[0];
  for (std::size_t k = 1; k < steps; ++k) prior_sum = log_sum(prior_sum, log_prior[k]);
  SwitchTime out = posterior(bounds.from_s, fine.length_s, log_weight, prior_sum);
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
  return window.contrast(at_s, bounds.side_s, travel_of(run, run.switches[self]), rate).jump_uT;
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

}  // namespace

double DelayLaw::density(double delay_s) const {
  const double z = (delay_s - common_s) / spread_s;
  const double student =
      2.0 / (3.14159265358979 * std::sqrt(3.0)) / std::pow(1.0 + z * z / 3.0, 2.0) / spread_s;
  return 0.97 * student + 0.03 / (2.0 * kMostLate_s);
}

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
    best = likeliest_owner(run, law, found, done, best);
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
  out.common_s = quantile(sorted, 0.5);
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
