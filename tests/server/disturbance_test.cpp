// SPDX-License-Identifier: Apache-2.0
// A disturbance run over the page's interface: started, followed, its marks moved, what if.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <string>

#include "server/running_server.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

// Two devices worked twice each: "Lamp" adds 1 uT to the right, "Pump" 0.5 uT forward.
std::string run_log() {
  std::string csv = "time_s,field_x_uT,field_y_uT,field_z_uT\n";
  std::uint32_t seed = 5;
  const auto noise = [&seed] {
    double sum = 0.0;
    for (int i = 0; i < 4; ++i) {
      seed = seed * 1664525u + 1013904223u;
      sum += static_cast<double>(seed >> 8) / 16777216.0 - 0.5;
    }
    return 0.05 * sum;
  };
  for (int i = 0; i < 2000; ++i) {
    const double t = 0.1 * i;
    const bool lamp = (t > 20 && t < 40) || (t > 100 && t < 120);
    const bool pump = (t > 60 && t < 80) || (t > 140 && t < 160);
    csv += std::to_string(t) + "," + std::to_string(20.0 + (pump ? 0.5 : 0.0) + noise()) + "," +
           std::to_string((lamp ? 1.0 : 0.0) + noise()) + "," + std::to_string(43.0 + noise()) +
           "\n";
  }
  return csv;
}

constexpr const char* kMarks =
    "time_s,device,state\n20,Lamp,on\n40,Lamp,off\n60,Pump,on\n80,Pump,off\n"
    "100,Lamp,on\n120,Lamp,off\n140,Pump,on\n160,Pump,off\n";
constexpr const char* kEquipment =
    "device,kind,states,phases\nLamp,steady,off|on,night\nPump,steady,off|on,night|cruise\n";

json request() {
  return {{"horizontal_uT", 20},   {"vertical_uT", 43},           {"marks_csv", kMarks},
          {"marks_name", "m.csv"}, {"equipment_csv", kEquipment}, {"equipment_name", "e.csv"}};
}

Answer start(const RunningServer& server, const json& body) {
  const std::string id = server.bring(run_log(), "run.csv");
  return ask(server.port(), "POST", "/api/recordings/" + id + "/disturbances", body.dump());
}

std::string done(const RunningServer& server, const json& body = request()) {
  const Answer started = start(server, body);
  REQUIRE(started.status == 202);
  const std::string id = json::parse(started.body).at("id");
  ask(server.port(), "GET", "/api/disturbances/" + id + "/events");  // ends with the work
  return id;
}

json refused(const Answer& answer, int status = 400) {
  CHECK(answer.status == status);
  const json error = json::parse(answer.body);
  for (const char* part : {"what", "where", "expected", "remedy"}) {
    CHECK_FALSE(error.at(part).get<std::string>().empty());
  }
  return error;
}

}  // namespace

TEST_CASE("A run is analysed and its document, sheets and marks are given", "[server][synthetic]") {
  const RunningServer server;
  const std::string run = "/api/disturbances/" + done(server);
  const Answer answer = ask(server.port(), "GET", run);
  REQUIRE(answer.status == 200);
  const json document = json::parse(answer.body);
  CHECK(document.at("schema") == "quietnorth/disturbance/1");
  CHECK(document.at("recording").at("file") == "run.csv");
  CHECK(document.at("marks").at("file") == "m.csv");
  CHECK(document.at("equipment").at("file") == "e.csv");
  // 1 uT across H = 20 uT is asin(1/20) = 2.87 degrees.
  CHECK(document.at("devices")[0].at("name") == "Lamp");
  CHECK(document.at("devices")[0].at("states")[0].at("worst_heading_error_deg").get<double>() ==
        Approx(2.87).margin(0.1));
  CHECK(ask(server.port(), "GET", run + "/sheet.pdf").body.substr(0, 5) == "%PDF-");
  CHECK(ask(server.port(), "GET", run + "/sheet.svg?paper=letter").status == 200);
  CHECK(ask(server.port(), "GET", run + "/marks.csv").body.find("\n20,Lamp,on") !=
        std::string::npos);
  const json marks = json::parse(ask(server.port(), "GET", run + "/marks").body).at("marks");
  CHECK(marks.size() == 8);
  CHECK(
      marks[2] ==
      json{{"index", 2}, {"device", "Pump"}, {"state", "on"}, {"time_s", 60.0}, {"given_s", 60.0}});
}

TEST_CASE("A fit and a run are not taken for one another", "[server]") {
  const RunningServer server;
  const std::string id = done(server);
  refused(ask(server.port(), "GET", "/api/fits/" + id), 404);
  refused(ask(server.port(), "DELETE", "/api/fits/" + id), 404);
  refused(ask(server.port(), "GET", "/api/fits/" + id + "/sheet.pdf"), 404);
  refused(ask(server.port(), "PUT", "/api/disturbances/" + id + "/marks", "{}"), 405);
}

