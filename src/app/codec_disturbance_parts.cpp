// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "app/codec_disturbance_internal.h"

namespace qn::disturbance_json {
namespace {

constexpr std::size_t kMostTracePoints = 4000;
constexpr double kStepsPer_uT = 1e4;  // a tenth of a nanotesla, below what any plot shows

Json drawn(const Vector3& values) {
  Json out = Json::array();
  for (const double v : values) out.push_back(number(std::round(v * kStepsPer_uT) / kStepsPer_uT));
  return out;
}

}  // namespace

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json numbers(const std::vector<double>& values) {
  Json out = Json::array();
  for (const double v : values) out.push_back(number(v));
  return out;
}

Json vector(const Vector3& values) { return numbers({values.begin(), values.end()}); }

Json degrees(Angle angle) { return number(angle.in_deg()); }

Json band(const Band95& b) { return Json::array({degrees(b.lo), degrees(b.hi)}); }

Json verdict(const Verdict& verdict) {
  Json out{{"state", to_word(verdict.state)}, {"limit_deg", nullptr}, {"basis", nullptr}};
  if (verdict.limit) {
    out["limit_deg"] = degrees(verdict.limit->value);
    out["basis"] = verdict.limit->basis;
  }
  out["because"] = verdict.because;
  out["do_next"] = verdict.do_next;
  return out;
}

void add_heading_error(Json& out, const FieldHeadingError& heading) {
  out["worst_heading_error_deg"] = degrees(heading.worst);
  out["worst_heading_error_95_deg"] = band(heading.worst_95);
  out["worst_at_heading_deg"] = number(heading.worst_at_heading_deg);
  out["worst_tilted_deg"] = degrees(heading.worst_tilted);
  out["worst_tilted_95_deg"] = band(heading.worst_tilted_95);
}

Json curve(const FieldHeadingError& heading) {
  Json out = Json::array();
  const std::size_t points = std::min(heading.curve_deg.size(), heading.curve_95.size());
  for (std::size_t k = 0; k < points; ++k) {
    out.push_back({{"heading_deg", 360.0 * static_cast<double>(k) / static_cast<double>(points)},
                   {"error_deg", number(heading.curve_deg[k])},
                   {"error_95_deg", band(heading.curve_95[k])}});
  }
  return out;
}

Json trace(const RunTrace& trace) {
  const std::size_t points =
      std::min({trace.time_s.size(), trace.field_uT.size(), trace.fit_uT.size(),
                trace.rest_uT.size(), trace.used.size()});
  const std::size_t stride =
      std::max<std::size_t>(1, (points + kMostTracePoints - 1) / kMostTracePoints);
  Json out;
  for (const char* key : {"time_s", "field_uT", "fit_uT", "rest_uT", "used"}) {
    out[key] = Json::array();
  }
  for (std::size_t k = 0; k < points; k += stride) {
    out["time_s"].push_back(number(trace.time_s[k]));
    out["field_uT"].push_back(drawn(trace.field_uT[k]));
    out["fit_uT"].push_back(drawn(trace.fit_uT[k]));
    out["rest_uT"].push_back(drawn(trace.rest_uT[k]));
    out["used"].push_back(trace.used[k] != 0);
  }
  return out;
}

}  // namespace qn::disturbance_json
