// SPDX-License-Identifier: Apache-2.0
#include "app/earth_at.h"

#include <cmath>
#include <nlohmann/json.hpp>

namespace qn {
namespace {

using Json = nlohmann::ordered_json;

Json to_object(const FieldElements& e) {
  return Json{{"X_uT", e.north_uT},
              {"Y_uT", e.east_uT},
              {"Z_uT", e.down_uT},
              {"H_uT", e.horizontal_uT},
              {"F_uT", e.total_uT},
              {"dip_deg", e.dip.in_deg()},
              {"declination_deg", e.declination.in_deg()}};
}

bool at_pole(const GeodeticPoint& place) { return std::abs(place.latitude.in_deg()) == 90.0; }

}  // namespace

Result<EarthReport> earth_at(const std::optional<std::string>& at,
                             const std::optional<std::string>& on) {
  const auto where = place_and_day_from(at, on);
  if (!where) return where.error();
  const auto field = earth_field(where.value().place, DecimalYear::start_of(where.value().date));
  if (!field) return field.error();
  return EarthReport{where.value(), field.value()};
}

std::vector<std::string> remarks_on(const EarthReport& report) {
  std::vector<std::string> remarks;
  if (report.field.zone == CompassZone::blackout) {
    remarks.emplace_back(
        "Blackout zone: the horizontal field is below 2 uT. Declination is not to be used here, "
        "and a compass does not work.");
  } else if (report.field.zone == CompassZone::caution) {
    remarks.emplace_back(
        "Caution zone: the horizontal field is below 6 uT. Compasses may be far off here, and "
        "declination changes quickly from place to place.");
  }
  if (at_pole(report.where.place)) {
    remarks.emplace_back(
        "At the pole itself every direction is the same: north, east and declination are counted "
        "along the meridian given.");
  }
  return remarks;
}

std::string to_json(const EarthReport& report) {
  const GeodeticPoint& place = report.where.place;
  Json document{{"schema", "quietnorth/earth/1"},
                {"model", kEarthModelName},
                {"place",
                 {{"latitude_deg", place.latitude.in_deg()},
                  {"longitude_deg", place.longitude.in_deg()},
                  {"height_m", place.height.in_m()}}},
                {"date", report.where.date.to_iso()}};
  document.update(to_object(report.field.value));
  document["sigma"] = to_object(report.field.sigma);
  document["per_year"] = to_object(report.field.per_year);
  document["zone"] = to_word(report.field.zone);
  document["remarks"] = remarks_on(report);
  return document.dump(2) + "\n";
}

}  // namespace qn
