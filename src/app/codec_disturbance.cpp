// SPDX-License-Identifier: Apache-2.0
#include "app/codec_disturbance.h"

#include "app/codec_disturbance_internal.h"

namespace qn {
namespace {

using namespace disturbance_json;

Json earth_json(const LocalField& earth) {
  Json out{{"F_uT", number(earth.total_uT())},
           {"H_uT", number(earth.horizontal_uT)},
           {"Z_uT", number(earth.down_uT)},
           {"dip_deg", degrees(earth.dip())}};
  out["declination_deg"] = nullptr;
  if (earth.variation) out["declination_deg"] = degrees(earth.variation->east_positive);
  out["sigma"] = {{"H_uT", number(earth.sigma_horizontal_uT)},
                  {"Z_uT", number(earth.sigma_down_uT)}};
  out["source"] = earth.source;
  return out;
}

Json file_json(const SourceFile& file) { return {{"file", file.name}, {"sha256", file.sha256}}; }

Json recording_json(const DisturbanceDocument& document) {
  const RecordingTally& tally = document.tally;
  const Provenance& from = document.provenance;
  Json out{{"file", from.log_name},
           {"sha256", from.log_sha256},
           {"place", from.place},
           {"day", from.day},
           {"aircraft", from.aircraft},
           {"aircraft_heading_deg", nullptr},
           {"rigid", document.rigid},
           {"from_s", number(document.run.from_s)},
           {"to_s", number(document.run.to_s)},
           {"samples", document.samples},
           {"rows", tally.rows},
           {"missing_cells", tally.missing_cells},
           {"dropped_rows", tally.dropped_rows},
           {"duplicate_times", tally.duplicate_times},
           {"backward_times", tally.backward_times},
           {"gaps", tally.gaps},
           {"longest_gap_s", number(tally.longest_gap_s)},
           {"median_interval_s", number(tally.median_interval_s)}};
  if (document.aircraft_heading_deg) {
    out["aircraft_heading_deg"] = number(*document.aircraft_heading_deg);
  }
  return out;
}

Json response_json(const std::optional<DisplayResponse>& response) {
  if (!response) return nullptr;
  return {{"kind", to_word(response->kind)},
          {"time_constant_s", number(response->time_constant_s)}};
}

Json heading_only_json(const DisturbanceDocument& document) {
  if (!document.run.heading_only) return nullptr;
  const HeadingOnly& headings = *document.run.heading_only;
  Json out{{"heading_source", to_word(headings.source)},
           {"response", response_json(headings.response)},
           {"response_95", Json::array({response_json(headings.response_from),
                                        response_json(headings.response_to)})},
           {"logs", Json::array()}};
  for (std::size_t k = 0; k < headings.logs.size(); ++k) {
    const DisplayLog& log = headings.logs[k];
    const bool further = k > 0 && k <= document.further.size();
    Json row{{"log", nullptr}, {"marks", nullptr}};
    if (further) {
      row["log"] = file_json(document.further[k - 1].log);
      row["marks"] = file_json(document.further[k - 1].marks);
    } else {
      row["log"] = {{"file", document.provenance.log_name},
                    {"sha256", document.provenance.log_sha256}};
      row["marks"] = file_json(document.marks_file);
    }
    row["aircraft_heading_deg"] = degrees(log.aircraft_heading);
    row["heading_from_display"] = log.heading_from_display;
    row["shown_at_rest_deg"] = degrees(log.shown_at_rest);
    row["step_deg"] = degrees(log.step);
    out["logs"].push_back(std::move(row));
  }
  return out;
}

Json all_on_json(const std::optional<AllOn>& all) {
  if (!all) return nullptr;
  return {{"measured_uT", vector(all->measured.field_uT)},
          {"summed_uT", vector(all->summed.field_uT)},
          {"agree", all->agree},
          {"difference_deg", degrees(all->difference)},
          {"difference_95_deg", band(all->difference_95)}};
}

Json unexplained_json(const std::vector<Unexplained>& found) {
  Json out = Json::array();
  for (const Unexplained& u : found) {
    Json row{{"from_s", number(u.from_s)},
             {"to_s", number(u.to_s)},
             {"kind", to_word(u.kind)},
             {"size_uT", vector(u.size_uT)},
             {"worst_heading_error_deg", degrees(u.worst)},
             {"period_s", nullptr},
             {"looks_like", nullptr}};
    if (u.period_s) row["period_s"] = number(*u.period_s);
    if (u.looks_like) row["looks_like"] = *u.looks_like;
    out.push_back(std::move(row));
  }
  return out;
}

}  // namespace

std::string to_json(const DisturbanceDocument& document) {
  const DisturbanceRun& run = document.run;
  Json out;
  out["schema"] = "quietnorth/disturbance/1";
  out["program_version"] = document.provenance.program_version;
  out["sentence"] = run.sentence;
  out["verdict"] = verdict(run.verdict);
  out["recording"] = recording_json(document);
  out["marks"] = file_json(document.marks_file);
  out["equipment"] = nullptr;
  if (document.equipment_file) out["equipment"] = file_json(*document.equipment_file);
  out["heading_only"] = heading_only_json(document);
  out["earth"] = earth_json(run.earth);
  out["noise"] = {{"white_uT", number(run.noise.white_uT)},
                  {"correlation_time_s", number(run.noise.correlation_time_s)},
                  {"quantum_uT", number(run.noise.quantum_uT)},
                  {"drift_uT_per_min", number(run.noise.drift_uT_per_min)}};
  out["limit_deg"] = degrees(run.limit.value);
  out["limit_basis"] = run.limit.basis;
  out["common_delay_s"] = number(run.common_delay_s);
  out["common_delay_sigma_s"] = number(run.common_delay_sigma_s);
  out["devices"] = devices(run.devices);
  out["combinations"] = combinations(run.combinations);
  out["all_on"] = all_on_json(run.all_on);
  out["unexplained"] = unexplained_json(run.unexplained);
  out["cure_order"] = run.cure_order;
  out["assumptions"] = run.assumptions;
  out["remarks"] = run.remarks;
  out["trace"] = trace(run.trace);
  return out.dump(1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace qn
