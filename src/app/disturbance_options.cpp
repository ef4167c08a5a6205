// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>

#include "acquire/column_names.h"
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
  if (!request.heading_source) return std::nullopt;
  for (const char* word : {"magnetic", "blended", "unknown"}) {
    if (*request.heading_source == word) return std::nullopt;
  }
  return Error{ErrorKind::OutOfRange,
               fmt::format("'{}' cannot be used for --heading-source", *request.heading_source),
               "option --heading-source",
               "magnetic (the sensor alone), blended (with a gyro) or unknown",
               "leave the option out when you are not sure: that is `unknown`"};
}

// Where the header is, whatever stands before it: comments, a byte order mark, a `sep=` line.
std::string first_lines(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  std::string text(4096, '\0');
  file.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(file.gcount()));
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    if (text[at] != '#') out += normal_name(text.substr(at, end - at)) + "\n";
    at = end + 1;
  }
  return out;
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
  out.mounting = parsed.value().mounting;
  out.accelerometer_reads_down = parsed.value().accelerometer_reads_down;
  return out;
}

Error explained_heading_log(Error error, const DisturbanceRequest& request) {
  if (error.kind != ErrorKind::BadInput || error.what.find("no column holds field_") != 0) {
    return error;
  }
  if (first_lines(request.log_path).find("heading") == std::string::npos) return error;
  error.what = "the log holds a heading but no field, and this cannot be analysed yet";
  error.expected =
      "field_x_uT, field_y_uT, field_z_uT beside the time. A heading on one heading of the "
      "aircraft says nothing of a field along it; two runs about 90 degrees apart would, and this "
      "version does not join them";
  error.remedy =
      "log the sensor's three axes instead of the display; if that cannot be had, call the devices "
      "unproven, keep this log and a second one made about 90 degrees away";
  return error;
}

}  // namespace qn
