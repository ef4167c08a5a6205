// SPDX-License-Identifier: Apache-2.0
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <string>

#include "cli/sensor_files.h"

using namespace qn::test;

namespace {

const std::string kHeader = "time_s,field_x_uT,field_y_uT,field_z_uT\n";

// A level turn of a minute at 20 Hz, times `factor`; row 700 holds `row` when there is one.
std::string swing_csv(double factor, const std::string& row = "") {
  std::string text = kHeader;
  for (int k = 0; k < 1200; ++k) {
    char line[160];
    const double h = 2.0 * 3.14159265358979 * k / 1200.0;
    std::snprintf(line, sizeof line, "%.2f,%.7g,%.7g,%.7g\n", 0.05 * k, factor * 20.5 * std::cos(h),
                  factor * -20.5 * std::sin(h), factor * (44.5 + 0.1 * std::sin(7.0 * k)));
    text += k == 700 && !row.empty() ? "35.00," + row + "\n" : line;
  }
  return text;
}

// Refused with exit 3 by name, and neither sheet nor anything else is written.
void check_log_refused(const TemporaryFolder& folder, const std::string& log,
                       const std::string& names) {
  const auto count = [&folder] {
    const std::filesystem::directory_iterator files{folder.path("")};
    return std::distance(begin(files), end(files));
  };
  const auto before = count();
  check_refused(run_program("sensor " + folder.path(log) + kThere + "--json --sheet " +
                            folder.path("sheet.pdf")),
                3, names);
  check_refused(run_program("sensor " + folder.path(log) + kThere), 3, log);
  CHECK(count() == before);
}

}  // namespace

TEST_CASE("the swing that the bad ones are made from is good", "[cli][synthetic]") {
  const TemporaryFolder folder;
  folder.write("good.csv", swing_csv(1.0));
  CHECK(run_program("sensor " + folder.path("good.csv") + kThere).exit_code == 0);
}

TEST_CASE("a log with nothing to read in it is refused by name", "[cli][closed-form]") {
  const TemporaryFolder folder;
  folder.write("empty.csv", "");
  check_log_refused(folder, "empty.csv", "is empty");
  folder.write("header.csv", kHeader);
  check_log_refused(folder, "header.csv", "no row of data");
  folder.write("one.csv", kHeader + "0,20,1,40\n");
  check_log_refused(folder, "one.csv", "1 sample");
  folder.write("columns.csv", "a,b,c,d\n0,1,2,3\n1,2,3,4\n");
  check_log_refused(folder, "columns.csv", "a, b, c");
  std::filesystem::create_directory(folder.path("folder.csv"));
  check_log_refused(folder, "folder.csv", "folder");
  check_log_refused(folder, "missing.csv", "no such file");
}

TEST_CASE("a log of samples all alike is refused by name", "[cli][closed-form]") {
  const TemporaryFolder folder;
  std::string text = kHeader;
  for (int k = 0; k < 200; ++k) text += std::to_string(k) + ",20,1,40\n";
  folder.write("stuck.csv", text);
  check_log_refused(folder, "stuck.csv", "all 200 samples are the same");
}

TEST_CASE("a cell that is no usable number is refused by line and column", "[cli][closed-form]") {
  const TemporaryFolder folder;
  // Row 700 counted from 0 is line 702 below the header.
  for (const char* cell : {"north", "1e308", "Infinity", "-inf", "0x1p3", "1e999"}) {
    folder.write("cell.csv", swing_csv(1.0, std::string{cell} + ",1,2"));
    INFO(cell);
    check_log_refused(folder, "cell.csv", "cell.csv, line 702, column 2 (field_x_uT)");
  }
}

TEST_CASE("a binary file is refused by name", "[cli][closed-form]") {
  const TemporaryFolder folder;
  folder.write("binary.csv", bytes_of(QN_PROGRAM).substr(0, 20000));
  check_log_refused(folder, "binary.csv", "binary");
}

TEST_CASE("a clipped sensor is named with the axis and the time", "[cli][synthetic]") {
  const SimulatedFolder made("clipped");
  const auto run = run_program("sensor " + made.log() + kThere);
  check_refused(run, 3, "clipped at its rail");
  CHECK(says(run.err, "where:    log.csv, column field "));
}

