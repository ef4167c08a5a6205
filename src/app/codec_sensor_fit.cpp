// SPDX-License-Identifier: Apache-2.0
#include "app/codec_sensor_fit.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "app/fit_sensor_log.h"

namespace qn {
namespace {

using Json = nlohmann::ordered_json;

Json band(const Band95& b) { return Json::array({b.lo.in_deg(), b.hi.in_deg()}); }

Json earth_json(const LocalField& earth) {
  Json out{{"F_uT", earth.total_uT()},
           {"H_uT", earth.horizontal_uT},
           {"Z_uT", earth.down_uT},
           {"dip_deg", earth.dip().in_deg()}};
  out["declination_deg"] = nullptr;
  if (earth.variation) out["declination_deg"] = earth.variation->east_positive.in_deg();
  out["sigma"] = {{"H_uT", earth.sigma_horizontal_uT}, {"Z_uT", earth.sigma_down_uT}};
  out["source"] = earth.source;
  return out;
}

void add_correction(Json& out, const std::optional<SensorCorrection>& correction) {
  for (const char* key : {"offset_raw", "offset_uT", "offset_sigma_uT", "matrix", "covariance"}) {
    out[key] = nullptr;
  }
  if (!correction) return;
  out["offset_raw"] = correction->offset_raw;
  out["offset_uT"] = correction->offset_uT;
  out["offset_sigma_uT"] = correction->offset_sigma_uT;
  out["matrix"] = correction->matrix;
  out["covariance"] = {{"order", correction->covariance.order},
                       {"values", correction->covariance.values}};
}

void add_heading_errors(Json& out, const SensorFit& fit) {
  for (const char* key :
       {"noise", "heading_error_before_deg", "heading_error_after_deg", "forecast", "curve"}) {
    out[key] = nullptr;
  }
  if (!fit.correction) return;
  out["noise"] = {{"sigma_uT", fit.noise.sigma_uT},
                  {"correlation_time_s", fit.noise.correlation_time_s},
                  {"band_inflation", fit.noise.band_inflation}};
  out["heading_error_before_deg"] = {{"worst", fit.before.worst.in_deg()},
                                     {"at_heading_deg", fit.before.at_heading_deg},
                                     {"worst_95_deg", band(fit.before.worst_95)}};
  out["heading_error_after_deg"] = {{"worst_95_deg", band(fit.after_worst_95)}};
  out["forecast"] = Json::array();
  for (const AttitudeForecast& f : fit.forecast) {
    out["forecast"].push_back(
        {{"bank_deg", f.bank_deg}, {"pitch_deg", f.pitch_deg}, {"worst_95_deg", band(f.worst_95)}});
  }
  out["curve"] = Json::array();
  for (const HeadingErrorPoint& p : fit.curve) {
    out["curve"].push_back({{"heading_deg", p.heading_deg},
                            {"before_deg", p.before_deg},
                            {"before_95_deg", band(p.before_95)},
                            {"after_95_deg", band(p.after_95)}});
  }
}

Json stations_json(const SensorFit& fit) {
  Json out = Json::array();
  for (const StationMatch& s : fit.stations) {
    Json row{{"station_deg", s.station_deg},
             {"from_s", nullptr},
             {"to_s", nullptr},
             {"residual_deg", nullptr}};
    if (s.from_s) row["from_s"] = *s.from_s;
    if (s.to_s) row["to_s"] = *s.to_s;
    if (s.residual_deg) row["residual_deg"] = *s.residual_deg;
    out.push_back(std::move(row));
  }
  return out;
}

Json coverage_json(const DirectionCoverage& coverage) {
  return {{"columns", DirectionCoverage::kColumns},
          {"rows", DirectionCoverage::kRows},
          {"counts", coverage.counts},
          {"filled_fraction", coverage.filled_fraction},
          {"heading_arc_deg", coverage.heading_arc_deg}};
}

Json verdict_json(const Verdict& verdict) {
  Json out{{"state", to_word(verdict.state)}, {"limit_deg", nullptr}, {"basis", nullptr}};
  if (verdict.limit) {
    out["limit_deg"] = verdict.limit->value.in_deg();
    out["basis"] = verdict.limit->basis;
  }
  out["because"] = verdict.because;
  out["do_next"] = verdict.do_next;
  return out;
}

Json recording_json(const FitDocument& document) {
  const RecordingTally& tally = document.tally;
  const Provenance& from = document.provenance;
  return {{"file", from.log_name},
          {"sha256", from.log_sha256},
          {"place", from.place},
          {"day", from.day},
          {"aircraft", from.aircraft},
          {"duration_s", document.fit.duration_s},
          {"rows", tally.rows},
          {"missing_cells", tally.missing_cells},
          {"dropped_rows", tally.dropped_rows},
          {"duplicate_times", tally.duplicate_times},
          {"backward_times", tally.backward_times},
          {"gaps", tally.gaps},
          {"longest_gap_s", tally.longest_gap_s},
          {"median_interval_s", tally.median_interval_s}};
}

Error unreadable(const std::string& name, const std::string& what) {
  return Error{ErrorKind::BadInput, what, name,
               "a document written by `quietnorth sensor fit ... --json`, schema "
               "quietnorth/sensor-fit/1",
               "solve the sensor again with --json and keep its output as it is"};
}

}  // namespace

std::string to_json(const FitDocument& document) {
  const SensorFit& fit = document.fit;
  Json out;
  out["schema"] = "quietnorth/sensor-fit/1";
  out["program_version"] = document.provenance.program_version;
  out["sentence"] = fit.sentence;
  out["verdict"] = verdict_json(fit.verdict);
  out["recording"] = recording_json(document);
  out["samples"] = {{"used", fit.samples.used},
                    {"rejected", fit.samples.rejected},
                    {"repaired", fit.samples.repaired}};
  out["motion"] = to_word(fit.motion);
  out["frame"] = to_word(fit.frame);
  out["earth"] = earth_json(fit.earth);
  out["raw_unit"] = fit.raw_unit == FieldUnit::counts ? "counts" : "uT";
  add_correction(out, fit.correction);
  add_heading_errors(out, fit);
  out["unobserved"] = Json::array();
  for (const Unobserved& u : fit.unobserved) {
    out["unobserved"].push_back({{"name", u.name}, {"consequence", u.consequence}});
  }
  out["assumptions"] = fit.assumptions;
  out["notes"] = fit.notes;
  out["stations"] = stations_json(fit);
  out["coverage"] = coverage_json(fit.coverage);
  out["condition"] = nullptr;
  if (std::isfinite(fit.condition)) out["condition"] = fit.condition;
  out["residuals"] = Json::array();
  for (const ResidualPoint& r : fit.residuals) {
    out["residuals"].push_back(
        {{"time_s", r.time_s}, {"residual_uT", r.residual_uT}, {"used", r.used}});
  }
  return out.dump(1, ' ', false, Json::error_handler_t::replace);
}

Result<StoredCorrection> parse_sensor_fit(const std::string& text, const std::string& name) {
  try {
    const Json in = Json::parse(text);
    if (!in.is_object() || in.value("schema", "") != "quietnorth/sensor-fit/1") {
      return unreadable(name, "this is not a sensor-fit document");
    }
    if (in.at("matrix").is_null()) {
      return unreadable(name, "this document holds no correction: its recording did not decide");
    }
    StoredCorrection out;
    out.correction.matrix = in.at("matrix").get<Matrix3>();
    out.correction.offset_raw = in.at("offset_raw").get<Vector3>();
    out.correction.offset_uT = in.at("offset_uT").get<Vector3>();
    out.correction.offset_sigma_uT = in.at("offset_sigma_uT").get<Vector3>();
    out.correction.covariance.order =
        in.at("covariance").at("order").get<std::vector<std::string>>();
    out.correction.covariance.values =
        in.at("covariance").at("values").get<std::vector<std::vector<double>>>();
    out.raw_unit = in.at("raw_unit") == "counts" ? FieldUnit::counts : FieldUnit::microtesla;
    out.frame = in.at("frame") == "body" ? FitFrame::body : FitFrame::sensor;
    out.noise_sigma_uT = in.at("noise").at("sigma_uT").get<double>();
    const auto& values = out.correction.covariance.values;
    bool square = values.size() == 12;
    for (const auto& row : values) square = square && row.size() == 12;
    if (!square) return unreadable(name, "its covariance is not 12 by 12");
    return out;
  } catch (const Json::exception& problem) {
    return unreadable(name, std::string{"it cannot be read: "} + problem.what());
  }
}

}  // namespace qn
