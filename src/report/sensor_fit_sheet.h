// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "procedure/sensor_fit.h"
#include "vocab/result.h"

namespace qn {

/// What stands around the numbers on a sheet. Texts are shown as they are; empty ones are left out.
struct SheetContext {
  std::string aircraft;
  std::string place;
  std::string day;  ///< ISO date of the recording
  std::string log_name;
  std::string log_sha256;  ///< hex; shown in groups of four
  std::string program_version;
  bool letter = false;  ///< US Letter instead of A4
};

/// One page a builder puts into the aircraft's file: the sentence first, then the evidence.
///
/// returns  the bytes of a PDF or SVG file, the same bytes for the same input
/// errors   Io when the font (DejaVu Sans) is missing or drawing fails
Result<std::string> sensor_fit_sheet_pdf(const SensorFit& fit, const SheetContext& context);
Result<std::string> sensor_fit_sheet_svg(const SensorFit& fit, const SheetContext& context);

}  // namespace qn
