// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "earth/geomagnetic.h"
#include "vocab/heading.h"

namespace {

std::string whole_file(const std::string& path) {
  std::ifstream stream(path, std::ios::binary);
  INFO(path << " is made by tests/reference/make_reference");
  REQUIRE(stream.good());
  std::stringstream text;
  text << stream.rdbuf();
  return text.str();
}

struct Row {
  double year, lat_deg, lon_deg, height_km, x_nT, y_nT, z_nT, h_nT, f_nT, dip_deg, declination_deg;
};

std::vector<Row> rows_of(const std::string& name) {
  std::istringstream lines(whole_file(QN_REFERENCE_DIR "/" + name));
  std::string line;
  std::getline(lines, line);
  CHECK(line == "year,lat_deg,lon_deg,height_km,X_nT,Y_nT,Z_nT,H_nT,F_nT,I_deg,D_deg");
  std::vector<Row> rows;
  while (std::getline(lines, line)) {
    std::istringstream cells(line);
    std::vector<double> value;
    for (std::string cell; std::getline(cells, cell, ',');) value.push_back(std::stod(cell));
    REQUIRE(value.size() == 11);
    rows.push_back({value[0], value[1], value[2], value[3], value[4], value[5], value[6], value[7],
                    value[8], value[9], value[10]});
  }
  return rows;
}

void check_row(const Row& row, double tolerance_nT, double tolerance_deg) {
  INFO(row.year << ": " << row.lat_deg << ", " << row.lon_deg << ", " << row.height_km << " km");
  const auto field =
      qn::earth_field({qn::Angle::degrees(row.lat_deg), qn::Angle::degrees(row.lon_deg),
                       qn::Length::metres(row.height_km * 1e3)},
                      qn::DecimalYear::years(row.year));
  REQUIRE(field.has_value());
  const qn::FieldElements& e = field.value().value;
  CHECK(std::abs(e.north_uT * 1e3 - row.x_nT) <= tolerance_nT);
  CHECK(std::abs(e.east_uT * 1e3 - row.y_nT) <= tolerance_nT);
  CHECK(std::abs(e.down_uT * 1e3 - row.z_nT) <= tolerance_nT);
  CHECK(std::abs(e.horizontal_uT * 1e3 - row.h_nT) <= tolerance_nT);
  CHECK(std::abs(e.total_uT * 1e3 - row.f_nT) <= tolerance_nT);
  CHECK(std::abs(e.dip.in_deg() - row.dip_deg) <= tolerance_deg);
  CHECK(std::abs(qn::wrap_180_deg(e.declination.in_deg() - row.declination_deg)) <= tolerance_deg);
}

}  // namespace

TEST_CASE("500 random places agree with an implementation in another language",
          "[reference][published]") {
  // npm package geomagnetism 0.2.0, its own sum and its own copy of WMM2025. It rounds the polar
  // radius to 0.1 mm and divides by cos(latitude), which together move a component by up to 2e-6
  // nT; 1e-5 nT and the angle that makes at H = 1 uT are asked for.
  const auto rows = rows_of("places.csv");
  CHECK(rows.size() == 500);
  for (const Row& row : rows) check_row(row, 1e-5, 6e-7);
}

TEST_CASE("all 100 rows of the official test table", "[reference][published]") {
  // NOAA/NCEI and BGS, WMM2025_TestValues.txt, as carried by the same package. The table differs
  // from double precision by up to 7.2e-4 nT; its angles are printed to 0.01 deg.
  const auto rows = rows_of("table.csv");
  CHECK(rows.size() == 100);
  for (const Row& row : rows) check_row(row, 1e-3, 0.0051);
}

TEST_CASE("the committed coefficient file is what the package holds, byte for byte",
          "[reference][published]") {
  CHECK(whole_file(QN_SOURCE_DIR "/data/geomagnetic/WMM2025.COF") ==
        whole_file(QN_REFERENCE_DIR "/WMM2025.COF"));
}
