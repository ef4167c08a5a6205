// SPDX-License-Identifier: Apache-2.0
#include "app/codec_sensor_fit.h"

#include <catch2/catch.hpp>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "support/whole_fit.h"

using nlohmann::json;
using namespace qn;

namespace {

json written(SensorFit fit) { return json::parse(to_json(samples::document_of(std::move(fit)))); }

void check_band(const json& band) {
  REQUIRE(band.is_array());
  REQUIRE(band.size() == 2);
  CHECK(band[0].get<double>() <= band[1].get<double>());
}

void check_refused(const std::string& text, const std::string& what) {
  const auto stored = parse_sensor_fit(text, "wing-fit.json");
  REQUIRE_FALSE(stored.has_value());
  INFO(to_text(stored.error()));
  CHECK(stored.error().kind == ErrorKind::BadInput);
  CHECK(stored.error().where == "wing-fit.json");
  CHECK(stored.error().what.find(what) != std::string::npos);
  CHECK(stored.error().remedy.find("--json") != std::string::npos);
}

// Keys that have a value only with a correction; docs/formats/sensor-fit-json.md.
const std::vector<const char*> kSolved{
    "offset_raw", "offset_uT", "offset_sigma_uT",          "matrix",   "covariance",
    "noise",      "curve",     "heading_error_before_deg", "forecast", "heading_error_after_deg"};

}  // namespace

TEST_CASE("the sensor-fit document has every key that it promises", "[app][closed-form]") {
  const json doc = written(samples::within_swing());
  CHECK(doc.at("schema") == "quietnorth/sensor-fit/1");
  CHECK(doc.at("samples") == json{{"used", 31480}, {"rejected", 612}, {"repaired", 3}});
  CHECK(doc.at("motion") == "stations");
  for (const char* key : {"F_uT", "H_uT", "Z_uT", "dip_deg"}) {
    CHECK(doc.at("earth").at(key).is_number());
  }
  CHECK(doc.at("earth").at("declination_deg").is_null());  // this sample has none
  CHECK(doc.at("raw_unit") == "uT");
  CHECK(doc.at("frame") == "body");
  for (const char* key : {"offset_raw", "offset_uT", "offset_sigma_uT"}) {
    CHECK(doc.at(key).size() == 3);
  }
  REQUIRE(doc.at("matrix").size() == 3);
  CHECK(doc.at("matrix")[1].size() == 3);
  CHECK(doc.at("noise").at("sigma_uT") == 0.183);
  CHECK(doc.at("noise").at("correlation_time_s") == 0.42);
  CHECK(doc.at("heading_error_before_deg").at("worst").is_number());
  CHECK(doc.at("heading_error_before_deg").at("at_heading_deg").is_number());
  check_band(doc.at("heading_error_before_deg").at("worst_95_deg"));
  check_band(doc.at("heading_error_after_deg").at("worst_95_deg"));
  CHECK(doc.at("covariance").at("order").size() == 12);
  CHECK(doc.at("covariance").at("values").size() == 12);
  CHECK(doc.at("verdict").at("state") == "within");
  CHECK(doc.at("verdict").at("limit_deg") == 1.0);
  CHECK(doc.at("verdict").at("basis").is_string());
  CHECK(doc.at("verdict").at("do_next").is_string());
  CHECK(doc.at("unobserved")[0].at("name").is_string());
  CHECK(doc.at("stations").size() == 12);
}

TEST_CASE("curve and forecast carry a band at every point", "[app][closed-form]") {
  const json doc = written(samples::within_swing());
  REQUIRE(doc.at("curve").size() == 72);
  for (std::size_t k = 0; k < 72; ++k) {
    const json& point = doc.at("curve")[k];
    CHECK(point.at("heading_deg") == 5.0 * static_cast<double>(k));
    CHECK(point.at("before_deg").is_number());
    check_band(point.at("before_95_deg"));
    check_band(point.at("after_95_deg"));
  }
  REQUIRE_FALSE(doc.at("forecast").empty());
  for (const json& forecast : doc.at("forecast")) {
    CHECK(forecast.at("bank_deg").is_number());
    CHECK(forecast.at("pitch_deg").is_number());
    check_band(forecast.at("worst_95_deg"));
  }
}

TEST_CASE("a recording that does not decide leaves the keys, with null", "[app][closed-form]") {
  const json doc = written(samples::without_correction());
  for (const char* key : kSolved) {
    INFO(key);
    CHECK(doc.at(key).is_null());
  }
  CHECK(doc.at("verdict").at("state") == "unproven");
  CHECK(doc.at("samples").at("used") == 2870);
  CHECK_FALSE(doc.at("unobserved").empty());
  // And with a correction none of them is.
  const json solved = written(samples::over_tumble());
  for (const char* key : kSolved) CHECK_FALSE(solved.at(key).is_null());
}

