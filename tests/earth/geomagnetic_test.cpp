// SPDX-License-Identifier: Apache-2.0
#include "earth/geomagnetic.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <string>

#include "earth/wmm2025_coefficients.h"
#include "support/check_file.h"

using qn::Angle;
using qn::CompassZone;
using qn::DecimalYear;
using qn::earth_field;
using qn::EarthField;
using qn::FieldElements;
using qn::GeodeticPoint;
using qn::Length;

namespace {

GeodeticPoint point(double lat_deg, double lon_deg, double height_km) {
  return {Angle::degrees(lat_deg), Angle::degrees(lon_deg), Length::metres(height_km * 1e3)};
}

EarthField field_at(double lat_deg, double lon_deg, double height_km, double year) {
  const auto field = earth_field(point(lat_deg, lon_deg, height_km), DecimalYear::years(year));
  REQUIRE(field.has_value());
  return field.value();
}

void add(std::map<std::string, double>& all, const FieldElements& e, const std::string& per) {
  all["X_nT" + per] = e.north_uT * 1e3;
  all["Y_nT" + per] = e.east_uT * 1e3;
  all["Z_nT" + per] = e.down_uT * 1e3;
  all["H_nT" + per] = e.horizontal_uT * 1e3;
  all["F_nT" + per] = e.total_uT * 1e3;
  all["I_deg" + per] = e.dip.in_deg();
  all["D_deg" + per] = e.declination.in_deg();
}

void check_published(const std::string& name) {
  const auto file = qn::test::read_check_file(name);
  CHECK(file.data_sha256 == qn::kWmm2025CofSha256);
  for (const auto& row : file.cases) {
    auto in = row.input;
    const auto field = field_at(in["lat_deg"], in["lon_deg"], in["height_km"], in["year"]);
    std::map<std::string, double> computed;
    add(computed, field.value, "");
    add(computed, field.per_year, "_yr");
    for (const auto& [column, published] : row.result) {
      INFO(name << ", line " << row.line << ", " << column);
      CHECK(std::abs(computed.at(column) - published) <= file.tolerance.at(column));
    }
  }
  for (const auto& row : file.fails) {
    INFO(name << ", line " << row.line);
    auto in = row.input;
    const auto field = earth_field(point(in["lat_deg"], in["lon_deg"], in["height_km"]),
                                   DecimalYear::years(in["year"]));
    REQUIRE_FALSE(field.has_value());
    CHECK(row.error_kind == "OutOfRange");
    CHECK(field.error().kind == qn::ErrorKind::OutOfRange);
  }
}

}  // namespace

TEST_CASE("WMM2025 gives the report's 12 rows and refuses what lies outside",
          "[earth][published]") {
  const auto file = qn::test::read_check_file("wmm2025-report.check");
  CHECK(file.cases.size() == 12);
  CHECK(file.fails.size() == 8);
  check_published("wmm2025-report.check");
}

TEST_CASE("WMM2025 gives every second row of the official 100-row table, with its rates",
          "[earth][published]") {
  CHECK(qn::test::read_check_file("wmm2025-test-values.check").cases.size() == 50);
  check_published("wmm2025-test-values.check");
}

TEST_CASE("WMM2025 gives the first 12 rows of the official table", "[earth][published]") {
  CHECK(qn::test::read_check_file("wmm2025-package-rows.check").cases.size() == 12);
  check_published("wmm2025-package-rows.check");
}

