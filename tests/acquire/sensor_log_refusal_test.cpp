// SPDX-License-Identifier: Apache-2.0
#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "acquire/log_texts.h"

using namespace qn::test;

namespace {

const std::string kHeader = "time_s,field_x_uT,field_y_uT,field_z_uT\n";

void check_refused(const std::string& text, std::string_view what, const std::string& where) {
  const qn::Error error = refusal_of(text);
  INFO(to_text(error));
  CHECK(error.kind == qn::ErrorKind::BadInput);
  CHECK(contains(error.what, what));
  CHECK(error.where == where);
}

}  // namespace

TEST_CASE("Files without samples are refused", "[acquire][closed-form]") {
  check_refused("", "empty", "log.csv");
  check_refused("# nothing\n\n", "only comments", "log.csv");
  check_refused(kHeader, "header but no row", "log.csv");
  check_refused("time_s,field_x_uT,field_y_uT,field_z_uT", "header but no row", "log.csv");
  check_refused(kHeader + "0,1,2,3\n", "only 1 sample can be used of 1 row", "log.csv");
  check_refused(kHeader + "0,1,2,3\n0,1,2,3\n", "only 1 sample", "log.csv");
  check_refused(kHeader + "0,1,,3\n1,1,,3\n",
                "only 0 samples can be used of 2 rows; column 3 (field_y_uT) is empty in 2 rows",
                "log.csv");
}

TEST_CASE("Numbers without names are refused with advice", "[acquire][closed-form]") {
  check_refused("0,1,2,3\n1,1,2,3\n", "numbers only", "log.csv, line 1");
  check_refused("# x\n0;1,5;2;3\n1;1,5;2;3\n", "numbers only", "log.csv, line 2");
  CHECK(contains(refusal_of("0,1,2,3\n").remedy, "time_s,field_x_uT"));
}

TEST_CASE("A cell that cannot be read is named by line and column", "[acquire][closed-form]") {
  check_refused(kHeader + "0,1,2,3\n# c\n\n1,1,two,3\n", "'two' is not a number",
                "log.csv, line 5, column 3 (field_y_uT)");
  check_refused(kHeader + "0,1,2,3\n1,1e308,2,3\n", "'1e308' is far beyond",
                "log.csv, line 3, column 2 (field_x_uT)");
  check_refused(kHeader + "0,1,2,3\n1,1e999,2,3\n", "'1e999' is not a number",
                "log.csv, line 3, column 2 (field_x_uT)");
  check_refused(kHeader + "0,1,2,3\n1,1,2,Infinity\n", "'Infinity' is not a finite",
                "log.csv, line 3, column 4 (field_z_uT)");
  check_refused(kHeader + "0,1,2,3\n1,1,2,-inf\n", "'-inf' is not a finite",
                "log.csv, line 3, column 4 (field_z_uT)");
  check_refused(kHeader + "0,1,2,3\n1,0x1A,2,3\n", "'0x1A' is not a number",
                "log.csv, line 3, column 2 (field_x_uT)");
  check_refused(kHeader + "0,1,2,3\n1,1,2,1000000001\n", "far beyond",
                "log.csv, line 3, column 4 (field_z_uT)");
  check_refused(kHeader + "0,1,2,3\n2026-11-25T10:00:00,1,2,3\n", "is not a number",
                "log.csv, line 3, column 1 (time_s)");
  check_refused(kHeader + "0,1,2,3\n1,1,\x01\x02,3\n", "'\\x01\\x02'",
                "log.csv, line 3, column 3 (field_y_uT)");
}

TEST_CASE("The largest value is that of our unit, whatever the file's", "[acquire][closed-form]") {
  const std::string header = "time_s,field_x_nT,field_y_nT,field_z_nT\n";
  CHECK(read_text(header + "0,1,2,999999999999\n1,1,2,3\n").has_value());
  check_refused(header + "0,1,2,1000000000001\n1,1,2,3\n", "far beyond",
                "log.csv, line 2, column 4 (field_z_nT)");
}

TEST_CASE("Rows of another shape are refused", "[acquire][closed-form]") {
  check_refused(kHeader + "0,1,2,3\n0,5,1,25,2,5,3,5\n", "8 cells, the header has 4",
                "log.csv, line 3");
  CHECK(contains(refusal_of(kHeader + "0,5,1,25,2,5,3,5\n").remedy, "decimal commas"));
  check_refused(kHeader + "0,1,2,3\n1,\"1,2,3\n", "quote",
                "log.csv, line 3, column 2 (field_x_uT)");
  check_refused(kHeader + "0,1,2,3\n1,\"1\"x,2,3\n", "quote",
                "log.csv, line 3, column 2 (field_x_uT)");
}

