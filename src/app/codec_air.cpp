// SPDX-License-Identifier: Apache-2.0
#include "app/codec_air.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "app/codec_verdict_internal.h"

namespace qn {
namespace {

using AirJson = nlohmann::ordered_json;
constexpr const char* kAirKeys[] = {"A", "B", "C", "D", "E"};

template <class T>
AirJson value_or_null(const std::optional<T>& value) {
  return value ? AirJson(*value) : AirJson(nullptr);
}

AirJson finite_or_null(double value) {
  return std::isfinite(value) ? AirJson(value) : AirJson(nullptr);
}

AirJson known(bool is_known, double value) { return is_known ? AirJson(value) : AirJson(nullptr); }

void add_wind(AirJson& out, const AirSolution& s) {
  const bool k = s.wind_known;
  out["wind_from_deg"] = known(k, s.wind_from_deg);
  out["wind_from_north"] = s.wind_is_magnetic ? "magnetic" : "true";
  out["wind_kt"] = known(k, s.wind_kt);
  out["wind_sigma_kt"] = k ? AirJson(s.wind_sigma_kt) : AirJson(nullptr);
  out["wind_change_kt_per_hour"] =
      s.wind_change_kt_per_hour ? AirJson(*s.wind_change_kt_per_hour) : AirJson(nullptr);
  out["tas_kt"] = known(k, s.tas_kt);
  out["tas_sigma_kt"] = known(k, s.tas_sigma_kt);
  out["tas_95_kt"] = k ? pair_json(s.tas_95_kt) : AirJson(nullptr);
}

void add_air_coefficients(AirJson& out, const AirSolution& s) {
  for (const char* key : {"coefficients_deg", "sigma_deg", "coefficients_95_deg"}) {
    out[key] = AirJson::object();
  }
  for (std::size_t j = 0; j < 5; ++j) {
    const bool told = s.wind_known && s.supported[j];
    out["coefficients_deg"][kAirKeys[j]] = known(told, s.curve.coefficients_deg[j]);
    out["sigma_deg"][kAirKeys[j]] = known(told, s.sigma_deg[j]);
    out["coefficients_95_deg"][kAirKeys[j]] = told ? pair_json(s.band_95_deg[j]) : AirJson(nullptr);
  }
  out["covariance"] = s.worst_known ? AirJson(s.covariance_deg2) : AirJson(nullptr);
  out["combination"] = nullptr;
  if (s.combination) {
    out["combination"] = {{"of_D", s.combination->of_d},
                          {"of_E", s.combination->of_e},
                          {"value_deg", s.combination->value_deg},
                          {"sigma_deg", s.combination->sigma_deg}};
  }
  out["worst_deviation_deg"] = known(s.worst_known, s.worst_deviation_deg);
  out["worst_95_deg"] = s.worst_known ? pair_json(s.worst_95_deg) : AirJson(nullptr);
  out["worst_at_deg"] = known(s.worst_known, s.worst_at_deg);
  out["curve"] = AirJson::array();
  for (const AirPoint& p : s.points) {
    out["curve"].push_back({{"indicated_deg", p.indicated_deg},
                            {"deviation_deg", p.deviation_deg},
                            {"lo", p.lo_deg},
                            {"hi", p.hi_deg}});
  }
  out["model"] = {{"exact", s.exact()}};
}

/// What the leg itself says, where it has a heading and a true one was found.
AirJson observed_deviation(const AirLeg& leg, const AirLegResult& result,
                           const DeviationCurve& curve) {
  if (!leg.indicated_deg || !result.residual_deg) return nullptr;
  return curve.deviation_deg(*leg.indicated_deg) + *result.residual_deg;
}

AirJson leg_json(const AirLeg& leg, const AirLegResult& result, const DeviationCurve& curve) {
  return {{"from_s", finite_or_null(leg.from_s)},
          {"to_s", finite_or_null(leg.to_s)},
          {"used", result.used},
          {"why_not", result.used ? AirJson(nullptr) : AirJson(result.why_not)},
          {"residual_deg", value_or_null(result.residual_deg)},
          {"observed_deviation_deg", observed_deviation(leg, result, curve)},
          {"name", leg.name.empty() ? AirJson(nullptr) : AirJson(leg.name)},
          {"indicated_deg", value_or_null(leg.indicated_deg)},
          {"track_deg", value_or_null(leg.track_deg)},
          {"groundspeed_kt", leg.groundspeed_kt},
          {"true_heading_deg", value_or_null(result.true_heading_deg)},
          {"along_kt", value_or_null(result.along_kt)}};
}

AirJson doubts_json(const std::vector<DoubtfulLeg>& doubts) {
  AirJson out = AirJson::array();
  for (const DoubtfulLeg& d : doubts) {
    out.push_back({{"leg", d.leg},
                   {"reading", d.reading},
                   {"read", d.read},
                   {"expected", d.expected},
                   {"likely", d.likely},
                   {"probability", d.probability},
                   {"what", d.what}});
  }
  return out;
}

AirJson legs_json(const AirDocument& document) {
  AirJson out = AirJson::array();
  const auto result = [&document](std::size_t i) {
    return i < document.air.legs.size() ? document.air.legs[i] : AirLegResult{};
  };
  if (!document.from_log) {
    for (std::size_t i = 0; i < document.legs.size(); ++i) {
      out.push_back(leg_json(document.legs[i], result(i), document.air.curve));
    }
    return out;
  }
  std::size_t next = 0;
  for (const FlightStretch& s : document.stretches) {
    if (s.used) {
      out.push_back(leg_json(s.leg, result(next), document.air.curve));
      ++next;
    } else {
      out.push_back({{"from_s", s.from_s},
                     {"to_s", s.to_s},
                     {"used", false},
                     {"why_not", s.why_not},
                     {"residual_deg", nullptr}});
    }
  }
  return out;
}

std::string written(const AirJson& json) {
  return json.dump(1, ' ', false, AirJson::error_handler_t::replace);
}

}  // namespace

std::string to_json(const AirDocument& document) {
  const AirSolution& s = document.air;
  AirJson out{{"schema", "quietnorth/air-check/1"},
              {"program_version", document.program_version},
              {"sentence", s.sentence},
              {"flight",
               {{"file", document.file_name},
                {"sha256", document.file_sha256},
                {"kind", document.from_log ? "log" : "legs"},
                {"tracks_are", document.tracks_magnetic ? "magnetic" : "true"},
                {"headings_are", document.headings_true ? "true" : "magnetic"},
                {"variation_deg", value_or_null(document.variation_deg)}}},
              {"aircraft", document.aircraft},
              {"place", document.place},
              {"day", document.day}};
  add_wind(out, s);
  add_air_coefficients(out, s);
  out["legs"] = legs_json(document);
  out["gross"] = doubts_json(s.gross);
  out["gross_leg"] = s.gross.empty() ? AirJson(nullptr) : AirJson(s.gross.front().leg);
  out["suspects"] = doubts_json(s.suspects);
  out["next_legs_deg"] = s.next_legs_deg;
  out["next_legs_sigma_deg"] =
      s.next_legs_deg.empty()
          ? AirJson(nullptr)
          : AirJson{{"now", s.now_worst_sigma_deg}, {"with_them", s.next_worst_sigma_deg}};
  out["cannot_prove"] = s.cannot_prove;
  out["verdict"] = verdict_json(s.verdict);
  out["how_read"] = document.how_read;
  out["assumptions"] = s.assumptions;
  out["remarks"] = s.remarks;
  return written(out);
}

std::string to_json(const AirPlanDocument& document) {
  const AirPlan& plan = document.plan;
  AirJson out{{"schema", "quietnorth/air-plan/1"},
              {"program_version", document.program_version},
              {"tas_kt", document.request.tas_kt},
              {"wind_from_deg", document.request.wind_from_deg},
              {"wind_kt", document.request.wind_kt},
              {"minutes", document.request.minutes},
              {"leg_minutes", value_or_null(document.request.leg_minutes)},
              {"variation_deg", value_or_null(document.variation_deg)},
              {"legs", AirJson::array()}};
  for (const PlannedLeg& leg : plan.legs) {
    out["legs"].push_back({{"indicated_deg", leg.indicated_deg},
                           {"at_minute", leg.at_minute},
                           {"track_deg", leg.track_deg},
                           {"groundspeed_kt", leg.groundspeed_kt}});
  }
  out["sigma_deg"] = AirJson::object();
  for (std::size_t j = 0; j < 5; ++j) out["sigma_deg"][kAirKeys[j]] = plan.sigma_deg[j];
  out["curve_sigma_deg"] = plan.curve_sigma_deg;
  out["even_curve_sigma_deg"] = plan.even_sigma_deg;
  out["wind_sigma_kt"] = plan.wind_sigma_kt;
  out["cautions"] = plan.cautions;
  out["remarks"] = plan.remarks;
  out["assumptions"] = plan.assumptions;
  return written(out);
}

}  // namespace qn
