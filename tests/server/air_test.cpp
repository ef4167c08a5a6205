// SPDX-License-Identifier: Apache-2.0
// The check in the air over the page's interface: the command's document, its sheet, its refusals.
#include <catch2/catch.hpp>
#include <functional>
#include <string>
#include <vector>

#include "app/codec_air.h"
#include "server/lan_server.h"
#include "server/running_server.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

constexpr const char* kLegs =
    "leg,indicated_deg,track_deg,groundspeed_kt\n1,003,012,104\n2,092,095,121\n"
    "3,181,170,102\n4,270,268,83\n5,045,052,118\n6,225,222,86\n";

Answer solved(std::uint16_t port, const std::string& flight, const std::string& query = "",
              const std::string& name = "legs.csv") {
  return ask(port, "POST", "/api/air" + query, flight, named(name));
}

std::string bytes_of(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

/// What the command prints for the same file and the same options.
AirDocument by_command(const std::string& path, const AirRequest& options = {}) {
  AirRequest request = options;
  request.path = path;
  auto document = solve_air_file(request);
  REQUIRE(document);
  return document.value();
}

void check_says(const Answer& answer, const Error& error) {
  CHECK(answer.status == 400);
  const json said = json::parse(answer.body);
  CHECK(said.at("what") == error.what);
  CHECK(said.at("where") == error.where);
  CHECK(said.at("expected") == error.expected);
  CHECK(said.at("remedy") == error.remedy);
}

}  // namespace

TEST_CASE("A flight in any form gives the command's document, byte for byte",
          "[server][synthetic]") {
  const TemporaryFolder folder;
  REQUIRE(simulate_flight({.seed = 4, .legs = 6, .leg_s = 60.0, .folder = folder.path("flight")}));
  const RunningServer server;
  for (const char* name : {"flight.csv", "flight.nmea", "legs.csv"}) {
    CAPTURE(name);
    const std::string path = folder.path(std::string{"flight/"} + name);
    AirRequest options;
    options.assumed.variation_deg = 3.5;
    options.limit_deg = 5.0;
    const Answer answer =
        solved(server.port(), bytes_of(path), "?variation_deg=3.5&limit_deg=5", name);
    CHECK(answer.status == 200);
    CHECK(answer.body == to_json(by_command(path, options)));
  }
}

TEST_CASE("Each key of the query means the command's option of that name", "[server][synthetic]") {
  const TemporaryFolder folder;
  const std::string path = folder.write("legs.csv", kLegs);
  const RunningServer server;
  const std::string plain = to_json(by_command(path));
  CHECK(solved(server.port(), kLegs).body == plain);
  const struct {
    const char* query;
    std::function<void(AirRequest&)> put;
  } keys[] = {
      {"at=47.05,8.3&on=2026-05-14",
       [](AirRequest& r) { r.assumed.at = "47.05,8.3", r.assumed.on = "2026-05-14"; }},
      {"variation_deg=-3.5", [](AirRequest& r) { r.assumed.variation_deg = -3.5; }},
      {"tracks_are=magnetic", [](AirRequest& r) { r.tracks_are = "magnetic"; }},
      {"limit_deg=5&limit_basis=my%20own",
       [](AirRequest& r) { r.limit_deg = 5.0, r.limit_basis = "my own"; }},
      {"aircraft=Brindle", [](AirRequest& r) { r.aircraft = "Brindle"; }},
      {"variation_deg=2&variation_sigma_deg=3",
       [](AirRequest& r) { r.assumed.variation_deg = 2.0, r.assumed.variation_sigma_deg = 3.0; }},
      {"tracks_are=magnetic&sideslip_sigma_deg=4",
       [](AirRequest& r) { r.tracks_are = "magnetic", r.assumed.sideslip_sigma_deg = 4.0; }},
      {"heading_sigma_deg=3", [](AirRequest& r) { r.assumed.heading_sigma_deg = 3.0; }},
      {"rounding_deg=5", [](AirRequest& r) { r.assumed.rounding_deg = 5.0; }},
      {"track_sigma_deg=2", [](AirRequest& r) { r.assumed.track_sigma_deg = 2.0; }},
      {"speed_sigma_kt=4", [](AirRequest& r) { r.assumed.speed_sigma_kt = 4.0; }},
      {"airspeed_sigma_kt=4", [](AirRequest& r) { r.assumed.airspeed_sigma_kt = 4.0; }},
      {"wind_sigma_kt=3", [](AirRequest& r) { r.assumed.wind_sigma_kt = 3.0; }},
      {"wind_change_kt_per_hour=40",
       [](AirRequest& r) { r.assumed.wind_change_kt_per_hour = 40.0; }},
  };
  for (const auto& key : keys) {
    CAPTURE(key.query);
    AirRequest options;
    key.put(options);
    const Answer answer = solved(server.port(), kLegs, std::string{"?"} + key.query);
    CHECK(answer.body == to_json(by_command(path, options)));
    CHECK(answer.body != plain);
  }
}

