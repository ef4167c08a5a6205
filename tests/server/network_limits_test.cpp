// SPDX-License-Identifier: Apache-2.0
// What the network may take up of this machine, and streams over it.
#include <catch2/catch.hpp>
#include <chrono>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>
#include <vector>

#include "server/lan_server.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point begin) {
  return std::chrono::duration<double>(Clock::now() - begin).count();
}

ServeOptions with_fit(std::function<Result<FitDocument>(const FitRequest&, const Progress&)> fit) {
  ServeOptions options;
  options.uses.fit = std::move(fit);
  return options;
}

// Work that begins and goes on until the server is asked to end.
ServeOptions with_endless_fit() {
  return with_fit([](const FitRequest&, const Progress& progress) -> Result<FitDocument> {
    while (progress("working", 0.5)) std::this_thread::sleep_for(std::chrono::milliseconds(20));
    return Error{ErrorKind::Io, "stopped", "fit", "to end", "again"};
  });
}

std::string events_request(const LanServer& lan, const std::string& device,
                           const std::string& fit) {
  return lan.request("GET", "/api/fits/" + fit + "/events", "", device);
}

}  // namespace

TEST_CASE("Revoking a device ends its open streams at once, and no other's", "[server]") {
  LanServer lan{with_endless_fit()};
  const std::string sent_away = lan.paired(), stays = lan.paired("look_on");
  const std::string fit = lan.host().start_fit();
  TlsClient first{lan.port()}, second{lan.port()};
  first.send(events_request(lan, sent_away, fit));
  second.send(events_request(lan, stays, fit));
  first.read_until("event: progress");
  const std::size_t so_far = second.read_until("event: progress").size();
  const auto begin = Clock::now();
  const std::string id = lan.pairing().at("paired")[0].at("id");
  CHECK(ask(lan.host_port(), "DELETE", "/api/pairing/" + id).status == 200);
  first.read_to_end(5.0);
  CHECK(first.closed());
  CHECK(seconds_since(begin) <
        2.0);  // far below any deadline (15 s), above a busy machine's pauses
  second.read_until("never said", 0.3);
  CHECK_FALSE(second.closed());
  CHECK(second.read_until("never said", 0.1).size() > so_far);
}

TEST_CASE("A stream ends with a word when the server stops, as TLS wants it", "[server]") {
  LanServer lan{with_endless_fit()};
  const std::string device = lan.paired(), fit = lan.host().start_fit();
  TlsClient reader{lan.port()};
  reader.send(events_request(lan, device, fit));
  reader.read_until("event: progress");
  std::thread ends{[&] { lan.host().end(); }};
  const std::string all = reader.read_to_end(5.0);
  ends.join();
  CHECK(all.ends_with("event: end\ndata: {}\n\n"));
  CHECK(reader.said_goodbye());
}

TEST_CASE("A silent stream says that it is alive", "[server]") {
  Gate never;
  ServeOptions options =
      with_fit([&](const FitRequest&, const Progress& progress) -> Result<FitDocument> {
        progress("begun", 0.5);
        never.pass();
        return FitDocument{};
      });
  options.stream_pulse = Duration::seconds(0.1);
  const LanServer lan{options};
  const std::string device = lan.paired(), fit = lan.host().start_fit();
  TlsClient reader{lan.port()};
  reader.send(events_request(lan, device, fit));
  CHECK(reader.read_until("\n\n:\n\n:\n\n:\n\n", 5.0).find("\n\n:\n\n:\n\n:\n\n") !=
        std::string::npos);
  never.open();
}

