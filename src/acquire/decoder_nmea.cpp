// SPDX-License-Identifier: Apache-2.0
#include "acquire/decoder_nmea.h"

#include <chrono>
#include <cmath>
#include <string>

#include "acquire/column_names.h"
#include "acquire/column_units_internal.h"
#include "acquire/nmea_sentence.h"

namespace qn {
namespace {

constexpr double kSecondsOfDay = 86400.0;

/// A value with its side ("E" or "W", "N" or "S"): positive on `positive`.
double sided(const NmeaSentence& s, std::size_t field, char positive, char negative) {
  const auto value = s.number(field);
  const std::string_view side = s.text(field + 1);
  if (!value || side.size() != 1) return LinkReading::kNone;
  if (side[0] == positive) return *value;
  return side[0] == negative ? -*value : LinkReading::kNone;
}

double within(std::optional<double> value, double lo, double hi) {
  return value && *value >= lo && *value <= hi ? *value : LinkReading::kNone;
}

/// ddmm.mmmm with its side to degrees.
double degrees_of(const NmeaSentence& s, std::size_t field, char positive, char negative,
                  double largest) {
  const double packed = sided(s, field, positive, negative);
  const double whole = std::trunc(packed / 100.0);
  const double degrees = whole + (packed - whole * 100.0) / 60.0;
  return std::fabs(degrees) <= largest ? degrees : LinkReading::kNone;
}

/// Two digits at a place of a text; nothing when they are none.
std::optional<int> two_digits(std::string_view text, std::size_t at) {
  if (at + 2 > text.size()) return std::nullopt;
  const char a = text[at];
  const char b = text[at + 1];
  if (a < '0' || a > '9' || b < '0' || b > '9') return std::nullopt;
  return (a - '0') * 10 + (b - '0');
}

/// hhmmss.ss in field `time` and ddmmyy in field `date`. Years 80 to 99 are of the last century, in
/// which the satellites began.
double utc_of(const NmeaSentence& s, std::size_t time, std::size_t date) {
  const auto packed = s.number(time);
  const auto hour = two_digits(s.text(time), 0);
  const auto minute = two_digits(s.text(time), 2);
  const auto day = two_digits(s.text(date), 0);
  const auto month = two_digits(s.text(date), 2);
  const auto year = two_digits(s.text(date), 4);
  if (!packed || !hour || !minute || !day || !month || !year) return LinkReading::kNone;
  const double second = *packed - *hour * 10000.0 - *minute * 100.0;
  const std::chrono::year_month_day when{
      std::chrono::year{*year < 80 ? 2000 + *year : 1900 + *year},
      std::chrono::month{static_cast<unsigned>(*month)},
      std::chrono::day{static_cast<unsigned>(*day)}};
  if (!when.ok() || *hour > 23 || *minute > 59 || !(second >= 0.0 && second < 61.0)) {
    return LinkReading::kNone;
  }
  const auto days = std::chrono::sys_days{when}.time_since_epoch().count();
  return static_cast<double>(days) * kSecondsOfDay + *hour * 3600.0 + *minute * 60.0 + second;
}

void read_hdg(const NmeaSentence& s, LinkReading& r) {
  r.heading_deg = within(s.number(0), 0.0, 360.0);
  r.heading_north = HeadingNorth::magnetic;
  r.deviation_deg = sided(s, 1, 'E', 'W');
  r.variation_deg = sided(s, 3, 'E', 'W');
}

void read_plain_heading(const NmeaSentence& s, HeadingNorth north, LinkReading& r) {
  r.heading_deg = within(s.number(0), 0.0, 360.0);
  r.heading_north = north;
}

void read_rmc(const NmeaSentence& s, LinkReading& r) {
  if (s.text(1) != "A") return;  // the receiver itself says that it has no fix
  r.utc_s = utc_of(s, 0, 8);
  r.latitude_deg = degrees_of(s, 2, 'N', 'S', 90.0);
  r.longitude_deg = degrees_of(s, 4, 'E', 'W', 180.0);
  r.groundspeed_kt = within(s.number(6), 0.0, 1e4);
  r.track_true_deg = within(s.number(7), 0.0, 360.0);
  r.variation_deg = sided(s, 9, 'E', 'W');
}

void read_vtg(const NmeaSentence& s, LinkReading& r) {
  if (s.text(1) != "T") {  // the form without letters, of old receivers
    r.track_true_deg = within(s.number(0), 0.0, 360.0);
    r.track_magnetic_deg = within(s.number(1), 0.0, 360.0);
    r.groundspeed_kt = within(s.number(2), 0.0, 1e4);
    return;
  }
  r.track_true_deg = within(s.number(0), 0.0, 360.0);
  r.track_magnetic_deg = within(s.number(2), 0.0, 360.0);
  r.groundspeed_kt = within(s.number(4), 0.0, 1e4);
}

void read_gga(const NmeaSentence& s, LinkReading& r) {
  const auto quality = s.number(5);
  if (!quality || *quality < 1.0) return;
  r.latitude_deg = degrees_of(s, 1, 'N', 'S', 90.0);
  r.longitude_deg = degrees_of(s, 3, 'E', 'W', 180.0);
  r.height_m = s.text(9) == "M" ? within(s.number(8), -1e4, 1e5) : LinkReading::kNone;
}

/// A transducer called by one of our own column names: field_x_uT, current_A and so on.
bool read_named(std::string_view name, double value, LinkReading& r) {
  for (const ColumnAlias& alias : column_aliases()) {
    const auto unit = unit_of_column(name, alias.name);
    const auto meaning = unit ? column_of_unit(alias.quantity, *unit) : std::nullopt;
    if (!meaning) continue;
    const double ours = meaning->scale.apply(value);
    if (!(std::fabs(ours) <= largest_value(alias.quantity, meaning->counts))) return false;
    switch (alias.quantity) {
      case LogQuantity::field_x: r.field[0] = ours; break;
      case LogQuantity::field_y: r.field[1] = ours; break;
      case LogQuantity::field_z: r.field[2] = ours; break;
      case LogQuantity::roll: r.roll_deg = ours; break;
      case LogQuantity::pitch: r.pitch_deg = ours; break;
      case LogQuantity::current: r.current_A = ours; break;
      case LogQuantity::temperature: r.temperature_C = ours; break;
      default: return false;
    }
    if (meaning->counts) r.field_unit = FieldUnit::counts;
    return true;
  }
  return false;
}

void read_transducer(const NmeaSentence& s, std::size_t at, LinkReading& r) {
  const auto value = s.number(at + 1);
  if (!value) return;
  const std::string_view type = s.text(at);
  const std::string_view unit = s.text(at + 2);
  const std::string name = normal_name(s.text(at + 3));
  if (read_named(s.text(at + 3), *value, r)) return;
  const auto called = [&name](std::string_view word) { return name.find(word) != name.npos; };
  if (type == "A" && unit == "D") {
    if (called("pitch") || called("ptch")) r.pitch_deg = within(value, -180.0, 180.0);
    if (called("roll") || called("heel")) r.roll_deg = within(value, -180.0, 180.0);
  } else if (type == "C" && unit == "C") {
    r.temperature_C = within(value, -273.15, 1e4);
  } else if (type == "I" && unit == "A") {
    r.current_A = within(value, -1e6, 1e6);
  }
}

bool says_something(const LinkReading& r) {
  for (const double value :
       {r.field[0], r.field[1], r.field[2], r.roll_deg, r.pitch_deg, r.heading_deg, r.current_A,
        r.temperature_C, r.track_true_deg, r.track_magnetic_deg, r.groundspeed_kt, r.latitude_deg,
        r.height_m, r.utc_s}) {
    if (std::isfinite(value)) return true;
  }
  return false;
}

class NmeaReader : public LineReader {
 public:
  LineVerdict read(std::string_view line, LinkReading& r, DecoderTally& tally) override {
    const auto sentence = nmea_sentence(line);
    if (!sentence) return LineVerdict::not_mine;
    const NmeaSentence& s = *sentence;
    if (s.checksum == NmeaChecksum::wrong) return LineVerdict::bad_checksum;
    // Where checksums are usual, a sentence without one was cut off: its last number is wrong.
    if (s.checksum == NmeaChecksum::absent && checksums_are_usual_) return LineVerdict::half;
    if (s.checksum == NmeaChecksum::right) checksums_are_usual_ = true;
    if (s.checksum == NmeaChecksum::absent) ++tally.no_checksum;
    read_type(s, r);
    if (!says_something(r)) return LineVerdict::quiet;
    r.source = std::string{s.talker} + std::string{s.type};
    return s.checksum == NmeaChecksum::right ? LineVerdict::proven : LineVerdict::reading;
  }

 private:
  static void read_type(const NmeaSentence& s, LinkReading& r) {
    if (s.type == "HDG") read_hdg(s, r);
    if (s.type == "HDM") read_plain_heading(s, HeadingNorth::magnetic, r);
    if (s.type == "HDT") read_plain_heading(s, HeadingNorth::true_north, r);
    if (s.type == "RMC") read_rmc(s, r);
    if (s.type == "VTG") read_vtg(s, r);
    if (s.type == "GGA") read_gga(s, r);
    if (s.type == "XDR") {
      for (std::size_t at = 0; at + 3 < s.fields.size(); at += 4) read_transducer(s, at, r);
    }
  }

  bool checksums_are_usual_ = false;
};

}  // namespace

std::unique_ptr<LineReader> nmea_line_reader() { return std::make_unique<NmeaReader>(); }

}  // namespace qn
