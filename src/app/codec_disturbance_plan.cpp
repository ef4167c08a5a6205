// SPDX-License-Identifier: Apache-2.0
#include <nlohmann/json.hpp>

#include "app/plan_disturbance.h"

namespace qn {
namespace {

using Json = nlohmann::ordered_json;

Json step_json(const PlanStep& step) {
  Json out{{"number", step.number},     {"pass", step.pass},           {"group", step.group},
           {"caution", step.caution},   {"device", step.device},       {"state", step.state},
           {"optional", step.optional}, {"also_on", step.also_on},     {"members", step.members},
           {"lead_s", step.lead_s},     {"transit_s", step.transit_s}, {"dwell_s", step.dwell_s},
           {"rest_s", step.rest_s},     {"trail_s", step.trail_s},     {"why", step.why},
           {"half_width_deg", nullptr}, {"charge_Ah", step.amp_hours}};
  if (step.half_width) out["half_width_deg"] = step.half_width->in_deg();
  return out;
}

}  // namespace

std::string to_json(const PlanDocument& document) {
  const DisturbancePlan& plan = document.plan;
  Json out{{"schema", "quietnorth/disturbance-plan/1"},
           {"program_version", document.program_version},
           {"sentence", plan.sentence}};
  out["equipment"] = {{"file", document.equipment_name}, {"sha256", document.equipment_sha256}};
  out["aircraft"] = document.aircraft;
  out["place"] = document.place;
  out["day"] = document.day;
  out["limit_deg"] = plan.limit.value.in_deg();
  out["limit_basis"] = plan.limit.basis;
  out["earth"] = {{"H_uT", plan.earth.horizontal_uT}, {"source", plan.earth.source}};
  out["noise"] = {{"white_uT", plan.noise.white_uT},
                  {"rate_Hz", plan.noise.rate_Hz},
                  {"correlated_uT", plan.noise.correlated_uT},
                  {"correlation_time_s", plan.noise.correlation_s},
                  {"walk_uT_per_sqrt_min", plan.noise.walk_uT_per_sqrt_min},
                  {"time_scale_s", plan.noise.time_scale_s}};
  out["first_rest_s"] = plan.first_rest_s;
  out["total_s"] = plan.total_s;
  out["charge_Ah"] = plan.amp_hours;
  out["current_unknown"] = plan.current_unknown;
  out["battery_advice"] = plan.battery_advice;
  out["safety"] = plan.safety;
  out["passes"] = plan.passes;
  out["states"] = Json::array();
  for (const PlannedState& s : plan.states) {
    out["states"].push_back({{"device", s.device},
                             {"state", s.state},
                             {"visits", s.visits},
                             {"half_width_deg", s.half_width.in_deg()},
                             {"enough", s.enough}});
  }
  out["steps"] = Json::array();
  for (const PlanStep& step : plan.steps) out["steps"].push_back(step_json(step));
  out["assumptions"] = plan.assumptions;
  out["remarks"] = plan.remarks;
  return out.dump(1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace qn