TEST_CASE("Keys for a log and for shown airspeeds reach their options as well",
          "[server][synthetic]") {
  const TemporaryFolder folder;
  REQUIRE(simulate_flight({.seed = 4, .legs = 6, .leg_s = 60.0, .folder = folder.path("flight")}));
  const std::string path = folder.path("flight/flight.csv");
  const std::string log = bytes_of(path);
  const RunningServer server;
  AirRequest longer;
  longer.least_leg_s = 300.0;
  const Answer none = solved(server.port(), log, "?least_leg_s=300", "flight.csv");
  CHECK(none.body == to_json(by_command(path, longer)));
  CHECK(json::parse(none.body).at("wind_kt").is_null());
  const std::string shown =
      "leg,indicated_deg,track_deg,groundspeed_kt,tas_kt\n1,3,12,104,103\n2,92,95,121,102\n"
      "3,181,170,102,104\n4,270,268,83,103\n";
  const std::string legs = folder.write("shown.csv", shown);
  AirRequest sure;
  sure.tas_sigma_kt = 0.5;
  const Answer answer = solved(server.port(), shown, "?tas_sigma_kt=0.5", "shown.csv");
  CHECK(answer.body == to_json(by_command(legs, sure)));
  CHECK(answer.body != to_json(by_command(legs)));
}

TEST_CASE("The sheet of the flight is the command's", "[server][synthetic]") {
  const TemporaryFolder folder;
  const AirDocument document = by_command(folder.write("legs.csv", kLegs));
  const RunningServer server;
  const auto sheet = [&](const std::string& target) {
    return ask(server.port(), "POST", "/api/air/" + target, kLegs, named("legs.csv"));
  };
  const Answer pdf = sheet("sheet.pdf");
  CHECK(pdf.status == 200);
  CHECK(pdf.head.find("application/pdf") != std::string::npos);
  CHECK(pdf.head.find("legs-sheet.pdf") != std::string::npos);
  CHECK(pdf.body == air_sheet(document, SheetFormat::pdf, Paper::a4).value());
  CHECK(sheet("sheet.pdf?paper=letter").body ==
        air_sheet(document, SheetFormat::pdf, Paper::letter).value());
  const Answer svg = sheet("sheet.svg");
  CHECK(svg.head.find("image/svg+xml") != std::string::npos);
  CHECK(svg.body == air_sheet(document, SheetFormat::svg, Paper::a4).value());
  CHECK(sheet("sheet.pdf?paper=a3").status == 400);
}

