// SPDX-License-Identifier: Apache-2.0
#include "server/air_routes.h"

#include <exception>
#include <nlohmann/json.hpp>
#include <string>

#include "app/codec_air.h"
#include "app/finding_book.h"
#include "app/solve_air.h"
#include "server/air_query.h"
#include "server/answers.h"
#include "server/routes.h"
#include "server/scratch_folder.h"

namespace qn {
namespace {

constexpr const char* kKept = "/api/air/finding";
constexpr const char* kPlan = "/api/air/plan";

std::string flight_stem(const std::string& name) { return name.substr(0, name.find_last_of('.')); }

SheetFormat format_of(const HttpRequest& request) {
  return request.path.ends_with(".svg") ? SheetFormat::svg : SheetFormat::pdf;
}

Paper paper_of(const AirSheetAsked& asked) {
  return asked.paper == "letter" ? Paper::letter : Paper::a4;
}

bool is_plan(const HttpRequest& request) { return request.path.rfind(kPlan, 0) == 0; }

HttpResponse plan_of_flight(const HttpRequest& request) {
  if (request.method != "GET") return method_not_known(request, "GET");
  AirPlanRequest wanted;
  AirSheetAsked asked;
  if (auto bad = read_plan_query(request, wanted, asked)) return answer_error(*bad);
  const auto document = plan_air_check(wanted);
  if (!document) return answer_error(document.error());
  if (request.path == kPlan) return answer_json(200, to_json(document.value()));
  const SheetFormat format = format_of(request);
  return answer_sheet(air_plan_sheet(document.value(), format, paper_of(asked)), format,
                      "air-plan-sheet");
}

/// A flight that was asked about, and its answer.
struct SolvedFlight {
  AirRequest wanted;
  AirSheetAsked asked;
  AirDocument document;
};

HttpResponse answer_of_flight(const HttpRequest& request, const SolvedFlight& flight) {
  if (request.path == "/api/air") return answer_json(200, to_json(flight.document));
  const SheetFormat format = format_of(request);
  return answer_sheet(air_sheet(flight.document, format, paper_of(flight.asked)), format,
                      flight_stem(flight.document.file_name) + "-sheet");
}

/// Solves the flight in the body, and answers with what `then` makes of it.
HttpResponse with_flight(const HttpRequest& request,
                         const std::function<HttpResponse(const SolvedFlight&)>& then) {
  const ScratchFile file{request.body_file};
  if (request.method != "POST") return method_not_known(request, "POST");
  SolvedFlight flight;
  flight.wanted.path = file.path();
  flight.wanted.file_name = shown_name(request.file_name, "flight");
  if (auto bad = read_air_query(request, flight.wanted, flight.asked)) return answer_error(*bad);
  try {
    auto document = solve_air_file(flight.wanted);
    if (!document) return answer_error(document.error());
    flight.document = std::move(document).value();
    return then(flight);
  } catch (const std::exception& trouble) {  // out of memory, most likely
    return answer_error(Error{ErrorKind::Io, std::string{"the work broke off: "} + trouble.what(),
                              flight.wanted.file_name,
                              "a flight that fits into this machine's memory",
                              "close other programs, or cut the log into parts"});
  }
}

}  // namespace

bool brings_flight(const HttpRequest& request) {
  return request.path == "/api/air" || request.path == "/api/air/sheet.pdf" ||
         request.path == "/api/air/sheet.svg" || keeps_flight(request);
}

bool keeps_flight(const HttpRequest& request) { return request.path == kKept; }

bool is_in_the_air(const HttpRequest& request) {
  return brings_flight(request) || request.path == kPlan ||
         request.path == "/api/air/plan/sheet.pdf" || request.path == "/api/air/plan/sheet.svg";
}

HttpResponse check_in_the_air(const HttpRequest& request) {
  if (is_plan(request)) return plan_of_flight(request);
  return with_flight(request,
                     [&](const SolvedFlight& flight) { return answer_of_flight(request, flight); });
}

HttpResponse keep_flight(const HttpRequest& request, const InBook& in_book) {
  return with_flight(request, [&](const SolvedFlight& flight) {
    const auto kept = in_book([&](Book& book) -> Result<std::string> {
      auto findings = FindingBook::in(book, flight.asked.configuration);
      if (!findings) return findings.error();
      return findings.value().keep_once(flight.wanted, flight.document);
    });
    if (!kept) return answer_error(kept.error());
    return answer_json(201, nlohmann::json{{"kept", kept.value()}}.dump());
  });
}

}  // namespace qn
