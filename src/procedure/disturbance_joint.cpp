// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_result_internal.h"

namespace qn::disturbance {
namespace {

// Reading of one visit away from its state's size, in its own sigmas, all axes.
double scatter_of(const Solved& solved, std::size_t s) {
  const StateVisits& state = solved.states[s];
  double sum = 0.0;
  double count = 0.0;
  for (std::size_t r = 0; r < state.visits.size(); ++r) {
    if (state.reading.visits[r].what != VisitReading::What::good) continue;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double sigma = std::max(solved.visits.sigma_uT[state.visits[r]][axis], 1e-9);
      const double d =
          (solved.visits.size_uT[state.visits[r]][axis] - solved.joint.size_uT[s][axis]) / sigma;
      sum += d * d;
    }
    count += 1.0;
  }
  if (count < 2.0 || state.reading.contested) return 1.0;
  // Only what chance would hardly give: twice the expected square and more.
  const double ratio = sum / (3.0 * (count - 1.0));
  return ratio > 2.0 ? ratio : 1.0;
}

// A step whose moment is not seen may have been on for less, or for more, than its column says.
double lateness_share(const Solved& solved, const StateVisits& state) {
  double sum = 0.0;
  double good = 0.0;
  for (std::size_t r = 0; r < state.visits.size(); ++r) {
    if (state.reading.visits[r].what != VisitReading::What::good) continue;
    const Visit& visit = solved.run.visits[state.visits[r]];
    if (!visit.begin || !visit.end) continue;
    const SwitchTime& on = solved.problem.times[*visit.begin];
    const SwitchTime& off = solved.problem.times[*visit.end];
    const double dwell = std::max(off.mean_s - on.mean_s, 1.0);
    double share = 0.0;
    for (const SwitchTime* at : {&on, &off}) {
      if (!at->clear) share += std::pow(0.5 * std::min(at->sigma_s, dwell) / dwell, 2);
    }
    sum += share;
    good += 1.0;
  }
  return good > 0.0 ? sum / (good * good) : 0.0;
}

}  // namespace

Vector3 rest_field_uT(const Solved& solved) {
  Vector3 out{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    double sum = 0.0;
    for (const double y : solved.rest_uT[axis]) sum += y;
    out[axis] = sum / static_cast<double>(std::max<std::size_t>(solved.rest_uT[axis].size(), 1));
  }
  return out;
}

JointFields joint_fields(const Solved& solved, const DisturbanceOptions& options) {
  const std::size_t n = solved.states.size();
  JointFields out;
  out.field_uT = solved.joint.size_uT;
  out.covariance_uT2 = SquareMatrix{3 * n};
  std::vector<double> widen(n);
  for (std::size_t s = 0; s < n; ++s) widen[s] = std::sqrt(scatter_of(solved, s));
  for (std::size_t axis = 0; axis < 3; ++axis) {
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < n; ++j) {
        out.covariance_uT2(3 * i + axis, 3 * j + axis) =
            solved.joint.covariance[axis](i, j) * widen[i] * widen[j];
      }
    }
  }
  const Vector3 rest = rest_field_uT(solved);
  const double tilt_rad = Angle::degrees(kTilt_deg).in_rad();
  for (std::size_t s = 0; s < n; ++s) {
    const Item& item = solved.run.items[solved.states[s].item];
    const double late = lateness_share(solved, solved.states[s]);
    const bool may_tilt = !options.rigid && (item.device.kind == DeviceKind::moving ||
                                             item.device.kind == DeviceKind::engine);
    // Rotations about the body's x and y axes: the rest field turns by r x B.
    const Vector3 about_x{0.0, -rest[2], rest[1]};
    const Vector3 about_y{rest[2], 0.0, -rest[0]};
    for (std::size_t a = 0; a < 3; ++a) {
      for (std::size_t b = 0; b < 3; ++b) {
        double& v = out.covariance_uT2(3 * s + a, 3 * s + b);
        v += late * out.field_uT[s][a] * out.field_uT[s][b];
        if (may_tilt)
          v += tilt_rad * tilt_rad * (about_x[a] * about_x[b] + about_y[a] * about_y[b]);
      }
    }
  }
  return out;
}

}  // namespace qn::disturbance
