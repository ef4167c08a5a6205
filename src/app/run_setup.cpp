// SPDX-License-Identifier: Apache-2.0
#include "app/run_setup.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <utility>

#include "app/codec_equipment.h"
#include "app/codec_optional_internal.h"
#include "app/plan_disturbance.h"
#include "procedure/run_turning.h"

namespace qn {
namespace {

using Json = nlohmann::ordered_json;
constexpr const char* kSchema = "quietnorth/run-setup/1";
constexpr std::size_t kLeastStations = 4;

/// Every option by its name, once for both ways.
template <class Setup, class Visit>
void each_option(Setup& setup, const Visit& visit) {
  auto& a = setup.analysis;
  visit("at", a.at);
  visit("on", a.on);
  visit("horizontal_uT", a.horizontal_uT);
  visit("vertical_uT", a.vertical_uT);
  visit("aircraft_heading_deg", a.aircraft_heading_deg);
  visit("limit_deg", a.limit_deg);
  visit("limit_basis", a.limit_basis);
  visit("mount", a.mount);
  visit("mount_deg", a.mount_deg);
  visit("accel_reads", a.accel_reads);
  visit("heading_source", a.heading_source);
  visit("noise_uT", setup.noise_uT);
  visit("rate_Hz", setup.rate_Hz);
  visit("station_sigma_deg", setup.station_sigma_deg);
  visit("north_sigma_deg", setup.north_sigma_deg);
}

Json to_object(const LinkRequest& link) {
  return {{"address", link.address},
          {"decoder", to_word(link.decoder.kind)},
          {"columns", link.decoder.columns},
          {"map", link.decoder.column_map}};
}

LinkRequest link_from(const Json& json) {
  LinkRequest link;
  link.address = json.at("address").get<std::string>();
  link.decoder.kind =
      decoder_kind_from(json.at("decoder").get<std::string>()).value_or(DecoderKind::automatic);
  link.decoder.columns = json.at("columns").get<std::string>();
  link.decoder.column_map = json.at("map").get<std::vector<std::string>>();
  return link;
}

}  // namespace

std::string to_json(const RunSetup& setup) {
  Json json{{"schema", kSchema}, {"procedure", to_word(setup.procedure)}};
  each_option(setup, [&](const char* name, const auto& value) { put(json, name, value); });
  json["rigid"] = setup.analysis.rigid;
  json["aircraft"] = setup.analysis.aircraft;
  json["configuration"] = setup.configuration;
  json["links"] = Json::array();
  for (const LinkRequest& link : setup.links) json["links"].push_back(to_object(link));
  json["stations_deg"] = setup.stations_deg;
  json["equipment_csv"] = setup.equipment_csv;
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Result<RunSetup> run_setup_from(const std::string& text) {
  try {
    const Json json = Json::parse(text);
    if (json.at("schema") != kSchema) throw std::invalid_argument{"another schema"};
    RunSetup setup;
    each_option(setup, [&](const char* name, auto& value) { take(json, name, value); });
    const auto procedure = run_procedure_from(json.at("procedure").get<std::string>());
    if (!procedure) throw std::invalid_argument{"another procedure"};
    setup.procedure = *procedure;
    setup.stations_deg = json.at("stations_deg").get<std::vector<double>>();
    setup.analysis.rigid = json.at("rigid").get<bool>();
    setup.analysis.aircraft = json.at("aircraft").get<std::string>();
    setup.configuration = json.at("configuration").get<std::vector<std::string>>();
    for (const Json& link : json.at("links")) setup.links.push_back(link_from(link));
    setup.equipment_csv = json.at("equipment_csv").get<std::string>();
    return setup;
  } catch (const std::exception& trouble) {
    return Error{ErrorKind::Corrupt,
                 fmt::format("what the run was begun with cannot be read: {}", trouble.what()),
                 "the run in the book", fmt::format("a text of schema {}", kSchema),
                 "begin a new run; the recording of this one stays in the book"};
  }
}

std::string to_word(RunSetup::Procedure procedure) {
  return procedure == RunSetup::Procedure::sensor ? "sensor" : "disturbance";
}

std::optional<RunSetup::Procedure> run_procedure_from(std::string_view word) {
  if (word == "sensor") return RunSetup::Procedure::sensor;
  if (word == "disturbance") return RunSetup::Procedure::disturbance;
  return std::nullopt;
}

std::vector<double> even_run_stations_deg(std::size_t count) {
  return run::even_stations_deg(count);
}

Result<std::shared_ptr<const run::Plan>> run_plan_of(const RunSetup& setup) {
  if (setup.procedure == RunSetup::Procedure::sensor) {
    if (setup.stations_deg.size() < kLeastStations) {
      return Error{ErrorKind::OutOfRange, fmt::format("{} stations", setup.stations_deg.size()),
                   "option --turn", "4 or more", "choose 8, 12, 16 or 24; nothing was begun"};
    }
    return std::shared_ptr<const run::Plan>{
        std::make_shared<run::Plan>(run::turning_plan(setup.stations_deg, run::kStationWait_s))};
  }
  PlanRequest request;
  request.at = setup.analysis.at;
  request.on = setup.analysis.on;
  request.horizontal_uT = setup.analysis.horizontal_uT;
  request.vertical_uT = setup.analysis.vertical_uT;
  request.limit_deg = setup.analysis.limit_deg;
  request.limit_basis = setup.analysis.limit_basis;
  request.noise_uT = setup.noise_uT;
  request.rate_Hz = setup.rate_Hz;
  const auto options = plan_options(request);
  if (!options) return options.error();
  const auto equipment = parse_equipment(setup.equipment_csv, "the book's equipment list");
  if (!equipment) return equipment.error();
  const auto plan = plan_disturbance(equipment.value(), options.value());
  if (!plan) return plan.error();
  return std::shared_ptr<const run::Plan>{
      std::make_shared<run::Plan>(run::plan_of(plan.value(), equipment.value()))};
}

}  // namespace qn
