// SPDX-License-Identifier: Apache-2.0
#include "acquire/column_names.h"

#include <catch2/catch.hpp>

#include "acquire/log_texts.h"

using qn::LogQuantity;
using qn::test::contains;

namespace {

qn::Result<qn::LogColumns> find(std::vector<std::string> header,
                                std::vector<std::string> map = {}) {
  return qn::find_log_columns(header, map, "log.csv, line 1");
}

double in_ours(const qn::LogColumns& columns, LogQuantity q, double value) {
  return columns[q]->scale.apply(value);
}

}  // namespace

TEST_CASE("The names of the conventions are known", "[acquire][closed-form]") {
  const auto columns =
      find({"time_s", "field_x_uT", "field_y_uT", "field_z_uT", "roll_deg", "pitch_deg",
            "accel_x_g", "accel_y_g", "accel_z_g", "heading_deg", "current_A", "temperature_C"});
  REQUIRE(columns.has_value());
  for (std::size_t q = 0; q < qn::kLogQuantities; ++q) {
    REQUIRE(columns.value().of[q].has_value());
    CHECK(columns.value().of[q]->column == q);
    CHECK(columns.value().of[q]->scale.apply(12.5) == 12.5);
  }
  CHECK(columns.value().unit == qn::FieldUnit::microtesla);
}

TEST_CASE("Units come from a bracket or a suffix", "[acquire][published]") {
  // SI prefixes; 1 gauss = 1e-4 T (SI brochure, 9th edition, Table 8 of the 8th); standard gravity
  // 9.80665 m/s2 (3rd CGPM, 1901).
  const auto columns =
      find({"Time (ms)", "Magnetic Field x (µT)", "Magnetic Field y (nT)", "Magnetic Field z (mG)",
            "Roll (rad)", "Acceleration x (m/s²)", "Acceleration y (m/s^2)", "Acceleration z (mg)",
            "current_mA", "Temperature (°C)"});
  REQUIRE(columns.has_value());
  const qn::LogColumns& c = columns.value();
  CHECK(in_ours(c, LogQuantity::time, 1500.0) == 1.5);
  CHECK(in_ours(c, LogQuantity::field_x, 48.2) == 48.2);
  CHECK(in_ours(c, LogQuantity::field_y, 48213.0) == 48.213);
  CHECK(in_ours(c, LogQuantity::field_z, 482.0) == 48.2);
  CHECK(in_ours(c, LogQuantity::roll, 3.14159265358979312) == Approx(180.0).epsilon(1e-15));
  CHECK(in_ours(c, LogQuantity::accel_x, -9.80665) == -1.0);
  CHECK(in_ours(c, LogQuantity::accel_y, 9.80665) == 1.0);
  CHECK(in_ours(c, LogQuantity::accel_z, -1000.0) == -1.0);
  CHECK(in_ours(c, LogQuantity::current, 250.0) == 0.25);
  CHECK(in_ours(c, LogQuantity::temperature, 21.0) == 21.0);
}

TEST_CASE("The micro sign is known in all its spellings", "[acquire][closed-form]") {
  // U+00B5 and U+03BC in UTF-8, U+00B5 in Latin-1, and plain u.
  for (const char* unit : {"\xc2\xb5T", "\xce\xbcT", "\xb5T", "uT"}) {
    INFO(unit);
    const std::string bracket = std::string{" ("} + unit + ")";
    CHECK(find({"time_s", "mag_x" + bracket, "mag_y" + bracket, "mag_z" + bracket}).has_value());
  }
}

TEST_CASE("Gauss, millitesla, minutes and counts are known", "[acquire][published]") {
  const auto gauss = find({"t (min)", "mag_x_gauss", "mag_y (G)", "mag_z (mT)"});
  REQUIRE(gauss.has_value());
  CHECK(in_ours(gauss.value(), LogQuantity::time, 2.0) == 120.0);
  CHECK(in_ours(gauss.value(), LogQuantity::field_x, 0.5) == 50.0);
  CHECK(in_ours(gauss.value(), LogQuantity::field_y, 0.5) == 50.0);
  CHECK(in_ours(gauss.value(), LogQuantity::field_z, 0.05) == 50.0);
  const auto counts = find({"time_us", "field_x_raw", "field_y_raw", "field_z_raw"});
  REQUIRE(counts.has_value());
  CHECK(counts.value().unit == qn::FieldUnit::counts);
  CHECK(in_ours(counts.value(), LogQuantity::time, 20000.0) == 0.02);
}

