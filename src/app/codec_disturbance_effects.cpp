// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "app/codec_disturbance_internal.h"

namespace qn::disturbance_json {
namespace {

Vector3 sigma_of(const UncertainField& field) {
  Vector3 out{};
  for (std::size_t i = 0; i < 3; ++i) out[i] = std::sqrt(field.covariance_uT2[i][i]);
  return out;
}

Json covariance(const Matrix3& rows) {
  return Json::array({vector(rows[0]), vector(rows[1]), vector(rows[2])});
}

Json visit(const StateVisit& v) {
  return {{"from_s", number(v.from_s)},
          {"to_s", number(v.to_s)},
          {"field_uT", vector(v.field_uT)},
          {"field_sigma_uT", vector(v.field_sigma_uT)},
          {"worst_heading_error_deg", degrees(v.worst)},
          {"used", v.used},
          {"remark", v.remark}};
}

Json state(const StateEffect& s) {
  Json out{{"state", s.state},
           {"field_uT", vector(s.field.field_uT)},
           {"field_sigma_uT", vector(sigma_of(s.field))},
           {"field_covariance_uT2", covariance(s.field.covariance_uT2)}};
  add_heading_error(out, s.heading);
  out["unproven"] = s.unproven;
  out["verdict"] = verdict(s.verdict);
  out["lower_bound"] = s.lower_bound;
  out["no_effect_seen"] = s.no_effect_seen;
  out["visits"] = Json::array();
  for (const StateVisit& v : s.visits) out["visits"].push_back(visit(v));
  out["curve"] = curve(s.heading);
  return out;
}

Json pulsing(const std::optional<Pulsing>& p) {
  if (!p) return nullptr;
  return {{"period_s", number(p->period_s)},   {"duty", number(p->duty)},
          {"peak_uT", vector(p->peak_uT)},     {"mean_uT", vector(p->mean_uT)},
          {"peak_unproven", p->peak_unproven}, {"alias_periods_s", numbers(p->alias_periods_s)}};
}

void add_per_ampere(Json& out, const std::optional<PerAmpere>& p) {
  for (const char* key : {"per_ampere_uT", "per_ampere_sigma_uT", "proportional"}) {
    out[key] = nullptr;
  }
  if (!p) return;
  out["per_ampere_uT"] = vector(p->field_uT_per_A);
  out["per_ampere_sigma_uT"] = vector(p->sigma_uT_per_A);
  if (p->proportional) out["proportional"] = *p->proportional;
}

Json device(const DeviceEffect& d) {
  Json out{{"name", d.name},
           {"kind", to_word(d.kind)},
           {"optional", d.optional},
           {"repeats", d.repeats},
           {"states", Json::array()}};
  for (const StateEffect& s : d.states) out["states"].push_back(state(s));
  out["mark_times_s"] = numbers(d.mark_times_s);
  out["switch_times_s"] = numbers(d.switch_times_s);
  out["switch_sigma_s"] = numbers(d.switch_sigma_s);
  out["pulsing"] = pulsing(d.pulsing);
  add_per_ampere(out, d.per_ampere);
  out["remarks"] = d.remarks;
  return out;
}

Json combination(const CombinationEffect& c) {
  Json out{{"phase", c.phase},
           {"devices", c.devices},
           {"field_uT", vector(c.field.field_uT)},
           {"field_sigma_uT", vector(sigma_of(c.field))}};
  add_heading_error(out, c.heading);
  out["verdict"] = verdict(c.verdict);
  out["worst_subset"] = c.worst_subset;
  out["worst_subset_error_deg"] = degrees(c.worst_subset_error);
  out["worst_subset_error_95_deg"] = band(c.worst_subset_95);
  out["best_cure"] = nullptr;
  out["after_best_cure_deg"] = nullptr;
  if (c.best_cure) {
    out["best_cure"] = *c.best_cure;
    out["after_best_cure_deg"] = degrees(c.after_best_cure);
  }
  out["cure_order"] = c.cure_order;
  out["curve"] = curve(c.heading);
  return out;
}

}  // namespace

Json devices(const std::vector<DeviceEffect>& devices) {
  Json out = Json::array();
  for (const DeviceEffect& d : devices) out.push_back(device(d));
  return out;
}

Json combinations(const std::vector<CombinationEffect>& combinations) {
  Json out = Json::array();
  for (const CombinationEffect& c : combinations) out.push_back(combination(c));
  return out;
}

}  // namespace qn::disturbance_json
