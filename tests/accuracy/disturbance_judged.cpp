// SPDX-License-Identifier: Apache-2.0
#include "accuracy/disturbance_judged.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace qn::accuracy {

using namespace simulate;

bool Judged::moving() const {
  const DeviceKind kind = device->device.kind;
  return kind == DeviceKind::moving || kind == DeviceKind::engine;
}

bool Judged::sized() const {
  const Band95& band = effect->heading.worst_95;
  return !contested && !(band.lo.in_deg() <= 0.0 && band.hi.in_deg() >= 180.0);
}

double Judged::sd_uT(std::size_t axis) const {
  return std::sqrt(std::max(0.0, effect->field.covariance_uT2[axis][axis]));
}

double Judged::error_uT(std::size_t axis) const {
  return effect->field.field_uT[axis] - truth->field_uT[axis];
}

double Judged::sigma_deg() const {
  const Vector3& b = truth->field_uT;
  const auto& c = effect->field.covariance_uT2;
  const double length = std::hypot(b[0], b[1]);
  double variance = 0.5 * (c[0][0] + c[1][1]);
  if (length > 1e-9) {
    variance = (b[0] * b[0] * c[0][0] + 2.0 * b[0] * b[1] * c[0][1] + b[1] * b[1] * c[1][1]) /
               (length * length);
  }
  const double share = std::min(length / horizontal_uT, 0.99);
  return Angle::radians(std::sqrt(std::max(0.0, variance)) / horizontal_uT /
                        std::sqrt(1.0 - share * share))
      .in_deg();
}

bool Judged::marks_sound(const SimulatedRun& made) const {
  for (std::size_t m = 0; m < made.marks.size(); ++m) {
    if (made.marks[m].device != device->device.name) continue;
    const MarkTruth& mark = made.truth.marks[m];
    if (mark.skipped || !mark.worked_instead.empty() || std::abs(mark.lateness_s) >= 8.0) {
      return false;
    }
  }
  return true;
}

std::string Judged::described(const char* what, const SimulatedRun& made,
                              std::uint64_t seed) const {
  char text[512];
  const Band95& band = effect->heading.worst_95;
  std::snprintf(text, sizeof text,
                "seed %llu, %s '%s' (%s): %s; truth (%.3f %.3f %.3f) uT %.2f deg, reported (%.3f "
                "%.3f %.3f) sd (%.3f %.3f %.3f) uT, %.2f to %.2f deg, %s%s; bound (%.3f %.3f %.3f)",
                static_cast<unsigned long long>(seed), device->device.name.c_str(),
                truth->state.c_str(), std::string{to_word(device->device.kind)}.c_str(), what,
                truth->field_uT[0], truth->field_uT[1], truth->field_uT[2],
                truth->worst_heading_error_deg, effect->field.field_uT[0],
                effect->field.field_uT[1], effect->field.field_uT[2], sd_uT(0), sd_uT(1), sd_uT(2),
                band.lo.in_deg(), band.hi.in_deg(),
                std::string{to_word(effect->verdict.state)}.c_str(), contested ? ", contested" : "",
                bound.sd_uT[0], bound.sd_uT[1], bound.sd_uT[2]);
  std::string out = text;
  if (device->slow_time_s > 0.0) out += "; heats";
  for (std::size_t m = 0; m < made.marks.size(); ++m) {
    if (made.marks[m].device != device->device.name || !made.truth.marks[m].away) continue;
    if (made.marks[m].state != truth->state) continue;
    const MarkTruth& mark = made.truth.marks[m];
    char visit[160];
    std::snprintf(visit, sizeof visit, "; on %.1f s late %.1f%s%s", mark.switch_s, mark.lateness_s,
                  mark.skipped ? " skipped" : "",
                  mark.worked_instead.empty() ? "" : (" was " + mark.worked_instead).c_str());
    out += visit;
  }
  for (const StateVisit& visit : effect->visits) {
    char seen[160];
    std::snprintf(seen, sizeof seen, " | seen %.1f to %.1f s (%.3f %.3f %.3f) sd %.3f%s",
                  visit.from_s, visit.to_s, visit.field_uT[0], visit.field_uT[1], visit.field_uT[2],
                  visit.field_sigma_uT[0], visit.used ? "" : " not used");
    out += seen;
  }
  return out;
}

}  // namespace qn::accuracy
