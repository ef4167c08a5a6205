// SPDX-License-Identifier: Apache-2.0
// A live run over the page's interface: what is refused, what counts, what is streamed, its answer.
#include <catch2/catch.hpp>
#include <string>

#include "app/codec_equipment.h"
#include "server/running_server.h"
#include "store/book.h"
#include "support/temporary_folder.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

constexpr double kSpeed = 100.0;

std::string new_book(const TemporaryFolder& folder) {
  const std::string path = folder.path("a.qnbook");
  auto book = Book::create(path, {"Brindle", "2026-05-14T08:00:00Z", ""});
  REQUIRE(book);
  const auto list = parse_equipment("device,kind,states\nLamp,steady,off|on\n", "list");
  REQUIRE(book.value().set_equipment(list.value()));
  return path;
}

ServeOptions rehearsal(const std::string& book, bool answers) {
  ServeOptions options;
  options.book = book;
  options.run.emplace();
  options.run->run.setup.noise_uT = 0.05;
  options.run->rehearsal = RehearsalRequest{4, kSpeed, answers, {}};
  return options;
}

Answer say(const RunningServer& server, const json& answer) {
  return ask(server.port(), "POST", "/api/run/answers", answer.dump());
}

json view_of(const RunningServer& server) {
  return json::parse(ask(server.port(), "GET", "/api/run").body);
}

}  // namespace

TEST_CASE("without a book there is no run, and the answer says how to have one", "[server]") {
  const RunningServer server;
  for (const char* address : {"/api/book", "/api/run", "/api/run/events", "/api/run/clock"}) {
    const Answer answer = ask(server.port(), "GET", address);
    CHECK(answer.status == 404);
    CHECK(json::parse(answer.body).at("remedy").get<std::string>().find("--book") !=
          std::string::npos);
  }
  CHECK(ask(server.port(), "POST", "/api/runs", R"({"links":["stdin"]})").status == 400);
}

TEST_CASE("an answer counts once, and what is no answer is refused", "[server]") {
  const TemporaryFolder folder;
  const RunningServer server{rehearsal(new_book(folder), false)};
  CHECK(view_of(server).at("phase") == "safety");
  CHECK(say(server, {{"key", "one-key-1"}, {"kind", "wink"}}).status == 400);
  CHECK(say(server, {{"key", "short"}, {"kind", "acknowledge"}}).status == 400);
  CHECK(say(server, {{"key", "one-key-1"}, {"kind", "held"}}).status == 400);  // not for people
  CHECK(say(server, {{"key", "one-key-1"}, {"kind", "tap"}, {"why", 1}}).status == 400);
  const Answer first = say(server, {{"key", "one-key-1"}, {"kind", "acknowledge"}});
  REQUIRE(first.status == 200);
  CHECK(json::parse(first.body).at("phase") == "first_rest");
  CHECK(say(server, {{"key", "one-key-1"}, {"kind", "acknowledge"}}).status == 200);
  const json clock = json::parse(ask(server.port(), "GET", "/api/run/clock").body);
  CHECK(clock.at("now_s").get<double>() > 0.0);
  CHECK(clock.at("speed").get<double>() == kSpeed);  // or a page would place its taps too early
  CHECK(view_of(server).at("phase") != "safety");
  CHECK(ask(server.port(), "POST", "/api/run/typed", R"({"line":"123"})").status == 400);
  CHECK(ask(server.port(), "GET", "/api/run/answers").status == 405);
  CHECK(ask(server.port(), "POST", "/api/run/events", "{}").status == 405);
  // One run at a time; the one that is going on is not touched.
  const Answer another = ask(server.port(), "POST", "/api/runs", R"({"links":["stdin"]})");
  CHECK(another.status == 409);
  const json book = json::parse(ask(server.port(), "GET", "/api/book").body);
  CHECK(book.at("running") == true);
  CHECK(book.at("runs").size() == 1);
  const Answer stop = say(server, {{"key", "one-key-2"}, {"kind", "stop"}});
  CHECK(json::parse(stop.body).at("stopped") == true);
}

