// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <string>

#include "cli/sensor_files.h"

using namespace qn::test;
using nlohmann::json;

namespace {

std::string new_book(const TemporaryFolder& folder) {
  const std::string list = folder.write("list.csv", "device,kind,states\nLamp,steady,off|on\n");
  const std::string book = folder.path("a.qnbook");
  const auto made = run_program("book new " + book + " --aircraft Brindle --equipment " + list);
  REQUIRE(made.exit_code == 0);
  return book;
}

}  // namespace

TEST_CASE("run leads through a rehearsal, and --check says whether all is within",
          "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string book = new_book(folder);
  const auto run = run_program("run " + book + " --rehearse 4 --auto --speed 100 --json --check");
  INFO(run.err);
  const json answer = json::parse(run.out);
  const bool within = answer.at("devices")[0].at("states")[0].at("verdict").at("state") == "within";
  CHECK(run.exit_code == (within ? 0 : 1));
  CHECK(answer.at("schema") == "quietnorth/disturbance/1");
  CHECK(says(run.err, "Switch on: Lamp."));
  CHECK(says(run.err, "Kept as finding 1"));
  CHECK(says(run.err, "bands hold the truth"));
  const auto shown = json::parse(run_program("book show " + book + " --json").out);
  CHECK(shown.at("findings").size() == 1);
}

TEST_CASE("typed answers count, and what is no answer is said", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string book = new_book(folder);
  const std::string typed = folder.write("typed", "hello\nago 99\n\nstop\n");
  const std::string said = folder.path("said");
  // The program's own redirection of its input comes later on the command line and would win.
  const int status = std::system(
      ("\"" QN_PROGRAM "\" run " + book + " --rehearse 4 < " + typed + " > " + said + " 2>&1")
          .c_str());
  const std::string text = bytes_of(said);
  INFO(text);
  CHECK(WEXITSTATUS(status) == 3);  // stopped before anything was worked: no answer
  CHECK(says(text, "nobody knows this word"));
  CHECK(says(text, "0 to 60 seconds ago"));
  CHECK(says(text, "Stopped. What was recorded is kept."));
}

TEST_CASE("what cannot be run is refused, and no recording is begun", "[cli][closed-form]") {
  const TemporaryFolder folder;
  const std::string book = new_book(folder);
  check_refused(run_program("run " + folder.path("none.qnbook") + " --link stdin"), 3,
                "none.qnbook");
  check_refused(run_program("run " + book + " --link stdin"), 2, "--at");
  const std::string field = " --horizontal-uT 20 --vertical-uT 43";
  check_refused(run_program("run " + book + field), 2, "no link is named");
  check_refused(run_program("run " + book + " --rehearse 1 --speed 1000"), 2, "--speed");
  check_refused(run_program("run " + book + field + " --link stdin --limit-deg -1"), 2, "limit");
  check_refused(run_program("run " + book + " --go-on --link stdin"), 3, "unfinished");
  const auto shown = json::parse(run_program("book show " + book + " --json").out);
  CHECK(shown.at("recordings").empty());
}

TEST_CASE("a swing is rehearsed: a misreading is caught, the truth stands beside the answer",
          "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string book = folder.path("s.qnbook");
  REQUIRE(run_program("book new " + book + " --aircraft Brindle").exit_code == 0);
  const auto run = run_program("run " + book +
                               " --swing 8 --compass standby:10 --compass remote:3 --rehearse 3 "
                               "--auto --speed 100 --json");
  INFO(run.err);
  CHECK(run.exit_code == 0);
  const json answer = json::parse(run.out);
  CHECK(answer.at("schema") == "quietnorth/swing/1");
  CHECK(answer.at("compasses").size() == 2);
  CHECK(says(run.err, "Turn clockwise to 000 and let it stand."));
  CHECK(says(run.err, "does not fit the others"));
  CHECK(says(run.err, "Kept as finding 1"));
  CHECK(says(run.err, "bands hold the truth"));
  CHECK(says(run.err, "Misread: standby on"));
}

TEST_CASE("a swing is typed in the terminal: numbers where numbers are asked", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string book = folder.path("s.qnbook");
  REQUIRE(run_program("book new " + book + " --aircraft Brindle").exit_code == 0);
  std::string lines = "\n";  // the caution
  for (const int station : {0, 45, 135, 180}) {
    lines += "\n" + std::to_string(station + 2) + "\n";  // it stands, it shows
    if (station == 45) lines += "none\n";                // a puddle on 090
  }
  lines += "\n400\nstandby 227\nstop\n";
  const std::string typed = folder.write("typed", lines);
  const std::string said = folder.path("said"), out = folder.path("out");
  const int status =
      std::system(("\"" QN_PROGRAM "\" run " + book + " --swing 8 --compass standby --json < " +
                   typed + " > " + out + " 2> " + said)
                      .c_str());
  const std::string text = bytes_of(said);
  INFO(text);
  CHECK(WEXITSTATUS(status) == 0);
  CHECK(says(text, "What does the standby show on 045?"));
  CHECK(says(text, "a compass cannot show 400"));
  const json answer = json::parse(bytes_of(out));
  CHECK(answer.at("compasses").at(0).at("residuals_deg").size() == 5);
  CHECK(says(text, "none   This mark cannot be used"));
  CHECK(says(answer.at("how_read").dump(), "Nothing was read on 090: that mark is left out."));
  CHECK(answer.at("stations").at("left_out_deg") == json::array({90.0}));
}

TEST_CASE("a swing that cannot be is refused, and no recording is begun", "[cli][closed-form]") {
  const TemporaryFolder folder;
  const std::string book = folder.path("s.qnbook");
  REQUIRE(run_program("book new " + book + " --aircraft Brindle").exit_code == 0);
  const std::string swing = "run " + book + " --swing 8";
  check_refused(run_program(swing), 2, "--compass");
  check_refused(run_program("run " + book + " --swing 9 --compass standby"), 2, "--swing");
  check_refused(run_program(swing + " --compass standby:x"), 2, "--compass");
  check_refused(run_program(swing + " --compass standby --link stdin"), 2, "--from-link");
  check_refused(run_program(swing + " --compass standby --from-link standby"), 2, "--link");
  check_refused(run_program(swing + " --compass standby --loads half"), 2, "--loads");
  check_refused(run_program(swing + " --compass standby --rehearse 1"), 2, "--auto");
  const auto shown = json::parse(run_program("book show " + book + " --json").out);
  CHECK(shown.at("recordings").empty());
}
