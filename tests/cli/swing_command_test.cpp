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

// Made up: A 0.5, B 5, C 3 and a reading of 094 on 090 where 084 was shown.
constexpr const char* kSwing =
    "station_deg,indicated_deg,compass\n0,358,standby\n30,24,standby\n60,53,standby\n"
    "90,94,standby\n120,116,standby\n150,150,standby\n180,184,standby\n210,215,standby\n"
    "240,246,standby\n270,274,standby\n300,302,standby\n330,330,standby\n";

}  // namespace

TEST_CASE("a swing for people names the wrong reading and fits 80 columns", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const auto run = run_program("swing solve " + folder.write("s.csv", kSwing));
  REQUIRE(run.exit_code == 0);
  CHECK(run.out.rfind("standby: within", 0) == 0);
  for (const char* words : {"Row 4, station 090", "misread by 10", "14 CFR 23.1327", "assumed"}) {
    CHECK(says(run.out, words));
  }
  std::istringstream lines(run.out);
  for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
}

TEST_CASE("one compass stands at the top of the document too", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kSwing);
  const json doc = json::parse(run_program("swing solve " + file + " --json").out);
  CHECK(doc.at("schema") == "quietnorth/swing/1");
  CHECK(doc.at("gross_row") == 3);
  CHECK(doc.at("compasses").size() == 1);
  CHECK(doc.at("coefficients_deg") == doc.at("compasses")[0].at("coefficients_deg"));
  CHECK(doc.at("curve").size() == 36);
  CHECK(run_program("swing solve " + file + " --check").exit_code == 0);
  CHECK(run_program("swing solve " + file + " --limit standby=2 --check").exit_code == 1);
}

TEST_CASE("a card has every item of its placard", "[cli][published]") {
  // 14 CFR 27.1547: level flight, engine, radio on or off, magnetic headings in steps (of 45 deg at
  // most there; 30 in 23.1547).
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kSwing);
  const auto run = run_program("card " + file + " --engine running --radio on");
  REQUIRE(run.exit_code == 0);
  for (const char* words : {"FOR", "STEER", "level flight", "Engine running", "Radio on", "Date",
                            "Place", "Signature", "   330 "}) {
    CHECK(says(run.out, words));
  }
  const json doc = json::parse(run_program("card " + file + " --json").out);
  CHECK(doc.at("schema") == "quietnorth/card/1");
  for (const json& row : doc.at("cards")[0].at("rows")) {
    const double back = row.at("steer")[0].at("steer_deg").get<double>() +
                        row.at("steer")[0].at("deviation_deg").get<double>();
    CHECK(std::remainder(back - row.at("for_deg").get<double>(), 360.0) ==
          Approx(0.0).margin(1e-9));
  }
}

TEST_CASE("a worksheet's swing is printed with the worksheet's own figures", "[cli][published]") {
  // "Compass Compensation Worksheet Examples" (training hand-out), question 1, check swing: A 3;
  // residuals (deviation less A) -2 -1 2 1 -2 -1 2 1; card 0/1, 45/43, 90/89, 135/137, 180/181,
  // 225/223, 270/269, 315/317.
  const TemporaryFolder folder;
  const std::string file = folder.write(
      "q1.csv",
      "station_deg,indicated_deg\n317,316\n0,358\n47,42\n93,89\n135,134\n179,177\n225,220\n"
      "273,269\n");
  const auto text = run_program("swing solve " + file);
  REQUIRE(text.exit_code == 0);
  for (const char* words :
       {"A +3.00 B +0.00 C +0.00 D +2.00", "residual", "317.0     316.0       +1.0      -2.0",
        "047.0     042.0       +5.0      +2.0"}) {
    INFO(words);
    CHECK(says(text.out, words));
  }
  const json doc = json::parse(run_program("swing solve " + file + " --json").out);
  const json means = doc.at("by_means");
  CHECK(means.at("headings") == 8);
  CHECK(means.at("coefficients_deg").at("A").get<double>() == Approx(3.0));
  const double less_a[8] = {-2, -1, 2, 1, -2, -1, 2, 1};
  for (std::size_t k = 0; k < 8; ++k) CHECK(means.at("less_A_deg")[k] == less_a[k]);
  const auto card = run_program("card " + file + " --steps 45 --a-removed --worksheet-rule");
  for (const char* line : {"000    001", "045    043", "090    089", "135    137", "180    181",
                           "225    223", "270    269", "315    317"}) {
    INFO(line);
    CHECK(says(card.out, line));
  }
}

TEST_CASE("a swing that cannot be read names option or line", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kSwing);
  check_refused(run_program("swing solve " + folder.path("none.csv")), 3, "none.csv");
  check_refused(run_program("swing solve " + file + " --limit remote=2"), 2, "--limit");
  check_refused(run_program("swing solve " + file + " --stations-are true"), 2, "--variation-deg");
  check_refused(run_program("swing solve " + file + " --rounding-deg -1"), 2, "--rounding-deg");
  check_refused(run_program("card " + file + " --steps 7"), 2, "--steps");
}

