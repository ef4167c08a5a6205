// SPDX-License-Identifier: Apache-2.0
#include "app/fit_options.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

using qn::FitRequest;
using qn::parse_fit_options;

namespace {

FitRequest plain() {
  FitRequest request;
  request.at = "49.3,10.2";
  request.on = "2026-05-14";
  return request;
}

qn::SensorFitOptions good(const FitRequest& request) {
  const auto options = parse_fit_options(request);
  if (!options) FAIL(to_text(options.error()));
  return options.value();
}

// Refused with the option's exact name, and with the value that was given.
void check_refused(const FitRequest& request, const std::string& option, const std::string& value) {
  INFO(option << " " << value);
  const auto options = parse_fit_options(request);
  REQUIRE_FALSE(options.has_value());
  INFO(to_text(options.error()));
  CHECK(options.error().kind == qn::ErrorKind::OutOfRange);
  CHECK(options.error().where == "option " + option);
  CHECK(options.error().what.find("'" + value + "'") != std::string::npos);
  CHECK(options.error().expected.size() > 10);
  CHECK(options.error().remedy.size() > 10);
}

using Member = std::optional<std::string> FitRequest::*;

void check_all_refused(Member member, const std::string& option,
                       const std::vector<std::string>& values) {
  for (const std::string& value : values) {
    FitRequest request = plain();
    request.*member = value;
    check_refused(request, option, value);
  }
}

const double kNan = std::numeric_limits<double>::quiet_NaN();
const double kInfinity = std::numeric_limits<double>::infinity();

}  // namespace

TEST_CASE("without options each has its honest default", "[app][closed-form]") {
  const auto options = good(plain());
  CHECK(options.motion == qn::Motion::automatic);
  CHECK_FALSE(options.mounting_given);
  CHECK(options.mounting.rows() == qn::Rotation<qn::Body, qn::Sensor>::identity().rows());
  CHECK_FALSE(options.ground_slope.given);
  CHECK(options.ground_slope.sigma.in_deg() == Approx(0.5));
  CHECK_FALSE(options.deck_tilt.given);
  CHECK(options.deck_tilt.sigma.in_deg() == Approx(0.5));
  CHECK_FALSE(options.accelerometer_reads_down);
  CHECK(options.known_headings.empty());
  CHECK(options.station_sigma.in_deg() == Approx(0.5));
  CHECK(options.north_sigma.in_deg() == Approx(0.3));
  CHECK(options.limit.value.in_deg() == Approx(1.0));
  CHECK(options.limit.basis == "starting limit of this program, not a published one");
  CHECK(options.earth.horizontal_uT > 0.0);
}

TEST_CASE("--motion takes its four words and no other", "[app][closed-form]") {
  FitRequest request = plain();
  request.stations_path = "stations.csv";
  const std::vector<std::pair<const char*, qn::Motion>> words{{"auto", qn::Motion::automatic},
                                                              {"tumble", qn::Motion::tumble},
                                                              {"swing", qn::Motion::swing},
                                                              {"stations", qn::Motion::stations}};
  for (const auto& [word, motion] : words) {
    request.motion = word;
    CHECK(good(request).motion == motion);
  }
  check_all_refused(&FitRequest::motion, "--motion", {"", "Tumble", "swing ", "spin"});
}

TEST_CASE("--motion stations without a stations file is refused", "[app][closed-form]") {
  FitRequest request = plain();
  request.motion = "stations";
  check_refused(request, "--motion", "stations");
}

TEST_CASE("--mount turns the axes that it names", "[app][closed-form]") {
  FitRequest request = plain();
  for (const char* text : {"x=-y,y=x,z=z", "z=+z, y=x ,x=-y"}) {
    request.mount = text;
    const auto options = good(request);
    CHECK(options.mounting_given);
    CHECK(options.mounting.apply({1, 2, 3}) == qn::Vector3{-2, 1, 3});
  }
  check_all_refused(&FitRequest::mount, "--mount",
                    {"", "x=y,y=x,z=z", "x=x,y=y,z=-z", "x=x,y=y", "x=x,y=y,z=w", "x=x,x=y,z=z",
                     "x=x,y=x,z=z", "x:x,y:y,z:z", "x=x,y=y,z=", "a=x,y=y,z=z", "x=--x,y=y,z=z"});
}

TEST_CASE("--mount-deg takes three angles", "[app][closed-form]") {
  FitRequest request = plain();
  request.mount_deg = "+90, 0,0";
  const auto options = good(request);
  CHECK(options.mounting_given);
  CHECK(options.mounting.apply({1, 0, 0})[1] == Approx(1.0));  // the sensor's x points right
  check_all_refused(&FitRequest::mount_deg, "--mount-deg",
                    {"", "90", "90,0", "90,0,0,0", "a,b,c", "inf,0,0", "nan,0,0", "90,,0",
                     "1e999,0,0", "90deg,0,0"});
}

TEST_CASE("--mount and --mount-deg together are refused", "[app][closed-form]") {
  FitRequest request = plain();
  request.mount = "x=x,y=y,z=z";
  request.mount_deg = "0,0,0";
  check_refused(request, "--mount-deg", "0,0,0");
}