TEST_CASE("What is no CSV text is refused", "[acquire][closed-form]") {
  check_refused(std::string("\x7f"
                            "ELF\x02\x01\x01\0\0\0\0\n\0",
                            13),
                "binary", "log.csv");
  check_refused(std::string("\xff\xfet\0i\0m\0e\0", 10), "UTF-16", "log.csv");
  check_refused("time_s,field_x_uT,field_y_uT,field_z_uT\r0,1,2,3\r1,1,2,3\r", "carriage return",
                "log.csv, line 1");
  check_refused("just a letter\nwith lines\n", "no column holds the time", "log.csv, line 1");
  check_refused("{\"schema\": 1}\n", "no column holds the time", "log.csv, line 1");
}

TEST_CASE("A line beyond 64 KiB is refused, wherever it stands", "[acquire][closed-form]") {
  const std::string digits(70000, '1');
  check_refused(kHeader + "0,1,2,3\n" + digits + ",1,2,3\n", "longer than 65536",
                "log.csv, line 3");
  check_refused(kHeader + "0,1,2,3\n" + std::string(70000, ' ') + "1,1,2,3\n", "longer than 65536",
                "log.csv, line 3");
  check_refused(kHeader + "0,1,2,3\n" + std::string(3000000, 'x'), "longer than 65536",
                "log.csv, line 3");
  check_refused(std::string(100000, 'a') + "\n0,1,2,3\n", "longer than 65536", "log.csv, line 1");
  check_refused(std::string(3000000, 'a'), "no header row in the first", "log.csv");
}

TEST_CASE("A single line of five gigabytes is refused at once", "[acquire][closed-form]") {
  // A file with a hole: it takes no space. Whole, it would not fit into the memory of a small
  // machine.
  const TemporaryFolder folder;
  const std::string path = folder.write("line.csv", kHeader + "0,1,2,3\n1,1,2,3");
  REQUIRE(::truncate(path.c_str(), 5'000'000'000) == 0);
  const auto recording = qn::read_sensor_log(path, {});
  REQUIRE_FALSE(recording.has_value());
  CHECK(recording.error().kind == qn::ErrorKind::BadInput);
  const std::string all = folder.write("all.csv", "");
  REQUIRE(::truncate(all.c_str(), 5'000'000'000) == 0);
  CHECK_FALSE(qn::read_sensor_log(all, {}).has_value());
}

TEST_CASE("Paths that name no readable file are refused with advice", "[acquire][closed-form]") {
  const TemporaryFolder folder;
  const auto missing = qn::read_sensor_log(folder.path("none.csv"), {});
  CHECK(contains(missing.error().what, "no such file"));
  CHECK(missing.error().kind == qn::ErrorKind::BadInput);
  const auto directory = qn::read_sensor_log(folder.path(""), {});
  CHECK(contains(directory.error().what, "folder"));
  REQUIRE(::mkfifo(folder.path("pipe").c_str(), 0600) == 0);
  CHECK(contains(qn::read_sensor_log(folder.path("pipe"), {}).error().what, "pipe"));
  CHECK_FALSE(qn::read_sensor_log("", {}).has_value());
}

TEST_CASE("A file without permission is refused, saying how to allow it",
          "[acquire][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.write("locked.csv", kHeader + "0,1,2,3\n1,1,2,3\n");
  REQUIRE(::chmod(path.c_str(), 0) == 0);
  // Root may read anything, so as root the reading is done as another user.
  const bool root = ::geteuid() == 0;
  if (root) REQUIRE(::seteuid(65534) == 0);
  const auto recording = qn::read_sensor_log(path, {});
  if (root) REQUIRE(::seteuid(0) == 0);
  REQUIRE_FALSE(recording.has_value());
  CHECK(contains(recording.error().what, "permission"));
  CHECK(contains(recording.error().remedy, "chmod"));
}

TEST_CASE("The shown name stands in every message", "[acquire][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.write("x.tmp", "");
  qn::SensorLogOptions options;
  options.shown_name = "dropped.csv";
  CHECK(qn::read_sensor_log(path, options).error().where == "dropped.csv");
  CHECK(qn::read_sensor_log(path, {}).error().where == "x.tmp");
}
