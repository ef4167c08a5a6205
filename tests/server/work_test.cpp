// SPDX-License-Identifier: Apache-2.0
// Recordings, fits and their events, with work that the test controls.
#include <catch2/catch.hpp>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <memory>
#include <string>
#include <thread>

#include "server/running_server.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

std::string events_of(std::uint16_t port, const std::string& fit) {
  return ask(port, "GET", "/api/fits/" + fit + "/events").body;
}

double seconds_since(std::chrono::steady_clock::time_point begin) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

ServeOptions with_fit(std::function<Result<FitDocument>(const FitRequest&, const Progress&)> fit) {
  ServeOptions options;
  options.uses.fit = std::move(fit);
  options.uses.document_json = [](const FitDocument& d) {
    return "{\"day\":\"" + d.provenance.day + "\"}";
  };
  options.uses.sheet = [](const FitDocument&, SheetFormat format,
                          Paper paper) -> Result<std::string> {
    return std::string{format == SheetFormat::pdf ? "pdf" : "svg"} +
           (paper == Paper::letter ? " letter" : " a4");
  };
  return options;
}

}  // namespace

TEST_CASE("A recording is previewed and drawn in pieces", "[server][synthetic]") {
  const RunningServer server;
  const Answer brought = ask(server.port(), "POST", "/api/recordings", RunningServer::kSmallLog,
                             named("..%2Fa%20%C2%B5T.csv"));
  REQUIRE(brought.status == 201);
  const json seen = json::parse(brought.body);
  CHECK(seen.at("name") == "a µT.csv");
  CHECK(seen.at("samples") == 4);
  CHECK(seen.at("unit") == "uT");
  CHECK(seen.at("duration_s").get<double>() == Approx(0.3));
  const std::string series = "/api/recordings/" + seen.at("id").get<std::string>() + "/series";
  const json all = json::parse(ask(server.port(), "GET", series).body);
  CHECK(all.at("every_sample") == true);
  CHECK(all.at("x").at("min") == json::parse("[20.0,21.0,19.0,20.0]"));
  const json two = json::parse(ask(server.port(), "GET", series + "?points=2").body);
  CHECK(two.at("x").at("min") == json::parse("[20.0,19.0]"));
  CHECK(two.at("x").at("max") == json::parse("[21.0,20.0]"));
  // From 0.15 to 0.25 s lies one sample; its two neighbours come with it.
  const json part = json::parse(ask(server.port(), "GET", series + "?from_s=0.15&to_s=0.25").body);
  CHECK(part.at("y").at("max") == json::parse("[2.0,3.0,4.0]"));
  CHECK(ask(server.port(), "GET", series + "?points=1").status == 400);
  CHECK(ask(server.port(), "GET", series + "?from_s=soon").status == 400);
}

TEST_CASE("A file that is no recording is refused with its own name", "[server]") {
  const RunningServer server;
  const Answer answer =
      ask(server.port(), "POST", "/api/recordings", "just,some\nwords,here\n", named("notes.csv"));
  CHECK(answer.status == 400);
  CHECK(json::parse(answer.body).at("where").get<std::string>().find("notes.csv") !=
        std::string::npos);
}

TEST_CASE("A request with a wrong key says which", "[server]") {
  const RunningServer server;
  const std::string fits = "/api/recordings/" + server.bring(RunningServer::kSmallLog) + "/fits";
  for (const auto& [body, key] :
       {std::pair{R"({"limit":1})", "'limit'"}, std::pair{R"({"limit_deg":"1"})", "'limit_deg'"},
        std::pair{R"({"known_headings":["1,2",3]})", "'known_headings'"},
        std::pair{"no json", "body"}}) {
    CAPTURE(body);
    const Answer answer = ask(server.port(), "POST", fits, body);
    CHECK(answer.status == 400);
    CHECK(json::parse(answer.body).at("where").get<std::string>().find(key) != std::string::npos);
  }
}

