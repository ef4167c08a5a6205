// SPDX-License-Identifier: Apache-2.0
#include "app/place.h"

#include <catch2/catch.hpp>
#include <limits>
#include <string>

using qn::ErrorKind;
using qn::local_field_from;
using qn::parse_place;
using qn::place_text;

namespace {

using Text = std::optional<std::string>;
using Number = std::optional<double>;
constexpr std::nullopt_t kNone = std::nullopt;

// Every refusal is exit 2 and names its option.
void check_refused(const Text& at, const Text& on, Number h, Number z, const std::string& option) {
  INFO("at " << at.value_or("-") << ", on " << on.value_or("-") << ", option " << option);
  const auto field = local_field_from(at, on, h, z);
  REQUIRE_FALSE(field.has_value());
  CHECK(field.error().kind == ErrorKind::OutOfRange);
  CHECK(field.error().where.find(option) != std::string::npos);
}

}  // namespace

TEST_CASE("a place is latitude, longitude and perhaps height", "[app][closed-form]") {
  const auto plain = parse_place("-32.9,-68.8");
  REQUIRE(plain.has_value());
  CHECK(plain.value().latitude.in_deg() == -32.9);
  CHECK(plain.value().longitude.in_deg() == -68.8);
  CHECK(plain.value().height.in_m() == 0.0);
  const auto high = parse_place(" +47.05 , 8.3 , 430 ");
  REQUIRE(high.has_value());
  CHECK(high.value().latitude.in_deg() == 47.05);
  CHECK(high.value().height.in_m() == 430.0);
}

TEST_CASE("what is not a place is refused, naming --at", "[app][closed-form]") {
  for (const char* text :
       {"", ",", "10", "10,", "10,20,", "10,20,30,40", "ten,20", "10;20", "10.5N,20", "nan,0",
        "0,inf", "1e999,0", "0x10,20", "10 20", "--on", "+-5,0", "32,9,68,8"}) {
    INFO("'" << text << "'");
    const auto place = parse_place(text);
    REQUIRE_FALSE(place.has_value());
    CHECK(place.error().kind == ErrorKind::OutOfRange);
    CHECK(place.error().where == "option --at");
    CHECK(place.error().expected.rfind("LAT,LON", 0) == 0);
  }
  CHECK(parse_place("95,0").error().what.find("95") != std::string::npos);
  CHECK(parse_place("0,361").error().what.find("361") != std::string::npos);
  CHECK(parse_place("0,0,-1001").error().what.find("-1001") != std::string::npos);
}

TEST_CASE("the field comes from the model when place and day are given", "[app][published]") {
  // WMM2025 report, DOI 10.25923/prbc-s316, table of test values, row 2: H 39677.9, Z -10580.2 nT,
  // D -0.16 deg at 0 N 120 E, 2025.0; half the last printed digit.
  const auto field = local_field_from("0,120", "2025-01-01", kNone, kNone);
  REQUIRE(field.has_value());
  CHECK(field.value().horizontal_uT == Approx(39.6779).margin(5e-5).epsilon(0));
  CHECK(field.value().down_uT == Approx(-10.5802).margin(5e-5).epsilon(0));
  CHECK(field.value().variation->east_positive.in_deg() == Approx(-0.16).margin(5e-3).epsilon(0));
  CHECK(field.value().sigma_horizontal_uT == 0.133);
  CHECK(field.value().source == "WMM2025 for 2025-01-01");
}

TEST_CASE("a measured field is taken as given, its sigma is said to be an assumption",
          "[app][closed-form]") {
  const auto field = local_field_from(kNone, kNone, 20.0, -30.5);
  REQUIRE(field.has_value());
  CHECK(field.value().horizontal_uT == 20.0);
  CHECK(field.value().down_uT == -30.5);
  CHECK(field.value().sigma_horizontal_uT == 0.1);
  CHECK(field.value().sigma_down_uT == 0.1);
  CHECK_FALSE(field.value().variation.has_value());
  CHECK(field.value().source.find("0.1 uT each, our own assumption") != std::string::npos);
  CHECK(local_field_from(kNone, kNone, 30.0, 0.0).has_value());  // the magnetic equator
}

TEST_CASE("one pair or the other, whole: everything else names the option", "[app][closed-form]") {
  check_refused("10,20", kNone, kNone, kNone, "--on");
  check_refused(kNone, "2026-05-14", kNone, kNone, "--at");
  check_refused("10,20", "2026-05-14", 20.0, 30.0, "--horizontal-uT");
  check_refused("10,20", "2026-05-14", kNone, 30.0, "--vertical-uT");
  check_refused(kNone, "2026-05-14", 20.0, 30.0, "--on");
  check_refused(kNone, kNone, kNone, kNone, "--at");
  check_refused(kNone, kNone, 20.0, kNone, "--vertical-uT");
  check_refused(kNone, kNone, kNone, 30.0, "--horizontal-uT");
  check_refused("95,0", "2026-05-14", kNone, kNone, "--at");
  check_refused("10,20", "2024-12-31", kNone, kNone, "--on");
  check_refused("10,20", "2030-01-02", kNone, kNone, "--on");
  check_refused("10,20", "2026-02-29", kNone, kNone, "--on");
  check_refused("10,20", "yesterday", kNone, kNone, "--on");
}

TEST_CASE("a measured field that the Earth does not have is refused with the likely unit",
          "[app][closed-form]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double inf = std::numeric_limits<double>::infinity();
  check_refused(kNone, kNone, 0.0, 30.0, "--horizontal-uT");
  check_refused(kNone, kNone, -20.0, 30.0, "--horizontal-uT");
  check_refused(kNone, kNone, nan, 30.0, "--horizontal-uT");
  check_refused(kNone, kNone, inf, 30.0, "--horizontal-uT");
  check_refused(kNone, kNone, 20.0, nan, "--vertical-uT");
  check_refused(kNone, kNone, 20.0, -inf, "--vertical-uT");
  const auto remedy = [](double h, double z) {
    return local_field_from(kNone, kNone, h, z).error().remedy;
  };
  CHECK(remedy(20000.0, 40000.0).find("nanotesla") != std::string::npos);
  CHECK(remedy(21000.0, 10000.0).find("nanotesla") != std::string::npos);
  CHECK(remedy(0.20, 0.40).find("gauss: multiply") != std::string::npos);
  CHECK(remedy(200.0, 400.0).find("milligauss") != std::string::npos);
  CHECK(remedy(1.0, 1.0).find("look like") == std::string::npos);
}

TEST_CASE("a place prints as it was typed", "[app][closed-form]") {
  CHECK(place_text(parse_place("-32.9,-68.8").value()) == "-32.9, -68.8");
  CHECK(place_text(parse_place("47.05,8.3,430").value()) == "47.05, 8.3, 430 m");
}