TEST_CASE("adjusting is live: a row, a turn, the next row", "[cli][published]") {
  // "Compass Compensation Worksheet Examples" (training hand-out), question 1: set 176 on S and 263
  // on W.
  const TemporaryFolder folder;
  std::string rows = "station_deg,indicated_deg,set_deg\n359,3,\n91,85,\n178,170,";
  const json south = json::parse(
      run_program("swing adjust " + folder.write("a.csv", rows + "\n") + " --rule halving --json")
          .out);
  CHECK(south.at("schema") == "quietnorth/swing-adjust/1");
  const json& first = south.at("compasses")[0];
  REQUIRE(first.at("turns").size() == 1);
  CHECK(first.at("turns")[0].at("set_deg").get<double>() == Approx(176.0));
  CHECK(first.at("read_next_deg") == 270.0);

  rows += "176\n267,265,\n";
  const std::string file = folder.write("b.csv", rows);
  const json west = json::parse(run_program("swing adjust " + file + " --rule halving --json").out);
  REQUIRE(west.at("compasses")[0].at("turns").size() == 1);
  CHECK(west.at("compasses")[0].at("turns")[0].at("adjuster") == "B");
  CHECK(west.at("compasses")[0].at("turns")[0].at("set_deg").get<double>() == Approx(263.0));

  const auto text = run_program("swing adjust " + file);
  REQUIRE(text.exit_code == 0);
  CHECK(says(text.out, "turn the E-W screw (B) until it reads"));
  std::istringstream lines(text.out);
  for (std::string line; std::getline(lines, line);) {
    INFO(line);
    CHECK(line.size() <= 80);
  }
  // Two curves in one file are no swing.
  check_refused(run_program("swing solve " + file), 3, "set_deg");
  check_refused(run_program("swing adjust " + file + " --rule best"), 2, "--rule");
  check_refused(run_program("swing adjust " + file + " --standing-on 400"), 2, "--standing-on");
}

TEST_CASE("a plan tells what 8 once or 12 both ways are worth", "[cli][synthetic]") {
  const auto text = run_program("swing plan --stations 8 --turns once");
  REQUIRE(text.exit_code == 0);
  for (const char* words : {"8 stations once around", "Propeller", "mark 315.0", "both ways"}) {
    INFO(words);
    CHECK(says(text.out, words));
  }
  std::istringstream lines(text.out);
  for (std::string line; std::getline(lines, line);) {
    INFO(line);
    CHECK(line.size() <= 80);
  }
  const json doc = json::parse(run_program("swing plan --rounding-deg 5 --json").out);
  CHECK(doc.at("schema") == "quietnorth/swing-plan/1");
  CHECK(doc.at("stops").size() == 24);
  CHECK(doc.at("choices").size() == 8);
  check_refused(run_program("swing plan --stations 9"), 2, "--stations");
  check_refused(run_program("swing plan --turns thrice"), 2, "--turns");
}

TEST_CASE("swing, card and plan write their sheets whole", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kSwing);
  for (const std::string& command :
       {"swing solve " + file, "card " + file, std::string{"swing plan"}}) {
    const std::string out = folder.path("out.pdf");
    const auto run = run_program(command + " --sheet " + out);
    INFO(command << run.err);
    CHECK(run.exit_code == 0);
    CHECK(bytes_of(out).rfind("%PDF", 0) == 0);
    check_refused(run_program(command + " --sheet out.txt"), 2, "--sheet");
  }
  check_refused(run_program("card " + file + " --sheet " + folder.path("c.pdf") + " --width-mm 20"),
                2, "--width-mm");
}

TEST_CASE("before, iron, a forecast and the book go with one swing", "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string file = folder.write("s.csv", kSwing);
  std::string earlier = "station_deg,indicated_deg,compass\n";
  for (int mark = 0; mark < 360; mark += 30) {
    const double z = mark * 3.14159265358979 / 180.0;
    const double off = std::round(9.0 * std::sin(z) + 6.0 * std::cos(z));
    earlier += std::to_string(mark) + "," +
               std::to_string((mark - static_cast<int>(off) + 360) % 360) + ",standby\n";
  }
  const std::string before = folder.write("before.csv", earlier);
  const std::string book = folder.path("a.qnbook");
  REQUIRE(run_program("book new " + book + " --aircraft Brindle").exit_code == 0);
  const std::string more = " --before " + before + " --at 47.3,9.1 --on 2026-05-14" +
                           " --forecast-at 60.2,24.9 --book " + book;
  const auto run = run_program("swing solve " + file + more + " --json");
  INFO(run.err);
  REQUIRE(run.exit_code == 0);
  const json doc = json::parse(run.out);
  const json& change = doc.at("before").at("compasses")[0];
  CHECK(change.at("compared") == true);
  CHECK(change.at("change_deg").at("B").get<double>() < -2.0);
  CHECK(doc.at("before").at("on_every_heading").size() == 1);
  const json& only = doc.at("compasses")[0];
  CHECK(only.at("iron").at("ahead_uT").at("value").get<double>() > 0.5);
  CHECK(only.at("forecast").at("all_hard").get<double>() > 1.2);
  CHECK(only.at("forecast").at("curve").size() == 12);
  CHECK(says(run.err, "Kept as finding 1"));
  CHECK(says(run_program("book show " + book).out, "swing solve"));

  const auto text = run_program("swing solve " + file + " --before " + before +
                                " --horizontal-uT 21.4 --vertical-uT 43.6");
  REQUIRE(text.exit_code == 0);
  for (const char* words : {"Before (before.csv) and after", "ahead, permanent", "inside 10 deg"}) {
    INFO(words);
    CHECK(says(text.out, words));
  }
  std::istringstream lines(text.out);
  for (std::string line; std::getline(lines, line);) {
    INFO(line);
    CHECK(line.size() <= 80);
  }
  check_refused(run_program("swing solve " + file + " --forecast-at 60,25"), 2, "--forecast-at");
  check_refused(
      run_program("swing solve " + file + " --at 47,9 --on 2026-05-14 --forecast-at 95,25"), 2,
      "--forecast-at");
  check_refused(run_program("swing solve " + file + " --before " + folder.path("none.csv")), 3,
                "none.csv");
}