TEST_CASE("a run is streamed to its end, and its answer stands at the other addresses",
          "[server]") {
  const TemporaryFolder folder;
  const RunningServer server{rehearsal(new_book(folder), true)};
  RawClient reader{server.port()};
  reader.send("GET /api/run/events HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(server.port()) +
              "\r\n\r\n");
  const std::string& told = reader.read_until("\"state\":\"done\"", 60.0);
  CHECK(told.find("event: view") != std::string::npos);
  CHECK(told.find("event: trace") != std::string::npos);
  CHECK(told.find("Switch on: Lamp.") != std::string::npos);
  json answer = view_of(server).at("answer");
  for (int i = 0; i < 500 && answer.at("disturbance_id") == ""; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
    answer = view_of(server).at("answer");
  }
  REQUIRE(answer.at("state") == "done");
  const std::string id = answer.at("disturbance_id");
  ask(server.port(), "GET", "/api/disturbances/" + id + "/events");  // ends with the work
  const Answer document = ask(server.port(), "GET", "/api/disturbances/" + id);
  REQUIRE(document.status == 200);
  CHECK(json::parse(document.body).at("verdict").at("state") == answer.at("verdict"));
  const std::string recording = answer.at("recording_id");
  CHECK(ask(server.port(), "GET", "/api/recordings/" + recording + "/series").status == 200);
  const Answer seen = ask(server.port(), "GET", "/api/recordings/" + recording);
  REQUIRE(seen.status == 200);
  CHECK(json::parse(seen.body).at("id") == recording);
  CHECK(json::parse(seen.body).at("samples").get<int>() > 100);
  CHECK(ask(server.port(), "GET", "/api/recordings/none").status == 404);
  CHECK(ask(server.port(), "DELETE", "/api/recordings/" + recording).status == 405);
}

TEST_CASE("a turning that was led live ends in a fit that the page can open", "[server]") {
  const TemporaryFolder folder;
  ServeOptions options = rehearsal(new_book(folder), true);
  options.run->run.setup.procedure = RunSetup::Procedure::sensor;
  options.run->run.setup.stations_deg = {0.0, 90.0, 180.0, 270.0};
  const RunningServer server{options};
  json answer;
  for (int i = 0; i < 6000; ++i) {
    const json view = view_of(server);
    if (view.contains("answer") && view.at("answer").is_object()) answer = view.at("answer");
    if (answer.is_object() && answer.at("fit_id") != "") break;
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  REQUIRE(answer.is_object());
  REQUIRE(answer.at("state") == "done");
  const std::string fit = answer.at("fit_id");
  ask(server.port(), "GET", "/api/fits/" + fit + "/events");  // ends with the work
  const Answer document = ask(server.port(), "GET", "/api/fits/" + fit);
  REQUIRE(document.status == 200);
  CHECK(json::parse(document.body).at("verdict").at("state") == answer.at("verdict"));
  const std::string recording = answer.at("recording_id");
  CHECK(ask(server.port(), "GET", "/api/recordings/" + recording).status == 200);
}

TEST_CASE("the server ends while a run goes on, which can be gone on with", "[server]") {
  const TemporaryFolder folder;
  const std::string path = new_book(folder);
  {
    RunningServer server{rehearsal(path, true)};
    CHECK(server.end());
  }
  const auto book = Book::open(path);
  REQUIRE(book);
  CHECK_FALSE(book.value().runs().value()[0].ended_s.has_value());
}

TEST_CASE("a swing is begun and read over the interface; a reading counts once and can be mended",
          "[server]") {
  const TemporaryFolder folder;
  ServeOptions options;
  options.book = new_book(folder);
  const RunningServer server{options};
  const auto begin = [&](const char* body) {
    return ask(server.port(), "POST", "/api/runs", body).status;
  };
  CHECK(begin(R"({"links":[],"swing":8})") == 400);
  CHECK(begin(R"({"links":[],"swing":9,"compasses":["standby"]})") == 400);
  CHECK(begin(R"({"links":[],"swing":8,"compasses":["standby:x"]})") == 400);
  CHECK(begin(R"({"links":[],"swing":8,"compasses":["standby"],"from_link":"standby"})") == 400);
  REQUIRE(begin(R"({"links":[],"swing":8,"compasses":["standby:10"],"hold_s":1})") == 201);
  CHECK(view_of(server).at("procedure") == "swing");
  REQUIRE(say(server, {{"key", "swing-key-1"}, {"kind", "acknowledge"}}).status == 200);
  json tap = {{"key", "swing-key-2"}, {"kind", "tap"}};
  tap.update({{"device", "000"}, {"state", "cw"}});
  REQUIRE(say(server, tap).status == 200);
  json reading = {{"key", "swing-key-3"}, {"kind", "reading"}, {"device", "standby"}};
  reading.update({{"state", "000 cw"}, {"number", 400}});
  CHECK(say(server, reading).status == 400);
  reading["number"] = 3;
  json view = json::parse(say(server, reading).body);
  CHECK(view.at("step") == 2);
  CHECK(view.at("swing").at("compasses").at(0).at("readings").at(0).at("indicated_deg") == 3.0);
  reading["number"] = 4;  // the same key: the same answer
  view = json::parse(say(server, reading).body);
  CHECK(view.at("swing").at("compasses").at(0).at("readings").at(0).at("indicated_deg") == 3.0);
  reading["key"] = "swing-key-4";
  view = json::parse(say(server, reading).body);
  CHECK(view.at("step") == 2);
  CHECK(view.at("swing").at("compasses").at(0).at("readings").at(0).at("indicated_deg") == 4.0);
  CHECK(view.at("noticed") == "The standby on 000: 004 in place of 003.");
}
