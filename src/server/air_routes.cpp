// SPDX-License-Identifier: Apache-2.0
#include "server/air_routes.h"

#include <charconv>
#include <cmath>
#include <exception>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "app/codec_air.h"
#include "app/solve_air.h"
#include "server/answers.h"
#include "server/dto_keys_internal.h"
#include "server/routes.h"
#include "server/scratch_folder.h"

namespace qn {
namespace {

using AirValue = nlohmann::json;

/// A number as a query has it.
dto::Key query_number(std::optional<double>& into) {
  return {"a number", [&into](const AirValue& value) {
            const auto& text = value.get_ref<const std::string&>();
            const char* const end = text.data() + text.size();
            double number = 0.0;
            const auto [last, failed] = std::from_chars(text.data(), end, number);
            if (failed != std::errc{} || last != end || !std::isfinite(number)) return false;
            into = number;
            return true;
          }};
}

dto::Keys air_keys(AirRequest& r, std::string& paper) {
  AirAssumed& a = r.assumed;
  return {
      {"at", dto::text_key(a.at)},
      {"on", dto::text_key(a.on)},
      {"variation_deg", query_number(a.variation_deg)},
      {"tracks_are", dto::text_key(r.tracks_are)},
      {"limit_deg", query_number(r.limit_deg)},
      {"limit_basis", dto::text_key(r.limit_basis)},
      {"aircraft", dto::text_key(r.aircraft)},
      {"least_leg_s", query_number(r.least_leg_s)},
      {"tas_sigma_kt", query_number(r.tas_sigma_kt)},
      {"variation_sigma_deg", query_number(a.variation_sigma_deg)},
      {"sideslip_sigma_deg", query_number(a.sideslip_sigma_deg)},
      {"heading_sigma_deg", query_number(a.heading_sigma_deg)},
      {"rounding_deg", query_number(a.rounding_deg)},
      {"track_sigma_deg", query_number(a.track_sigma_deg)},
      {"speed_sigma_kt", query_number(a.speed_sigma_kt)},
      {"airspeed_sigma_kt", query_number(a.airspeed_sigma_kt)},
      {"wind_sigma_kt", query_number(a.wind_sigma_kt)},
      {"wind_change_kt_per_hour", query_number(a.wind_change_kt_per_hour)},
      {"paper",
       {"a4 or letter",
        [&paper](const AirValue& value) {
          paper = value.get<std::string>();
          return paper == "a4" || paper == "letter";
        }}},
  };
}

std::optional<Error> read_query(const HttpRequest& request, AirRequest& into, std::string& paper) {
  const dto::Keys keys = air_keys(into, paper);
  std::set<std::string> met;
  for (const auto& [name, value] : request.query) {
    const auto key = keys.find(name);
    if (key == keys.end()) {
      return dto::wrong(name, "a key of this name is not known",
                        "the keys of /api/air in api.yaml");
    }
    if (!met.insert(name).second) return dto::wrong(name, "it is there twice", "each key once");
    if (!key->second.put(value)) {
      return dto::wrong(name, "found " + dto::shown(value), key->second.expected);
    }
  }
  return std::nullopt;
}

std::string flight_stem(const std::string& name) { return name.substr(0, name.find_last_of('.')); }

HttpResponse drawn(const AirDocument& document, SheetFormat format, const std::string& paper) {
  auto bytes = air_sheet(document, format, paper == "letter" ? Paper::letter : Paper::a4);
  if (!bytes) return answer_error(bytes.error());
  const bool pdf = format == SheetFormat::pdf;
  HttpResponse sheet;
  sheet.content_type = pdf ? "application/pdf" : "image/svg+xml";
  sheet.body = std::move(bytes).value();
  sheet.file_name = flight_stem(document.file_name) + (pdf ? "-sheet.pdf" : "-sheet.svg");
  return sheet;
}

}  // namespace

bool is_in_the_air(const HttpRequest& request) {
  return request.path == "/api/air" || request.path == "/api/air/sheet.pdf" ||
         request.path == "/api/air/sheet.svg";
}

HttpResponse check_in_the_air(const HttpRequest& request) {
  const ScratchFile flight{request.body_file};
  if (request.method != "POST") return method_not_known(request, "POST");
  AirRequest wanted;
  wanted.path = flight.path();
  wanted.file_name = shown_name(request.file_name, "flight");
  std::string paper;
  if (auto bad = read_query(request, wanted, paper)) return answer_error(*bad);
  try {
    const auto document = solve_air_file(wanted);
    if (!document) return answer_error(document.error());
    if (request.path == "/api/air") return answer_json(200, to_json(document.value()));
    const bool pdf = request.path == "/api/air/sheet.pdf";
    return drawn(document.value(), pdf ? SheetFormat::pdf : SheetFormat::svg, paper);
  } catch (const std::exception& trouble) {  // out of memory, most likely
    return answer_error(Error{ErrorKind::Io, std::string{"the work broke off: "} + trouble.what(),
                              wanted.file_name, "a flight that fits into this machine's memory",
                              "close other programs, or cut the log into parts"});
  }
}

}  // namespace qn
