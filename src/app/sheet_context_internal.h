// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "app/fit_sensor_log.h"
#include "report/sensor_fit_sheet.h"

namespace qn {

/// What stands around a sheet, from where its document comes.
inline SheetContext sheet_context(const Provenance& from, Paper paper) {
  return {.aircraft = from.aircraft,
          .place = from.place,
          .day = from.day,
          .log_name = from.log_name,
          .log_sha256 = from.log_sha256,
          .program_version = from.program_version,
          .letter = paper == Paper::letter};
}

}  // namespace qn
