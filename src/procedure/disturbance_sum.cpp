// SPDX-License-Identifier: Apache-2.0
#include "procedure/disturbance_sum.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "procedure/cure_order_internal.h"
#include "procedure/field_on_heading_internal.h"
#include "procedure/strongest_sum_internal.h"
#include "procedure/worst_subset_band_internal.h"
#include "vocab/expects.h"

namespace qn {
namespace {

// The longest field whose heading error is within the limit.
double allowed_length(const LocalField& earth, const Limit& limit) {
  const double deg = limit.value.in_deg();
  if (deg >= 180.0) return 1e300;
  if (deg >= 90.0) return std::nextafter(earth.horizontal_uT, 0.0);
  return earth.horizontal_uT * std::sin(std::max(0.0, limit.value.in_rad()));
}

bool has_choice(const std::vector<PlaneDevice>& devices) {
  return std::any_of(devices.begin(), devices.end(), [](const PlaneDevice& device) {
    return device.may_be_off || device.states.size() > 1;
  });
}

UncertainField field_with_all_on(const PlaneDevices& group, const JointFields& joint) {
  std::vector<PlaneDevice> all = group.devices;
  for (PlaneDevice& device : all) device.may_be_off = false;
  const StrongestSum strongest = strongest_sum(all);
  std::vector<SumMember> on;
  for (std::size_t d = 0; d < all.size(); ++d) {
    on.push_back(group.members[d][strongest.state[d]]);
  }
  return sum_of_fields(on, joint);
}

std::string cure_words(const CombinationEffect& effect) {
  const std::vector<std::string>& order = effect.cure_order;
  if (order.empty()) return "Move the sensor away from these devices and their wires.";
  if (order.size() == 1) {
    return fmt::format("Cure {}: move its wire or the sensor.", order[0]);
  }
  std::string words = "Cure " + order[0] + " first, then ";
  for (std::size_t k = 1; k < order.size(); ++k) {
    if (k > 1) words += k + 1 == order.size() ? " and " : ", ";
    words += order[k];
  }
  return words + ": no fewer bring it under the limit.";
}

Verdict judge_combination(const CombinationEffect& effect, const LocalField& earth,
                          const Limit& limit) {
  Verdict out;
  out.limit = limit;
  out.state = judge(effect.worst_subset_95, limit);
  const bool optional = effect.worst_subset_error > effect.heading.worst;
  const double lo = effect.worst_subset_95.lo.in_deg();
  const double hi = effect.worst_subset_95.hi.in_deg();
  const std::string error =
      lo >= 180.0   ? "the heading is lost"
      : hi >= 180.0 ? fmt::format(
                          "the heading error is {:.1f}° or more, or the "
                          "heading is lost (95 % band)",
                          lo)
                    : fmt::format("the heading error is {:.1f} to {:.1f}° (95 % band)", lo, hi);
  out.because =
      fmt::format("{} {} against a limit of {:.1f}°.",
                  optional ? "With the optional devices that add up worst," : "With all of it on,",
                  error, limit.value.in_deg());
  if (out.state == VerdictState::over) {
    out.do_next = cure_words(effect);
  } else if (out.state == VerdictState::unproven) {
    // More of the run does not help where the band comes from the Earth's field.
    const double of_h = 1.96 * earth.sigma_horizontal_uT / earth.horizontal_uT;
    out.do_next = of_h * effect.worst_subset_error.in_deg() > 0.25 * (hi - lo)
                      ? "Measure the Earth's horizontal field at this place and give it with "
                        "--horizontal-uT."
                      : "Work these devices again, longer and with more repeats, and analyse that "
                        "run.";
  }
  return out;
}

}  // namespace

UncertainField sum_of_fields(const std::vector<SumMember>& members, const JointFields& joint) {
  QN_EXPECTS(joint.covariance_uT2.size == 3 * joint.field_uT.size());
  UncertainField out;
  for (const SumMember& a : members) {
    QN_EXPECTS(a.index < joint.field_uT.size());
    for (std::size_t i = 0; i < 3; ++i) {
      out.field_uT[i] += joint.field_uT[a.index][i];
      for (const SumMember& b : members) {
        for (std::size_t j = 0; j < 3; ++j) {
          out.covariance_uT2[i][j] += joint.covariance_uT2(3 * a.index + i, 3 * b.index + j);
        }
      }
    }
  }
  return out;
}

CombinationEffect combine(const std::string& phase, const std::vector<SumMember>& members,
                          const JointFields& joint, const LocalField& earth, const Limit& limit) {
  QN_EXPECTS(!members.empty());
  const PlaneDevices group = plane_devices(members, joint);
  CombinationEffect out;
  out.phase = phase;
  for (const PlaneDevice& device : group.devices) out.devices.push_back(device.name);
  out.field = field_with_all_on(group, joint);
  out.heading = heading_error_of(out.field, earth);
  const StrongestSum worst = strongest_sum(group.devices);
  for (std::size_t d = 0; d < group.devices.size(); ++d) {
    if (group.devices[d].may_be_off && worst.state[d] != StrongestSum::kOff) {
      out.worst_subset.push_back(group.devices[d].name);
    }
  }
  out.worst_subset_error = angle_of_length(worst.length, earth.horizontal_uT);
  out.worst_subset_95 = out.heading.worst_95;
  if (has_choice(group.devices)) {
    out.worst_subset_95 =
        angle_band(worst.length, worst_subset_band_95(group, worst, joint), earth);
    // Everything on is one of the choices.
    out.worst_subset_95.hi = std::max(out.worst_subset_95.hi, out.heading.worst_95.hi);
  }
  if (const std::optional<Cure> cure = best_cure({group.devices})) {
    out.best_cure = cure->device;
    out.after_best_cure = angle_of_length(cure->length_uT, earth.horizontal_uT);
  } else {
    out.after_best_cure = out.worst_subset_error;
  }
  out.cure_order = fewest_cures({group.devices}, allowed_length(earth, limit));
  out.verdict = judge_combination(out, earth, limit);
  return out;
}

AllOn compare_all_on(std::size_t measured_index, const std::vector<SumMember>& members,
                     const JointFields& joint, const LocalField& earth) {
  AllOn out;
  const SumMember measured{"*", "on", measured_index, false};
  out.measured = sum_of_fields({measured}, joint);
  out.summed = sum_of_fields(members, joint);
  // V(m - s) = 2 V(m) + 2 V(s) - V(m + s), which spares a second kind of sum.
  std::vector<SumMember> both = members;
  both.push_back(measured);
  const UncertainField together = sum_of_fields(both, joint);
  UncertainField difference;
  SquareMatrix v{3};
  for (std::size_t i = 0; i < 3; ++i) {
    difference.field_uT[i] = out.measured.field_uT[i] - out.summed.field_uT[i];
    for (std::size_t j = 0; j < 3; ++j) {
      difference.covariance_uT2[i][j] =
          2.0 * (out.measured.covariance_uT2[i][j] + out.summed.covariance_uT2[i][j]) -
          together.covariance_uT2[i][j];
      v(i, j) = difference.covariance_uT2[i][j];
    }
  }
  const FieldHeadingError heading = heading_error_of(difference, earth);
  out.difference = heading.worst;
  out.difference_95 = heading.worst_95;
  constexpr double kChiSquare3 = 7.814727903251179;  // 95 % of chi-square with 3 degrees of freedom
  const SquareMatrix precision = inverse(v);
  double distance = 0.0;
  for (std::size_t i = 0; i < precision.size; ++i) {
    for (std::size_t j = 0; j < precision.size; ++j) {
      distance += difference.field_uT[i] * precision(i, j) * difference.field_uT[j];
    }
  }
  // Without any uncertainty only equal is equal.
  out.agree = precision.size == 3 ? distance <= kChiSquare3 : difference.field_uT == Vector3{};
  return out;
}

std::vector<std::string> cure_order_of(const std::vector<std::vector<SumMember>>& phases,
                                       const JointFields& joint, const LocalField& earth,
                                       const Limit& limit) {
  std::vector<std::vector<PlaneDevice>> planes;
  for (const auto& members : phases) planes.push_back(plane_devices(members, joint).devices);
  return fewest_cures(planes, allowed_length(earth, limit));
}

}  // namespace qn