TEST_CASE("What the page sends reaches the fit, and its answer comes back byte for byte",
          "[server]") {
  FitRequest seen;
  std::string stations;
  auto options = with_fit([&](const FitRequest& request, const Progress&) -> Result<FitDocument> {
    seen = request;
    stations = std::filesystem::path{*request.stations_path}.filename().string();
    FitDocument document;
    document.provenance.day = *request.on;
    return document;
  });
  const RunningServer server{options};
  const std::string fit = server.start_fit(
      R"({"at":"1,2","on":"2026-05-14","limit_deg":2.5,"known_headings":["1,090"],)"
      R"("stations_csv":"station_deg\n0\n","stations_name":"../my stops.csv"})");
  CHECK(events_of(server.port(), fit).find("event: done\n") != std::string::npos);
  CHECK(seen.at == "1,2");
  CHECK(seen.limit_deg == 2.5);
  CHECK(seen.known_headings == std::vector<std::string>{"1,090"});
  CHECK(seen.log_name == "small.csv");
  CHECK(stations == "my stops.csv");
  const Answer document = ask(server.port(), "GET", "/api/fits/" + fit);
  CHECK(document.status == 200);
  CHECK(document.body == R"({"day":"2026-05-14"})");
  const std::string sheet = "/api/fits/" + fit + "/sheet";
  CHECK(ask(server.port(), "GET", sheet + ".pdf").body == "pdf a4");
  CHECK(ask(server.port(), "GET", sheet + ".svg?paper=letter").body == "svg letter");
  CHECK(ask(server.port(), "GET", sheet + ".pdf?paper=a3").status == 400);
}

TEST_CASE("Progress comes in order and the last word ends the stream", "[server]") {
  Gate begun, more;
  auto options = with_fit([&](const FitRequest&, const Progress& progress) -> Result<FitDocument> {
    progress("first", 0.25);
    begun.open();
    more.pass();
    progress("second", 0.75);
    return FitDocument{};
  });
  const RunningServer server{options};
  const std::string fit = server.start_fit();
  begun.pass();
  RawClient reader{server.port()};
  reader.send("GET /api/fits/" + fit +
              "/events HTTP/1.1\r\nHost: localhost:" + std::to_string(server.port()) + "\r\n\r\n");
  reader.read_until("first");
  CHECK(ask(server.port(), "GET", "/api/fits/" + fit).status == 202);
  CHECK(ask(server.port(), "GET", "/api/fits/" + fit + "/sheet.pdf").status == 400);
  more.open();
  const std::string& all = reader.read_to_end();
  CHECK(reader.closed());
  CHECK(all.find("Content-Type: text/event-stream") != std::string::npos);
  CHECK(all.find("event: progress") < all.find("\"first\""));
  CHECK(all.find("\"first\"") < all.find("event: done"));
  CHECK(all.find("event: done") != std::string::npos);
}

TEST_CASE("A fit that fails says why, in the stream and afterwards", "[server]") {
  const RunningServer server{with_fit([](const FitRequest&,
                                         const Progress&) -> Result<FitDocument> {
    return Error{ErrorKind::OutOfRange, "latitude 95", "option --at", "-90 to 90", "correct it"};
  })};
  const std::string fit = server.start_fit();
  const std::string events = events_of(server.port(), fit);
  CHECK(events.find("event: failed\n") != std::string::npos);
  CHECK(events.find("\"what\":\"latitude 95\"") != std::string::npos);
  const Answer afterwards = ask(server.port(), "GET", "/api/fits/" + fit);
  CHECK(afterwards.status == 400);
  CHECK(json::parse(afterwards.body).at("where") == "option --at");
}

