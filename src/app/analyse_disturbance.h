// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "app/fit_sensor_log.h"
#include "procedure/disturbance_run.h"
#include "procedure/heading_run.h"
#include "vocab/mark.h"
#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

/// One request for `quietnorth disturb analyse`, texts as the user gave them, so that every edge
/// refuses the same things in the same words.
struct DisturbanceRequest {
  std::string log_path, log_name;      ///< shown name; empty: taken from the path
  std::string marks_path, marks_name;  ///< likewise
  std::optional<std::string> equipment_path;
  std::string equipment_name;
  std::optional<std::string> at;  ///< LAT,LON[,ALT_m]
  std::optional<std::string> on;  ///< ISO date
  std::optional<double> horizontal_uT, vertical_uT;
  std::optional<double> aircraft_heading_deg;  ///< magnetic, 0 to below 360
  std::optional<double> limit_deg;             ///< 1 when not given
  std::optional<std::string> limit_basis;
  bool rigid = false;
  std::optional<std::string> mount;           ///< x=-y,y=x,z=z
  std::optional<std::string> mount_deg;       ///< YAW,PITCH,ROLL
  std::optional<std::string> accel_reads;     ///< up | down
  std::optional<std::string> heading_source;  ///< magnetic | blended | unknown
  std::vector<std::string> column_map;        ///< NAME=COLUMN each
  std::string aircraft;

  /// The same run worked again on another heading: heading-only logs need it. The aircraft's
  /// heading is given for every run or for none.
  struct Further {
    std::string log_path, marks_path;
    std::optional<double> aircraft_heading_deg;
  };
  std::vector<Further> also;
};

struct SourceFile {
  std::string name;    ///< without folder
  std::string sha256;  ///< 64 hex digits of the bytes as read
};

/// A run on another heading of the aircraft, of which only the display was logged.
struct FurtherRun {
  HeadingLog run;
  SourceFile log_file, marks_file;
};

/// All that the analysis needs, read and judged. Marks may be changed and the run analysed again
/// without reading the log once more.
struct LoadedDisturbance {
  SensorRecording recording;  ///< body axes; without a field when only a display was logged
  std::vector<Mark> marks;
  HeadingSource heading_source = HeadingSource::unknown;
  std::vector<FurtherRun> further;  ///< empty unless only displays were logged
  bool mounting_given = false;
  DisturbanceOptions options;
  Provenance provenance;  ///< of the log
  SourceFile marks_file;
  std::optional<SourceFile> equipment_file;
};

struct DisturbanceDocument {
  DisturbanceRun run;
  RecordingTally tally;
  std::size_t samples = 0;
  Provenance provenance;
  SourceFile marks_file;
  std::optional<SourceFile> equipment_file;
  std::optional<double> aircraft_heading_deg;
  bool rigid = false;

  struct FurtherFiles {
    SourceFile log, marks;
  };
  std::vector<FurtherFiles> further;
};

/// Reads log, marks and equipment, and brings the recording into body axes. Nothing is written.
/// errors  OutOfRange naming an option; BadInput naming file, line and column
Result<LoadedDisturbance> load_disturbance(const DisturbanceRequest& request,
                                           const Progress& progress = {});

/// errors  BadInput, naming the files where the procedure says "the marks" and "the sensor log"
Result<DisturbanceDocument> analyse_loaded(const LoadedDisturbance& loaded);

/// Both, one after the other.
Result<DisturbanceDocument> analyse_disturbance_log(const DisturbanceRequest& request,
                                                    const Progress& progress = {});

/// Whether every device, every phase and the run as a whole are `within`: what --check asks.
bool every_verdict_within(const DisturbanceRun& run);

/// The sheet of the run, as the bytes of the file.
Result<std::string> disturbance_sheet(const DisturbanceDocument& document, SheetFormat format,
                                      Paper paper);

}  // namespace qn
