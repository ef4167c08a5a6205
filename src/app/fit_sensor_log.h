// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "procedure/sensor_fit.h"
#include "vocab/result.h"

namespace qn {

/// Where a document's numbers come from: enough to find the recording and repeat the answer.
struct Provenance {
  std::string log_name;         ///< file name without folder
  std::string log_sha256;       ///< 64 hex digits of the bytes as read
  std::string program_version;  ///< "0.1.0"
  std::string place;            ///< "-32.9, -68.8" or "" when H and Z were measured
  std::string day;              ///< ISO date of the recording, or ""
  std::string aircraft;         ///< free text of the user, or ""
};

struct FitDocument {
  SensorFit fit;
  RecordingTally tally;
  Provenance provenance;
};

/// One request for `quietnorth sensor fit`, texts as the user gave them, so that every edge
/// (command line, page) refuses the same things in the same words.
struct FitRequest {
  std::string log_path;
  std::string log_name;           ///< shown name; empty: taken from log_path
  std::optional<std::string> at;  ///< LAT,LON[,ALT_m]
  std::optional<std::string> on;  ///< ISO date
  std::optional<double> horizontal_uT, vertical_uT;
  std::optional<std::string> stations_path;
  std::optional<std::string> motion;        ///< tumble | swing | stations | auto
  std::optional<std::string> mount;         ///< x=-y,y=x,z=z
  std::optional<std::string> mount_deg;     ///< YAW,PITCH,ROLL
  std::optional<std::string> slope_deg;     ///< NORTH,EAST[,SIGMA] or STEEPEST[,SIGMA]; see docs
  std::optional<std::string> deck_deg;      ///< ROLL,PITCH[,SIGMA]
  std::optional<std::string> accel_reads;   ///< up | down
  std::vector<std::string> known_headings;  ///< T_s,HEADING each
  std::optional<double> station_sigma_deg, north_sigma_deg;
  std::optional<double> limit_deg;
  std::optional<std::string> limit_basis;
  std::vector<std::string> column_map;  ///< NAME=COLUMN each
  std::string aircraft;
};

/// Called now and then with what is being done and how far it is (0 to 1). May come from another
/// thread, never from two at once. Returning false asks to stop; the call then ends with an Error.
using Progress = std::function<bool(const std::string& doing, double fraction)>;

/// Reads the recording, solves it, judges it. Nothing is written.
Result<FitDocument> fit_sensor_log(const FitRequest& request, const Progress& progress = {});

/// The document as JSON, schema quietnorth/sensor-fit/1 (docs/formats/sensor-fit-json.md).
std::string to_json(const FitDocument& document);

enum class SheetFormat { pdf, svg };
enum class Paper { a4, letter };

/// The one-page sheet, as the bytes of the file.
Result<std::string> sensor_fit_sheet(const FitDocument& document, SheetFormat format, Paper paper);

}  // namespace qn
