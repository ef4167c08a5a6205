// SPDX-License-Identifier: Apache-2.0
#include "app/earth_at.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

using nlohmann::json;
using qn::earth_at;

namespace {

json document(const char* at, const char* on) {
  const auto report = earth_at(at, on);
  REQUIRE(report.has_value());
  return json::parse(to_json(report.value()));
}

}  // namespace

TEST_CASE("the earth document has the keys of its format and no others", "[app][closed-form]") {
  // docs/formats/earth-json.md
  const auto doc = document("-32.9,-68.8,750", "2025-11-01");
  CHECK(doc.at("schema") == "quietnorth/earth/1");
  CHECK(doc.at("model") == "WMM2025");
  CHECK(doc.at("date") == "2025-11-01");
  CHECK(doc.at("place") ==
        json{{"latitude_deg", -32.9}, {"longitude_deg", -68.8}, {"height_m", 750.0}});
  CHECK(doc.at("zone") == "none");
  CHECK(doc.at("remarks").empty());
  CHECK(doc.size() == 7 + 8);
  for (const json& part : {doc, doc.at("sigma"), doc.at("per_year")}) {
    for (const char* key : {"X_uT", "Y_uT", "Z_uT", "H_uT", "F_uT", "dip_deg", "declination_deg"}) {
      CHECK(part.at(key).is_number());
    }
  }
  CHECK(doc.at("sigma").size() == 7);
  CHECK(doc.at("per_year").size() == 7);
}

TEST_CASE("the earth document says what the model computed", "[app][closed-form]") {
  const auto report = earth_at("-32.9,-68.8", "2025-11-01").value();
  const auto doc = json::parse(to_json(report));
  CHECK(doc.at("X_uT") == report.field.value.north_uT);
  CHECK(doc.at("Y_uT") == report.field.value.east_uT);
  CHECK(doc.at("Z_uT") == report.field.value.down_uT);
  CHECK(doc.at("H_uT") == report.field.value.horizontal_uT);
  CHECK(doc.at("F_uT") == report.field.value.total_uT);
  CHECK(doc.at("dip_deg") == report.field.value.dip.in_deg());
  CHECK(doc.at("declination_deg") == report.field.value.declination.in_deg());
  CHECK(doc.at("sigma").at("declination_deg") == report.field.sigma.declination.in_deg());
  CHECK(doc.at("per_year").at("Z_uT") == report.field.per_year.down_uT);
}

TEST_CASE("zones and poles come with a remark, and no number is missing", "[app][published]") {
  // Official WMM2025 100-row table, rows 1 and 3: H 1504 and 2302 nT. The pole is our own case.
  CHECK(document("89,-121,28000", "2025-01-01").at("zone") == "blackout");
  const auto caution = document("82,87,54000", "2025-01-01");
  CHECK(caution.at("zone") == "caution");
  CHECK(caution.at("remarks").size() == 1);
  const auto pole = document("-90,0", "2026-01-01");
  CHECK(pole.at("zone") == "none");
  CHECK(pole.at("declination_deg").is_number());  // a value that is not a number would be null
  CHECK(pole.at("remarks").size() == 1);
}

TEST_CASE("earth refuses what the model does not cover, naming the option", "[app][closed-form]") {
  CHECK(earth_at("95,0", "2026-01-01").error().where == "option --at");
  CHECK(earth_at("5,0", "2030-01-02").error().where == "option --on");
  CHECK(earth_at("5,0", std::nullopt).error().where == "option --on");
  CHECK(earth_at(std::nullopt, std::nullopt).error().where == "option --at");
}