TEST_CASE("A moved mark changes the answer, and is back when it is not sent",
          "[server][synthetic]") {
  const RunningServer server;
  json wrong = request();  // the lamp's first visit is marked 19 s away from where it was
  wrong["marks_csv"] =
      "time_s,device,state\n1,Lamp,on\n15,Lamp,off\n60,Pump,on\n80,Pump,off\n"
      "100,Lamp,on\n120,Lamp,off\n140,Pump,on\n160,Pump,off\n";
  const std::string run = "/api/disturbances/" + done(server, wrong);
  const std::string before = ask(server.port(), "GET", run).body;
  const Answer moved = ask(server.port(), "POST", run + "/marks",
                           R"({"moved":[{"index":0,"time_s":20},{"index":1,"time_s":40}]})");
  REQUIRE(moved.status == 200);
  const json right = json::parse(moved.body);
  CHECK(right.at("devices")[0].at("states")[0].at("worst_heading_error_deg").get<double>() ==
        Approx(2.87).margin(0.1));
  CHECK(right.at("devices")[0].at("repeats") == 2);
  // The latest answer stands in the place of the first, also for what is saved.
  CHECK(ask(server.port(), "GET", run).body == moved.body);
  CHECK(ask(server.port(), "GET", run + "/marks.csv").body.find("\n20,Lamp,on\n40,Lamp,off") !=
        std::string::npos);
  const Answer back = ask(server.port(), "POST", run + "/marks", R"({"moved":[]})");
  CHECK(back.body == before);
}

TEST_CASE("Marks that cannot be moved so are refused and nothing changes", "[server]") {
  const RunningServer server;
  const std::string run = "/api/disturbances/" + done(server);
  const std::string before = ask(server.port(), "GET", run).body;
  for (const char* body :
       {R"({"moved":[{"index":8,"time_s":1}]})", R"({"moved":[{"index":-1,"time_s":1}]})",
        R"({"moved":[{"index":0,"time_s":"1"}]})", R"({"moved":[{"index":0}]})",
        R"({"moved":[{"index":0,"time_s":1},{"index":0,"time_s":2}]})", R"({"moved":7})",
        R"({"marks":[]})", "no json"}) {
    CAPTURE(body);
    CHECK(refused(ask(server.port(), "POST", run + "/marks", body))
              .at("where")
              .get<std::string>()
              .find("request, key") == 0);
  }
  CHECK(ask(server.port(), "GET", run).body == before);
}

TEST_CASE("What if is the vector sum of what is on", "[server][closed-form]") {
  const RunningServer server;
  const std::string run = "/api/disturbances/" + done(server);
  const json document = json::parse(ask(server.port(), "GET", run).body);
  const auto field = [&](const std::string& name) {
    for (const json& device : document.at("devices")) {
      if (device.at("name") == name) return device.at("states")[0].at("field_uT");
    }
    return json{};
  };
  const auto what_if = [&](const json& on) {
    return ask(server.port(), "POST", run + "/what-if", json{{"on", on}}.dump());
  };
  const json both = json::parse(what_if({"Lamp", "Pump"}).body);
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(both.at("field_uT")[i].get<double>() ==
          Approx(field("Lamp")[i].get<double>() + field("Pump")[i].get<double>()).margin(1e-9));
  }
  const double horizontal =
      std::hypot(both.at("field_uT")[0].get<double>(), both.at("field_uT")[1].get<double>());
  CHECK(both.at("worst_heading_error_deg").get<double>() ==
        Approx(std::asin(horizontal / 20.0) * 180.0 / std::acos(-1.0)).margin(1e-6));
  CHECK(both.at("curve").size() == 72);
  const json none = json::parse(what_if(json::array()).body);
  CHECK(none.at("worst_heading_error_deg") == 0.0);
  CHECK(none.at("verdict").at("state") == "within");
  CHECK(refused(what_if({"Toaster"})).at("what") == "this run has no device 'Toaster'");
  refused(what_if({"Lamp", "Lamp"}));
  refused(ask(server.port(), "GET", run + "/what-if"), 405);
}

TEST_CASE("What a run refuses is said in the command's own words", "[server]") {
  const RunningServer server;
  const auto refusal = [&](const std::string& key, const json& value) {
    json body = request();
    body[key] = value;
    const Answer started = start(server, body);
    if (started.status != 202) return refused(started);
    const std::string id = json::parse(started.body).at("id");
    ask(server.port(), "GET", "/api/disturbances/" + id + "/events");
    return refused(ask(server.port(), "GET", "/api/disturbances/" + id));
  };
  CHECK(refusal("marks_csv", "").at("where") == "request, key 'marks_csv'");
  CHECK(refusal("rigid", "yes").at("expected") == "true or false");
  CHECK(refusal("colour", "red").at("where") == "request, key 'colour'");
  CHECK(refusal("marks_csv", "time_s,device,state\n20,Toaster,on\n").at("where") ==
        "m.csv, line 2");
  CHECK(refusal("marks_csv", "time_s,device\n20,Lamp\n")
            .at("where")
            .get<std::string>()
            .find("m.csv") == 0);
  CHECK(refusal("equipment_csv", "device,kind\nLamp,magic\n")
            .at("where")
            .get<std::string>()
            .find("e.csv, line 2") == 0);
  CHECK(refusal("aircraft_heading_deg", 400).at("where") == "option --aircraft-heading");
  CHECK(refusal("limit_deg", -1).at("where") == "option --limit-deg");
}

TEST_CASE("A run that is not known, or of a recording that is not, is said", "[server]") {
  const RunningServer server;
  refused(ask(server.port(), "GET", "/api/disturbances/none"), 404);
  refused(ask(server.port(), "POST", "/api/disturbances/none/marks", R"({"moved":[]})"), 404);
  refused(ask(server.port(), "POST", "/api/disturbances/none/what-if", R"({"on":[]})"), 404);
  refused(ask(server.port(), "GET", "/api/disturbances/none/marks.csv"), 404);
  refused(ask(server.port(), "GET", "/api/disturbances/none/sheet.pdf"), 404);
  refused(ask(server.port(), "POST", "/api/recordings/none/disturbances", request().dump()), 404);
}