TEST_CASE("--slope-deg: a steepness of unknown direction has half its square each way",
          "[app][closed-form]") {
  FitRequest request = plain();
  request.slope_deg = "0.3,0.2";
  auto slope = good(request).ground_slope;
  CHECK(slope.given);
  CHECK(slope.sigma.in_deg() == Approx(std::sqrt(0.045 + 0.04)));
  CHECK(slope.first.in_deg() == 0.0);
  CHECK(slope.second.in_deg() == 0.0);
  request.slope_deg = "1";  // sigma 0.1 when not said
  CHECK(good(request).ground_slope.sigma.in_deg() == Approx(std::sqrt(0.51)));
  request.slope_deg = "0,0";  // never nothing
  CHECK(good(request).ground_slope.sigma.in_deg() == Approx(0.01));
  check_all_refused(&FitRequest::slope_deg, "--slope-deg",
                    {"", "-0.1", "20.1", "1,-1", "1,20.1", "1,2,3", "flat", "nan", "1%"});
}

TEST_CASE("--deck-deg is roll, pitch and how well known", "[app][closed-form]") {
  FitRequest request = plain();
  request.deck_deg = "-0.5,2.5,0.3";
  auto deck = good(request).deck_tilt;
  CHECK(deck.given);
  CHECK(deck.first.in_deg() == Approx(-0.5));
  CHECK(deck.second.in_deg() == Approx(2.5));
  CHECK(deck.sigma.in_deg() == Approx(0.3));
  request.deck_deg = "0,12";
  CHECK(good(request).deck_tilt.sigma.in_deg() == Approx(0.2));
  request.deck_deg = "0,12,0";
  CHECK(good(request).deck_tilt.sigma.in_deg() == Approx(0.01));
  check_all_refused(&FitRequest::deck_deg, "--deck-deg",
                    {"", "1", "30.1,0", "0,-30.1", "1,2,-0.1", "1,2,20.1", "1,2,3,4", "a,b"});
}

TEST_CASE("--accel-reads is up or down", "[app][closed-form]") {
  FitRequest request = plain();
  request.accel_reads = "down";
  CHECK(good(request).accelerometer_reads_down);
  request.accel_reads = "up";
  CHECK_FALSE(good(request).accelerometer_reads_down);
  check_all_refused(&FitRequest::accel_reads, "--accel-reads", {"", "Up", "sideways"});
}

TEST_CASE("--known-heading is a time and a heading below 360", "[app][closed-form]") {
  FitRequest request = plain();
  request.known_headings = {"42.5,090", "0, 359.9"};
  const auto known = good(request).known_headings;
  REQUIRE(known.size() == 2);
  CHECK(known[0].time_s == 42.5);
  CHECK(known[0].heading_deg == 90.0);
  CHECK(known[1].heading_deg == 359.9);
  for (const char* bad :
       {"", "42.5", "1,360", "1,-1", "1,2,3", "a,1", "1,north", "1e999,1", "1;090"}) {
    request.known_headings = {"42.5,090", bad};
    check_refused(request, "--known-heading", bad);
  }
}

TEST_CASE("sigmas are above 0 and at most 30 degrees", "[app][closed-form]") {
  FitRequest request = plain();
  request.station_sigma_deg = 30.0;
  request.north_sigma_deg = 0.05;
  CHECK(good(request).station_sigma.in_deg() == Approx(30.0));
  CHECK(good(request).north_sigma.in_deg() == Approx(0.05));
  const std::vector<std::pair<double, const char*>> bad{
      {0.0, "0"}, {-1.0, "-1"}, {30.5, "30.5"}, {kNan, "nan"}, {kInfinity, "inf"}};
  for (const auto& [value, text] : bad) {
    FitRequest station = plain();
    station.station_sigma_deg = value;
    check_refused(station, "--station-sigma-deg", text);
    FitRequest north = plain();
    north.north_sigma_deg = value;
    check_refused(north, "--north-sigma-deg", text);
  }
}

TEST_CASE("a limit of one's own says so, or says where it is from", "[app][closed-form]") {
  FitRequest request = plain();
  request.limit_deg = 2.5;
  CHECK(good(request).limit.value.in_deg() == Approx(2.5));
  CHECK(good(request).limit.basis == "your own limit");
  request.limit_basis = "the maker's letter of May";
  CHECK(good(request).limit.basis == "the maker's letter of May");
  request.limit_basis = "";
  CHECK(good(request).limit.basis == "your own limit");
  const std::vector<std::pair<double, const char*>> bad{
      {0.0, "0"}, {-1.0, "-1"}, {180.5, "180.5"}, {kNan, "nan"}, {kInfinity, "inf"}};
  for (const auto& [value, text] : bad) {
    request.limit_deg = value;
    check_refused(request, "--limit-deg", text);
  }
}

TEST_CASE("place, day and measured field are refused by their own names", "[app][closed-form]") {
  const auto where = [](const FitRequest& request) {
    const auto options = parse_fit_options(request);
    REQUIRE_FALSE(options.has_value());
    CHECK(options.error().kind == qn::ErrorKind::OutOfRange);
    return options.error().where;
  };
  FitRequest request = plain();
  request.at = "95,0";
  CHECK(where(request) == "option --at");
  request = plain();
  request.on = "2031-01-01";
  CHECK(where(request) == "option --on");
  request = plain();
  request.on.reset();
  CHECK(where(request) == "option --on");
  request = FitRequest{};
  request.horizontal_uT = 20.0;
  CHECK(where(request) == "option --vertical-uT");
  request.vertical_uT = -44.0;
  CHECK(good(request).earth.down_uT == -44.0);
  request.horizontal_uT = -1.0;
  CHECK(where(request) == "option --horizontal-uT");
}
