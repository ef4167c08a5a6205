// SPDX-License-Identifier: Apache-2.0
#include "app/apply_sensor_fit.h"

#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <iterator>

#include "acquire/sensor_log.h"
#include "app/codec_sensor_fit.h"
#include "app/read_text_file.h"
#include "procedure/sensor_apply.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Rounded to the hundredth first, so that 359.996 becomes 0.00 and not 360.00.
double shown_heading(double deg) {
  const double rounded = std::round(wrap_360_deg(deg) * 100.0) / 100.0;
  return rounded >= 360.0 ? 0.0 : rounded;
}

std::string to_csv(const StoredCorrection& stored, const SensorRecording& recording,
                   const std::string& fit_name, const std::string& log_name) {
  fmt::memory_buffer out;
  const auto end = std::back_inserter(out);
  fmt::format_to(end, "# {} corrected with {}; field in {} axes, heading magnetic\n", log_name,
                 fit_name, to_word(stored.frame));
  fmt::format_to(end,
                 "time_s,field_x_uT,field_y_uT,field_z_uT,heading_deg,heading_lo_deg,"
                 "heading_hi_deg\n");
  const auto samples = apply_to_recording(stored.correction, stored.noise_sigma_uT, recording);
  for (std::size_t k = 0; k < samples.size(); ++k) {
    const CorrectedSample& s = samples[k];
    fmt::format_to(end, "{},{:.4f},{:.4f},{:.4f},{:.2f},{:.2f},{:.2f}\n", recording.time_s[k],
                   s.field_uT[0], s.field_uT[1], s.field_uT[2], shown_heading(s.heading_deg),
                   shown_heading(s.heading_95.lo.in_deg()),
                   shown_heading(s.heading_95.hi.in_deg()));
  }
  return fmt::to_string(out);
}

}  // namespace

Result<AppliedLog> apply_sensor_fit(const ApplyRequest& request) {
  auto text = read_text_file(request.fit_path);
  if (!text) return text.error();
  const std::string fit_name = std::filesystem::path{request.fit_path}.filename().string();
  const std::string log_name = std::filesystem::path{request.log_path}.filename().string();
  auto stored = parse_sensor_fit(text.value(), fit_name);
  if (!stored) return stored.error();
  SensorLogOptions reading;
  reading.column_map = request.column_map;
  auto recording = read_sensor_log(request.log_path, reading);
  if (!recording) return recording.error();
  if (recording.value().unit != stored.value().raw_unit) {
    const bool counts = stored.value().raw_unit == FieldUnit::counts;
    return Error{
        ErrorKind::BadInput,
        fmt::format("the correction is for {} and the log holds {}",
                    counts ? "raw counts" : "microtesla", counts ? "microtesla" : "raw counts"),
        fmt::format("{} against {}", log_name, fit_name),
        "a log of the same sensor in the same unit",
        "use the log that belongs to this correction, or solve the sensor from this log"};
  }
  AppliedLog out;
  out.csv = to_csv(stored.value(), recording.value(), fit_name, log_name);
  out.samples = recording.value().size();
  out.remarks = recording.value().tally.remarks;
  return out;
}

}  // namespace qn
