// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "acquire/decoder.h"
#include "acquire/nmea_sentence.h"
#include "app/flight_nmea_internal.h"

namespace qn {
namespace {

constexpr double kUnsaid = std::numeric_limits<double>::quiet_NaN();

Error no_such(const std::string& name, const std::string& what, const std::string& expected,
              const std::string& remedy) {
  return Error{ErrorKind::BadInput, what, name, expected, remedy};
}

/// Who says the heading: the one that says most of them.
std::string source_of_heading(const std::vector<LinkReading>& readings) {
  std::map<std::string, std::size_t> counts;
  for (const LinkReading& r : readings) {
    if (std::isfinite(r.heading_deg) && r.heading_north == HeadingNorth::magnetic) {
      ++counts[r.source];
    }
  }
  const auto most =
      std::max_element(counts.begin(), counts.end(),
                       [](const auto& a, const auto& b) { return a.second < b.second; });
  return most == counts.end() ? std::string{} : most->first;
}

struct NmeaTally {
  std::size_t headings = 0, velocities = 0, back = 0, untimed = 0;
  double variation_deg = kUnsaid;
};

FlightLog rows_of(const std::vector<LinkReading>& readings, const std::string& source,
                  NmeaTally& tally) {
  FlightLog log;
  double first = kUnsaid;
  double now = kUnsaid;
  for (const LinkReading& r : readings) {
    if (std::isfinite(r.utc_s)) {
      if (std::isfinite(now) && r.utc_s < now) {
        ++tally.back;
        continue;
      }
      now = r.utc_s;
      if (!std::isfinite(first)) first = now;
    }
    if (std::isfinite(r.variation_deg)) tally.variation_deg = r.variation_deg;
    const bool heading = r.source == source && std::isfinite(r.heading_deg);
    const bool velocity = std::isfinite(r.track_true_deg) && std::isfinite(r.groundspeed_kt);
    if (!heading && !velocity && !std::isfinite(r.roll_deg)) continue;
    if (!std::isfinite(now)) {
      ++tally.untimed;
      continue;
    }
    if (heading) ++tally.headings;
    if (velocity) ++tally.velocities;
    log.add(now - first, heading ? r.heading_deg : kUnsaid, velocity ? r.track_true_deg : kUnsaid,
            velocity ? r.groundspeed_kt : kUnsaid, r.roll_deg, kUnsaid);
  }
  return log;
}

}  // namespace

bool looks_like_nmea(const std::string& bytes) {
  std::size_t at = 0;
  while (at < bytes.size() && at < 65536) {
    const std::size_t end = std::min(bytes.find('\n', at), bytes.size());
    const std::string line = bytes.substr(at, end - at);
    at = end + 1;
    if (line.find_first_not_of(" \t\r") == std::string::npos || line[0] == '#') continue;
    return line.find('$') != std::string::npos && nmea_sentence(line).has_value();
  }
  return false;
}

Result<AirFile> flight_of_nmea(const std::string& bytes, const std::string& name) {
  DecoderOptions options;
  options.kind = DecoderKind::nmea;
  auto decoder = make_decoder(options);
  if (!decoder) return decoder.error();
  std::vector<LinkReading> readings;
  decoder.value()->feed(bytes, readings);
  decoder.value()->end_of_piece(readings);
  const std::string source = source_of_heading(readings);
  if (source.empty()) {
    const bool true_only = std::any_of(readings.begin(), readings.end(), [](const LinkReading& r) {
      return std::isfinite(r.heading_deg) && r.heading_north == HeadingNorth::true_north;
    });
    return no_such(name,
                   true_only ? "the log has true headings (HDT) only" : "the log has no heading",
                   "what the display shows from magnetic north: sentences HDG or HDM",
                   true_only ? "let the sensor say HDG or HDM: which variation it added is not "
                               "known, so HDT cannot be checked"
                             : "record the heading sensor too");
  }
  NmeaTally tally;
  AirFile out;
  out.is_log = true;
  out.log = rows_of(readings, source, tally);
  if (out.log.size() == 0) {
    return no_such(name, "the log says no time", "sentences RMC with a fix, which say the time",
                   "record RMC of the satellite receiver too");
  }
  if (tally.velocities == 0) {
    return no_such(name, "the log has no track and ground speed", "sentences RMC or VTG with a fix",
                   "record the satellite receiver too");
  }
  out.how_read.push_back(fmt::format("NMEA 0183: {} headings of {}, {} tracks and ground speeds.",
                                     tally.headings, source, tally.velocities));
  if (tally.back + tally.untimed > 0) {
    out.how_read.push_back(fmt::format("{} sentences left out: no time yet, or the time went back.",
                                       tally.back + tally.untimed));
  }
  if (decoder.value()->tally().bad_checksum > 0) {
    out.how_read.push_back(fmt::format("{} sentences with a wrong checksum left out.",
                                       decoder.value()->tally().bad_checksum));
  }
  if (std::isfinite(tally.variation_deg)) {
    out.how_read.push_back(fmt::format(
        "The log itself says a variation of {:+.1f} deg; it is not used.", tally.variation_deg));
  }
  return out;
}

}  // namespace qn