TEST_CASE("WMM2025 gives the report's numerical example", "[earth][published]") {
  // WMM2025 technical report, DOI 10.25923/prbc-s316, tables 3a and 3b: 2027.5, 100 km, 80 S,
  // 240 E. Printed to 1e-10 nT; 1e-7 allows for adding 90 terms of up to 3e4 nT in doubles.
  const auto field = field_at(-80, 240, 100, 2027.5);
  CHECK(field.value.north_uT * 1e3 == Approx(5983.9760496518).margin(1e-7).epsilon(0));
  CHECK(field.value.east_uT * 1e3 == Approx(14760.1359757868).margin(1e-7).epsilon(0));
  CHECK(field.value.down_uT * 1e3 == Approx(-49317.6706154255).margin(1e-7).epsilon(0));
  CHECK(field.value.total_uT * 1e3 == Approx(51825.6907172314).margin(1e-7).epsilon(0));
  CHECK(field.value.horizontal_uT * 1e3 == Approx(15927.0079860130).margin(1e-7).epsilon(0));
  CHECK(field.value.declination.in_rad() == Approx(1.1856308407).margin(6e-11).epsilon(0));
  CHECK(field.value.dip.in_rad() == Approx(-1.2584221541).margin(6e-11).epsilon(0));
  CHECK(field.per_year.north_uT * 1e3 == Approx(30.5553533530).margin(1e-8).epsilon(0));
  CHECK(field.per_year.east_uT * 1e3 == Approx(-8.0494228995).margin(1e-8).epsilon(0));
  CHECK(field.per_year.down_uT * 1e3 == Approx(89.2174069382).margin(1e-8).epsilon(0));
  CHECK(field.per_year.total_uT * 1e3 == Approx(-83.6643506802).margin(1e-8).epsilon(0));
  CHECK(field.per_year.horizontal_uT * 1e3 == Approx(4.0203361601).margin(1e-8).epsilon(0));
  CHECK(field.per_year.declination.in_rad() == Approx(-0.0019677910).margin(6e-11).epsilon(0));
  CHECK(field.per_year.dip.in_rad() == Approx(0.0006028663).margin(6e-11).epsilon(0));
}

TEST_CASE("WMM2025 agrees with a port of the model's own C program", "[earth][published]") {
  // Values of a port of NCEI's C code, 65 N 85 E, 0 km, 2026.5, printed to 1e-11 nT and more.
  // That code rounds the polar radius to 0.1 mm (4.5e-5 m short), which moves Z by
  // 3 * 60367 nT / 6.36e6 m * 4.5e-5 m = 1.3e-6 nT.
  const auto field = field_at(65, 85, 0, 2026.5);
  CHECK(field.value.north_uT * 1e3 == Approx(8739.604074620373).margin(1.5e-6).epsilon(0));
  CHECK(field.value.east_uT * 1e3 == Approx(2229.254013719841).margin(1.5e-6).epsilon(0));
  CHECK(field.value.down_uT * 1e3 == Approx(60367.1560360288649).margin(1.5e-6).epsilon(0));
  CHECK(field.value.total_uT * 1e3 == Approx(61037.23274131179).margin(1.5e-6).epsilon(0));
  CHECK(field.value.dip.in_deg() == Approx(81.50231579494661).margin(1e-9).epsilon(0));
  CHECK(field.value.declination.in_deg() == Approx(14.3095835428016975).margin(1e-9).epsilon(0));
}

TEST_CASE("the committed coefficients are those published", "[earth][published]") {
  // First, fifteenth and last row of the published coefficient file, and the count of its rows.
  REQUIRE(qn::kWmm2025Terms.size() == 90);
  CHECK(qn::kWmm2025Terms[0].g_nT == -29351.8);
  CHECK(qn::kWmm2025Terms[1].h_rate_nT == -21.5);
  CHECK(qn::kWmm2025Terms[13].h_nT == -375.6);
  CHECK(qn::kWmm2025Terms[89].h_rate_nT == -0.1);
}

TEST_CASE("the model's own 1-sigma is that of the report", "[earth][published]") {
  // WMM2025 technical report, error model: X 137, Y 89, Z 141, H 133, F 138 nT, I 0.20 deg,
  // D sqrt(0.26^2 + (5417 / H)^2) deg, H in nT. The two D figures are the formula worked by hand
  // for H = 39677.9 and 6523.2 nT (rows 2 and 1 of the 12), to 1e-4 deg.
  const auto equator = field_at(0, 120, 0, 2025.0).sigma;
  CHECK(equator.north_uT == 0.137);
  CHECK(equator.east_uT == 0.089);
  CHECK(equator.down_uT == 0.141);
  CHECK(equator.horizontal_uT == 0.133);
  CHECK(equator.total_uT == 0.138);
  CHECK(equator.dip.in_deg() == 0.20);
  CHECK(equator.declination.in_deg() == Approx(0.2937).margin(5e-5).epsilon(0));
  CHECK(field_at(80, 0, 0, 2025.0).sigma.declination.in_deg() ==
        Approx(0.8702).margin(5e-5).epsilon(0));
}

TEST_CASE("caution and blackout zones follow the horizontal field", "[earth][published]") {
  // WMM report, section 1.8: blackout below 2000 nT, caution from there to 6000 nT. H of these
  // places stands in the official table (rows 1, 3) and in the 12 rows (row 1): 1504, 2302, 6523.
  CHECK(field_at(89, -121, 28, 2025.0).zone == CompassZone::blackout);
  CHECK(field_at(82, 87, 54, 2025.0).zone == CompassZone::caution);
  CHECK(field_at(80, 0, 0, 2025.0).zone == CompassZone::none);
}

