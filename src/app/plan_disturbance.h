// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "app/fit_sensor_log.h"
#include "procedure/disturbance_plan.h"
#include "vocab/result.h"

namespace qn {

/// One request for `quietnorth disturb plan`, texts as the user gave them.
struct PlanRequest {
  std::string equipment_path;
  std::string equipment_name;     ///< shown name; empty: taken from equipment_path
  std::optional<std::string> at;  ///< LAT,LON[,ALT_m]
  std::optional<std::string> on;  ///< ISO date
  std::optional<double> horizontal_uT, vertical_uT;
  std::optional<double> limit_deg;
  std::optional<std::string> limit_basis;
  std::optional<double> noise_uT, rate_Hz;  ///< 0.1 and 10 when not given
  std::string aircraft;
};

struct PlanDocument {
  DisturbancePlan plan;
  std::string equipment_name;    ///< file name without folder
  std::string equipment_sha256;  ///< 64 hex digits of the bytes as read
  std::string program_version;
  std::string place;     ///< "-32.9, -68.8" or ""
  std::string day;       ///< ISO date or ""
  std::string aircraft;  ///< free text of the user, or ""
};

/// H where nobody says where the aircraft stands: middle latitudes; own assumption, always printed.
inline constexpr double kAssumedHorizontal_uT = 20.0;

/// What such a request says, but for the list.
/// errors  those of local_field_from
Result<PlanOptions> plan_options(const PlanRequest& request);

/// Reads the equipment list and plans the run. Nothing is written.
/// errors  those of read_equipment, local_field_from and plan_disturbance
Result<PlanDocument> plan_disturbance_run(const PlanRequest& request);

/// Schema quietnorth/disturbance-plan/1 (docs/formats/disturbance-plan-json.md).
std::string to_json(const PlanDocument& document);

/// The sheet to carry along, as the bytes of the file.
Result<std::string> disturbance_plan_sheet(const PlanDocument& document, SheetFormat format,
                                           Paper paper);

}  // namespace qn
