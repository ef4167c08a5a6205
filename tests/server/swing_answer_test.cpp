// SPDX-License-Identifier: Apache-2.0
// The answer of a swing that was led, over the page's interface: its document, its sheet, its card;
// and what else goes into the book while the run has it open.
#include <catch2/catch.hpp>
#include <string>

#include "app/run_setup.h"
#include "app/solve_air.h"
#include "app/solve_swing.h"
#include "server/running_server.h"
#include "store/book.h"
#include "support/temporary_folder.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

constexpr const char* kFlight =
    "leg,indicated_deg,track_deg,groundspeed_kt\n1,003,012,104\n2,092,095,121\n"
    "3,181,170,102\n4,270,268,83\n";

RunSetup swing_setup() {
  RunSetup setup;
  setup.procedure = RunSetup::Procedure::swing;
  REQUIRE(add_swing_compass("standby:10", setup.swing));
  return setup;
}

ServeOptions swing_rehearsal(const std::string& book) {
  ServeOptions options;
  options.book = book;
  options.run.emplace();
  options.run->run.setup = swing_setup();
  options.run->run.links.typed_from_program = true;
  options.run->rehearsal = RehearsalRequest{5, 100.0, true, {}};
  return options;
}

Answer get(const RunningServer& server, const std::string& address) {
  return ask(server.port(), "GET", address);
}

/// The answer in the view, once it stands at its own address as well.
json answered(const RunningServer& server) {
  for (int i = 0; i < 6000; ++i) {
    const json view = json::parse(get(server, "/api/run").body);
    const json answer = view.value("answer", json{});
    if (answer.is_object() && (answer.at("swing_id") != "" || answer.at("state") == "failed")) {
      return answer;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  return nullptr;
}

}  // namespace

TEST_CASE("a swing that was led has its document, sheet and card at addresses of their own",
          "[server][synthetic]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("a.qnbook");
  REQUIRE(Book::create(path, {"Brindle", "2026-05-14T08:00:00Z", ""}));
  RunningServer server{swing_rehearsal(path)};
  const json answer = answered(server);
  REQUIRE(answer.is_object());
  INFO(answer.dump());
  REQUIRE(answer.at("state") == "done");
  CHECK(answer.at("disturbance_id") == "");
  const std::string at = "/api/swings/" + answer.at("swing_id").get<std::string>();
  get(server, at + "/events");  // ends with the work
  const Answer document = get(server, at);
  CHECK(document.status == 200);
  const Answer sheet = get(server, at + "/sheet.svg?paper=letter");
  const Answer card =
      get(server, at + "/card.svg?engine=stopped&radio=on&by=A.+Nother&steps=45&day=2026-05-14");
  const Answer pdf = get(server, at + "/card.pdf");
  CHECK(pdf.head.find("application/pdf") != std::string::npos);
  CHECK(pdf.head.find("-card.pdf") != std::string::npos);
  CHECK(pdf.body.rfind("%PDF", 0) == 0);
  CHECK(get(server, at + "/card.pdf?steps=40").status == 400);
  CHECK(get(server, at + "/card.pdf?engine=loud").status == 400);
  CHECK(json::parse(get(server, at + "/card.pdf?colour=red").body).at("where") ==
        "request, key 'colour'");
  CHECK(get(server, "/api/swings/none").status == 404);
  CHECK(get(server, "/api/swings/none/card.pdf").status == 404);
  CHECK(ask(server.port(), "POST", at + "/card.pdf", "{}").status == 404);

  // The run still has the book open; a flight is kept in it all the same, and once.
  const auto keep = [&] {
    return ask(server.port(), "POST", "/api/air/finding?limit_deg=5", kFlight, named("legs.csv"));
  };
  CHECK(json::parse(keep().body).at("kept") == "Kept as finding 2 of a.qnbook.");
  CHECK(json::parse(keep().body).at("kept") == "It is finding 2 of a.qnbook already.");
  server.end();

  const auto book = Book::open(path);
  REQUIRE(book);
  const auto findings = book.value().findings().value();
  REQUIRE(findings.size() == 2);
  CHECK(findings[0].finding.result == document.body + "\n");
  // Sheet and card are those of the stations that the book has, as the commands make them.
  const auto& stations = findings[0].finding.inputs[0];
  SwingSolveRequest request = swing_request_of(swing_setup(), {});
  request.swing.limits = swing_setup().swing.request.limits;
  request.swing.aircraft = "Brindle";
  request.swing.stations_path =
      folder.write(stations.name, book.value().content(stations.sha256).value());
  const auto solved = solve_swing_file(request);
  REQUIRE(solved);
  CHECK(sheet.body == swing_sheet(solved.value(), SheetFormat::svg, Paper::letter).value());
  CardRequest wanted;
  wanted.swing = request.swing;
  wanted.engine = "stopped";
  wanted.radio = "on";
  wanted.by = "A. Nother";
  wanted.step_deg = 45;
  wanted.day = "2026-05-14";
  const auto cards = make_card_document(wanted);
  REQUIRE(cards);
  CHECK(card.body == card_sheet(cards.value(), 92.0, SheetFormat::svg, Paper::a4).value());
}
