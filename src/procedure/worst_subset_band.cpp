// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "estimation/gaussian_draws.h"
#include "estimation/length_band.h"
#include "procedure/worst_subset_band_internal.h"

namespace qn {
namespace {

constexpr std::size_t kDraws = 1000;
constexpr std::uint64_t kSeed = 20;

// The numbers that the strongest sum depends on, as few as possible: the devices without a choice
// are one vector, then each state of the others.
struct Reduced {
  std::vector<PlaneDevice> devices;
  std::vector<double> values;
  SquareMatrix covariance;
};

Reduced reduce(const PlaneDevices& group, const JointFields& joint) {
  std::vector<std::vector<std::size_t>> parts(1);  // indices of fields that add to each vector
  Reduced out;
  out.devices.push_back({"", {PlaneField{}}, false});
  for (std::size_t d = 0; d < group.devices.size(); ++d) {
    const PlaneDevice& device = group.devices[d];
    if (device.states.size() == 1 && !device.may_be_off) {
      parts[0].push_back(group.members[d][0].index);
      continue;
    }
    out.devices.push_back(device);
    for (const SumMember& member : group.members[d]) parts.push_back({member.index});
  }
  out.values.assign(2 * parts.size(), 0.0);
  out.covariance = SquareMatrix{2 * parts.size()};
  for (std::size_t p = 0; p < parts.size(); ++p) {
    for (const std::size_t k : parts[p]) {
      for (std::size_t axis = 0; axis < 2; ++axis) {
        out.values[2 * p + axis] += joint.field_uT[k][axis];
      }
    }
    for (std::size_t q = 0; q < parts.size(); ++q) {
      for (const std::size_t k : parts[p]) {
        for (const std::size_t l : parts[q]) {
          for (std::size_t i = 0; i < 2; ++i) {
            for (std::size_t j = 0; j < 2; ++j) {
              out.covariance(2 * p + i, 2 * q + j) += joint.covariance_uT2(3 * k + i, 3 * l + j);
            }
          }
        }
      }
    }
  }
  return out;
}

double wide_sigma(double xx, double xy, double yy) {
  return std::sqrt(std::max(0.0, 0.5 * (xx + yy) + std::hypot(0.5 * (xx - yy), xy)));
}

// The likeliest values whose strongest sum has that length: constrained least squares, its tangent
// through zero because the length grows in proportion; then scaled so that the length is right.
std::vector<double> likeliest_of_length(const Reduced& found, const StrongestSumNear& strongest,
                                        double length) {
  const std::size_t n = found.values.size();
  std::vector<double> values = found.values;
  for (int step = 0; step < 4; ++step) {
    const std::vector<double> slope = strongest.slope(values);
    std::vector<double> push(n, 0.0);
    double strength = 0.0;
    double along = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < n; ++j) push[i] += found.covariance(i, j) * slope[j];
      strength += slope[i] * push[i];
      along += slope[i] * found.values[i];
    }
    if (!(strength > 0.0)) break;
    for (std::size_t i = 0; i < n; ++i) {
      values[i] = found.values[i] - push[i] * (along - length) / strength;
    }
  }
  double reached = strongest.length(values);
  if (!(reached > 1e-4 * strongest.length(found.values))) {
    values = found.values;
    reached = strongest.length(values);
  }
  for (double& value : values) value *= reached > 0.0 ? length / reached : 0.0;
  return values;
}

// No draw, half as far again, changes the choice: then the sum is that of one known set.
bool always_the_same(const Reduced& found, const StrongestSumNear& strongest,
                     const std::vector<double>& draws) {
  const std::size_t n = found.values.size();
  const std::vector<double> slope = strongest.slope(found.values);
  std::vector<double> values(n);
  for (std::size_t k = 0; k * n < draws.size(); ++k) {
    for (std::size_t i = 0; i < n; ++i) values[i] = found.values[i] + 1.5 * draws[k * n + i];
    PlaneField same;
    for (std::size_t i = 0; i < n; i += 2) {
      if (slope[i] == 0.0 && slope[i + 1] == 0.0) continue;
      same.x += values[i];
      same.y += values[i + 1];
    }
    if (strongest.length(values) > std::hypot(same.x, same.y) * (1.0 + 1e-9)) return false;
  }
  return true;
}

}  // namespace

PlaneDevices plane_devices(const std::vector<SumMember>& members, const JointFields& joint) {
  PlaneDevices out;
  for (const bool optional : {false, true}) {
    for (const SumMember& member : members) {
      if (member.optional != optional) continue;
      const auto known =
          std::find_if(out.devices.begin(), out.devices.end(),
                       [&](const PlaneDevice& device) { return device.name == member.device; });
      const auto d = static_cast<std::size_t>(known - out.devices.begin());
      if (known == out.devices.end()) {
        out.devices.push_back({member.device, {}, optional});
        out.members.emplace_back();
      }
      const Vector3& field = joint.field_uT[member.index];
      out.devices[d].states.push_back({field[0], field[1]});
      out.members[d].push_back(member);
    }
  }
  return out;
}

std::pair<double, double> worst_subset_band_95(const PlaneDevices& group, const StrongestSum& found,
                                               const JointFields& joint) {
  const Reduced reduced = reduce(group, joint);
  const StrongestSumNear strongest{reduced.devices};
  std::vector<SumMember> on;
  for (std::size_t d = 0; d < found.state.size(); ++d) {
    if (found.state[d] != StrongestSum::kOff) on.push_back(group.members[d][found.state[d]]);
  }
  const Matrix3 of_sum = sum_of_fields(on, joint).covariance_uT2;
  double spread = wide_sigma(of_sum[0][0], of_sum[0][1], of_sum[1][1]);
  for (std::size_t k = 0; k < reduced.values.size(); k += 2) {
    spread = std::max(spread, wide_sigma(reduced.covariance(k, k), reduced.covariance(k, k + 1),
                                         reduced.covariance(k + 1, k + 1)));
  }
  const std::size_t n = reduced.values.size();
  const std::vector<double> draws = gaussian_draws(reduced.covariance, kDraws, kSeed);
  std::vector<double> lengths(kDraws);
  if (always_the_same(reduced, strongest, draws)) {
    const Vector3 sum = sum_of_fields(on, joint).field_uT;
    return plane_length_band_95({.x = sum[0],
                                 .y = sum[1],
                                 .var_x = of_sum[0][0],
                                 .cov_xy = of_sum[0][1],
                                 .var_y = of_sum[1][1]});
  }
  std::vector<double> values(n);
  const auto quantile_at = [&](double length, double probability) {
    const std::vector<double> truth = likeliest_of_length(reduced, strongest, length);
    for (std::size_t k = 0; k < kDraws; ++k) {
      for (std::size_t i = 0; i < n; ++i) values[i] = truth[i] + draws[k * n + i];
      lengths[k] = strongest.length(values);
    }
    return quantile(lengths, probability);
  };
  return length_band_95(found.length, spread, quantile_at);
}

}  // namespace qn