TEST_CASE("A reader over TLS that takes nothing is dropped and slows nobody", "[server]") {
  ServeOptions options =
      with_fit([](const FitRequest&, const Progress& progress) -> Result<FitDocument> {
        const std::string long_words(2000, 'w');
        // 4 MB of news when nothing else is going on, far more than both ends' buffers (16 KB asked
        // for each) can hide.
        const auto begin = Clock::now();
        while (seconds_since(begin) < 4.0) {
          if (!progress(long_words, 0.5)) break;
          std::this_thread::sleep_for(std::chrono::milliseconds(2));
        }
        return FitDocument{};
      });
  options.write_deadline = Duration::seconds(2.5);
  const LanServer lan{options};
  const std::string device = lan.paired(), fit = lan.host().start_fit();
  TlsClient stuck{lan.port(), {.receive_buffer = 4096}}, healthy{lan.port()};
  stuck.send(events_request(lan, device, fit));
  healthy.send(events_request(lan, device, fit));
  double longest_s = 0.0;
  std::size_t length = 0;
  auto last = Clock::now();
  while (!healthy.closed()) {
    const std::string& all = healthy.read_until("never said", 0.01);
    if (all.size() == length) continue;
    longest_s = std::max(longest_s, seconds_since(last));
    last = Clock::now();
    length = all.size();
  }
  CHECK(healthy.read_to_end().find("event: done") != std::string::npos);
  CHECK(longest_s < 2.0);   // held up by the stuck one it would be the write deadline, 2.5 s
  CHECK(length > 100'000);  // fifty of up to two thousand: a busy machine gives them less often
  CHECK(stuck.read_to_end(3.0).find("event: done") == std::string::npos);
  CHECK(stuck.closed());
}

TEST_CASE("A slow handshake is not waited for", "[server]") {
  ServeOptions options;
  options.handshake_deadline = Duration::seconds(0.3);
  const LanServer lan{options};
  RawClient silent{lan.port()};
  silent.read_to_end(5.0);
  CHECK(silent.closed());
  RawClient slow{lan.port()};
  slow.send("\x16\x03\x01");  // the first bytes of a handshake, and no more
  slow.read_to_end(5.0);
  CHECK(slow.closed());
}

TEST_CASE("A slow header is not waited for, under TLS either", "[server]") {
  ServeOptions options;
  options.header_deadline = Duration::seconds(0.3);
  const LanServer lan{options};
  TlsClient client{lan.port()};
  client.send("GET / HTT");
  client.read_to_end(5.0);
  CHECK(client.closed());
}

TEST_CASE("Bodies from the network are smaller than the host's", "[server]") {
  LanOptions small;
  small.limits.recording_bytes = 2000;
  const LanServer lan{{}, small};
  const std::string device = lan.paired() + lan.origin_line();
  const auto status = [&](const std::string& target, std::size_t bytes) {
    return lan.ask("POST", target, std::string(bytes, ' '), device).status;
  };
  CHECK(status("/api/recordings", 3000) == 413);
  CHECK(status("/api/run/answers", 65'000) == 413);
  CHECK(status("/api/runs", 65'000) == 413);
  CHECK(status("/api/recordings/x/fits", 65'000) == 404);
  CHECK(status("/api/recordings/x/fits", 4'100'000) == 413);
  CHECK(lan.ask("GET", "/api/about", "x", device + "Content-Length: 1\r\n").status != 200);
  const auto told = [](const Answer& answer) {
    return nlohmann::json::parse(answer.body).at("upload_limit_bytes").get<int>();
  };
  CHECK(told(lan.ask("GET", "/api/about", "", device)) == 2000);
  CHECK(told(ask(lan.host_port(), "GET", "/api/about")) == 2'000'000'000);
  CHECK(ask(lan.host_port(), "POST", "/api/recordings", std::string(3000, '#')).status == 400);
  const Answer header = lan.ask("GET", "/", "", device + "X-A: " + std::string(9000, 'a') + "\r\n");
  CHECK(header.status == 403);  // cut off before it is known whose it is
}

TEST_CASE("An address may ask so often", "[server]") {
  LanOptions slow;
  slow.limits.paired = {0.001, 6.0};
  const LanServer lan{{}, slow};
  const std::string device = lan.paired();
  TlsClient client{lan.port()};  // all on one connection
  for (int i = 0; i < 6; ++i) {
    client.send(lan.request("GET", "/api/about", "", device, "", "keep-alive"));
  }
  client.send(lan.request("GET", "/api/about", "", device));
  const std::string& all = client.read_to_end();
  CHECK(all.find("HTTP/1.1 429") != std::string::npos);
  std::size_t answered = 0;
  for (std::size_t at = all.find(" 200 OK"); at != std::string::npos;
       at = all.find(" 200 OK", at + 1)) {
    ++answered;
  }
  CHECK(answered == 6);
  CHECK(ask(lan.host_port(), "GET", "/api/about").status == 200);  // the host is apart from it
}

TEST_CASE("A stranger may ask so often, and is then told nothing", "[server]") {
  LanOptions slow;
  slow.limits.unpaired = {0.001, 3.0};
  const LanServer lan{{}, slow};
  for (int i = 0; i < 3; ++i) CHECK(lan.ask("GET", "/").status == 200);
  const Answer answer = lan.ask("GET", "/");
  CHECK(answer.status == 429);
  CHECK(answer.body.empty());
}

TEST_CASE("One address has so many connections, and no more", "[server]") {
  LanOptions few;
  few.limits.per_address = 4;
  const LanServer lan{{}, few};
  const std::string device = lan.paired();
  std::vector<std::unique_ptr<TlsClient>> open;
  for (int i = 0; i < 4; ++i) {
    open.push_back(std::make_unique<TlsClient>(lan.port()));
    CHECK(open.back()->agreed());
  }
  CHECK_FALSE(TlsClient{lan.port()}.agreed());
  CHECK(ask(lan.host_port(), "GET", "/api/about").status == 200);
  open.pop_back();
  CHECK(lan.ask("GET", "/api/about", "", device).status == 200);
}

TEST_CASE("New connections from one address come at a pace", "[server]") {
  LanOptions slow;
  slow.limits.opened = {0.001, 3.0};
  slow.limits.unpaired = {50.0, 50.0};
  const LanServer lan{{}, slow};
  for (int i = 0; i < 3; ++i) CHECK(lan.ask("GET", "/").status == 200);
  CHECK_FALSE(TlsClient{lan.port()}.agreed());
}

TEST_CASE("Strangers that hold connections open do not keep out who is paired", "[server]") {
  LanOptions few;
  few.limits.strangers = 3;
  const LanServer lan{{}, few};
  const std::string device = lan.paired();
  std::vector<std::unique_ptr<TlsClient>> strangers;
  for (int i = 0; i < 3; ++i) strangers.push_back(std::make_unique<TlsClient>(lan.port()));
  TlsClient late{lan.port()};
  CHECK(late.send(lan.request("GET", "/api/about", "", device)));
  CHECK(parted(late.read_to_end()).status == 200);
  strangers[0]->read_to_end(2.0);
  CHECK(strangers[0]->closed());  // the oldest made room
  CHECK_FALSE(strangers[2]->closed());
}
