// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "cli/sensor_files.h"

using namespace qn::test;
using nlohmann::json;

namespace {

constexpr double kPi = 3.14159265358979;

/// Twelve marks; deviation 4 sin z, and under a load `more` cos z beside it.
std::string swing_rows(const std::string& loads, double more, const std::string& compass) {
  std::string out;
  for (int mark = 0; mark < 360; mark += 30) {
    const double z = mark * kPi / 180.0;
    const double off = std::round(4.0 * std::sin(z) + more * std::cos(z));
    out += std::to_string(mark) + "," + std::to_string((mark - static_cast<int>(off) + 360) % 360) +
           "," + compass + "," + loads + "\n";
  }
  return out;
}

const std::string kHead = "station_deg,indicated_deg,compass,loads\n";

void check_narrow(const std::string& text) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    INFO(line);
    CHECK(line.size() <= 80);
  }
}

}  // namespace

TEST_CASE("a rose that is off by its survey moves A, and says so", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kHead + swing_rows("", 0.0, "standby"));
  std::string rose = "station_deg,direction_deg,sigma_deg,north_sigma_deg\n";
  for (int mark = 0; mark < 360; mark += 30) {
    rose += std::to_string(mark) + "," + std::to_string((mark + 3) % 360) + ",0.2,0.4\n";
  }
  const std::string marks = folder.write("rose.csv", rose);
  const auto a_of = [](const json& doc) {
    return doc.at("coefficients_deg").at("A").get<double>();
  };
  const json plain = json::parse(run_program("swing solve " + file + " --json").out);
  const auto run = run_program("swing solve " + file + " --rose " + marks + " --json");
  INFO(run.err);
  REQUIRE(run.exit_code == 0);
  const json doc = json::parse(run.out);
  CHECK(a_of(doc) - a_of(plain) == Approx(3.0).margin(0.05));
  const json& used = doc.at("stations").at("rose");
  CHECK(used.at("file") == "rose.csv");
  CHECK(used.at("mean_off_deg").get<double>() == Approx(3.0));
  CHECK(used.at("station_sigma_deg").get<double>() == Approx(std::hypot(0.7, 0.2)));
  CHECK(used.at("north_sigma_deg") == 0.4);
  CHECK(used.at("marks").size() == 12);
  CHECK(plain.at("stations").at("rose").is_null());

  const auto text = run_program("swing solve " + file + " --rose " + marks);
  for (const char* words : {"Stations are marks of the rose rose.csv", "000 = 003.0",
                            "North of the rose, 1 sigma: 0.40 deg, from the rose"}) {
    INFO(words);
    CHECK(says(text.out, words));
  }
  check_narrow(text.out);
  // The same rose in card and adjust; what is written at a mark names it there too.
  CHECK(run_program("card " + file + " --rose " + marks).exit_code == 0);
  CHECK(run_program("swing adjust " + file + " --rose " + marks + " --standing-on 90").exit_code ==
        0);
  check_refused(run_program("swing adjust " + file + " --rose " + marks + " --standing-on 95"), 2,
                "the nearest is 90");
  const std::string other = folder.write("o.csv", kHead + "95,94,standby,\n");
  check_refused(run_program("swing solve " + other + " --rose " + marks), 3, "nearest is 090");
  const std::string north = folder.write("t.csv", "station_deg,direction_true_deg\n0,2\n");
  check_refused(run_program("swing solve " + file + " --rose " + north), 2, "--variation-deg");
}