TEST_CASE("a unit off by 1000 is refused and the likely one is named", "[cli][synthetic]") {
  const TemporaryFolder folder;
  folder.write("nano.csv", swing_csv(1000.0));
  check_log_refused(folder, "nano.csv", "nanotesla");
  folder.write("milli.csv", swing_csv(0.001));
  check_log_refused(folder, "milli.csv", "millitesla");
  // And what it says to do is right.
  std::string named = swing_csv(1000.0);
  named.replace(0, kHeader.size(), "time_s,field_x_nT,field_y_nT,field_z_nT\n");
  folder.write("named.csv", named);
  CHECK(run_program("sensor " + folder.path("named.csv") + kThere).exit_code == 0);
}

TEST_CASE("a log that one may not read is refused by name", "[cli][closed-form]") {
  const TemporaryFolder folder;
  const std::string log = folder.write("secret.csv", swing_csv(1.0));
  REQUIRE(::chmod(log.c_str(), 0) == 0);
  // Root reads every file, so that there chmod alone tests nothing: the program is then run without
  // the two capabilities that let it. Where they cannot be dropped this test fails, it does not
  // vanish.
  std::string command = "\"" QN_PROGRAM "\" sensor " + log + kThere + " > " + folder.path("out") +
                        " 2> " + folder.path("err");
  if (::geteuid() == 0) {
    command = "setpriv --bounding-set -dac_override,-dac_read_search " + command;
  }
  const int status = std::system(command.c_str());
  ProgramRun run;
  if (WIFEXITED(status)) run.exit_code = WEXITSTATUS(status);
  run.out = bytes_of(folder.path("out"));
  run.err = bytes_of(folder.path("err"));
  check_refused(run, 3, "secret.csv");
  CHECK(says(run.err, "ermission"));
}

TEST_CASE("a place off the Earth, a day outside the model, a number that is none: exit 2",
          "[cli][closed-form]") {
  const SimulatedFolder made("tumble");
  const std::string sheet = made.path("sheet.pdf");
  const std::string log = "sensor " + made.log() + " --sheet " + sheet + " ";
  check_refused(run_program(log + "--at 95,0 --on 2026-05-14"), 2, "--at");
  check_refused(run_program(log + "--at 49.3,10.2 --on 2031-05-14"), 2, "--on");
  check_refused(run_program(log + "--at 49.3,10.2 --on 2024-12-31"), 2, "--on");
  check_refused(run_program(log + "--at 49.3,10.2"), 2, "--on");
  check_refused(run_program(log), 2, "--at");
  check_refused(run_program(log + kThere + "--horizontal-uT 20 --vertical-uT 44"), 2, "--");
  for (const char* option :
       {"--motion spin", "--mount x=y,y=x,z=z", "--mount-deg 90", "--slope-deg -1", "--deck-deg 1",
        "--accel-reads sideways", "--known-heading 5,360", "--station-sigma-deg 0",
        "--north-sigma-deg -1", "--limit-deg 0", "--limit-deg abc", "--paper a5", "--map x",
        "--motion stations", "--bogus"}) {
    INFO(option);
    const std::string words{option};
    check_refused(run_program(log + kThere + option), 2, words.substr(0, words.find(' ')));
  }
  CHECK_FALSE(std::filesystem::exists(sheet));
}

TEST_CASE("stations that are missing, malformed or none are refused by name",
          "[cli][closed-form]") {
  const SimulatedFolder made("demo");
  const std::string words = "sensor " + made.log() + kThere + "--stations ";
  check_refused(run_program(words + made.path("none.csv")), 3, "none.csv");
  const std::string bad = made.write("bad.csv", "station_deg\n0\n400\n");
  check_refused(run_program(words + bad), 3, "bad.csv, line 3, column 1 (station_deg)");
  // Turned the other way round than the file says: left-handed axes.
  const std::string reversed = made.write(
      "reversed.csv", "station_deg\n0\n330\n300\n270\n240\n210\n180\n150\n120\n90\n60\n30\n");
  const auto run = run_program(words + reversed);
  check_refused(run, 3, "other way round");
  CHECK(says(run.err, "where:    log.csv against reversed.csv"));
}

TEST_CASE("a known heading at a time outside the recording is refused", "[cli][closed-form]") {
  const SimulatedFolder made("tumble");
  check_refused(run_program("sensor " + made.log() + kThere + "--known-heading 5000,90"), 3,
                "--known-heading");
}
