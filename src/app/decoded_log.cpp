// SPDX-License-Identifier: Apache-2.0
#include "app/decoded_log.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include "acquire/link_receiver.h"
#include "app/csv_row.h"
#include "app/link_report.h"
#include "app/write_file.h"

namespace qn {
namespace {

struct Placed {
  std::size_t link = 0;
  TimedReading timed;
};

/// The columns beside time and field, in the order of the file.
struct Column {
  const char* name;
  double LinkReading::*value;
};
constexpr std::array<Column, 5> kBeside = {{{"roll_deg", &LinkReading::roll_deg},
                                            {"pitch_deg", &LinkReading::pitch_deg},
                                            {"heading_deg", &LinkReading::heading_deg},
                                            {"current_A", &LinkReading::current_A},
                                            {"temperature_C", &LinkReading::temperature_C}}};

using Receivers = std::map<std::size_t, std::unique_ptr<LinkReceiver>>;

Result<Receivers> receivers_of(const LinkRecording& recording) {
  Receivers receivers;
  for (const LinkDescription& description : recording.links) {
    auto receiver = LinkReceiver::make(description);
    if (!receiver) return receiver.error();
    receivers[description.link] = std::move(receiver).value();
  }
  return receivers;
}

std::vector<Placed> place_all(const LinkRecording& recording, Receivers& receivers) {
  std::vector<Placed> placed;
  std::vector<TimedReading> readings;
  for (const LinkEvent& event : recording.events) {
    const auto receiver = receivers.find(event.link);
    if (receiver == receivers.end()) continue;  // its description was damaged: counted elsewhere
    readings.clear();
    receiver->second->take(event, readings);
    for (TimedReading& timed : readings) placed.push_back({event.link, std::move(timed)});
  }
  std::stable_sort(placed.begin(), placed.end(), [](const Placed& a, const Placed& b) {
    return a.timed.time_s < b.timed.time_s;
  });
  return placed;
}

struct RowSource {
  std::size_t link = 0;
  std::string source;
  std::size_t rows = 0;
  bool field = false;
};

/// Field before heading, then the most readings, then the lower link number.
std::optional<RowSource> choose_rows(const std::vector<Placed>& placed, std::size_t wanted_link,
                                     std::vector<RowSource>& others) {
  std::map<std::pair<std::size_t, std::string>, std::array<std::size_t, 2>> counts;
  for (const Placed& p : placed) {
    auto& count = counts[{p.link, p.timed.reading.source}];
    count[0] += p.timed.reading.has_field() ? 1 : 0;
    count[1] += std::isfinite(p.timed.reading.heading_deg) ? 1 : 0;
  }
  std::optional<RowSource> best;
  for (const auto& [key, count] : counts) {
    if (wanted_link != 0 && key.first != wanted_link) continue;
    const RowSource here{key.first, key.second, count[0] > 0 ? count[0] : count[1], count[0] > 0};
    if (here.rows == 0) continue;
    const bool better =
        !best || std::pair{here.field, here.rows} > std::pair{best->field, best->rows};
    if (here.field && best && best->field) others.push_back(better ? *best : here);
    if (better) best = here;
  }
  return best;
}

std::string number(double value) { return std::isfinite(value) ? fmt::format("{}", value) : ""; }

class LogWriter {
 public:
  LogWriter(const std::vector<Placed>& placed, const RowSource& rows)
      : placed_{placed}, rows_{rows} {
    for (const Placed& p : placed) {
      const LinkReading& r = p.timed.reading;
      for (std::size_t c = 0; c < kBeside.size(); ++c) {
        if (std::isfinite(r.*kBeside[c].value)) used_[c] = true;
      }
      if (is_row(p)) accel_ = accel_ || std::isfinite(r.accel_g[0] + r.accel_g[1] + r.accel_g[2]);
      if (is_row(p) && r.field_unit == FieldUnit::counts) counts_ = true;
    }
    held_.fill({0.0, LinkReading::kNone});
  }

  std::string csv(std::size_t& rows) {
    std::string text = csv_row(header());
    double last_s = -1.0;
    for (const Placed& p : placed_) {
      hold(p);
      if (!is_row(p) || p.timed.time_s <= last_s) continue;
      last_s = p.timed.time_s;
      text += row(p);
      ++rows;
    }
    return text;
  }

 private:
  bool is_row(const Placed& p) const {
    const LinkReading& r = p.timed.reading;
    return p.link == rows_.link && r.source == rows_.source &&
           (rows_.field ? r.has_field() : std::isfinite(r.heading_deg));
  }

