// SPDX-License-Identifier: Apache-2.0
// A flight that is kept in the book from the page, and the plan of one.
#include <catch2/catch.hpp>
#include <string>

#include "app/codec_air.h"
#include "app/finding_book.h"
#include "server/lan_server.h"
#include "server/running_server.h"
#include "store/book.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

constexpr const char* kFourLegs =
    "leg,indicated_deg,track_deg,groundspeed_kt\n1,003,012,104\n2,092,095,121\n"
    "3,181,170,102\n4,270,268,83\n";

}  // namespace

TEST_CASE("A flight is kept in the book as the command keeps it", "[server][synthetic]") {
  const TemporaryFolder folder;
  const std::string by_page = folder.path("page.qnbook"), own = folder.path("own.qnbook");
  for (const std::string& path : {by_page, own}) {
    REQUIRE(Book::create(path, {"Brindle", "2026-05-14T08:00:00Z", ""}));
  }
  AirRequest options;
  options.path = folder.write("legs.csv", kFourLegs);
  options.assumed.variation_deg = 3.5;
  options.limit_deg = 5.0;
  {
    auto book = FindingBook::open(own, {"engine=running", "canopy=closed"});
    REQUIRE(book);
    REQUIRE(book.value().keep(options, solve_air_file(options).value()));
  }
  ServeOptions with_book;
  with_book.book = by_page;
  const LanServer lan{with_book};
  const json about = json::parse(ask(lan.host_port(), "GET", "/api/about").body);
  CHECK(about.at("book") == "page.qnbook");
  CHECK(about.at("you") == "operate");
  const std::string target =
      "/api/air/finding?variation_deg=3.5&limit_deg=5&configuration=engine%3Drunning"
      "&configuration=canopy%3Dclosed";
  // Who looks on changes nothing.
  const std::string looker = lan.paired("look_on") + lan.origin_line() + named("legs.csv");
  CHECK(lan.ask("POST", target, kFourLegs, looker).status == 403);
  CHECK(json::parse(lan.ask("GET", "/api/about", "", looker).body).at("you") == "look_on");
  CHECK(Book::open_read_only(by_page).value().findings().value().empty());
  const Answer kept = ask(lan.host_port(), "POST", target, kFourLegs, named("legs.csv"));
  CHECK(kept.status == 201);
  CHECK(json::parse(kept.body).at("kept") == "Kept as finding 1 of page.qnbook.");
  // Asked again because the answer was lost, it is there once; with another limit it is another.
  const Answer again = ask(lan.host_port(), "POST", target, kFourLegs, named("legs.csv"));
  CHECK(json::parse(again.body).at("kept") == "It is finding 1 of page.qnbook already.");
  const std::string helper = lan.paired() + lan.origin_line() + named("legs.csv");
  CHECK(lan.ask("POST", "/api/air/finding?limit_deg=6", kFourLegs, helper).status == 201);

  const auto page = Book::open_read_only(by_page);
  const auto command = Book::open_read_only(own);
  CHECK(page.value().check().value().empty());
  REQUIRE(page.value().findings().value().size() == 2);
  const NewFinding is = page.value().findings().value()[0].finding;
  const NewFinding wanted = command.value().findings().value()[0].finding;
  CHECK(is.command == wanted.command);
  CHECK(is.verdict == wanted.verdict);
  CHECK(is.sentence == wanted.sentence);
  CHECK(is.options == wanted.options);
  CHECK(is.configuration == wanted.configuration);
  CHECK(is.result == wanted.result);
  REQUIRE(is.inputs.size() == 1);
  CHECK(is.inputs[0].role == wanted.inputs[0].role);
  CHECK(is.inputs[0].name == wanted.inputs[0].name);
  CHECK(is.inputs[0].sha256 == wanted.inputs[0].sha256);
  CHECK(page.value().content(is.inputs[0].sha256).value() == kFourLegs);
}

TEST_CASE("Nothing is kept without a book, and not what cannot be read", "[server]") {
  const RunningServer without;
  const Answer none = ask(without.port(), "POST", "/api/air/finding", kFourLegs, named("legs.csv"));
  CHECK(none.status == 404);
  CHECK(json::parse(none.body).at("remedy").get<std::string>().find("--book") != std::string::npos);
  const TemporaryFolder folder;
  ServeOptions options;
  options.book = folder.path("a.qnbook");
  REQUIRE(Book::create(*options.book, {"Brindle", "2026-05-14T08:00:00Z", ""}));
  const RunningServer server{options};
  const auto keep = [&](const std::string& flight, const std::string& query) {
    return ask(server.port(), "POST", "/api/air/finding" + query, flight, named("legs.csv"));
  };
  CHECK(keep("no table at all", "").status == 400);
  const Answer wrong = keep(kFourLegs, "?configuration=engine");
  CHECK(wrong.status == 400);
  CHECK(json::parse(wrong.body).at("where") == "option --configuration");
  CHECK(keep(kFourLegs, "?paper=a4").status == 400);
  CHECK(ask(server.port(), "GET", "/api/air/finding").status == 405);
  CHECK(Book::open_read_only(*options.book).value().findings().value().empty());
}

TEST_CASE("The plan of a flight is the command's, document and sheet", "[server][synthetic]") {
  const LanServer lan;
  AirPlanRequest request;
  request.tas_kt = 100.0;
  request.minutes = 24.0;
  request.wind_from_deg = 240.0;
  request.wind_kt = 15.0;
  request.leg_minutes = 4.0;
  request.assumed.variation_deg = -2.5;
  request.assumed.rounding_deg = 5.0;
  request.aircraft = "Brindle";
  const auto plan = plan_air_check(request);
  REQUIRE(plan);
  const std::string query =
      "?tas_kt=100&minutes=24&wind_from_deg=240&wind_kt=15&leg_minutes=4&variation_deg=-2.5"
      "&rounding_deg=5&aircraft=Brindle";
  const auto asked = [&](const std::string& target) {
    return ask(lan.host_port(), "GET", "/api/air/plan" + target);
  };
  CHECK(asked(query).body == to_json(plan.value()));
  const Answer pdf = asked("/sheet.pdf" + query);
  CHECK(pdf.head.find("air-plan-sheet.pdf") != std::string::npos);
  CHECK(pdf.body == air_plan_sheet(plan.value(), SheetFormat::pdf, Paper::a4).value());
  CHECK(asked("/sheet.svg" + query + "&paper=letter").body ==
        air_plan_sheet(plan.value(), SheetFormat::svg, Paper::letter).value());
  // It changes nothing, so that who looks on may have it, too.
  CHECK(lan.ask("GET", "/api/air/plan" + query, "", lan.paired("look_on")).status == 200);
  CHECK(json::parse(asked("?minutes=24").body).at("where") == "request, key 'tas_kt'");
  CHECK(json::parse(asked("?tas_kt=100").body).at("where") == "request, key 'minutes'");
  CHECK(json::parse(asked("?tas_kt=100&minutes=5").body).at("where") == "option --minutes");
  CHECK(json::parse(asked("?tas_kt=100&minutes=24&limit_deg=5").body).at("where") ==
        "request, key 'limit_deg'");
  CHECK(ask(lan.host_port(), "POST", "/api/air/plan" + query, "").status == 405);
}
