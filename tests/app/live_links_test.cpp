// SPDX-License-Identifier: Apache-2.0
#include "app/live_links.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <thread>
#include <vector>

#include "app/decoded_log.h"
#include "app/record_links.h"
#include "support/temporary_folder.h"

using namespace qn;

namespace {

/// Keeps what it is given, in the order of the calls.
class Notes : public ChunkSink {
 public:
  Result<Done> add_link(const LinkDescription& link) override {
    story += "L" + std::to_string(link.link) + " ";
    return Done{};
  }
  Result<Done> add(const LinkEvent& event) override {
    if (event.kind == LinkEvent::Kind::bytes) bytes += event.text;
    if (fail_after > 0 && --fail_after == 0) {
      return Error{ErrorKind::Io, "the disk is full", "sink", "room", "make room"};
    }
    return Done{};
  }
  Result<Done> flush(double until) override {
    until_s = until;
    return Done{};
  }
  std::string story, bytes;
  double until_s = -1.0;
  int fail_after = 0;
};

std::string field_log(double step_s, int rows) {
  std::string text = "time_s,field_x_uT,field_y_uT,field_z_uT\n";
  for (int i = 0; i < rows; ++i) {
    text += std::to_string(step_s * i) + "," + std::to_string(20.0 + i % 3) + ",-3,43\n";
  }
  return text;
}

}  // namespace

TEST_CASE("several links are one recording: raw bytes to the sink, readings on one time line",
          "[app][synthetic]") {
  const test::TemporaryFolder folder;
  const std::string a = folder.write("a.csv", field_log(0.1, 600));
  const std::string b = folder.write("b.csv", "time_s,heading_deg\n0,10\n30,20\n59,30\n");
  auto live = LiveLinks::open({{"replay:" + a + "@200", {}}, {"replay:" + b + "@200", {}}}, {});
  REQUIRE(live.has_value());
  Notes notes;
  std::vector<double> times[3];
  LiveLinks::Handlers handlers;
  handlers.sink = &notes;
  handlers.on_reading = [&](std::size_t link, const TimedReading& t) {
    times[link].push_back(t.time_s);
  };
  REQUIRE(live.value()->run(handlers).has_value());
  CHECK(notes.story == "L1 L2 ");
  CHECK(notes.bytes.size() == field_log(0.1, 600).size() + 36);
  CHECK(notes.until_s >= 59.9);
  REQUIRE(times[1].size() == 600);
  CHECK(times[1].back() == Approx(59.9).margin(1e-4));
  REQUIRE(times[2].size() == 3);
  CHECK(times[2][1] == Approx(30.0).margin(1e-6));
}

TEST_CASE("a sink that fails ends the run with its error", "[app][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string a = folder.write("a.csv", field_log(0.001, 100));
  auto live = LiveLinks::open({{"replay:" + a, {}}}, {});
  REQUIRE(live.has_value());
  Notes notes;
  notes.fail_after = 10;
  LiveLinks::Handlers handlers;
  handlers.sink = &notes;
  const auto ran = live.value()->run(handlers);
  REQUIRE_FALSE(ran.has_value());
  CHECK(ran.error().what == "the disk is full");
}

TEST_CASE("readings are typed from another thread while it runs, and stop() ends it",
          "[app][synthetic]") {
  LiveLinkOptions options;
  options.typed_from_program = true;
  auto live = LiveLinks::open({{"typed", {}}}, options);
  REQUIRE(live.has_value());
  std::vector<double> headings;
  LiveLinks::Handlers handlers;
  handlers.on_reading = [&](std::size_t, const TimedReading& t) {
    headings.push_back(t.reading.heading_deg);
    if (headings.size() == 3) live.value()->stop();
  };
  std::thread helper{[&] {
    for (const char* line : {"standby 123", "nonsense", "124", "125"}) {
      (void)live.value()->type(line);
    }
  }};
  REQUIRE(live.value()->run(handlers).has_value());
  helper.join();
  CHECK(headings == std::vector<double>{123.0, 124.0, 125.0});
}

TEST_CASE("replayed, a recording gives the same readings at the same times, to the last digit",
          "[app][synthetic]") {
  const test::TemporaryFolder folder;
  const std::string log = folder.write("a.csv", field_log(0.05, 500));
  const std::string first = folder.path("first.qnlink");
  std::vector<double> before, after;
  {
    auto live = LiveLinks::open({{"replay:" + log + "@50", {}}}, {});
    auto sink = file_chunk_sink(first);
    REQUIRE((live && sink));
    LiveLinks::Handlers handlers;
    handlers.sink = sink.value().get();
    handlers.on_reading = [&](std::size_t, const TimedReading& t) { before.push_back(t.time_s); };
    REQUIRE(live.value()->run(handlers).has_value());
  }
  auto live = LiveLinks::open({{"replay:" + first + "@1000", {}}}, {});
  REQUIRE(live.has_value());
  LiveLinks::Handlers handlers;
  handlers.on_reading = [&](std::size_t, const TimedReading& t) { after.push_back(t.time_s); };
  REQUIRE(live.value()->run(handlers).has_value());
  CHECK(before.size() == 500);
  CHECK(before == after);
  const auto decoded = decoded_log(read_link_recording(first).value(), {});
  REQUIRE(decoded.has_value());
  CHECK(decoded.value().rows == 500);
}

TEST_CASE("the decoded log holds what other links said beside the field, while it is fresh",
          "[app][closed-form]") {
  LinkRecording recording;
  recording.links = {
      {1, "a", {DecoderKind::lines, "field_x_uT,field_y_uT,field_z_uT", {}}, false, false},
      {2, "b", {DecoderKind::typed, "", {}}, false, false}};
  const auto add = [&](std::size_t link, double at, const char* text) {
    recording.events.push_back({LinkEvent::Kind::bytes, link, at, text});
  };
  add(1, 1.0, "20,-3,43\n");
  add(2, 1.5, "123\n");
  add(1, 2.0, "21,-3,43\n");
  add(1, 4.0, "22,-3,43\n");
  const auto log = decoded_log(recording, {});
  REQUIRE(log.has_value());
  CHECK(log.value().csv ==
        "time_s,field_x_uT,field_y_uT,field_z_uT,heading_deg\n"
        "1.000000,20,-3,43,\n2.000000,21,-3,43,123\n4.000000,22,-3,43,\n");
  const auto headings = decoded_log(recording, {2});
  REQUIRE(headings.has_value());
  CHECK_FALSE(headings.value().has_field);
  CHECK(headings.value().csv == "time_s,heading_deg\n1.500000,123\n");
  CHECK_FALSE(decoded_log(recording, {3}).has_value());
}