TEST_CASE("named loads are states, and the one that takes it over is said", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kHead + swing_rows("off", 0.0, "standby") +
                                                     swing_rows("Strobe+Pitot", 14.0, "standby") +
                                                     swing_rows("pitot", 13.0, "standby"));
  const auto text = run_program("swing solve " + file);
  REQUIRE(text.exit_code == 0);
  CHECK(says(text.out, "What the loads do"));
  CHECK(says(text.out, "is taken over 10 deg"));
  check_narrow(text.out);
  const json doc = json::parse(run_program("swing solve " + file + " --json").out);
  REQUIRE(doc.at("loads_effects").size() == 2);
  CHECK(doc.at("loads_effects")[0].at("loads") == "pitot+strobe");
  CHECK(doc.at("loads_effects")[1].at("takes_it_over") == true);
  const json card =
      json::parse(run_program("card " + file + " --loads pitot,off --json").out).at("cards")[0];
  CHECK(card.at("columns") == json({"loads off", "loads pitot"}));
  CHECK(card.at("verdicts").size() == 3);
  const json large =
      json::parse(
          run_program("card " + file + " --loads off,pitot --large-column pitot --json").out)
          .at("cards")[0];
  CHECK(large.at("columns") == json({"loads pitot", "loads off"}));
  check_refused(run_program("card " + file + " --loads off,radio"), 2, "--loads");
  check_refused(run_program("card " + file + " --loads off,pitot,strobe+pitot"), 2, "two columns");
  check_refused(run_program("card " + file + " --loads off --large-column pitot"), 2,
                "--large-column");
}

TEST_CASE("a correction inside a sensor's own box has its day", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kHead + swing_rows("", 0.0, "remote"));
  const std::string before = folder.write("b.csv", kHead + swing_rows("", 8.0, "remote"));
  const std::string box = " --box-corrected Remote=2026-05-10";
  const std::string both = " --before " + before + " --day 2026-05-14 --before-day 2026-05-01";
  const auto text = run_program("swing solve " + file + box + both);
  INFO(text.err);
  REQUIRE(text.exit_code == 0);
  CHECK(says(text.out, "Corrected inside its own box"));
  check_narrow(text.out);
  const json doc = json::parse(run_program("swing solve " + file + box + both + " --json").out);
  CHECK(doc.at("box_corrected").at("swing_is") == "after");
  CHECK(doc.at("box_corrected").at("earlier_is") == "before");
  const auto sentence = doc.at("box_corrected").at("sentence").get<std::string>();
  CHECK(says(sentence, "this swing of 2026-05-14 is after it"));
  CHECK(says(sentence, "The earlier swing of 2026-05-01 is before it"));
  const json open = json::parse(run_program("swing solve " + file + box + " --json").out);
  CHECK(open.at("box_corrected").at("swing_is") == "unknown");
  CHECK(says(run_program("card " + file + box + " --day 2026-05-14").out,
             "Corrected in its own box on 2026-05-10."));
  // Of a card that is older than the correction nothing holds.
  check_refused(run_program("card " + file + box + " --day 2026-05-01"), 2, "--box-corrected");
  for (const char* wrong :
       {"remote=2026-13-01", "remote", "standby=2026-05-10", "remote=10.5.26"}) {
    check_refused(run_program("swing solve " + file + " --box-corrected " + wrong), 2,
                  "--box-corrected");
  }
  check_refused(run_program("swing solve " + file + " --day 14.5.2026"), 2, "--day");
}

TEST_CASE("one reading and none are said to be too few", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string one = folder.write("one.csv", kHead + "0,354,standby,\n");
  const auto adjust = run_program("swing adjust " + one);
  REQUIRE(adjust.exit_code == 0);
  CHECK(says(adjust.out, "readings on one heading cannot tell"));
  CHECK(says(adjust.out, "Next: read "));
  CHECK_FALSE(says(adjust.out, "left on"));
  const std::string none = folder.write("none.csv", "");
  const auto empty = run_program("swing solve " + none);
  check_refused(empty, 3, "station_deg,indicated_deg");
  CHECK_FALSE(says(empty.err, "time_s"));
  const json plan = json::parse(run_program("swing plan --loads off --json").out);
  CHECK(plan.at("loads") == json({"off"}));
  check_refused(run_program("swing plan --loads on+pitot"), 2, "--loads");
}