TEST_CASE("A fit is stopped when it is asked to", "[server]") {
  Gate begun;
  std::atomic<bool> heeded = false;
  const RunningServer server{
      with_fit([&](const FitRequest&, const Progress& progress) -> Result<FitDocument> {
        begun.open();
        while (progress("working", 0.5)) std::this_thread::sleep_for(std::chrono::milliseconds(2));
        heeded = true;
        return Error{ErrorKind::Io, "stopped", "fit", "to end", "again"};
      })};
  const std::string fit = server.start_fit();
  begun.pass();
  CHECK(ask(server.port(), "DELETE", "/api/fits/" + fit).status == 200);
  CHECK(events_of(server.port(), fit).find("event: stopped\n") != std::string::npos);
  for (int i = 0; i < 500 && !heeded; ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  CHECK(heeded);
}

TEST_CASE("A reader that takes nothing is dropped and holds up nobody", "[server]") {
  auto ended = std::make_shared<Gate>();
  auto options =
      with_fit([ended](const FitRequest&, const Progress& progress) -> Result<FitDocument> {
        const std::string long_words(2000, 'w');
        // 4 MB of news, far more than both ends' buffers (16 KB asked for each) can hide.
        for (int i = 0; i < 2000; ++i) {
          if (!progress(long_words, 0.5)) break;
          std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
        ended->pass();
        return FitDocument{};
      });
  options.write_deadline = Duration::seconds(0.5);
  const RunningServer server{options};
  const std::string fit = server.start_fit();
  const std::string request = "GET /api/fits/" + fit + "/events HTTP/1.1\r\nHost: localhost:" +
                              std::to_string(server.port()) + "\r\n\r\n";
  RawClient stuck{server.port(), 4096}, healthy{server.port()};
  stuck.send(request);
  healthy.send(request);
  healthy.read_until("never said", 3.5);  // reads all the while
  CHECK(ask(server.port(), "GET", "/api/about").status == 200);
  ended->open();
  CHECK(healthy.read_to_end().find("event: done") != std::string::npos);
  CHECK(stuck.read_to_end(3.0).find("event: done") == std::string::npos);
  CHECK(stuck.closed());
}

TEST_CASE("A signal ends the server within a second, also while it works", "[server]") {
  Gate begun;
  auto never = std::make_shared<Gate>();
  const std::string folder = std::filesystem::temp_directory_path() / "quietnorth-stop-test";
  std::filesystem::create_directories(folder);
  auto options =
      with_fit([&begun, never](const FitRequest&, const Progress&) -> Result<FitDocument> {
        begun.open();
        never->pass();  // heeds nothing: the worst case
        return FitDocument{};
      });
  options.folder = folder;
  RunningServer server{options};
  const std::string fit = server.start_fit();
  begun.pass();
  RawClient idle{server.port()}, reading{server.port()};
  reading.send("GET /api/fits/" + fit +
               "/events HTTP/1.1\r\nHost: localhost:" + std::to_string(server.port()) + "\r\n\r\n");
  reading.read_until("progress");
  const auto begin = std::chrono::steady_clock::now();
  std::raise(SIGTERM);
  CHECK(server.wait_for_end());
  CHECK(seconds_since(begin) < 1.0);
  CHECK(std::filesystem::is_empty(folder));  // the recordings are gone
  never->open();
  std::filesystem::remove_all(folder);
}

TEST_CASE("A port that is taken is said", "[server]") {
  const RunningServer first;
  ServeOptions options;
  options.port = first.port();
  const auto second = serve(options);
  REQUIRE_FALSE(second.has_value());
  CHECK(second.error().kind == ErrorKind::Io);
  CHECK(second.error().where.find(std::to_string(first.port())) != std::string::npos);
}

TEST_CASE("The Earth's field is answered in the command's own words", "[server]") {
  const RunningServer server;
  const Answer there = ask(server.port(), "GET", "/api/earth?at=-32.9,-68.8&on=2025-11-01");
  CHECK(there.status == 200);
  CHECK(json::parse(there.body).contains("declination_deg"));
  const Answer nowhere = ask(server.port(), "GET", "/api/earth?at=95,0&on=2025-11-01");
  CHECK(nowhere.status == 400);
  CHECK(json::parse(nowhere.body).at("where") == "option --at");
}
