// SPDX-License-Identifier: Apache-2.0
//
// Any bytes must end in a recording that keeps its promises, or in an Error. Build with clang and
// -DQN_FUZZ=ON; run: qn_fuzz_sensor_log -max_total_time=600 CORPUS-COPY tests/fuzz/corpus
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "acquire/csv_table.h"
#include "acquire/log_statistics.h"
#include "acquire/sensor_log.h"

namespace {

void demand(bool condition, const char* what) {
  if (condition) return;
  std::fprintf(stderr, "broken promise: %s\n", what);
  std::abort();
}

void check_recording(const qn::SensorRecording& r) {
  demand(r.size() >= 2, "two samples");
  for (std::size_t i = 0; i < r.size(); ++i) {
    demand(std::isfinite(r.time_s[i]), "finite time");
    demand(i == 0 || r.time_s[i] > r.time_s[i - 1], "increasing time");
    for (const auto& axis : r.field) {
      demand(std::isfinite(axis[i]) && std::fabs(axis[i]) <= 1e10, "field within its range");
    }
  }
  for (const auto* column : {&r.roll_deg, &r.pitch_deg, &r.accel_g[0], &r.accel_g[1], &r.accel_g[2],
                             &r.heading_deg, &r.current_A, &r.temperature_C}) {
    demand(column->empty() || column->size() == r.size(), "columns of one length");
    for (const double value : *column) demand(!std::isinf(value), "no infinity");
  }
  const auto& t = r.tally;
  demand(t.rows == r.size() + t.dropped_rows + t.duplicate_times + t.backward_times,
         "every row is kept or counted");
  demand(t.rows == r.size() || !t.remarks.empty(), "what is left out is said");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes{reinterpret_cast<const char*>(data), size};
  const auto source = qn::memory_source(bytes, "fuzz.csv");
  qn::SensorLogOptions options;
  options.threads = 1;
  const auto recording = qn::read_sensor_log(*source, options);
  if (recording) check_recording(recording.value());
  options.column_map = {"time_s=a", "field_x_uT=b", "field_y_nT=c", "field_z_mG=d"};
  const auto mapped = qn::read_sensor_log(*source, options);
  if (mapped) check_recording(mapped.value());
  const auto statistics = qn::log_statistics(*source, options);
  if (statistics) {
    for (const auto& column : statistics.value().columns) {
      demand(column.count + column.missing == statistics.value().rows, "each cell is counted once");
      demand(column.min <= column.max, "extremes in order");
      demand(std::isfinite(column.mean) && column.standard_deviation >= 0.0, "finite statistics");
    }
  }
  const auto table = qn::parse_csv_table(*source);
  if (table) {
    for (std::size_t row = 0; row < table.value().rows().size(); ++row) {
      for (std::size_t column = 0; column < table.value().header().size(); ++column) {
        (void)table.value().number(row, column);
      }
    }
  }
  return 0;
}
