// SPDX-License-Identifier: Apache-2.0
#include "app/recording_preview.h"

#include <algorithm>
#include <cmath>

#include "acquire/sensor_log.h"

namespace qn {
namespace {

constexpr std::size_t kChannels = 4;

void reserve(FieldSeries& series, std::size_t pieces) {
  series.time_s.reserve(pieces);
  for (std::size_t c = 0; c < kChannels; ++c) {
    series.lowest[c].reserve(pieces);
    series.highest[c].reserve(pieces);
  }
}

/// Joins pieces [first, last) of `fine` into one piece at the end of `to`.
void join(const FieldSeries& fine, std::size_t first, std::size_t last, FieldSeries& to) {
  to.time_s.push_back(fine.time_s[first]);
  for (std::size_t c = 0; c < kChannels; ++c) {
    const auto from = static_cast<std::ptrdiff_t>(first), end = static_cast<std::ptrdiff_t>(last);
    to.lowest[c].push_back(
        *std::min_element(fine.lowest[c].begin() + from, fine.lowest[c].begin() + end));
    to.highest[c].push_back(
        *std::max_element(fine.highest[c].begin() + from, fine.highest[c].begin() + end));
  }
}

FieldSeries pieces_of(const SensorRecording& recording) {
  FieldSeries out;
  const std::size_t n = recording.size();
  if (n == 0) return out;
  const std::size_t each = (n + RecordingPreview::kMostPieces - 1) / RecordingPreview::kMostPieces;
  reserve(out, n / each + 1);
  out.from_s = recording.time_s.front();
  out.to_s = recording.time_s.back();
  out.every_sample = each == 1;
  const auto& field = recording.field;
  for (std::size_t first = 0; first < n; first += each) {
    std::array<float, kChannels> low, high;
    low.fill(HUGE_VALF);
    high.fill(-HUGE_VALF);
    for (std::size_t i = first; i < std::min(first + each, n); ++i) {
      const double x = field[0][i], y = field[1][i], z = field[2][i];
      const double values[] = {x, y, z, std::hypot(x, y, z)};
      for (std::size_t c = 0; c < kChannels; ++c) {
        low[c] = std::min(low[c], static_cast<float>(values[c]));
        high[c] = std::max(high[c], static_cast<float>(values[c]));
      }
    }
    out.time_s.push_back(recording.time_s[first]);
    for (std::size_t c = 0; c < kChannels; ++c) {
      out.lowest[c].push_back(low[c]);
      out.highest[c].push_back(high[c]);
    }
  }
  return out;
}

std::vector<std::string> columns_of(const SensorRecording& r) {
  const std::string unit = r.unit == FieldUnit::counts ? "_raw" : "_uT";
  std::vector<std::string> names = {"time_s", "field_x" + unit, "field_y" + unit, "field_z" + unit};
  const auto add = [&names](const std::vector<double>& column, const char* name) {
    if (!column.empty()) names.emplace_back(name);
  };
  add(r.roll_deg, "roll_deg");
  add(r.pitch_deg, "pitch_deg");
  add(r.accel_g[0], "accel_x_g");
  add(r.accel_g[1], "accel_y_g");
  add(r.accel_g[2], "accel_z_g");
  add(r.heading_deg, "heading_deg");
  add(r.current_A, "current_A");
  add(r.temperature_C, "temperature_C");
  return names;
}

}  // namespace

Result<RecordingPreview> preview_recording(const std::string& path, const std::string& shown_name,
                                           const std::vector<std::string>& column_map) {
  SensorLogOptions options;
  options.shown_name = shown_name;
  options.column_map = column_map;
  const auto recording = read_sensor_log(path, options);
  if (!recording) return recording.error();
  return preview_of(recording.value());
}

RecordingPreview preview_of(const SensorRecording& recording) {
  RecordingPreview out;
  out.samples = recording.size();
  out.unit = recording.unit;
  out.columns = columns_of(recording);
  out.tally = recording.tally;
  out.pieces = pieces_of(recording);
  out.start_s = out.pieces.from_s;
  out.duration_s = out.pieces.to_s - out.pieces.from_s;
  const double interval = recording.tally.median_interval_s;
  out.rate_Hz = interval > 0.0 ? 1.0 / interval : 0.0;
  return out;
}

FieldSeries part_of(const RecordingPreview& preview, double from_s, double to_s,
                    std::size_t points) {
  const FieldSeries& fine = preview.pieces;
  FieldSeries out;
  out.from_s = from_s;
  out.to_s = to_s;
  const auto begin = fine.time_s.begin(), end = fine.time_s.end();
  auto first = std::lower_bound(begin, end, from_s);
  auto last = std::upper_bound(begin, end, to_s);
  if (first != begin) --first;
  if (last != end) ++last;
  if (first >= last || points == 0) return out;
  const auto from = static_cast<std::size_t>(first - begin);
  const auto count = static_cast<std::size_t>(last - first);
  const std::size_t pieces = std::min(points, count);
  out.every_sample = fine.every_sample && pieces == count;
  reserve(out, pieces);
  for (std::size_t i = 0; i < pieces; ++i) {
    join(fine, from + i * count / pieces, from + (i + 1) * count / pieces, out);
  }
  return out;
}

}  // namespace qn
