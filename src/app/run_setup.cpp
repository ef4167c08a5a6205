// SPDX-License-Identifier: Apache-2.0
#include "app/run_setup.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>

#include "app/codec_equipment.h"
#include "app/codec_optional_internal.h"
#include "app/csv_row.h"
#include "app/plan_disturbance.h"
#include "procedure/run_swing.h"
#include "procedure/run_turning.h"
#include "vocab/letters.h"

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

/// Every option of a swing by its name, once for both ways.
template <class Setup, class Visit>
void each_swing_option(Setup& swing, const Visit& visit) {
  auto& r = swing.request;
  visit("from_link", swing.from_link);
  visit("hold_s", swing.hold_s);
  visit("rounding_deg", r.rounding_deg);
  visit("reading_sigma_deg", r.reading_sigma_deg);
  visit("station_sigma_deg", r.station_sigma_deg);
  visit("north_sigma_deg", r.north_sigma_deg);
  visit("hysteresis_sigma_deg", r.hysteresis_sigma_deg);
  visit("limit_basis", r.limit_basis);
  visit("variation_deg", r.variation_deg);
}

Json to_object(const SwingRunSetup& swing) {
  Json json{{"stations", swing.stations}, {"both_ways", swing.both_ways}};
  json["compasses"] = swing.compasses;
  json["loads"] = swing.loads;
  json["limits"] = swing.request.limits;
  each_swing_option(swing, [&](const char* name, const auto& value) { put(json, name, value); });
  return json;
}

SwingRunSetup swing_from(const Json& json) {
  SwingRunSetup swing;
  swing.stations = json.at("stations").get<int>();
  swing.both_ways = json.at("both_ways").get<bool>();
  swing.compasses = json.at("compasses").get<std::vector<std::string>>();
  swing.loads = json.at("loads").get<std::vector<std::string>>();
  swing.request.limits = json.at("limits").get<std::vector<std::string>>();
  each_swing_option(swing, [&](const char* name, auto& value) { take(json, name, value); });
  return swing;
}

Result<std::shared_ptr<const run::Plan>> swing_plan_of(const RunSetup& setup) {
  run::SwingRunOptions options;
  options.stations = setup.swing.stations;
  options.both_turns = setup.swing.both_ways;
  options.loads = setup.swing.loads;
  options.hold_s = setup.swing.hold_s.value_or(options.hold_s);
  bool linked = !setup.swing.from_link;
  for (const std::string& name : setup.swing.compasses) {
    const bool by_link = setup.swing.from_link == name;
    linked = linked || by_link;
    options.compasses.push_back({name, by_link});
  }
  if (!linked) {
    return Error{ErrorKind::OutOfRange,
                 fmt::format("no compass is called '{}'", *setup.swing.from_link),
                 "option --from-link", "one of the compasses that are named",
                 "correct the name; nothing was begun"};
  }
  auto solving = swing_options_of(swing_reading_of(setup));
  if (!solving) return solving.error();
  options.solving = std::move(solving).value();
  auto plan = run::swing_run_plan(options);
  if (!plan) return plan.error();
  return std::shared_ptr<const run::Plan>{std::make_shared<run::Plan>(std::move(plan).value())};
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
  if (setup.procedure == RunSetup::Procedure::swing) json["swing"] = to_object(setup.swing);
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
    if (setup.procedure == RunSetup::Procedure::swing) setup.swing = swing_from(json.at("swing"));
    return setup;
  } catch (const std::exception& trouble) {
    return Error{ErrorKind::Corrupt,
                 fmt::format("what the run was begun with cannot be read: {}", trouble.what()),
                 "the run in the book", fmt::format("a text of schema {}", kSchema),
                 "begin a new run; the recording of this one stays in the book"};
  }
}

std::string to_word(RunSetup::Procedure procedure) {
  switch (procedure) {
    case RunSetup::Procedure::disturbance: return "disturbance";
    case RunSetup::Procedure::sensor: return "sensor";
    case RunSetup::Procedure::swing: return "swing";
  }
  return {};
}

std::optional<RunSetup::Procedure> run_procedure_from(std::string_view word) {
  if (word == "sensor") return RunSetup::Procedure::sensor;
  if (word == "disturbance") return RunSetup::Procedure::disturbance;
  if (word == "swing") return RunSetup::Procedure::swing;
  return std::nullopt;
}

Result<Done> add_swing_compass(const std::string& text, SwingRunSetup& setup) {
  const std::size_t colon = text.rfind(':');
  const std::string name = without_outer_spaces(text.substr(0, colon));
  if (name.empty()) {
    return Error{ErrorKind::OutOfRange, fmt::format("'{}' names no compass", text),
                 "option --compass", "NAME or NAME:LIMIT in degrees",
                 "for example --compass standby:10"};
  }
  if (colon != std::string::npos) {
    // How a limit is written, and when it cannot be one, is known in one place.
    setup.request.limits.push_back(name + "=" + without_outer_spaces(text.substr(colon + 1)));
    SwingRequest one;
    one.limits = {setup.request.limits.back()};
    if (const auto read = swing_options_of(one); !read) {
      Error wrong = read.error();
      wrong.where = "option --compass";
      wrong.expected = "NAME or NAME:LIMIT, degrees above 0";
      wrong.remedy = "for example --compass standby:10";
      return wrong;
    }
  }
  setup.compasses.push_back(name);
  return Done{};
}

Result<std::vector<std::string>> swing_loads_from(const std::string& text) {
  if (text == "off,on" || text == "on,off") return std::vector<std::string>{"off", "on"};
  if (text == "off" || text == "on") return std::vector<std::string>{text};
  return Error{ErrorKind::OutOfRange, fmt::format("'{}' is no state of the loads", text),
               "option --loads", "off, on, or off,on",
               "leave the option out when nothing is to be said of them"};
}

SwingRequest swing_reading_of(const RunSetup& setup) {
  SwingRequest request = setup.swing.request;
  // The one or the other: a variation that was said needs no model.
  if (!request.variation_deg) {
    request.at = setup.analysis.at;
    request.on = setup.analysis.on;
  }
  request.aircraft = setup.analysis.aircraft;
  return request;
}

SwingSolveRequest swing_request_of(const RunSetup& setup, const std::vector<SwingReading>& read) {
  SwingSolveRequest request;
  request.swing = swing_reading_of(setup);
  request.horizontal_uT = setup.analysis.horizontal_uT;
  request.vertical_uT = setup.analysis.vertical_uT;
  std::erase_if(request.swing.limits, [&](const std::string& limit) {
    const std::string name = limit.substr(0, limit.rfind('='));
    return std::none_of(read.begin(), read.end(), [&](const SwingReading& r) {
      return lower_case(r.compass) == lower_case(name);
    });
  });
  return request;
}

std::vector<double> even_run_stations_deg(std::size_t count) {
  return run::even_stations_deg(count);
}

Result<std::shared_ptr<const run::Plan>> run_plan_of(const RunSetup& setup) {
  if (setup.procedure == RunSetup::Procedure::swing) return swing_plan_of(setup);
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
