// SPDX-License-Identifier: Apache-2.0
#include "app/apply_sensor_fit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <sstream>
#include <string>
#include <vector>

#include "simulate/sensor_recording_maker.h"
#include "support/temporary_folder.h"
#include "support/whole_fit.h"
#include "vocab/heading.h"

using namespace qn;

namespace {

struct Row {
  double time_s, x, y, z, heading, lo, hi;
};

std::vector<Row> rows_of(const std::string& csv) {
  std::istringstream lines(csv);
  std::string line;
  std::getline(lines, line);
  CHECK(line.rfind("# ", 0) == 0);
  std::getline(lines, line);
  CHECK(line ==
        "time_s,field_x_uT,field_y_uT,field_z_uT,heading_deg,heading_lo_deg,heading_hi_deg");
  std::vector<Row> out;
  while (std::getline(lines, line)) {
    for (char& c : line) {
      if (c == ',') c = ' ';
    }
    std::istringstream cells(line);
    Row row{};
    cells >> row.time_s >> row.x >> row.y >> row.z >> row.heading >> row.lo >> row.hi;
    REQUIRE(cells);
    out.push_back(row);
  }
  return out;
}

// How far `deg` lies inside the band from lo clockwise to hi; below 0: outside.
bool within(double deg, const Row& row) {
  return wrap_360_deg(deg - row.lo) <= wrap_360_deg(row.hi - row.lo);
}

struct Correction {
  Matrix3 matrix{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
  Vector3 offset{};
  FieldUnit unit = FieldUnit::microtesla;
  double noise_uT = 0.0;
  FitCovariance covariance = samples::twelve(0.0, 0.0);
};

std::string fit_json(const Correction& c) {
  FitDocument document = samples::document_of(samples::within_swing());
  document.fit.raw_unit = c.unit;
  document.fit.correction->matrix = c.matrix;
  document.fit.correction->offset_raw = c.offset;
  document.fit.correction->covariance = c.covariance;
  document.fit.noise.sigma_uT = c.noise_uT;
  return to_json(document);
}

std::string log_csv(const SensorRecording& recording) {
  std::ostringstream out;
  out.precision(12);
  out << "time_s,field_x_uT,field_y_uT,field_z_uT\n";
  for (std::size_t k = 0; k < recording.size(); ++k) {
    out << recording.time_s[k] << ',' << recording.field[0][k] << ',' << recording.field[1][k]
        << ',' << recording.field[2][k] << '\n';
  }
  return out.str();
}

std::vector<Row> applied(const std::string& fit, const std::string& log) {
  const test::TemporaryFolder folder;
  const auto out =
      apply_sensor_fit({folder.write("fit.json", fit), folder.write("log.csv", log), {}});
  if (!out) FAIL(to_text(out.error()));
  const auto rows = rows_of(out.value().csv);
  CHECK(out.value().samples == rows.size());
  return rows;
}

}  // namespace

TEST_CASE("the true correction on a simulated swing gives headings within their bands",
          "[app][synthetic]") {
  simulate::RecordingPlan plan;
  plan.motion = simulate::Swing{};
  plan.truth.true_field = samples::middle_latitude();
  plan.truth.soft_iron = {{{1.05, 0.02, -0.01}, {-0.03, 0.96, 0.02}, {0.01, 0.0, 1.02}}};
  plan.truth.hard_iron_uT = {8.0, -5.0, 3.0};
  plan.truth.noise.white_sigma_uT = 0.2;
  plan.seed = 4;
  const auto made = simulate::make_recording(plan);
  const auto rows = applied(fit_json({.matrix = simulate::inverted(plan.truth.soft_iron),
                                      .offset = plan.truth.hard_iron_uT,
                                      .noise_uT = 0.2}),
                            log_csv(made.recording));
  REQUIRE(rows.size() == made.recording.size());
  std::size_t inside = 0;
  for (std::size_t k = 0; k < rows.size(); ++k) {
    CHECK(rows[k].time_s == Approx(made.recording.time_s[k]).margin(1e-9));
    CHECK(rows[k].heading < 360.0);
    // Half a microtesla across 19.5 is 1.5 degrees; 5 sigma of 0.2 are twice that.
    CHECK(std::abs(wrap_180_deg(rows[k].heading - made.heading_deg[k])) < 3.0);
    if (within(made.heading_deg[k], rows[k])) ++inside;
  }
  // 95 % of about 1400 samples, white noise: 4 sigma of the share are 2.4 %. (The inverse of the
  // soft iron passes noise on with 0.96 to 1.04 of its size: half a percent of the share.)
  const double share = static_cast<double>(inside) / static_cast<double>(rows.size());
  CHECK(share > 0.95 - 0.03);
  CHECK(share < 0.95 + 0.03);
}

TEST_CASE("one sample worked by hand: offset, matrix, heading and band", "[app][closed-form]") {
  // raw (11, -18, 44) less (1, 2, 4) is (10, -20, 40); times diag(2, 1, 1): (20, -20, 40), which
  // points to 045: x forward and y right are equal in size, north is to the left.
  Correction c;
  c.matrix = {{{2, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
  c.offset = {1, 2, 4};
  // Across the heading sigma is 0.1 over hypot(20, 20) = 28.2843: 0.20257 degrees, times 1.959964.
  c.noise_uT = 0.1;
  const auto rows =
      applied(fit_json(c), "time_s,field_x_uT,field_y_uT,field_z_uT\n0,11,-18,44\n1,11,-18,44\n");
  REQUIRE(rows.size() == 2);
  CHECK(rows[1].time_s == 1.0);
  CHECK(rows[0].x == 20.0);
  CHECK(rows[0].y == -20.0);
  CHECK(rows[0].z == 40.0);
  CHECK(rows[0].heading == 45.0);
  CHECK(rows[0].lo == Approx(45.0 - 0.397).margin(0.0051));
  CHECK(rows[0].hi == Approx(45.0 + 0.397).margin(0.0051));
}

TEST_CASE("what is not known of the correction is in the band", "[app][closed-form]") {
  Correction c;
  // Pointing north with H = 20: only y counts. Offset y known to 0.3, matrix_21 to 0.01, which
  // acts on x = 20: hypot(0.3, 0.2) / 20 = 1.0329 degrees, times 1.959964 = 2.0245.
  c.covariance.values[10][10] = 0.09;
  c.covariance.values[3][3] = 0.0001;
  const auto rows =
      applied(fit_json(c), "time_s,field_x_uT,field_y_uT,field_z_uT\n0,20,0,40\n1,20,0,40\n");
  CHECK(rows[0].heading == 0.0);
  CHECK(rows[0].hi == Approx(2.0245).margin(0.0051));
  CHECK(rows[0].lo == Approx(360.0 - 2.0245).margin(0.0051));  // a band across north
}

TEST_CASE("roll and pitch of the log level the heading", "[app][closed-form]") {
  // Nose up 30 on north, H = 20, Z = 40: x = 20 cos 30 - 40 sin 30 = -2.6795, z = 20 sin 30 +
  // 40 cos 30 = 44.6410. Taken as level that would read south.
  const std::string with =
      "time_s,field_x_uT,field_y_uT,field_z_uT,roll_deg,pitch_deg\n"
      "0,-2.679492,0,44.641016,0,30\n1,-2.679492,0,44.641016,0,30\n";
  const std::string without =
      "time_s,field_x_uT,field_y_uT,field_z_uT\n"
      "0,-2.679492,0,44.641016\n1,-2.679492,0,44.641016\n";
  CHECK(applied(fit_json({}), with)[0].heading == 0.0);
  CHECK(applied(fit_json({}), without)[0].heading == 180.0);
}

TEST_CASE("a correction for counts is refused on a log in microtesla, and the other way round",
          "[app][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string counts_fit = folder.write("counts.json", fit_json({.unit = FieldUnit::counts}));
  const std::string plain_fit = folder.write("plain.json", fit_json({}));
  const std::string plain_log =
      folder.write("plain.csv", "time_s,field_x_uT,field_y_uT,field_z_uT\n0,1,2,3\n1,2,3,4\n");
  const std::string counts_log =
      folder.write("counts.csv", "time_s,field_x_raw,field_y_raw,field_z_raw\n0,1,2,3\n1,2,3,4\n");
  const auto one = apply_sensor_fit({counts_fit, plain_log, {}});
  REQUIRE_FALSE(one.has_value());
  CHECK(one.error().kind == ErrorKind::BadInput);
  CHECK(one.error().what == "the correction is for raw counts and the log holds microtesla");
  CHECK(one.error().where == "plain.csv against counts.json");
  const auto other = apply_sensor_fit({plain_fit, counts_log, {}});
  REQUIRE_FALSE(other.has_value());
  CHECK(other.error().what == "the correction is for microtesla and the log holds raw counts");
  CHECK(apply_sensor_fit({counts_fit, counts_log, {}}).has_value());
}

TEST_CASE("a file that is missing or not what it should be is named", "[app][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string fit = folder.write("fit.json", fit_json({}));
  const std::string log =
      folder.write("log.csv", "time_s,field_x_uT,field_y_uT,field_z_uT\n0,1,2,3\n1,2,3,4\n");
  const auto where = [](const ApplyRequest& request) {
    const auto out = apply_sensor_fit(request);
    REQUIRE_FALSE(out.has_value());
    CHECK(out.error().kind == ErrorKind::BadInput);
    return out.error().where;
  };
  CHECK(where({folder.path("none.json"), log, {}}).find("none.json") != std::string::npos);
  CHECK(where({fit, folder.path("none.csv"), {}}).find("none.csv") != std::string::npos);
  CHECK(where({log, fit, {}}) == "log.csv");  // the two given in the wrong order
}

TEST_CASE("columns of the log can be named for apply as well", "[app][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string fit = folder.write("fit.json", fit_json({}));
  const std::string log = folder.write("log.csv", "t,a,b,c\n0,20,0,40\n1,0,-20,40\n");
  const auto out =
      apply_sensor_fit({fit, log, {"time_s=t", "field_x_uT=a", "field_y_uT=b", "field_z_uT=c"}});
  if (!out) FAIL(to_text(out.error()));
  CHECK(rows_of(out.value().csv)[1].heading == 90.0);
}
