// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "procedure/disturbance_window_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kBlur_s = 0.3;
constexpr double kInrush_s = 2.0;

}  // namespace

bool is_set(const MarkedRun& run, std::size_t s) {
  return run.items[run.switches[s].item].what != Item::What::device;
}

Travel travel_of(const MarkedRun& run, const Switch& at) {
  const Item& item = run.items[at.item];
  const double transit_s = item.device.transit_s;
  if (item.what != Item::What::device) return {item.settle_s, transit_s + item.settle_s};
  return {0.0, transit_s};
}

Window::Window(const Pieces& fine, const MarkedRun& run, const std::vector<SwitchTime>& times,
               const std::vector<ExpectedJump>& jumps, std::size_t self, double from_s, double to_s)
    : fine_{fine}, first_{fine.at(from_s)}, last_{fine.at(to_s) + 1} {
  for (auto& sum : sums_) sum.assign(last_ - first_ + 1, 0.0);
  counts_.assign(last_ - first_ + 1, 0.0);
  std::vector<std::size_t> near;
  for (std::size_t s = 0; s < times.size(); ++s) {
    if (s == self || times[s].probability.empty()) continue;
    const double begins = times[s].from_s;
    const double ends = begins + times[s].step_s * static_cast<double>(times[s].probability.size());
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
      const double blur = std::max({kBlur_s, 2.5 * times[s].sigma_s, run.items[at.item].settle_s});
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

Window::Contrast Window::contrast(double at_s, double side_s, const Travel& travel,
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

double Window::travel_ratio(double at_s, double transit_s, const LongRunRate& rate) const {
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

std::size_t Window::index(double time_s) const {
  const double k = std::round((time_s - fine_.from_s) / fine_.length_s);
  const double clamped = std::clamp(k, static_cast<double>(first_), static_cast<double>(last_));
  return static_cast<std::size_t>(clamped) - first_;
}

}  // namespace qn::disturbance