TEST_CASE("a number that is none is null, never NaN", "[app][closed-form]") {
  SensorFit fit = samples::within_swing();
  fit.condition = std::numeric_limits<double>::infinity();
  const std::string text = to_json(samples::document_of(fit));
  CHECK(json::parse(text).at("condition").is_null());
  CHECK(text.find("nan") == std::string::npos);
  CHECK(text.find("inf,") == std::string::npos);
}

TEST_CASE("a limit that is not there and a name that is not UTF-8 are written",
          "[app][closed-form]") {
  SensorFit fit = samples::within_swing();
  fit.verdict.limit.reset();
  FitDocument document = samples::document_of(fit);
  document.provenance.log_name = "wing\xff.csv";
  const json doc = json::parse(to_json(document));
  CHECK(doc.at("verdict").at("limit_deg").is_null());
  CHECK(doc.at("recording").at("file") == "wing\xef\xbf\xbd.csv");
}

TEST_CASE("what was written is read back digit for digit", "[app][closed-form]") {
  for (const SensorFit& fit :
       {samples::within_swing(), samples::over_tumble(), samples::unproven_sensor_tumble()}) {
    FitDocument document = samples::document_of(fit);
    document.fit.correction->matrix[0][1] = -1.0 / 3.0;
    document.fit.correction->offset_raw[2] = 1e-17;
    const auto stored = parse_sensor_fit(to_json(document), "wing-fit.json");
    REQUIRE(stored.has_value());
    const SensorCorrection& in = *document.fit.correction;
    const SensorCorrection& out = stored.value().correction;
    CHECK(out.matrix == in.matrix);
    CHECK(out.offset_raw == in.offset_raw);
    CHECK(out.offset_uT == in.offset_uT);
    CHECK(out.offset_sigma_uT == in.offset_sigma_uT);
    CHECK(out.covariance.order == in.covariance.order);
    CHECK(out.covariance.values == in.covariance.values);
    CHECK(stored.value().raw_unit == fit.raw_unit);
    CHECK(stored.value().frame == fit.frame);
    CHECK(stored.value().noise_sigma_uT == fit.noise.sigma_uT);
  }
}

TEST_CASE("what is no document of a sensor fit is refused", "[app][closed-form]") {
  const std::string whole = to_json(samples::document_of(samples::within_swing()));
  REQUIRE(parse_sensor_fit(whole, "wing-fit.json").has_value());
  check_refused("", "cannot be read");
  check_refused("time_s,field_x_uT\n0,1\n", "cannot be read");
  for (const std::size_t share : {1U, 2U, 9U}) {
    check_refused(whole.substr(0, whole.size() * share / 10), "cannot be read");
  }
  check_refused("[]", "not a sensor-fit document");
  check_refused("{}", "not a sensor-fit document");
  check_refused("7", "not a sensor-fit document");
  check_refused(R"({"schema":"quietnorth/earth/1"})", "not a sensor-fit document");
  check_refused(R"({"schema":"quietnorth/sensor-fit/2"})", "not a sensor-fit document");
  check_refused(R"({"schema":7})", "cannot be read");
  check_refused(std::string("\x00\xff\x89PNG", 6), "cannot be read");
}

TEST_CASE("a document without a correction is refused in words", "[app][closed-form]") {
  check_refused(to_json(samples::document_of(samples::without_correction())),
                "holds no correction");
}

TEST_CASE("a document with a part missing or bent is refused", "[app][closed-form]") {
  const json whole = written(samples::within_swing());
  for (const char* key : {"matrix", "offset_raw", "offset_uT", "offset_sigma_uT", "covariance",
                          "noise", "raw_unit", "frame"}) {
    json cut = whole;
    cut.erase(key);
    INFO(key);
    check_refused(cut.dump(), "cannot be read");
  }
  json bent = whole;
  bent["matrix"][1][2] = "0.1";
  check_refused(bent.dump(), "cannot be read");
  bent = whole;
  bent["matrix"][1].erase(2);
  check_refused(bent.dump(), "cannot be read");
  bent = whole;
  bent["offset_raw"][0] = nullptr;
  check_refused(bent.dump(), "cannot be read");
  bent = whole;
  bent["covariance"]["values"].erase(11);
  check_refused(bent.dump(), "12 by 12");
  bent = whole;
  bent["covariance"]["values"][3].push_back(0.0);
  check_refused(bent.dump(), "12 by 12");
}
