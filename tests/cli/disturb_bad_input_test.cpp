// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "cli/disturb_files.h"

using namespace qn::test;

namespace {

// Refused by name, and no sheet appears.
void check_run_refused(const RunFolder& run, const std::string& words, int exit_code,
                       const std::string& names) {
  const std::string sheet = run.path("sheet.pdf");
  INFO(words);
  check_refused(run_program(words + " --json --sheet " + sheet), exit_code, names);
  CHECK_FALSE(std::filesystem::exists(sheet));
}

std::string with_column(const std::string& log, const std::string& y) {
  std::string out;
  for (std::size_t at = 0; at < log.size();) {
    const std::size_t end = log.find('\n', at);
    std::string line = log.substr(at, end - at);
    if (at > 0) {
      const std::size_t second = line.find(',', line.find(',') + 1);
      line.replace(second + 1, line.find(',', second + 1) - second - 1, y);
    }
    out += line + "\n";
    at = end + 1;
  }
  return out;
}

}  // namespace

TEST_CASE("the run that the bad ones are made from is good", "[cli][synthetic]") {
  const RunFolder run;
  CHECK(run_program(run.words()).exit_code == 0);
  CHECK(run_program(run.listed()).exit_code == 0);
}

TEST_CASE("a file that is not there is refused by its name", "[cli][closed-form]") {
  const RunFolder run;
  check_run_refused(run, run.words("no-log.csv"), 3, "no-log.csv");
  check_run_refused(run, run.words("log.csv", "no-marks.csv"), 3, "no-marks.csv");
  check_run_refused(run, run.words() + "--equipment " + run.path("no-list.csv"), 3, "no-list.csv");
  check_run_refused(run, run.words("marks.csv", "log.csv"), 3, "where:    log.csv");
}

TEST_CASE("a log that cannot hold a run is refused, with what to do", "[cli][closed-form]") {
  const RunFolder run;
  run.write("raw.csv", rest_log(120.0, 8.0, "raw"));
  check_run_refused(run, run.words("raw.csv"), 3, "sensor apply");
  run.write("nano.csv", rest_log(120.0, 1000.0));
  check_run_refused(run, run.words("nano.csv"), 3, "nanotesla");
  run.write("milli.csv", rest_log(120.0, 0.001));
  check_run_refused(run, run.words("milli.csv"), 3, "millitesla");
  run.write("named.csv", rest_log(120.0, 1000.0, "nT"));
  CHECK(run_program(run.words("named.csv")).exit_code == 0);  // what it says to do is right
  run.write("stuck.csv", with_column(rest_log(120.0), "4"));
  check_run_refused(run, run.words("stuck.csv"), 3, "stuck.csv, column field_y_uT");
  std::string still = "time_s,field_x_uT,field_y_uT,field_z_uT\n";
  for (int k = 0; k < 600; ++k) still += std::to_string(k) + ",20,1,44\n";
  run.write("still.csv", still);
  check_run_refused(run, run.words("still.csv"), 3, "all 600 samples are the same");
  run.write("short.csv", rest_log(3.0));
  check_run_refused(run, run.words("short.csv"), 3, "short.csv");
}

TEST_CASE("marks that do not fit are refused by file and line", "[cli][closed-form]") {
  const RunFolder run;
  run.write("unknown.csv", "time_s,device,state\n20,light,on\n40,pump,on\n");
  check_run_refused(run, run.listed("log.csv", "unknown.csv"), 3, "unknown.csv, line 3");
  run.write("state.csv", "time_s,device,state\n20,light,dim\n");
  check_run_refused(run, run.listed("log.csv", "state.csv"), 3, "state.csv, line 2");
  run.write("outside.csv", "time_s,device,state\n-50,light,on\n900,light,off\n");
  check_run_refused(run, run.words("log.csv", "outside.csv"), 3, "outside.csv");
  run.write("empty.csv", "time_s,device,state\n");
  check_run_refused(run, run.words("log.csv", "empty.csv"), 3, "empty.csv");
  run.write("cell.csv", "time_s,device,state\nsoon,light,on\n");
  check_run_refused(run, run.words("log.csv", "cell.csv"), 3, "cell.csv, line 2, column 1");
}

TEST_CASE("marks that can be left out are, and it is said", "[cli][synthetic]") {
  const RunFolder run;
  run.write("before.csv",
            "time_s,device,state\n-5,light,0\n" + kMarks.substr(kMarks.find('\n') + 1));
  const auto before = run_program(run.words("log.csv", "before.csv"));
  CHECK(before.exit_code == 0);
  CHECK(says(before.out, "outside the recording"));
  run.write("twice.csv", kMarks + "80.5,light,0\n");
  const auto twice = run_program(run.words("log.csv", "twice.csv"));
  CHECK(twice.exit_code == 0);
  CHECK(says(twice.out, "changes nothing"));
  run.write("open.csv", "time_s,device,state\n20.4,light,on\n40.6,light,off\n60.3,light,on\n");
  CHECK(run_program(run.words("log.csv", "open.csv")).exit_code == 0);
}

TEST_CASE("an option that is wrong by itself ends with 2 and names itself", "[cli][closed-form]") {
  const RunFolder run;
  for (const char* option :
       {"--limit-deg 0", "--limit-deg abc", "--mount x=y,y=x,z=z", "--mount-deg 90",
        "--accel-reads sideways", "--heading-source gyro", "--aircraft-heading 360", "--map x",
        "--paper a5", "--at 95,0", "--bogus"}) {
    const std::string words{option};
    check_run_refused(run, run.words() + option, 2, words.substr(0, words.find(' ')));
  }
  const std::string files = "disturb analyse " + run.path("log.csv") + " " + run.path("marks.csv");
  check_run_refused(run, files, 2, "--at");
  check_run_refused(run, files + " --at 49.3,10.2 --on 2031-05-14", 2, "--on");
  check_run_refused(run, run.words() + "--also a.csv b.csv", 2, "--also");
  const std::string png = run.path("sheet.png");
  check_refused(run_program(run.words("missing.csv") + "--sheet " + png), 2, "--sheet");
  CHECK_FALSE(std::filesystem::exists(png));
}
