// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <chrono>
#include <nlohmann/json.hpp>
#include <thread>

#include "app/codec_swing.h"
#include "app/live_run.h"
#include "app/run_session.h"
#include "support/temporary_folder.h"

using namespace qn;

namespace {

std::string plain_book(const test::TemporaryFolder& folder) {
  const std::string path = folder.path("a.qnbook");
  REQUIRE(Book::create(path, {"Brindle", "2026-05-14T08:00:00Z", ""}));
  return path;
}

RunSessionRequest swing(const std::string& path) {
  RunSessionRequest request;
  request.run.book_path = path;
  request.run.setup.procedure = RunSetup::Procedure::swing;
  REQUIRE(add_swing_compass("standby:10", request.run.setup.swing));
  REQUIRE(add_swing_compass("remote:3", request.run.setup.swing));
  request.run.links.typed_from_program = true;
  return request;
}

RunSessionRequest swing_rehearsal(const std::string& path) {
  RunSessionRequest request = swing(path);
  request.rehearsal = RehearsalRequest{5, 100.0, true, {}};
  return request;
}

/// What somebody answers who taps at once and reads `shown`; its keys are never the same.
void answer_next(LiveRun& run, unsigned& said, const std::function<double(double)>& shown) {
  const RunView view = run.view();
  RunAnswer answer{"answer-" + std::to_string(++said), run::EventKind::tap, {}, {}, {}, {}};
  if (view.prompt.number) {
    answer.kind = run::EventKind::reading;
    answer.device = view.prompt.number->device;
    answer.state = view.prompt.number->state;
    answer.number = shown(std::stod(answer.state));
  } else {
    answer.kind = view.prompt.main->kind;
    answer.device = view.prompt.main->device;
    answer.state = view.prompt.main->state;
  }
  const auto taken = run.answer(answer);
  INFO((taken ? "" : to_text(taken.error())));
  REQUIRE(taken);
}

}  // namespace

TEST_CASE("a swing is led to its end, and the answer is that of the stations kept, byte for byte",
          "[app][synthetic]") {
  const test::TemporaryFolder folder;
  const std::string path = plain_book(folder);
  auto session = RunSession::open(swing_rehearsal(path));
  INFO((session ? "" : to_text(session.error())));
  REQUIRE(session);
  LiveRun& run = session.value()->live();
  const auto ran = run.run();
  INFO((ran ? "" : to_text(ran.error())));
  REQUIRE(ran);
  const auto answered = run.answered();
  REQUIRE(answered);
  REQUIRE(answered->swing);
  CHECK(answered->swing->swing.compasses.size() == 2);
  const std::string truth = session.value()->truth_text();
  INFO(truth);
  CHECK(truth.find("2 of 2 bands hold the truth.") != std::string::npos);
  CHECK(truth.find("Misread: standby on ") != std::string::npos);
  const RunFiles files = *run.files();
  INFO(files.marks_csv);
  CHECK(files.marks_csv.find("# read again on ") == 0);

  SwingSolveRequest request = swing_request_of(run.setup(), {});
  request.swing.limits = run.setup().swing.request.limits;
  request.swing.stations_path = folder.write(files.marks_name, files.marks_csv);
  const auto offline = solve_swing_file(request);
  INFO((offline ? "" : to_text(offline.error())));
  REQUIRE(offline);
  CHECK(to_json(offline.value()) == answered->json);
  const std::string live_json = answered->json + "\n";
  const std::string stations = files.marks_csv;
  session.value().reset();

  const auto book = Book::open(path);
  REQUIRE(book);
  CHECK(book.value().check().value().empty());
  const auto findings = book.value().findings().value();
  REQUIRE(findings.size() == 1);
  CHECK(findings[0].finding.command == "swing solve");
  CHECK(findings[0].finding.result == live_json);
  CHECK(findings[0].finding.run.has_value());
  REQUIRE(findings[0].finding.inputs.size() == 1);
  CHECK(book.value().content(findings[0].finding.inputs[0].sha256).value() == stations);
  CHECK(book.value().runs().value()[0].ended_s.has_value());
}

