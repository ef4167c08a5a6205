// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/plan_times_internal.h"
#include "procedure/run_listener.h"

namespace qn::run {
namespace {

constexpr double kFade = 0.995;     // a block; forgets within a few minutes
constexpr double kLargest2 = 16.0;  // a difference of four sigma and more counts as four

double expected2(double R, double q, std::size_t apart_s) {
  return 2.0 * R + q * (static_cast<double>(apart_s) - 1.0 / 3.0);
}

}  // namespace

Blocks::Stretch Blocks::between(double from_s, double to_s) const {
  Stretch stretch;
  for (std::size_t ago = 0; ago < size(); ++ago) {
    const Block& block = back(ago);
    if (block.from_s < from_s) break;
    if (block.from_s + 1.0 > to_s) continue;
    stretch.seconds += 1.0;
    for (std::size_t i = 0; i < 3; ++i) stretch.mean_uT[i] += block.mean_uT[i];
  }
  if (stretch.seconds > 0.0) {
    for (double& mean : stretch.mean_uT) mean /= stretch.seconds;
  }
  return stretch;
}

RunningNoise::RunningNoise(double R_uT2_s, double q_uT2_per_s)
    : assumed_q_{q_uT2_per_s}, R_{R_uT2_s}, q_{q_uT2_per_s} {
  near_.fill(near_weight_ * expected2(R_, q_, kNear));
  far_.fill(far_weight_ * expected2(R_, q_, kFar));
}

void RunningNoise::take(const Blocks& blocks, double quiet_s) {
  const auto add = [&](std::size_t apart, std::array<double, 3>& sums, double& weight) {
    if (blocks.size() <= apart || quiet_s < static_cast<double>(apart) + 1.0) return;
    const double largest = kLargest2 * expected2(R_, q_, apart);
    weight = kFade * weight + 1.0;
    for (std::size_t i = 0; i < 3; ++i) {
      const double d = blocks.back(0).mean_uT[i] - blocks.back(apart).mean_uT[i];
      sums[i] = kFade * sums[i] + std::min(d * d, largest);
    }
  };
  add(kNear, near_, near_weight_);
  add(kFar, far_, far_weight_);
  solve();
}

void RunningNoise::solve() {
  const double apart = static_cast<double>(kFar - kNear);
  const double mean_near = *std::max_element(near_.begin(), near_.end()) / near_weight_;
  const double mean_far = *std::max_element(far_.begin(), far_.end()) / far_weight_;
  // Differences 8 s apart overlap: of eight of them one is news.
  const double doubt = mean_far * std::sqrt(2.0 * static_cast<double>(kFar) / far_weight_);
  q_ = std::max(assumed_q_, (mean_far - mean_near - doubt) / apart);
  const double drift_near = q_ * (static_cast<double>(kNear) - 1.0 / 3.0);
  R_ = std::max(0.5 * (mean_near - drift_near), 0.1 * mean_near);
  R_ = std::max(R_, 1e-12);
}

Angle expected_half_width(const State& state, std::size_t aim, double held_s, double rest_s,
                          double R_uT2_s, double q_uT2_per_s) {
  if (!(held_s > 0.0 && rest_s > 0.0)) return Angle::degrees(90.0);
  const double visits = static_cast<double>(std::max<std::size_t>(1, state.visits_to_come(aim)));
  const double information = state.aims[aim].information +
                             visits / visit_variance_uT2(R_uT2_s, q_uT2_per_s, held_s, rest_s);
  return half_width_of(1.0 / information, state.plan->horizontal_uT);
}

}  // namespace qn::run
