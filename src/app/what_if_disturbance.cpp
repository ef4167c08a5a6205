// SPDX-License-Identifier: Apache-2.0
#include "app/what_if_disturbance.h"

#include <algorithm>
#include <cstddef>
#include <utility>

#include "app/codec_disturbance_internal.h"
#include "procedure/disturbance_sum.h"

namespace qn {
namespace {

constexpr const char* kAsChosen = "as chosen";

const DeviceEffect* device_of(const DisturbanceRun& run, const std::string& name) {
  const auto found = std::find_if(run.devices.begin(), run.devices.end(),
                                  [&](const DeviceEffect& device) { return device.name == name; });
  return found == run.devices.end() ? nullptr : &*found;
}

CombinationEffect nothing_on(const DisturbanceRun& run) {
  CombinationEffect out;
  out.phase = kAsChosen;
  out.heading = heading_error_of(out.field, run.earth);
  out.verdict.state = VerdictState::within;
  out.verdict.limit = run.limit;
  out.verdict.because = "nothing is on";
  return out;
}

JointFields apart(const std::vector<UncertainField>& fields) {
  JointFields out;
  out.covariance_uT2 = SquareMatrix{3 * fields.size()};
  for (std::size_t k = 0; k < fields.size(); ++k) {
    out.field_uT.push_back(fields[k].field_uT);
    for (std::size_t a = 0; a < 3; ++a) {
      for (std::size_t b = 0; b < 3; ++b) {
        out.covariance_uT2(3 * k + a, 3 * k + b) = fields[k].covariance_uT2[a][b];
      }
    }
  }
  return out;
}

}  // namespace

Result<CombinationEffect> what_if(const DisturbanceRun& run, const std::vector<std::string>& on) {
  std::vector<SumMember> members;
  std::vector<UncertainField> fields;
  std::string doubtful;
  for (const std::string& name : on) {
    const DeviceEffect* device = device_of(run, name);
    if (device == nullptr) {
      return Error{ErrorKind::BadInput, "this run has no device '" + name.substr(0, 60) + "'",
                   "request, key 'on'", "names of devices as the document has them",
                   "correct it and send the request again"};
    }
    for (const StateEffect& state : device->states) {
      members.push_back({device->name, state.state, fields.size(), false});
      fields.push_back(state.field);
      if (state.unproven && doubtful.empty()) doubtful = device->name;
    }
  }
  if (members.empty()) return nothing_on(run);
  CombinationEffect out = combine(kAsChosen, members, apart(fields), run.earth, run.limit);
  // What nobody can vouch for is never within; over it is by its own, wide, band.
  if (!doubtful.empty() && out.verdict.state == VerdictState::within) {
    out.verdict.state = VerdictState::unproven;
    out.verdict.do_next = "Work " + doubtful + " again: the run cannot say what it does.";
  }
  return out;
}

std::string to_json(const CombinationEffect& together) {
  return disturbance_json::combinations({together})
      .front()
      .dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace qn
