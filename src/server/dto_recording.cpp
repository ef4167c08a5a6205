// SPDX-License-Identifier: Apache-2.0
#include "server/dto_recording.h"

#include <nlohmann/json.hpp>

namespace qn {

using nlohmann::json;

std::string recording_json(const KeptRecording& recording) {
  const RecordingPreview& p = recording.preview;
  const RecordingTally& t = p.tally;
  const json out = {
      {"id", recording.id},
      {"name", recording.name},
      {"samples", p.samples},
      {"start_s", p.start_s},
      {"duration_s", p.duration_s},
      {"rate_Hz", p.rate_Hz},
      {"unit", p.unit == FieldUnit::counts ? "counts" : "uT"},
      {"columns", p.columns},
      {"tally",
       {{"rows", t.rows},
        {"missing_cells", t.missing_cells},
        {"dropped_rows", t.dropped_rows},
        {"duplicate_times", t.duplicate_times},
        {"backward_times", t.backward_times},
        {"gaps", t.gaps},
        {"longest_gap_s", t.longest_gap_s},
        {"median_interval_s", t.median_interval_s},
        {"remarks", t.remarks}}},
  };
  return out.dump(-1, ' ', false, json::error_handler_t::replace);
}

std::string series_json(const FieldSeries& series) {
  static constexpr const char* kNames[] = {"x", "y", "z", "size"};
  json out = {{"from_s", series.from_s},
              {"to_s", series.to_s},
              {"every_sample", series.every_sample},
              {"time_s", series.time_s}};
  for (std::size_t i = 0; i < 4; ++i) {
    out[kNames[i]] = {{"min", series.lowest[i]}, {"max", series.highest[i]}};
  }
  return out.dump();
}

}  // namespace qn