TEST_CASE("A flight and an option are refused in the command's words", "[server][synthetic]") {
  const TemporaryFolder folder;
  const RunningServer server;
  const std::string bad = "leg,indicated_deg,track_deg,groundspeed_kt\n1,400,12,104\n";
  AirRequest request;
  request.path = folder.write("bad.csv", bad);
  check_says(solved(server.port(), bad, "", "bad.csv"), solve_air_file(request).error());
  const std::vector<std::pair<std::string, std::function<void(AirRequest&)>>> wrong = {
      {"?limit_deg=-1", [](AirRequest& r) { r.limit_deg = -1.0; }},
      {"?tracks_are=grid", [](AirRequest& r) { r.tracks_are = "grid"; }},
      {"?variation_deg=1&at=47,8&on=2026-05-14",
       [](AirRequest& r) {
         r.assumed.variation_deg = 1.0, r.assumed.at = "47,8", r.assumed.on = "2026-05-14";
       }},
      {"?at=95,8&on=2026-05-14",
       [](AirRequest& r) { r.assumed.at = "95,8", r.assumed.on = "2026-05-14"; }},
      {"?least_leg_s=1", [](AirRequest& r) { r.least_leg_s = 1.0; }},
      {"?wind_sigma_kt=0", [](AirRequest& r) { r.assumed.wind_sigma_kt = 0.0; }},
  };
  for (const auto& [query, put] : wrong) {
    CAPTURE(query);
    AirRequest options;
    put(options);
    options.path = folder.write("legs.csv", kLegs);
    check_says(solved(server.port(), kLegs, query), solve_air_file(options).error());
  }
  for (const char* empty : {"", "\n", "no table at all"}) {
    CHECK(solved(server.port(), empty).status == 400);
  }
}

TEST_CASE("A query that cannot be is refused by its key", "[server]") {
  const RunningServer server;
  const auto where = [&](const std::string& query) {
    const Answer answer = solved(server.port(), kLegs, query);
    CHECK(answer.status == 400);
    return json::parse(answer.body).at("where").get<std::string>();
  };
  CHECK(where("?limit=5") == "request, key 'limit'");
  CHECK(where("?limit_deg=5x") == "request, key 'limit_deg'");
  CHECK(where("?limit_deg=nan") == "request, key 'limit_deg'");
  CHECK(where("?limit_deg=") == "request, key 'limit_deg'");
  CHECK(where("?limit_deg=5&limit_deg=6") == "request, key 'limit_deg'");
  for (const char* target : {"/api/air", "/api/air/sheet.pdf", "/api/air/sheet.svg"}) {
    CHECK(ask(server.port(), "GET", target).status == 405);
  }
  CHECK(ask(server.port(), "POST", "/api/air/sheet.png", kLegs).status == 404);
}

TEST_CASE("A flight is not kept on the disk", "[server]") {
  const TemporaryFolder folder;
  ServeOptions options;
  options.folder = folder.path("scratch");
  std::filesystem::create_directories(options.folder);
  const RunningServer server{options};
  CHECK(solved(server.port(), kLegs).status == 200);
  std::size_t files = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator{folder.path("scratch")}) {
    files += entry.is_regular_file() ? 1 : 0;
  }
  CHECK(files == 0);
}

TEST_CASE("A flight has the limits of a recording, and who looks on may not bring one",
          "[server]") {
  ServeOptions small;
  small.upload_limit_bytes = 100;
  const RunningServer host{small};
  CHECK(solved(host.port(), kLegs).status == 413);
  LanOptions network;
  network.limits.recording_bytes = 1000;
  const LanServer lan{{}, network};
  const std::string helper = lan.paired() + lan.origin_line() + named("legs.csv");
  CHECK(lan.ask("POST", "/api/air", kLegs, helper).status == 200);
  CHECK(lan.ask("POST", "/api/air/sheet.svg", kLegs, helper).status == 200);
  CHECK(lan.ask("POST", "/api/air", kLegs + std::string(1000, '\n'), helper).status == 413);
  const std::string looker = lan.paired("look_on") + lan.origin_line() + named("legs.csv");
  CHECK(lan.ask("POST", "/api/air", kLegs, looker).status == 403);
  CHECK(lan.ask("POST", "/api/air/sheet.pdf", kLegs, looker).status == 403);
  CHECK(lan.ask("POST", "/api/air", kLegs, lan.origin_line()).status == 403);  // a stranger
}
