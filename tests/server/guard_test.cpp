// SPDX-License-Identifier: Apache-2.0
// What the server refuses, each case by a request that a browser or a stranger could send.
#include <catch2/catch.hpp>
#include <string>

#include "server/running_server.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

void check_is_error(const Answer& answer, int status) {
  CHECK(answer.status == status);
  const json error = json::parse(answer.body);
  for (const char* part : {"what", "where", "expected", "remedy"}) {
    CHECK_FALSE(error.at(part).get<std::string>().empty());
  }
}

}  // namespace

TEST_CASE("Only this machine's own names for the server are answered", "[server]") {
  const RunningServer server;
  const std::string port = std::to_string(server.port());
  CHECK(ask(server.port(), "GET", "/", "", "", "127.0.0.1:" + port).status == 200);
  CHECK(ask(server.port(), "GET", "/", "", "", "localhost:" + port).status == 200);
  for (const char* host : {"example.org", "127.0.0.1", "127.0.0.1:1", "localhost.example.org:80"}) {
    check_is_error(ask(server.port(), "GET", "/api/about", "", "", host), 403);
  }
}

TEST_CASE("A request from another page cannot change anything", "[server]") {
  const RunningServer server;
  const std::string own = "http://127.0.0.1:" + std::to_string(server.port());
  const auto post = [&](const std::string& headers) {
    return ask(server.port(), "POST", "/api/recordings", RunningServer::kSmallLog, headers);
  };
  CHECK(post("Origin: " + own + "\r\n").status == 201);
  CHECK(post("").status == 201);  // a tool on this machine, which sends none
  check_is_error(post("Origin: http://example.org\r\n"), 403);
  check_is_error(post("Origin: null\r\n"), 403);
  check_is_error(post("Origin: http://127.0.0.1:1\r\n"), 403);
  check_is_error(post("Sec-Fetch-Site: cross-site\r\n"), 403);
  check_is_error(ask(server.port(), "DELETE", "/api/fits/x", "", "Origin: http://example.org\r\n"),
                 403);
}

TEST_CASE("A header beyond 8 KB is cut off", "[server]") {
  const RunningServer server;
  CHECK(ask(server.port(), "GET", "/api/about", "", "X-A: " + std::string(7000, 'a') + "\r\n")
            .status == 200);
  check_is_error(
      ask(server.port(), "GET", "/api/about", "", "X-A: " + std::string(9000, 'a') + "\r\n"), 431);
  check_is_error(ask(server.port(), "GET", "/" + std::string(9000, 'a')), 431);
}

TEST_CASE("What is no HTTP gets a plain refusal", "[server]") {
  const RunningServer server;
  RawClient client{server.port()};
  client.send("good evening\r\n\r\n");
  check_is_error(parted(client.read_to_end()), 400);
}

TEST_CASE("A slow header is not waited for", "[server]") {
  ServeOptions options;
  options.header_deadline = Duration::seconds(0.3);
  const RunningServer server{options};
  RawClient client{server.port()};
  client.send("GET / HTT");
  client.read_to_end(5.0);
  CHECK(client.closed());
}

TEST_CASE("A recording beyond the limit is refused, said or not said beforehand", "[server]") {
  ServeOptions options;
  options.upload_limit_bytes = 2000;
  const RunningServer server{options};
  const std::string large(3000, '#');
  check_is_error(ask(server.port(), "POST", "/api/recordings", large), 413);
  RawClient client{server.port()};  // in chunks, whose sum nobody has announced
  client.send("POST /api/recordings HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(server.port()) +
              "\r\nTransfer-Encoding: chunked\r\n\r\n");
  for (int i = 0; i < 3; ++i) client.send("3e8\r\n" + std::string(1000, '#') + "\r\n");
  check_is_error(parted(client.read_until("remedy")), 413);
  check_is_error(ask(server.port(), "POST", "/api/recordings/x/fits", std::string(5'000'000, ' ')),
                 413);
}

TEST_CASE("A client that asks before it sends is answered", "[server]") {
  const RunningServer server;
  const std::string csv = RunningServer::kSmallLog;
  RawClient client{server.port()};
  client.send("POST /api/recordings HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(server.port()) +
              "\r\nConnection: close\r\nExpect: 100-continue\r\nContent-Length: " +
              std::to_string(csv.size()) + "\r\n\r\n");
  CHECK(client.read_until("100 Continue\r\n\r\n").find("100 Continue") != std::string::npos);
  client.send(csv);
  CHECK(client.read_to_end().find("201 Created") != std::string::npos);
}

TEST_CASE("Nothing unknown is found", "[server]") {
  const RunningServer server;
  for (const char* target :
       {"/api/fits/none", "/api/fits/none/events", "/api/fits/none/sheet.pdf",
        "/api/recordings/none/series", "/api/nothing", "/nothing.js", "/../etc/passwd"}) {
    CAPTURE(target);
    check_is_error(ask(server.port(), "GET", target), 404);
  }
  check_is_error(ask(server.port(), "DELETE", "/api/fits/none"), 404);
  check_is_error(ask(server.port(), "POST", "/api/recordings/none/fits", "{}"), 404);
  check_is_error(ask(server.port(), "PUT", "/api/recordings"), 405);
}

TEST_CASE("Every answer says what the page may load", "[server]") {
  const RunningServer server;
  for (const char* target : {"/", "/app.js", "/app.css", "/api/about", "/api/nothing"}) {
    const Answer answer = ask(server.port(), "GET", target);
    CAPTURE(target);
    CHECK(answer.head.find("Content-Security-Policy: default-src 'self'") != std::string::npos);
    CHECK(answer.head.find("X-Content-Type-Options: nosniff") != std::string::npos);
  }
}
