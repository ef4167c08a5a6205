// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <string>

#include "app/disturbance_options_internal.h"
#include "app/fit_options.h"

namespace qn {
namespace {

Error bad_heading(const char* option, double value) {
  return Error{ErrorKind::OutOfRange, fmt::format("{:g} is no heading", value),
               fmt::format("option {}", option),
               "the magnetic heading on which the aircraft stood, 0 to below 360 degrees",
               fmt::format("for example {} 040", option)};
}

bool is_heading(double deg) { return deg >= 0.0 && deg < 360.0; }

std::optional<Error> check_words(const DisturbanceRequest& request) {
  if (request.aircraft_heading_deg && !is_heading(*request.aircraft_heading_deg)) {
    return bad_heading("--aircraft-heading", *request.aircraft_heading_deg);
  }
  for (const auto& further : request.also) {
    if (further.aircraft_heading_deg && !is_heading(*further.aircraft_heading_deg)) {
      return bad_heading("--aircraft-heading2", *further.aircraft_heading_deg);
    }
  }
  for (const auto& further : request.also) {
    if (further.aircraft_heading_deg.has_value() == request.aircraft_heading_deg.has_value()) {
      continue;
    }
    const bool first = request.aircraft_heading_deg.has_value();
    return Error{ErrorKind::OutOfRange,
                 "the aircraft's heading is given for some runs and not for all",
                 first ? "option --aircraft-heading2" : "option --aircraft-heading",
                 "one heading for LOG and one for each --also, or none: then each display's own "
                 "heading at rest is used",
                 first ? "add --aircraft-heading2 DEG after --also LOG2 MARKS2"
                       : "add --aircraft-heading DEG, the heading of the first run"};
  }
  if (!request.heading_source || heading_source_from(*request.heading_source)) {
    return std::nullopt;
  }
  return Error{ErrorKind::OutOfRange,
               fmt::format("'{}' cannot be used for --heading-source", *request.heading_source),
               "option --heading-source",
               "magnetic (the sensor alone), blended (with a gyro) or unknown",
               "leave the option out when you are not sure: that is `unknown`"};
}

}  // namespace

Result<ParsedDisturbanceOptions> parse_disturbance_options(const DisturbanceRequest& request) {
  // Options that `sensor fit` has too are judged by its own parser, in the same words.
  FitRequest shared;
  shared.at = request.at;
  shared.on = request.on;
  shared.horizontal_uT = request.horizontal_uT;
  shared.vertical_uT = request.vertical_uT;
  shared.mount = request.mount;
  shared.mount_deg = request.mount_deg;
  shared.accel_reads = request.accel_reads;
  shared.limit_deg = request.limit_deg;
  shared.limit_basis = request.limit_basis;
  const auto parsed = parse_fit_options(shared);
  if (!parsed) return parsed.error();
  if (auto bad = check_words(request)) return *bad;
  ParsedDisturbanceOptions out;
  out.options.earth = parsed.value().earth;
  out.options.limit = parsed.value().limit;
  out.options.aircraft_heading_deg = request.aircraft_heading_deg;
  out.options.rigid = request.rigid;
  if (request.heading_source) {
    out.heading_source = heading_source_from(*request.heading_source).value();
  }
  out.mounting = parsed.value().mounting;
  out.accelerometer_reads_down = parsed.value().accelerometer_reads_down;
  return out;
}

}  // namespace qn
