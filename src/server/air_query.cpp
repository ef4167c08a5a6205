// SPDX-License-Identifier: Apache-2.0
#include "server/air_query.h"

#include "server/query_keys_internal.h"

namespace qn {
namespace {

using dto::query_number;

void add_assumed_keys(dto::Keys& keys, AirAssumed& a, std::string& aircraft, std::string& paper) {
  keys.merge(dto::Keys{
      {"at", dto::text_key(a.at)},
      {"on", dto::text_key(a.on)},
      {"variation_deg", query_number(a.variation_deg)},
      {"variation_sigma_deg", query_number(a.variation_sigma_deg)},
      {"sideslip_sigma_deg", query_number(a.sideslip_sigma_deg)},
      {"heading_sigma_deg", query_number(a.heading_sigma_deg)},
      {"rounding_deg", query_number(a.rounding_deg)},
      {"track_sigma_deg", query_number(a.track_sigma_deg)},
      {"speed_sigma_kt", query_number(a.speed_sigma_kt)},
      {"airspeed_sigma_kt", query_number(a.airspeed_sigma_kt)},
      {"wind_sigma_kt", query_number(a.wind_sigma_kt)},
      {"wind_change_kt_per_hour", query_number(a.wind_change_kt_per_hour)},
      {"aircraft", dto::text_key(aircraft)},
      {"paper", dto::paper_key(paper)},
  });
}

}  // namespace

std::optional<Error> read_air_query(const HttpRequest& request, AirRequest& into,
                                    AirSheetAsked& asked) {
  dto::Keys keys{
      {"tracks_are", dto::text_key(into.tracks_are)},
      {"headings_are", dto::text_key(into.headings_are)},
      {"limit_deg", query_number(into.limit_deg)},
      {"limit_basis", dto::text_key(into.limit_basis)},
      {"least_leg_s", query_number(into.least_leg_s)},
      {"tas_sigma_kt", query_number(into.tas_sigma_kt)},
  };
  add_assumed_keys(keys, into.assumed, into.aircraft, asked.paper);
  if (request.path == "/api/air/finding") {
    keys.erase("paper");
    keys.emplace("configuration", dto::repeated_key(asked.configuration));
  }
  return dto::put_query(request, "/api/air", keys, {"configuration"});
}

std::optional<Error> read_plan_query(const HttpRequest& request, AirPlanRequest& into,
                                     AirSheetAsked& asked) {
  std::optional<double> tas_kt, minutes, wind_from_deg, wind_kt;
  dto::Keys keys{
      {"tas_kt", query_number(tas_kt)},
      {"minutes", query_number(minutes)},
      {"wind_from_deg", query_number(wind_from_deg)},
      {"wind_kt", query_number(wind_kt)},
      {"leg_minutes", query_number(into.leg_minutes)},
  };
  add_assumed_keys(keys, into.assumed, into.aircraft, asked.paper);
  if (auto bad = dto::put_query(request, "/api/air/plan", keys, {})) return bad;
  if (!tas_kt) return dto::wrong("tas_kt", "it is missing", "the true airspeed to fly, in knots");
  if (!minutes) {
    return dto::wrong("minutes", "it is missing", "the minutes for the legs and their turns");
  }
  into.tas_kt = *tas_kt;
  into.minutes = *minutes;
  into.wind_from_deg = wind_from_deg.value_or(0.0);
  into.wind_kt = wind_kt.value_or(0.0);
  return std::nullopt;
}

}  // namespace qn