  void hold(const Placed& p) {
    for (std::size_t c = 0; c < kBeside.size(); ++c) {
      const double value = p.timed.reading.*kBeside[c].value;
      if (std::isfinite(value)) held_[c] = {p.timed.time_s, value};
    }
  }

  std::vector<std::string> header() const {
    std::vector<std::string> names{"time_s"};
    const char* unit = counts_ ? "raw" : "uT";
    for (const char* axis : {"x", "y", "z"}) {
      if (rows_.field) names.push_back(fmt::format("field_{}_{}", axis, unit));
    }
    for (const char* axis : {"x", "y", "z"}) {
      if (accel_) names.push_back(fmt::format("accel_{}_g", axis));
    }
    for (std::size_t c = 0; c < kBeside.size(); ++c) {
      if (used_[c]) names.emplace_back(kBeside[c].name);
    }
    return names;
  }

  std::string row(const Placed& p) const {
    const LinkReading& r = p.timed.reading;
    std::vector<std::string> cells{fmt::format("{:.6f}", p.timed.time_s)};
    for (std::size_t axis = 0; rows_.field && axis < 3; ++axis)
      cells.push_back(number(r.field[axis]));
    for (std::size_t axis = 0; accel_ && axis < 3; ++axis) cells.push_back(number(r.accel_g[axis]));
    for (std::size_t c = 0; c < kBeside.size(); ++c) {
      if (!used_[c]) continue;
      const bool fresh = p.timed.time_s - held_[c].first <= kHeldFor_s;
      cells.push_back(fresh ? number(held_[c].second) : "");
    }
    return csv_row(cells);
  }

  const std::vector<Placed>& placed_;
  const RowSource& rows_;
  std::array<bool, kBeside.size()> used_{};
  std::array<std::pair<double, double>, kBeside.size()> held_{};
  bool accel_ = false;
  bool counts_ = false;
};

void say_what_matters(const LinkRecording& recording, const Receivers& receivers,
                      const std::vector<RowSource>& others, DecodedLog& log) {
  if (recording.end_is_cut) {
    log.remarks.push_back(fmt::format(
        "The recording was interrupted: it is whole until second {:.1f}.", recording.last_s));
  } else if (recording.lost_bytes > 0) {
    log.remarks.push_back(fmt::format("{} bytes of the recording are damaged and were left out.",
                                      recording.lost_bytes));
  }
  for (const RowSource& other : others) {
    log.remarks.push_back(fmt::format(
        "Link {} ('{}') measures the field as well, {} times: choose it with --rows-of-link.",
        other.link, other.source, other.rows));
  }
  const auto receiver = receivers.find(log.link);
  const SourceClock clock = receiver->second->timer().clock_of(log.source);
  if (clock.fit) {
    log.remarks.push_back(fmt::format(
        "Times are those of the sensor's own clock, which is off by {}; half of the readings came "
        "more than {:.0f} ms late, one in twenty more than {:.0f} ms.",
        clock_words(*clock.fit), clock.fit->delay_median_s * 1e3, clock.fit->delay_95_s * 1e3));
  } else if (!clock.has_own_time) {
    log.remarks.push_back("Times are those of arrival: the sensor has no clock of its own.");
  }
}

}  // namespace

Result<DecodedLog> decoded_log(const LinkRecording& recording, const DecodedLogOptions& options) {
  auto receivers = receivers_of(recording);
  if (!receivers) return receivers.error();
  const auto placed = place_all(recording, receivers.value());
  std::vector<RowSource> others;
  const auto rows = choose_rows(placed, options.rows_of_link, others);
  if (!rows) {
    return Error{ErrorKind::BadInput,
                 fmt::format("{} readings came, and none has a field or a heading", placed.size()),
                 options.rows_of_link == 0 ? "the recording"
                                           : fmt::format("link {} of it", options.rows_of_link),
                 "readings of a magnetic field, or of a heading",
                 "see with 'quietnorth link watch replay:FILE@1000' what is in it"};
  }
  DecodedLog log;
  log.link = rows->link;
  log.source = rows->source;
  log.has_field = rows->field;
  log.csv = LogWriter{placed, *rows}.csv(log.rows);
  say_what_matters(recording, receivers.value(), others, log);
  return log;
}

Result<DecodedLog> decode_link_recording(const std::string& path, const std::string& csv_path,
                                         const DecodedLogOptions& options) {
  const auto recording = read_link_recording(path);
  if (!recording) return recording.error();
  auto log = decoded_log(recording.value(), options);
  if (!log) return log.error();
  auto written = write_file(csv_path, log.value().csv);
  if (!written) return written.error();
  return log;
}

}  // namespace qn
