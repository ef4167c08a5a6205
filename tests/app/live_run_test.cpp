// SPDX-License-Identifier: Apache-2.0
#include "app/live_run.h"

#include <catch2/catch.hpp>
#include <chrono>
#include <thread>

#include "app/codec_disturbance.h"
#include "app/codec_equipment.h"
#include "app/run_session.h"
#include "support/temporary_folder.h"

using namespace qn;

namespace {

constexpr const char* kEquipment =
    "device,kind,current_A,states,caution\n"
    "Lamp,steady,5,off|on,\n"
    "Fan,motor,3,off|on,People clear of the fan\n";

std::string book_with_equipment(const test::TemporaryFolder& folder) {
  const std::string path = folder.path("a.qnbook");
  auto book = Book::create(path, {"Brindle", "2026-05-14T08:00:00Z", ""});
  REQUIRE(book);
  REQUIRE(book.value().set_equipment(parse_equipment(kEquipment, "list").value()));
  return path;
}

RunSessionRequest rehearsal(const std::string& path) {
  RunSessionRequest request;
  request.run.book_path = path;
  request.run.setup.noise_uT = 0.05;
  request.rehearsal = RehearsalRequest{5, 100.0, true, {}};
  return request;
}

/// Leaves the run once it has come that far.
void leave_at_step(LiveRun& run, std::size_t step) {
  while (run.view().prompt.step < step && !run.view().answer) {
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  run.leave();
}

}  // namespace

TEST_CASE("a run is led to its end, and the answer is that of the same files offline",
          "[app][synthetic]") {
  const test::TemporaryFolder folder;
  const std::string path = book_with_equipment(folder);
  auto session = RunSession::open(rehearsal(path));
  REQUIRE(session);
  LiveRun& run = session.value()->live();
  const auto ran = run.run();
  INFO((ran ? "" : to_text(ran.error())));
  REQUIRE(ran);
  REQUIRE(run.answered());
  CHECK(run.view().answer->state == RunAnswerNews::State::done);
  INFO(session.value()->truth_text());
  CHECK(session.value()->truth_text().find("(misses it)") == std::string::npos);

  // Offline, from what the book keeps, to the last digit.
  const RunFiles files = *run.files();
  DisturbanceRequest request = run.setup().analysis;
  request.log_path = folder.write(files.log_name, files.log_csv);
  request.marks_path = folder.write(files.marks_name, files.marks_csv);
  request.equipment_path = folder.write(files.equipment_name, files.equipment_csv);
  const auto offline = analyse_disturbance_log(request);
  REQUIRE(offline);
  CHECK(to_json(offline.value()) == run.answered()->json);
  const std::string live_json = run.answered()->json + "\n";
  session.value().reset();

  const auto book = Book::open(path);
  REQUIRE(book);
  CHECK(book.value().check().value().empty());
  const auto findings = book.value().findings().value();
  REQUIRE(findings.size() == 1);
  CHECK(findings[0].finding.result == live_json);
  CHECK(findings[0].finding.run.has_value());
  CHECK(book.value().runs().value()[0].ended_s.has_value());
  CHECK(book.value().recordings().value()[0].ended_s.has_value());
}

TEST_CASE("a run that was left goes on at its step, in the same recording", "[app][synthetic]") {
  const test::TemporaryFolder folder;
  const std::string path = book_with_equipment(folder);
  std::size_t step = 0;
  double left_s = 0.0;
  {
    auto session = RunSession::open(rehearsal(path));
    REQUIRE(session);
    LiveRun& run = session.value()->live();
    std::thread leaving{[&] { leave_at_step(run, 3); }};
    REQUIRE(run.run());
    leaving.join();
    CHECK_FALSE(run.answered());
    step = run.view().prompt.step;
    left_s = run.view().kept_until_s;
  }
  RunSessionRequest further = rehearsal(path);
  further.run.go_on = true;
  auto session = RunSession::open(further);
  REQUIRE(session);
  LiveRun& run = session.value()->live();
  CHECK(run.view().prompt.step == step);
  CHECK(run.now_s() > left_s);
  REQUIRE(run.run());
  REQUIRE(run.answered());
  session.value().reset();
  const auto book = Book::open(path);
  REQUIRE(book);
  CHECK(book.value().runs().value().size() == 1);
  CHECK(book.value().recordings().value().size() == 1);
  CHECK(book.value().check().value().empty());
}

TEST_CASE("a turning is led in the same way, and ends in a sensor fit", "[app][synthetic]") {
  const test::TemporaryFolder folder;
  RunSessionRequest request = rehearsal(book_with_equipment(folder));
  request.run.setup.procedure = RunSetup::Procedure::sensor;
  request.run.setup.stations_deg = even_run_stations_deg(8);
  auto session = RunSession::open(request);
  REQUIRE(session);
  LiveRun& run = session.value()->live();
  const auto ran = run.run();
  INFO((ran ? "" : to_text(ran.error())));
  REQUIRE(ran);
  const auto answered = run.answered();
  REQUIRE(answered);
  REQUIRE(answered->fit);
  REQUIRE(answered->fit->fit.correction);
  CHECK(run.view().answer->verdict == answered->verdict);
  CHECK(run.files()->marks_csv == "station_deg\n0\n45\n90\n135\n180\n225\n270\n315\n");
  // What was put there: 2.4, -1.7 uT. Slopes are not known, so that it is found to half a uT.
  CHECK(answered->fit->fit.correction->offset_uT[0] == Approx(2.4).margin(1.0));
  CHECK(answered->fit->fit.correction->offset_uT[1] == Approx(-1.7).margin(1.0));
}

TEST_CASE("the same answer twice counts once, and stop is obeyed at once", "[app][synthetic]") {
  const test::TemporaryFolder folder;
  RunSessionRequest request = rehearsal(book_with_equipment(folder));
  request.rehearsal->answers = false;
  auto session = RunSession::open(request);
  REQUIRE(session);
  LiveRun& run = session.value()->live();
  std::thread running{[&] { static_cast<void>(run.run()); }};
  const RunAnswer read{"key-of-the-caution", run::EventKind::acknowledge, {}, {}, {}};
  const auto first = run.answer(read);
  REQUIRE(first);
  CHECK(first.value().phase == run::State::Phase::first_rest);
  REQUIRE(run.answer(read));
  CHECK(run.view().phase == run::State::Phase::first_rest);
  CHECK_FALSE(run.answer({std::string(65, 'k'), run::EventKind::tap, {}, {}, {}}));
  CHECK_FALSE(run.answer({"key-of-a-tap", run::EventKind::tap, std::nan(""), {}, {}}));
  const auto stopped = run.answer({"key-of-the-stop", run::EventKind::stop, {}, {}, {}});
  REQUIRE(stopped);
  CHECK(stopped.value().phase == run::State::Phase::over);
  CHECK(stopped.value().stopped);
  running.join();
  // Nothing was worked: that is said, and nothing is lost.
  REQUIRE(run.view().answer);
  CHECK(run.view().answer->state == RunAnswerNews::State::failed);
}

TEST_CASE("links that bring no field are told of, instead of a rest without end",
          "[app][synthetic]") {
  const test::TemporaryFolder folder;
  std::string log = "time_s,heading_deg\n";
  for (int i = 0; i < 400; ++i) log += std::to_string(0.1 * i) + ",12.5\n";
  LiveRunRequest request;
  request.book_path = book_with_equipment(folder);
  request.setup.analysis.horizontal_uT = 20.0;
  request.setup.analysis.vertical_uT = 43.0;
  request.setup.links = {{"replay:" + folder.write("log.csv", log) + "@20", {}}};
  auto run = LiveRun::open(request);
  REQUIRE(run);
  REQUIRE(run.value()->run());  // to the end of the log
  REQUIRE(run.value()->view().links.size() == 1);
  const std::vector<std::string> wrong = run.value()->view().links[0].wrong;
  REQUIRE_FALSE(wrong.empty());
  CHECK(wrong[0].find("No magnetic field") == 0);
}

TEST_CASE("what cannot be begun is refused with the reason", "[app][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string path = folder.path("empty.qnbook");
  REQUIRE(Book::create(path, {"Brindle", "2026-05-14T08:00:00Z", ""}));
  LiveRunRequest request;
  request.book_path = path;
  CHECK(LiveRun::open(request).error().what.find("equipment") != std::string::npos);
  request.go_on = true;
  CHECK(LiveRun::open(request).error().what.find("unfinished") != std::string::npos);
  request.book_path = folder.path("none.qnbook");
  CHECK_FALSE(LiveRun::open(request));
  request.go_on = false;
  request.book_path = book_with_equipment(folder);
  request.setup.links = {{"stdin", {}}};
  CHECK(LiveRun::open(request).error().what.find("Earth's field") != std::string::npos);
  CHECK(Book::open(request.book_path).value().runs().value().empty());
  RunSessionRequest both = rehearsal(request.book_path);
  both.run.setup.links = {{"stdin", {}}};
  CHECK(RunSession::open(both).error().where.find("--link") != std::string::npos);
  both.run.setup.links.clear();
  both.rehearsal->absent = {"Rotor"};
  CHECK(RunSession::open(both).error().where.find("--absent") != std::string::npos);
}
