// SPDX-License-Identifier: Apache-2.0
#include "app/swing_input.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <utility>

#include "app/file_digest.h"
#include "app/place.h"
#include "app/swing_input_internal.h"
#include "app/version.h"
#include "procedure/run_turning.h"
#include "vocab/letters.h"

namespace qn {
namespace {

Result<SwingNorth> north_of(const SwingRequest& request) {
  SwingNorth out;
  const std::string word = request.stations_are.value_or("magnetic");
  if (word != "magnetic" && word != "true") {
    return Error{ErrorKind::OutOfRange, fmt::format("'{}' cannot be used", word),
                 "option --stations-are", "magnetic or true",
                 "leave the option out when the rose is marked with magnetic headings"};
  }
  out.stations_true = word == "true";
  if (request.variation_deg && (request.at || request.on)) {
    return Error{ErrorKind::OutOfRange, "the variation is given twice", "option --variation-deg",
                 "either --variation-deg or --at with --on", "leave one of them out"};
  }
  out.variation_deg = request.variation_deg;
  if (request.at || request.on) {
    const auto field = local_field_from(request.at, request.on, std::nullopt, std::nullopt);
    if (!field) return field.error();
    if (field.value().variation) {
      out.variation_deg = field.value().variation->east_positive.in_deg();
    }
  }
  if (out.variation_deg && !(std::fabs(*out.variation_deg) <= 180.0)) {
    return Error{ErrorKind::OutOfRange, fmt::format("variation {:g} degrees", *out.variation_deg),
                 "option --variation-deg", "-180 to 180 degrees, east positive",
                 "correct the number"};
  }
  if (out.stations_true && !out.variation_deg) {
    return Error{ErrorKind::OutOfRange, "true stations need the variation", "option --stations-are",
                 "--variation-deg, or --at with --on",
                 "say the variation of the day and place, east positive"};
  }
  return out;
}

Result<std::optional<DeviationSign>> sign_of(const SwingRequest& request) {
  if (!request.deviation_is) return std::optional<DeviationSign>{};
  if (*request.deviation_is == "to-add") return std::optional{DeviationSign::to_add};
  if (*request.deviation_is == "reading-minus-truth") {
    return std::optional{DeviationSign::reading_minus_truth};
  }
  return Error{ErrorKind::OutOfRange, fmt::format("'{}' cannot be used", *request.deviation_is),
               "option --deviation-is", "to-add or reading-minus-truth",
               "to-add: magnetic minus indicated, added to a reading to get the magnetic heading"};
}

Result<std::vector<std::pair<std::string, Limit>>> limits_of(const SwingRequest& request) {
  std::vector<std::pair<std::string, Limit>> out;
  for (const std::string& text : request.limits) {
    const std::size_t equals = text.rfind('=');
    double deg = 0.0;
    bool good = equals != std::string::npos && equals > 0;
    if (good) {
      const char* end = text.data() + text.size();
      const auto read = std::from_chars(text.data() + equals + 1, end, deg);
      good = read.ec == std::errc{} && read.ptr == end && deg > 0.0 && deg <= 180.0;
    }
    if (!good) {
      return Error{ErrorKind::OutOfRange, fmt::format("'{}' is no limit", text), "option --limit",
                   "NAME=DEG: a compass and degrees above 0", "for example --limit standby=10"};
    }
    const std::string basis = request.limit_basis && !request.limit_basis->empty()
                                  ? *request.limit_basis
                                  : "your own limit";
    out.emplace_back(text.substr(0, equals), Limit{Angle::degrees(deg), basis});
  }
  return out;
}

Result<SwingOptions> options_of(const SwingRequest& request, const SwingNorth& north) {
  SwingOptions out;
  out.rounding_deg = request.rounding_deg;
  out.reading_sigma_deg = request.reading_sigma_deg;
  out.station_sigma_deg = request.station_sigma_deg;
  out.north_sigma_deg = request.north_sigma_deg;
  out.hysteresis_sigma_deg = request.hysteresis_sigma_deg;
  // Once it was applied, a leftover of its size would be chance.
  if (!north.stations_true) out.variation_deg = north.variation_deg;
  out.variation_applied = north.stations_true;
  auto limits = limits_of(request);
  if (!limits) return limits.error();
  out.limits = std::move(limits).value();
  return out;
}

std::optional<Error> keep_one_compass(SwingFile& file, const SwingRequest& request) {
  if (!request.compass) return std::nullopt;
  std::string names;
  for (const SwingReading& r : file.readings) {
    if (names.find("'" + r.compass + "'") == std::string::npos) {
      names += (names.empty() ? "'" : ", '") + r.compass + "'";
    }
  }
  std::erase_if(file.readings, [&](const SwingReading& r) {
    return lower_case(r.compass) != lower_case(*request.compass);
  });
  if (!file.readings.empty()) return std::nullopt;
  return Error{ErrorKind::OutOfRange, fmt::format("no compass is called '{}'", *request.compass),
               "option --compass", "a compass of the stations file: " + names,
               "correct the name, or leave the option out for all of them"};
}

std::vector<std::string> how_read(const SwingFile& file, const SwingNorth& north,
                                  const std::optional<DeviationSign>& sign, bool on_rose) {
  std::vector<std::string> out{
      "Deviation is magnetic minus indicated: east positive, added to a reading."};
  if (file.from_deviations) {
    out.push_back(*sign == DeviationSign::to_add
                      ? "The file's deviations were taken as magnetic minus indicated (to add)."
                      : "The file's deviations were taken as reading minus truth; their sign was "
                        "turned.");
  }
  if (on_rose) {
    // The rose says it.
  } else if (north.stations_true) {
    out.push_back(fmt::format(
        "Stations are true headings: the variation of {:+.2f} deg (east positive) was taken off.",
        *north.variation_deg));
  } else {
    out.push_back("Stations are magnetic headings.");
  }
  if (file.without_reading > 0) {
    out.push_back(fmt::format("{} row{} without a reading left out.", file.without_reading,
                              file.without_reading == 1 ? "" : "s"));
  }
  if (!file.left_out_deg.empty()) out.push_back(left_out_words(file.left_out_deg));
  return out;
}

}  // namespace

std::string left_out_words(const std::vector<double>& marks_deg) {
  std::string names;
  for (const double deg : marks_deg) {
    names += (names.empty() ? "" : ", ") + run::station_name(deg);
  }
  return fmt::format("Nothing was read on {}: {} left out.", names,
                     marks_deg.size() == 1 ? "that mark is" : "those marks are");
}

Result<SwingOptions> swing_options_of(const SwingRequest& request) {
  const auto north = north_of(request);
  if (!north) return north.error();
  return options_of(request, north.value());
}

Result<SwingInput> read_swing_input(const SwingRequest& request) {
  const auto north = north_of(request);
  if (!north) return north.error();
  const auto sign = sign_of(request);
  if (!sign) return sign.error();
  auto options = options_of(request, north.value());
  if (!options) return options.error();
  SwingInput out;
  out.options = std::move(options).value();
  SwingSource& from = out.source;
  from.stations_name = request.stations_name.empty()
                           ? std::filesystem::path{request.stations_path}.filename().string()
                           : request.stations_name;
  SwingFileOptions how;
  // Of a rose the stations are names, and no headings yet.
  if (north.value().stations_true && !request.rose_path) {
    how.subtract_variation_deg = north.value().variation_deg;
  }
  how.deviation_sign = sign.value();
  auto file = read_swing_file(request.stations_path, from.stations_name, how);
  if (!file) return file.error();
  if (auto wrong = keep_one_compass(file.value(), request)) return *wrong;
  auto digest = sha256_of_file(request.stations_path, from.stations_name);
  if (!digest) return digest.error();
  from.stations_sha256 = std::move(digest).value();
  from.readings = file.value().readings.size();
  from.left_out_deg = file.value().left_out_deg;
  from.how_read =
      how_read(file.value(), north.value(), sign.value(), request.rose_path.has_value());
  from.stations_true = north.value().stations_true;
  from.variation_deg = north.value().variation_deg;
  if (request.rose_path) {
    if (auto wrong = take_rose(request, north.value(), file.value(), out)) return *wrong;
  }
  if (auto wrong = take_box_corrections(request, file.value().readings, from)) return *wrong;
  from.program_version = std::string{program_version()};
  from.aircraft = request.aircraft;
  if (request.at) {
    if (const auto where = place_and_day_from(request.at, request.on)) {
      from.place = place_text(where.value().place);
      from.day = where.value().date.to_iso();
    }
  }
  if (!request.day.empty()) {
    const auto day = CalendarDate::parse(request.day, "option --day");
    if (!day) return day.error();
    from.day = day.value().to_iso();
  }
  out.readings = std::move(file.value().readings);
  return out;
}

}  // namespace qn
