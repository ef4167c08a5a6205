// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>

#include "acquire/csv_preamble.h"
#include "acquire/log_texts.h"

using namespace qn::test;

namespace {

/// Each must hold the samples (0, 1.5, -2, 3) and (0.5, 1.25, -2.5, 3.5).
void check_two_samples(std::string_view text) {
  INFO(text);
  const auto recording = read_text(text);
  if (!recording) {
    FAIL(to_text(recording.error()));
    return;
  }
  const qn::SensorRecording& r = recording.value();
  CHECK(r.time_s == std::vector<double>{0.0, 0.5});
  CHECK(r.field[0] == std::vector<double>{1.5, 1.25});
  CHECK(r.field[1] == std::vector<double>{-2.0, -2.5});
  CHECK(r.field[2] == std::vector<double>{3.0, 3.5});
  CHECK(r.tally.rows == 2);
  CHECK(r.tally.missing_cells == 0);
}

constexpr std::string_view kHeader = "time_s,field_x_uT,field_y_uT,field_z_uT";

}  // namespace

TEST_CASE("All dialects of the conventions give the same samples", "[acquire][closed-form]") {
  const std::string header{kHeader};
  check_two_samples(header + "\n0,1.5,-2,3\n0.5,1.25,-2.5,3.5\n");
  check_two_samples(header + "\r\n0,1.5,-2,3\r\n0.5,1.25,-2.5,3.5\r\n");
  check_two_samples(header + "\n0,1.5,-2,3\n0.5,1.25,-2.5,3.5");
  check_two_samples("\xef\xbb\xbf" + header + "\n0,1.5,-2,3\n0.5,1.25,-2.5,3.5\n");
  check_two_samples("# by hand\n\n  # more\n" + header +
                    "\n# start\n0,1.5,-2,3\n\n# half\n0.5,1.25,-2.5,3.5\n   \n");
  check_two_samples(
      "sep=;\ntime_s;field_x_uT;field_y_uT;field_z_uT\n0;1,5;-2;3\n0,5;1,25;-2,5;3,5\n");
  check_two_samples("time_s;field_x_uT;field_y_uT;field_z_uT\n0;1.5;-2;3\n0.5;1.25;-2.5;3.5\n");
  check_two_samples("time_s;field_x_uT;field_y_uT;field_z_uT\n0;1,5;-2;3\n0.5;1.25;-2,5;3,5\n");
  check_two_samples(
      "time_s\tfield_x_uT\tfield_y_uT\tfield_z_uT\n0\t1.5\t-2\t3\n0.5\t1.25\t-2.5\t3.5\n");
  check_two_samples(
      "\"time_s\",\"field_x_uT\",\"field_y_uT\",\"field_z_uT\"\n"
      "\"0\",\"1.5\",\"-2\",\"3\"\n\"0.5\",\"1.25\",\"-2.5\",\"3.5\"\n");
  check_two_samples(
      "time_s , field_x_uT , field_y_uT , field_z_uT\n 0 , 1.5, -2, 3 \n 0.5, 1.25, -2.5, 3.5\n");
  check_two_samples(header + "\n0e0,1.5E0,-2,+3\n5e-1,.125e1,-2.50000000000000000000,35e-1\n");
  check_two_samples(header + ",note\n0,1.5,-2,3,\"start, \"\"north\"\"\"\n0.5,1.25,-2.5,3.5,\n");
  check_two_samples(header + "\n0,1.5,-2,3,,\n0.5,1.25,-2.5,3.5,\n");
  check_two_samples(
      "field_z_uT,time_ms,x,field_y_nT,field_x_mG\n3,0,-,-2000,15\n"
      "3.5,500,-,-2500,12.5\n");
}

TEST_CASE("Separators are guessed from the header without quotes and brackets",
          "[acquire][closed-form]") {
  CHECK(qn::guess_separator("a,b,c") == ',');
  CHECK(qn::guess_separator("a;b,c;d") == ';');
  CHECK(qn::guess_separator("a\tb\tc") == '\t');
  CHECK(qn::guess_separator("\"a,a,a\";b") == ';');
  CHECK(qn::guess_separator("x (mean, max, min);y") == ';');
  CHECK(qn::guess_separator("alone") == ',');
}

TEST_CASE("A header repeated by a restarted recorder is passed over and said",
          "[acquire][closed-form]") {
  const std::string text =
      std::string{kHeader} + "\n0,1,2,3\n" + std::string{kHeader} + "\n1,1,2,3\n";
  const auto recording = read_text(text);
  REQUIRE(recording.has_value());
  CHECK(recording.value().size() == 2);
  CHECK(remarks_on(recording.value(), "header row is repeated once"));
}

TEST_CASE("All columns arrive, in our units", "[acquire][closed-form]") {
  const auto recording = read_text(
      "time_ms,field_x_nT,field_y_nT,field_z_nT,roll_rad,pitch_deg,accel_x "
      "(m/s2),accel_y_g,accel_z_g,"
      "heading_deg,current_mA,temperature_F\n"
      "0,1000,2000,3000,0,1,0,0,-1,90,500,32\n"
      "20,1000,2000,3000,0,1,9.80665,0,,91,500,212\n");
  REQUIRE(recording.has_value());
  const qn::SensorRecording& r = recording.value();
  CHECK(r.time_s == std::vector<double>{0.0, 0.02});
  CHECK(r.field[2] == std::vector<double>{3.0, 3.0});
  CHECK(r.accel_g[0] == std::vector<double>{0.0, 1.0});
  CHECK(r.accel_g[2][0] == -1.0);
  CHECK(std::isnan(r.accel_g[2][1]));
  CHECK(r.current_A == std::vector<double>{0.5, 0.5});
  CHECK(r.temperature_C[0] == Approx(0.0).margin(1e-12));  // freezing and boiling point of water
  CHECK(r.temperature_C[1] == Approx(100.0));
  CHECK(r.tally.missing_cells == 1);
  CHECK(r.tally.dropped_rows == 0);
}
