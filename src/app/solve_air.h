// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/fit_sensor_log.h"
#include "procedure/air_check.h"
#include "procedure/air_plan.h"
#include "procedure/steady_legs.h"
#include "vocab/result.h"

namespace qn {

/// How the air was measured: the same words in `air solve` and `air plan`, as the user gave them.
struct AirAssumed {
  std::optional<double> variation_deg, variation_sigma_deg, sideslip_sigma_deg;
  std::optional<double> heading_sigma_deg, rounding_deg, track_sigma_deg, speed_sigma_kt;
  std::optional<double> airspeed_sigma_kt, wind_sigma_kt, wind_change_kt_per_hour;
  std::optional<std::string> at, on;
};

/// One request for `quietnorth air solve`.
struct AirRequest {
  std::string path;
  std::string file_name;  ///< shown in place of the path's last part; empty: that
  AirAssumed assumed;
  std::optional<std::string> tracks_are;    ///< true | magnetic
  std::optional<std::string> headings_are;  ///< magnetic | true: what the display shows
  std::optional<double> tas_sigma_kt, limit_deg, least_leg_s;
  std::optional<std::string> limit_basis;
  std::string aircraft;
};

struct AirDocument {
  AirSolution air;
  std::vector<FlightStretch> stretches;  ///< of a log; else empty
  std::vector<AirLeg> legs;              ///< those that were solved, as `air.legs`
  std::string file_name, file_sha256, program_version;
  std::string place, day, aircraft;
  bool from_log = false, tracks_magnetic = false, headings_true = false;
  std::optional<double> variation_deg;
  std::vector<std::string> how_read;
};

/// errors  OutOfRange naming an option; BadInput naming file, line and column
Result<AirDocument> solve_air_file(const AirRequest& request);

/// The sheet of the check, as the bytes of the file.
Result<std::string> air_sheet(const AirDocument& document, SheetFormat format, Paper paper);

/// One request for `quietnorth air plan`.
struct AirPlanRequest {
  AirAssumed assumed;
  double tas_kt = 0.0, wind_from_deg = 0.0, wind_kt = 0.0, minutes = 0.0;
  std::optional<std::string> wind_guess;  ///< FROM/KT, in place of the two numbers
  std::optional<double> leg_minutes;
  std::string aircraft;  ///< for the sheet
};

struct AirPlanDocument {
  AirPlan plan;
  AirPlanRequest request;
  std::optional<double> variation_deg;
  std::string program_version;
};

/// errors  OutOfRange naming an option
Result<AirPlanDocument> plan_air_check(const AirPlanRequest& request);

/// The sheet to carry along and write on, as the bytes of the file.
Result<std::string> air_plan_sheet(const AirPlanDocument& document, SheetFormat format,
                                   Paper paper);

/// One request for `quietnorth air simulate`.
struct SimulateFlightRequest {
  std::uint64_t seed = 1;
  std::size_t legs = 8;
  double leg_s = 120.0;
  std::string folder;
};

struct SimulatedFlightFiles {
  std::vector<std::string> paths;
  double variation_deg = 0.0;
};

/// Writes FOLDER/flight.csv and flight.nmea (the same flight), legs.csv (another, by hand) and
/// truth.json (docs/formats/air-check-json.md). The same request writes the same bytes.
///
/// errors  OutOfRange: legs or length that cannot be. Io: a file cannot be written
Result<SimulatedFlightFiles> simulate_flight(const SimulateFlightRequest& request);

}  // namespace qn