TEST_CASE("--map names columns, and a unit in the column's own name counts",
          "[acquire][closed-form]") {
  const auto columns = find({"when", "A (nT)", "B", "C"},
                            {"time_s=when", "field_x_uT=A (nT)", "field_y_nT=B", "field_z_uT=c"});
  REQUIRE(columns.has_value());
  CHECK(columns.value()[LogQuantity::field_z]->column == 3);
  CHECK(in_ours(columns.value(), LogQuantity::field_y, 1000.0) == 1.0);
  const auto own = find({"time_s", "Magnetic Field x (nT)", "my_uT", "mz_uT"},
                        {"field_x_uT=Magnetic Field x (nT)"});
  REQUIRE(own.has_value());
  CHECK(in_ours(own.value(), LogQuantity::field_x, 1000.0) == 1.0);
}

TEST_CASE("Wrong --map entries are refused", "[acquire][closed-form]") {
  const std::vector<std::string> header = {"time_s", "field_x_uT", "field_y_uT", "field_z_uT"};
  CHECK(find(header, {"field_x_uT"}).error().kind == qn::ErrorKind::OutOfRange);
  CHECK(find(header, {"fieldx=time_s"}).error().kind == qn::ErrorKind::OutOfRange);
  CHECK(find(header, {"roll=time_s"}).error().kind == qn::ErrorKind::OutOfRange);
  CHECK(find(header, {"field_x_uT=nope"}).error().kind == qn::ErrorKind::BadInput);
  CHECK(contains(find(header, {"field_x_uT=nope"}).error().expected, "field_y_uT"));
  CHECK(find(header, {"time_s=time_s", "time_ms=field_x_uT"}).error().kind ==
        qn::ErrorKind::OutOfRange);
}

TEST_CASE("What is missing or in doubt is refused with advice", "[acquire][closed-form]") {
  const auto no_time = find({"field_x_uT", "field_y_uT", "field_z_uT"});
  CHECK(contains(no_time.error().what, "time"));
  CHECK(contains(no_time.error().remedy, "--map time_s="));
  const auto no_z = find({"time_s", "field_x_uT", "field_y_uT"});
  CHECK(contains(no_z.error().what, "field_z_uT"));
  CHECK(contains(find({"time_s", "field_x", "field_y_uT", "field_z_uT"}).error().what,
                 "does not say its unit"));
  CHECK(contains(find({"time_s", "field_x (furlong)", "field_y_uT", "field_z_uT"}).error().what,
                 "unit"));
  CHECK(
      contains(find({"time_s", "field_x_uT", "mag_x_uT", "field_y_uT", "field_z_uT"}).error().what,
               "same quantity"));
  CHECK(
      contains(find({"time_s", "field_x_raw", "field_y_uT", "field_z_uT"}).error().what, "counts"));
}

TEST_CASE("Optional columns that cannot be used are left out and said", "[acquire][closed-form]") {
  const auto columns = find({"time_s", "field_x_uT", "field_y_uT", "field_z_uT", "roll",
                             "accel_x_g", "accel_y_g", "note"});
  REQUIRE(columns.has_value());
  CHECK_FALSE(columns.value()[LogQuantity::roll].has_value());
  CHECK_FALSE(columns.value()[LogQuantity::accel_x].has_value());
  CHECK(columns.value().remarks.size() == 2);
}

TEST_CASE("a heading will do where there is no field at all and that was asked for", "[acquire]") {
  using qn::LogNeeds;
  const auto find = [](const std::vector<std::string>& header, LogNeeds needs) {
    return qn::find_log_columns(header, {}, "display.csv, line 1", needs);
  };
  const auto display = find({"time_s", "heading_deg"}, LogNeeds::field_or_heading);
  REQUIRE(display.has_value());
  CHECK(display.value().heading_alone);
  CHECK_FALSE(find({"time_s", "heading_deg"}, LogNeeds::field).has_value());
  CHECK_FALSE(
      find({"time_s", "field_x_uT", "heading_deg"}, LogNeeds::field_or_heading).has_value());
  CHECK_FALSE(find({"time_s", "roll_deg"}, LogNeeds::field_or_heading).has_value());
}