TEST_CASE("a swing that was left goes on at its question, with what was read", "[app][synthetic]") {
  const test::TemporaryFolder folder;
  const std::string path = plain_book(folder);
  const auto shown = [](double station_deg) { return station_deg; };
  unsigned said = 0;
  {
    auto session = RunSession::open(swing(path));
    REQUIRE(session);
    LiveRun& run = session.value()->live();
    for (int i = 0; i < 6; ++i)
      answer_next(run, said, shown);  // caution, then tap and two readings
    CHECK(run.view().swing->compasses.size() == 2);
    // Two answers with one key are one; a number that no compass shows is refused.
    RunAnswer twice{
        "answer-of-the-same-key", run::EventKind::reading, {}, "standby", "000 cw", 4.0};
    REQUIRE(run.answer(twice));
    twice.number = 5.0;
    REQUIRE(run.answer(twice));
    CHECK(run.view().swing->compasses[0].readings[0].indicated_deg == 4.0);
    twice.key = "answer-of-another-key";
    twice.number = 361.0;
    CHECK(run.answer(twice).error().where == "answer, number");
    twice.number.reset();
    CHECK_FALSE(run.answer(twice));
  }
  RunSessionRequest further = swing(path);
  further.run.go_on = true;
  auto session = RunSession::open(further);
  INFO((session ? "" : to_text(session.error())));
  REQUIRE(session);
  LiveRun& run = session.value()->live();
  CHECK(run.view().prompt.number->device == "remote");
  CHECK(run.view().prompt.number->state == "045 cw");
  CHECK(run.view().swing->compasses[0].readings[0].indicated_deg == 4.0);
  std::thread running{[&] { static_cast<void>(run.run()); }};
  for (int i = 0; i < 4; ++i) answer_next(run, said, shown);
  // Stopped: the answer is of what was read until then.
  REQUIRE(run.answer({"the-last-answer", run::EventKind::stop, {}, {}, {}, {}}));
  running.join();
  REQUIRE(run.answered());
  CHECK(run.answered()->swing->source.readings == 6);
  CHECK_FALSE(run.answered()->all_within);
}

TEST_CASE("the compass on a link is read by the program, the other is typed", "[app][synthetic]") {
  const test::TemporaryFolder folder;
  RunSessionRequest request = swing(plain_book(folder));
  SwingRunSetup& setup = request.run.setup.swing;
  setup.from_link = "remote";
  CHECK(RunSession::open(request).error().where == "options --link and --from-link");
  // Lines of a file, played as if they came now: a heading of 12.5 a few times a second.
  std::string lines = "time_s,heading_deg\n";
  for (int i = 0; i < 600; ++i) {
    lines += std::to_string(0.2 * i) + (i % 2 == 0 ? ",12.4\n" : ",12.6\n");
  }
  LinkRequest link{"replay:" + folder.write("heading.csv", lines) + "@10", {}};
  link.decoder.kind = DecoderKind::lines;
  request.run.setup.links = {link};
  setup.hold_s = 1.0;
  auto session = RunSession::open(request);
  INFO((session ? "" : to_text(session.error())));
  REQUIRE(session);
  LiveRun& run = session.value()->live();
  std::thread running{[&] { static_cast<void>(run.run()); }};
  unsigned said = 0;
  answer_next(run, said, {});  // the caution
  answer_next(run, said, {});  // it stands
  RunAnswer typed{"the-standby-typed", run::EventKind::reading, {}, "standby", "000 cw", 13.0};
  REQUIRE(run.answer(typed));
  for (int i = 0; i < 1500 && run.view().prompt.step < 2 && !run.view().answer; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  const RunView view = run.view();
  run.leave();
  running.join();
  REQUIRE(view.swing);
  REQUIRE(view.swing->compasses.size() == 2);
  CHECK(view.swing->compasses[1].name == "remote");
  CHECK(view.swing->compasses[1].readings[0].indicated_deg == Approx(12.5).margin(0.06));
}

TEST_CASE("what a page needs of a swing is in its view", "[app][closed-form]") {
  const test::TemporaryFolder folder;
  RunSessionRequest request = swing(plain_book(folder));
  request.run.setup.swing.compasses = {"standby"};
  request.run.setup.swing.request.limits = {"standby=10"};
  auto session = RunSession::open(request);
  REQUIRE(session);
  LiveRun& run = session.value()->live();
  unsigned said = 0;
  bool misread = false;
  const auto shown = [&](double station_deg) {
    if (station_deg != 270.0 || misread) return station_deg;
    misread = true;
    return station_deg + 10.0;
  };
  for (int i = 0; i < 15; ++i) answer_next(run, said, shown);
  REQUIRE(misread);
  const auto json = nlohmann::json::parse(to_json(run.view(), true));
  CHECK(json.at("procedure") == "swing");
  CHECK(json.at("number").at("again") == true);
  CHECK(json.at("number").at("state") == "270 cw");
  CHECK(json.at("sentence") ==
        "280 does not fit the others. Read the standby on 270 again before you turn.");
  CHECK(json.at("second").at("label") == "280 is right");
  const auto& compass = json.at("swing").at("compasses").at(0);
  CHECK(compass.at("readings").size() == 7);
  CHECK(compass.at("readings").at(6).at("doubtful") == true);
  CHECK(compass.at("readings").at(1).at("doubtful") == false);
  CHECK(compass.at("curve").size() == 36);
  CHECK(compass.at("limit_deg") == 10.0);
  // Seven readings for five coefficients: at most its neighbour could be the wrong one instead.
  CHECK(compass.at("doubts").size() >= 1);
  CHECK(compass.at("doubts").size() <= 2);
  // The figure that would fit is nowhere: it would be agreed with.
  CHECK(json.dump().find("foretell") == std::string::npos);
}
