// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>

#include "procedure/air_fit_internal.h"

namespace qn {
namespace {

constexpr double kAirAssumedDof = 5.0, kAirGivenDof = 12.0;
constexpr double kFree = 1e7;  // no opinion

std::optional<Error> check_size(const char* option, const std::optional<double>& value, double most,
                                const char* unit) {
  if (!value || (*value > 0.0 && *value <= most)) return std::nullopt;
  return Error{ErrorKind::OutOfRange, fmt::format("{:g} cannot be used for {}", *value, option),
               fmt::format("option {}", option),
               fmt::format("{}, more than 0 and at most {:g}", unit, most),
               "leave the option out to use a careful assumption, which is printed"};
}

}  // namespace

std::optional<Error> check_air_options(const AirOptions& o) {
  if (auto e = check_size("--variation-sigma-deg", o.variation_sigma_deg, 30.0, "degrees"))
    return e;
  if (auto e = check_size("--sideslip-sigma-deg", o.sideslip_sigma_deg, 30.0, "degrees")) return e;
  if (auto e = check_size("--heading-sigma-deg", o.heading_sigma_deg, 30.0, "degrees")) return e;
  if (auto e = check_size("--track-sigma-deg", o.track_sigma_deg, 30.0, "degrees")) return e;
  if (auto e = check_size("--speed-sigma-kt", o.speed_sigma_kt, 50.0, "knots")) return e;
  if (auto e = check_size("--airspeed-sigma-kt", o.airspeed_sigma_kt, 50.0, "knots")) return e;
  if (auto e = check_size("--tas-sigma-kt", o.tas_sigma_kt, 100.0, "knots")) return e;
  if (auto e = check_size("--wind-sigma-kt", o.wind_sigma_kt, 50.0, "knots")) return e;
  if (auto e = check_size("--wind-change-kt-per-hour", o.wind_change_kt_per_hour, 200.0, "knots")) {
    return e;
  }
  if (o.rounding_deg && !(*o.rounding_deg >= 0.0 && *o.rounding_deg <= 30.0)) {
    return Error{ErrorKind::OutOfRange,
                 fmt::format("{:g} cannot be used for --rounding-deg", *o.rounding_deg),
                 "option --rounding-deg", "degrees, 0 to 30",
                 "leave the option out to use a careful assumption, which is printed"};
  }
  if (o.variation_deg && !(std::fabs(*o.variation_deg) <= 180.0)) {
    return Error{ErrorKind::OutOfRange, fmt::format("variation {:g} degrees", *o.variation_deg),
                 "option --variation-deg", "-180 to 180 degrees, east positive",
                 "correct the number"};
  }
  return std::nullopt;
}

double AirOptions::norths_apart() const {
  return (tracks_are == TrackNorth::true_north ? 1.0 : 0.0) -
         (headings_are == ShownNorth::true_north ? 1.0 : 0.0);
}

AirPrior air_prior_of(const AirOptions& o, bool own_airspeeds, bool variation_known) {
  AirPrior p;
  const double rounding = o.rounding_deg.value_or(o.from_log ? 0.0 : 1.0);
  const double heading = o.heading_sigma_deg.value_or(o.from_log ? 0.7 : 1.0);
  p.heading_sigma_deg = std::hypot(heading, rounding / std::sqrt(12.0));
  p.track_sigma_deg = o.track_sigma_deg.value_or(o.from_log ? 0.2 : 0.35);
  p.speed_sigma_kt = o.speed_sigma_kt.value_or(o.from_log ? 0.2 : 0.35);
  p.airspeed_sigma_kt = o.airspeed_sigma_kt.value_or(o.from_log ? 0.8 : 1.0);
  p.wind_sigma_kt = o.wind_sigma_kt.value_or(o.from_log ? 0.5 : 0.7);
  p.noise_dof = o.heading_sigma_deg && o.airspeed_sigma_kt ? kAirGivenDof : kAirAssumedDof;
  p.track_minus_heading_deg = o.norths_apart() * o.variation_deg.value_or(0.0);
  const double change = o.wind_change_kt_per_hour.value_or(6.0);
  p.sd = {kFree,
          kFree,
          own_airspeeds ? o.tas_sigma_kt.value_or(3.0) : kFree,
          variation_known ? 20.0 : kFree,
          30.0,
          30.0,
          3.0,
          3.0,
          change,
          change};
  return p;
}

}  // namespace qn
