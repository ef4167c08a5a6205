// SPDX-License-Identifier: Apache-2.0
#include <nlohmann/json.hpp>

#include "app/finding_options_internal.h"

namespace qn {
namespace {

/// Only what was given: an option that was not is the program's default, and its version is kept.
class FindingOptions {
 public:
  template <class T>
  FindingOptions& add(const char* name, const std::optional<T>& value) {
    if (value) json_[name] = *value;
    return *this;
  }
  FindingOptions& add(const char* name, const std::string& value) {
    if (!value.empty()) json_[name] = value;
    return *this;
  }
  FindingOptions& add(const char* name, const std::vector<std::string>& values) {
    if (!values.empty()) json_[name] = values;
    return *this;
  }
  FindingOptions& add(const char* name, const std::vector<std::optional<double>>& values) {
    for (const auto& value : values)
      json_[name].push_back(value ? nlohmann::ordered_json(*value)
                                  : nlohmann::ordered_json(nullptr));
    return *this;
  }
  FindingOptions& flag(const char* name, bool given) {
    if (given) json_[name] = true;
    return *this;
  }
  std::string text() const {
    return json_.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
  }

 private:
  nlohmann::ordered_json json_ = nlohmann::ordered_json::object();
};

}  // namespace

std::string options_of(const FitRequest& r) {
  return FindingOptions{}
      .add("at", r.at)
      .add("on", r.on)
      .add("horizontal_uT", r.horizontal_uT)
      .add("vertical_uT", r.vertical_uT)
      .add("motion", r.motion)
      .add("mount", r.mount)
      .add("mount_deg", r.mount_deg)
      .add("slope_deg", r.slope_deg)
      .add("deck_deg", r.deck_deg)
      .add("accel_reads", r.accel_reads)
      .add("known_headings", r.known_headings)
      .add("station_sigma_deg", r.station_sigma_deg)
      .add("north_sigma_deg", r.north_sigma_deg)
      .add("limit_deg", r.limit_deg)
      .add("limit_basis", r.limit_basis)
      .add("map", r.column_map)
      .add("aircraft", r.aircraft)
      .text();
}

std::string options_of(const DisturbanceRequest& r) {
  std::vector<std::optional<double>> further;
  for (const auto& run : r.also) further.push_back(run.aircraft_heading_deg);
  return FindingOptions{}
      .add("at", r.at)
      .add("on", r.on)
      .add("horizontal_uT", r.horizontal_uT)
      .add("vertical_uT", r.vertical_uT)
      .add("aircraft_heading", r.aircraft_heading_deg)
      .add("aircraft_heading2", further)
      .add("limit_deg", r.limit_deg)
      .add("limit_basis", r.limit_basis)
      .flag("rigid", r.rigid)
      .add("mount", r.mount)
      .add("mount_deg", r.mount_deg)
      .add("accel_reads", r.accel_reads)
      .add("heading_source", r.heading_source)
      .add("map", r.column_map)
      .add("aircraft", r.aircraft)
      .text();
}

std::string options_of(const SwingSolveRequest& request) {
  const SwingRequest& r = request.swing;
  return FindingOptions{}
      .add("compass", r.compass)
      .add("rounding_deg", r.rounding_deg)
      .add("reading_sigma_deg", r.reading_sigma_deg)
      .add("station_sigma_deg", r.station_sigma_deg)
      .add("north_sigma_deg", r.north_sigma_deg)
      .add("hysteresis_sigma_deg", r.hysteresis_sigma_deg)
      .add("limit", r.limits)
      .add("limit_basis", r.limit_basis)
      .add("stations_are", r.stations_are)
      .add("deviation_is", r.deviation_is)
      .add("variation_deg", r.variation_deg)
      .add("at", r.at)
      .add("on", r.on)
      .add("horizontal_uT", request.horizontal_uT)
      .add("vertical_uT", request.vertical_uT)
      .add("forecast_at", request.forecast_at)
      .add("aircraft", r.aircraft)
      .text();
}

std::string options_of(const AirRequest& r) {
  const AirAssumed& a = r.assumed;
  return FindingOptions{}
      .add("tracks_are", r.tracks_are)
      .add("variation_deg", a.variation_deg)
      .add("at", a.at)
      .add("on", a.on)
      .add("sideslip_sigma_deg", a.sideslip_sigma_deg)
      .add("variation_sigma_deg", a.variation_sigma_deg)
      .add("heading_sigma_deg", a.heading_sigma_deg)
      .add("rounding_deg", a.rounding_deg)
      .add("track_sigma_deg", a.track_sigma_deg)
      .add("speed_sigma_kt", a.speed_sigma_kt)
      .add("airspeed_sigma_kt", a.airspeed_sigma_kt)
      .add("wind_sigma_kt", a.wind_sigma_kt)
      .add("wind_change_kt_per_hour", a.wind_change_kt_per_hour)
      .add("tas_sigma_kt", r.tas_sigma_kt)
      .add("least_leg_s", r.least_leg_s)
      .add("limit_deg", r.limit_deg)
      .add("limit_basis", r.limit_basis)
      .add("aircraft", r.aircraft)
      .text();
}

}  // namespace qn
