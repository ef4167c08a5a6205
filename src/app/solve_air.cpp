// SPDX-License-Identifier: Apache-2.0
#include "app/solve_air.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

#include "app/codec_air_legs.h"
#include "app/file_digest.h"
#include "app/place.h"
#include "app/version.h"
#include "app/wind_guess.h"

namespace qn {
namespace {

Result<AirOptions> air_options_of(const AirAssumed& a) {
  AirOptions out;
  if (a.variation_deg && (a.at || a.on)) {
    return Error{ErrorKind::OutOfRange, "the variation is given twice", "option --variation-deg",
                 "either --variation-deg or --at with --on", "leave one of them out"};
  }
  out.variation_deg = a.variation_deg;
  out.variation_sigma_deg = a.variation_sigma_deg;
  if (a.at || a.on) {
    const auto field = local_field_from(a.at, a.on, std::nullopt, std::nullopt);
    if (!field) return field.error();
    if (field.value().variation) {
      out.variation_deg = field.value().variation->east_positive.in_deg();
    }
    if (field.value().sigma_variation && !a.variation_sigma_deg) {
      out.variation_sigma_deg = field.value().sigma_variation->in_deg();
    }
  }
  out.sideslip_sigma_deg = a.sideslip_sigma_deg;
  out.heading_sigma_deg = a.heading_sigma_deg;
  out.rounding_deg = a.rounding_deg;
  out.track_sigma_deg = a.track_sigma_deg;
  out.speed_sigma_kt = a.speed_sigma_kt;
  out.airspeed_sigma_kt = a.airspeed_sigma_kt;
  out.wind_sigma_kt = a.wind_sigma_kt;
  out.wind_change_kt_per_hour = a.wind_change_kt_per_hour;
  return out;
}

std::optional<Error> check_north(const std::string& word, const char* option, const char* expected,
                                 const char* remedy) {
  if (word == "true" || word == "magnetic") return std::nullopt;
  return Error{ErrorKind::OutOfRange, fmt::format("'{}' cannot be used", word),
               fmt::format("option {}", option), expected, remedy};
}

std::optional<Error> add_request(AirOptions& options, const AirRequest& request) {
  const std::string tracks = request.tracks_are.value_or("true");
  if (auto wrong = check_north(tracks, "--tracks-are", "true or magnetic",
                               "leave the option out when tracks are from true north")) {
    return wrong;
  }
  options.tracks_are = tracks == "true" ? TrackNorth::true_north : TrackNorth::magnetic;
  const std::string shown = request.headings_are.value_or("magnetic");
  if (auto wrong = check_north(shown, "--headings-are", "magnetic or true",
                               "leave the option out when the display shows magnetic headings")) {
    return wrong;
  }
  options.headings_are = shown == "true" ? ShownNorth::true_north : ShownNorth::magnetic;
  options.tas_sigma_kt = request.tas_sigma_kt;
  if (request.least_leg_s && !(*request.least_leg_s >= 10.0 && *request.least_leg_s <= 3600.0)) {
    return Error{ErrorKind::OutOfRange, fmt::format("{:g} seconds", *request.least_leg_s),
                 "option --least-leg-s", "10 to 3600", "leave the option out for 30"};
  }
  if (!request.limit_deg) return std::nullopt;
  if (!(*request.limit_deg > 0.0 && *request.limit_deg <= 180.0)) {
    return Error{ErrorKind::OutOfRange, fmt::format("limit {:g} degrees", *request.limit_deg),
                 "option --limit-deg", "more than 0 and at most 180", "correct the number"};
  }
  const bool basis = request.limit_basis && !request.limit_basis->empty();
  options.limit =
      Limit{Angle::degrees(*request.limit_deg), basis ? *request.limit_basis : "your own limit"};
  return std::nullopt;
}

void say_north(AirDocument& out, const AirOptions& options) {
  const bool tracks_true = options.tracks_are == TrackNorth::true_north;
  if (options.headings_are == ShownNorth::true_north) {
    out.how_read.push_back(
        "The display shows true headings, as said: deviation is here the true heading minus the "
        "indicated one, east positive, and A to E are over the heading as shown.");
    if (tracks_true) {
      out.how_read.push_back("Tracks are true as well: no variation stands between the two.");
    } else {
      out.how_read.push_back(
          options.variation_deg
              ? fmt::format("Tracks are magnetic, as said: the variation of {:+.2f} deg (east "
                            "positive) was added once.",
                            *options.variation_deg)
              : std::string{"Tracks are magnetic, as said, and no variation was given."});
    }
    return;
  }
  out.how_read.push_back(
      "Deviation is magnetic minus indicated: east positive, added to a reading.");
  if (!tracks_true) {
    out.how_read.push_back("Tracks are magnetic, as said: no variation was applied to them.");
  } else if (options.variation_deg) {
    out.how_read.push_back(fmt::format(
        "Tracks are true: the variation of {:+.2f} deg (east positive) was taken off once.",
        *options.variation_deg));
  } else {
    out.how_read.push_back("Tracks are true, and no variation was given.");
  }
}

}  // namespace

Result<AirDocument> solve_air_file(const AirRequest& request) {
  auto options = air_options_of(request.assumed);
  if (!options) return options.error();
  if (auto wrong = add_request(options.value(), request)) return *wrong;
  AirDocument out;
  out.file_name = request.file_name.empty()
                      ? std::filesystem::path{request.path}.filename().string()
                      : request.file_name;
  auto file = read_air_file(request.path, out.file_name);
  if (!file) return file.error();
  auto digest = sha256_of_file(request.path, out.file_name);
  if (!digest) return digest.error();
  out.file_sha256 = std::move(digest).value();
  out.from_log = options.value().from_log = file.value().is_log;
  out.legs = std::move(file.value().legs);
  out.how_read = std::move(file.value().how_read);
  SteadyOptions steady;
  steady.least_s = request.least_leg_s.value_or(steady.least_s);
  if (out.from_log) {
    out.stretches = find_steady_legs(file.value().log, steady);
    for (const FlightStretch& s : out.stretches) {
      if (s.used) out.legs.push_back(s.leg);
    }
  }
  if (out.from_log && out.legs.empty()) {
    out.air = nothing_steady(out.stretches, steady);
  } else {
    auto air = solve_air(out.legs, options.value());
    if (!air) return air.error();
    out.air = std::move(air).value();
  }
  say_north(out, options.value());
  out.tracks_magnetic = options.value().tracks_are == TrackNorth::magnetic;
  out.headings_true = options.value().headings_are == ShownNorth::true_north;
  out.variation_deg = options.value().variation_deg;
  out.program_version = std::string{program_version()};
  out.aircraft = request.aircraft;
  if (request.assumed.at) {
    if (const auto where = place_and_day_from(request.assumed.at, request.assumed.on)) {
      out.place = place_text(where.value().place);
      out.day = where.value().date.to_iso();
    }
  }
  return out;
}

Result<AirPlanDocument> plan_air_check(const AirPlanRequest& request) {
  auto options = air_options_of(request.assumed);
  if (!options) return options.error();
  AirPlanOptions plan;
  plan.tas_kt = request.tas_kt;
  plan.wind_from_deg = request.wind_from_deg;
  plan.wind_kt = request.wind_kt;
  if (request.wind_guess) {
    const auto wind = wind_guess_from(*request.wind_guess);
    if (!wind) return wind.error();
    plan.wind_from_deg = wind.value().from_deg;
    plan.wind_kt = wind.value().kt;
  }
  plan.minutes = request.minutes;
  plan.leg_minutes = request.leg_minutes.value_or(plan.leg_minutes);
  plan.assumed = options.value();
  auto made = plan_air(plan);
  if (!made) {
    Error wrong = made.error();
    if (request.wind_guess && wrong.where.rfind("option --wind-", 0) == 0 &&
        wrong.where.rfind("option --wind-sigma", 0) != 0 &&
        wrong.where.rfind("option --wind-change", 0) != 0) {
      wrong.where = "option --wind-guess";
    }
    return wrong;
  }
  AirPlanDocument out;
  out.plan = std::move(made).value();
  out.request = request;
  out.request.wind_from_deg = plan.wind_from_deg;
  out.request.wind_kt = plan.wind_kt;
  out.request.leg_minutes = plan.leg_minutes;
  out.variation_deg = options.value().variation_deg;
  out.program_version = std::string{program_version()};
  return out;
}

}  // namespace qn
