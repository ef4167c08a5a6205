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
  const std::size_t n = last_ - first_;
  // What all others add, as its change from piece to piece.
  std::array<std::vector<double>, 3> others;
  for (auto& change : others) change.assign(n + 1, 0.0);
  std::vector<unsigned char> blurred(n, 0);
  const auto within = [&](double t, double rounding) {
    const double k = (t - fine.from_s) / fine.length_s - 0.5 + rounding;
    return static_cast<std::size_t>(
        std::clamp(k - static_cast<double>(first_), 0.0, static_cast<double>(n)));
  };
  for (std::size_t s = 0; s < times.size(); ++s) {
    if (s == self || times[s].probability.empty()) continue;
    const SwitchTime& at = times[s];
    const double begins = at.from_s;
    const double ends = begins + at.step_s * static_cast<double>(at.probability.size());
    if (ends <= from_s || begins >= to_s) continue;
    const Vector3& jump = jumps[s].best_uT;
    if (jump[0] != 0.0 || jump[1] != 0.0 || jump[2] != 0.0) {
      double before = 0.0;
      const std::size_t last = std::min(n, within(ends, 2.0));
      for (std::size_t i = within(begins - at.step_s, 0.0); i < last; ++i) {
        const double done = at.done_by(fine.middle_s(first_ + i));
        for (std::size_t axis = 0; axis < 3; ++axis) {
          others[axis][i] += (done - before) * jump[axis];
        }
        before = done;
      }
    }
    // Just at another's switch its removal is never exact: what is left there would pass for this
    // one's.
    if (!at.clear && !is_set(run, s)) continue;
    const Switch& other = run.switches[s];
    const Device& device = run.items[other.item].device;
    const double blur = std::max({kBlur_s, 2.5 * at.sigma_s, run.items[other.item].settle_s});
    const bool inrush = device.kind == DeviceKind::motor && other.to_state != 0;
    const double settling = std::max(device.transit_s, inrush ? kInrush_s : 0.0);
    const std::size_t clear_from = within(at.mean_s + blur + settling, 1.0);
    for (std::size_t i = within(at.mean_s - blur, 1.0); i < clear_from; ++i) blurred[i] = 1;
  }
  for (auto& sum : sums_) sum.resize(n + 1);
  counts_.resize(n + 1);
  counts_[0] = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    counts_[i + 1] = counts_[i] + (blurred[i] ? 0.0 : fine.count[first_ + i]);
  }
  for (std::size_t axis = 0; axis < 3; ++axis) {
    std::vector<double>& sum = sums_[axis];
    const double* mean = fine.mean_uT[axis].data() + first_;
    double on = 0.0;
    sum[0] = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      on += others[axis][i];
      sum[i + 1] = sum[i] + (counts_[i + 1] - counts_[i]) * (mean[i] - on);
    }
  }
}

Window::Contrast Window::contrast(double at_s, double side_s, const Travel& travel,
                                  const LongRunRate& rate, Cursor& cursor) const {
  const double transit_s = travel.after_s;
  const std::size_t middle = index(at_s - travel.before_s);
  const std::size_t after = index(at_s + transit_s);
  // As much clean time as asked for, further away where something near is blurred.
  const double wanted = side_s * fine_.nominal_count / fine_.length_s;
  const std::size_t nearest = index(at_s - travel.before_s - kReach * side_s);
  const std::size_t furthest = index(at_s + transit_s + kReach * side_s);
  // The first count beyond what is not wanted any more, and the first that is enough: both move on
  // with the moment.
  const double least = counts_[middle] - wanted;
  std::size_t begin = std::clamp(cursor.begin, nearest, middle);
  while (begin < middle && counts_[begin] <= least) ++begin;
  while (begin > nearest && counts_[begin - 1] > least) --begin;
  const double enough = counts_[after] + wanted;
  std::size_t end = std::clamp(cursor.end, after, furthest);
  while (end < furthest && counts_[end] < enough) ++end;
  while (end > after && counts_[end - 1] >= enough) --end;
  cursor = {begin, end};
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
  const double ones = counts_.back();
  double r = 0, rr = 0, p = 0, pp = 0, rp = 0;
  std::array<std::array<double, 3>, 3> with{};  // of each axis: 1, ramp, hump, times itself
  for (std::size_t axis = 0; axis < 3; ++axis) with[axis][0] = sums_[axis].back();
  const double scale = 1.0 / std::max(transit_s, 0.1);
  std::size_t i = index(at_s);
  // Before it has left there is nothing; once it has arrived, the ramp is 1 and the hump over.
  for (; i + stride < counts_.size(); i += stride) {
    const double t =
        fine_.from_s +
        (static_cast<double>(first_ + i) + 0.5 * static_cast<double>(stride)) * fine_.length_s;
    const double x = std::max((t - at_s) * scale, 0.0);
    if (x >= 1.0) break;
    const double n = counts_[i + stride] - counts_[i];
    if (n <= 0.0) continue;
    const double hump = std::sin(std::numbers::pi * x);
    r += n * x;
    rr += n * x * x;
    p += n * hump;
    pp += n * hump * hump;
    rp += n * x * hump;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double y = sums_[axis][i + stride] - sums_[axis][i];
      with[axis][1] += y * x;
      with[axis][2] += y * hump;
    }
  }
  const double arrived = counts_.back() - counts_[i];
  r += arrived;
  rr += arrived;
  for (std::size_t axis = 0; axis < 3; ++axis) with[axis][1] += sums_[axis].back() - sums_[axis][i];
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
  const double k = (time_s - fine_.from_s) / fine_.length_s + 0.5 - static_cast<double>(first_);
  return std::min(static_cast<std::size_t>(std::max(k, 0.0)), last_ - first_);
}

}  // namespace qn::disturbance