TEST_CASE("at the poles every number is finite and the field does not depend on the meridian",
          "[earth][closed-form]") {
  // At a pole the longitude only says which way "north" is: D turns with it, H, Z and F stay.
  for (const double lat_deg : {90.0, -90.0}) {
    const auto zero = field_at(lat_deg, 0, 0, 2026.0);
    const auto other = field_at(lat_deg, 70, 0, 2026.0);
    CHECK(std::isfinite(zero.value.declination.in_deg()));
    CHECK(std::isfinite(zero.sigma.declination.in_deg()));
    CHECK(std::isfinite(zero.per_year.declination.in_deg()));
    CHECK(other.value.horizontal_uT == Approx(zero.value.horizontal_uT).epsilon(1e-9));
    CHECK(other.value.down_uT == Approx(zero.value.down_uT).epsilon(1e-9));
    const double turned_deg = zero.value.declination.in_deg() - other.value.declination.in_deg();
    const double expected_deg = lat_deg > 0 ? -70.0 : 70.0;
    CHECK(std::abs(qn::wrap_180_deg(turned_deg - expected_deg)) < 1e-9);
  }
}

TEST_CASE("the yearly change is the slope of the values", "[earth][closed-form]") {
  // Central difference over 0.02 years; the second derivative times (0.01)^2 / 6 is below 1e-9.
  const auto middle = field_at(-32.9, -68.8, 0.9, 2026.0).per_year;
  const auto before = field_at(-32.9, -68.8, 0.9, 2025.99).value;
  const auto after = field_at(-32.9, -68.8, 0.9, 2026.01).value;
  CHECK((after.declination - before.declination).in_deg() / 0.02 ==
        Approx(middle.declination.in_deg()).margin(1e-7));
  CHECK((after.dip - before.dip).in_deg() / 0.02 == Approx(middle.dip.in_deg()).margin(1e-7));
  CHECK((after.total_uT - before.total_uT) / 0.02 == Approx(middle.total_uT).margin(1e-7));
}

TEST_CASE("a longitude may be counted either way round", "[earth][closed-form]") {
  const auto west = field_at(-32.9, -68.8, 0, 2026.0).value;
  const auto east = field_at(-32.9, 291.2, 0, 2026.0).value;
  CHECK(west.north_uT == Approx(east.north_uT).epsilon(1e-12));
  CHECK(west.east_uT == Approx(east.east_uT).epsilon(1e-12));
}

TEST_CASE("both ends of the model's range are inside, and no number is refused",
          "[earth][closed-form]") {
  CHECK(earth_field(point(90, 360, -1), DecimalYear::years(2025.0)).has_value());
  CHECK(earth_field(point(-90, -360, 850), DecimalYear::years(2030.0)).has_value());
  CHECK_FALSE(earth_field(point(NAN, 0, 0), DecimalYear::years(2026.0)).has_value());
  CHECK_FALSE(earth_field(point(0, NAN, 0), DecimalYear::years(2026.0)).has_value());
  CHECK_FALSE(earth_field(point(0, 0, NAN), DecimalYear::years(2026.0)).has_value());
  CHECK_FALSE(earth_field(point(0, 0, 0), DecimalYear::years(NAN)).has_value());
}

TEST_CASE("what the other commands get is the same field, without variation in the blackout zone",
          "[earth][closed-form]") {
  const auto date = qn::CalendarDate::from_parts(2026, 5, 14).value();
  const auto field = field_at(-32.9, -68.8, 0, 2026.3);
  const auto local = local_field_of(field, date);
  CHECK(local.horizontal_uT == field.value.horizontal_uT);
  CHECK(local.down_uT == field.value.down_uT);
  CHECK(local.sigma_horizontal_uT == 0.133);
  CHECK(local.sigma_down_uT == 0.141);
  CHECK(local.variation->east_positive == field.value.declination);
  CHECK(local.sigma_variation.value() == field.sigma.declination);
  CHECK(local.source == "WMM2025 for 2026-05-14");
  CHECK(local.total_uT() == Approx(field.value.total_uT).epsilon(1e-12));
  const auto dark = local_field_of(field_at(89, -121, 28, 2025.0), date);
  CHECK_FALSE(dark.variation.has_value());
  CHECK_FALSE(dark.sigma_variation.has_value());
}
