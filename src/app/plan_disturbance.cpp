// SPDX-License-Identifier: Apache-2.0
#include "app/plan_disturbance.h"

#include <fmt/format.h>

#include <filesystem>
#include <utility>

#include "app/codec_equipment.h"
#include "app/file_digest.h"
#include "app/place.h"
#include "app/version.h"
#include "report/disturbance_plan_sheet.h"

namespace qn {
namespace {

constexpr double kNoise_uT = 0.1;
constexpr double kRate_Hz = 10.0;

/// A dip of 65 degrees goes with the assumed H; the plan asks only for H.
LocalField assumed_field() {
  LocalField field;
  field.horizontal_uT = kAssumedHorizontal_uT;
  field.down_uT = 42.9;
  field.sigma_horizontal_uT = 5.0;
  field.sigma_down_uT = 10.0;
  field.source = "assumed for middle latitudes; say --at and --on for your place";
  return field;
}

Result<LocalField> earth_of(const PlanRequest& request) {
  if (!request.at && !request.on && !request.horizontal_uT && !request.vertical_uT) {
    return assumed_field();
  }
  return local_field_from(request.at, request.on, request.horizontal_uT, request.vertical_uT);
}

Limit limit_of(const PlanRequest& request) {
  Limit limit{Angle::degrees(1.0), std::string{kStartingLimitBasis}};
  if (request.limit_deg) limit = {Angle::degrees(*request.limit_deg), "your own limit"};
  if (request.limit_basis && !request.limit_basis->empty()) limit.basis = *request.limit_basis;
  return limit;
}

}  // namespace

Result<PlanOptions> plan_options(const PlanRequest& request) {
  PlanOptions options;
  options.limit = limit_of(request);
  options.noise_uT = request.noise_uT.value_or(kNoise_uT);
  options.rate_Hz = request.rate_Hz.value_or(kRate_Hz);
  auto earth = earth_of(request);
  if (!earth) return earth.error();
  options.earth = std::move(earth).value();
  return options;
}

Result<PlanDocument> plan_disturbance_run(const PlanRequest& request) {
  const auto options = plan_options(request);
  if (!options) return options.error();
  PlanDocument document;
  document.equipment_name = request.equipment_name.empty()
                                ? std::filesystem::path{request.equipment_path}.filename().string()
                                : request.equipment_name;
  const auto equipment = read_equipment(request.equipment_path, document.equipment_name);
  if (!equipment) return equipment.error();
  auto digest = sha256_of_file(request.equipment_path, document.equipment_name);
  if (!digest) return digest.error();
  document.equipment_sha256 = std::move(digest).value();
  auto plan = plan_disturbance(equipment.value(), options.value());
  if (!plan) return plan.error();
  document.plan = std::move(plan).value();
  if (request.at) {
    if (const auto where = place_and_day_from(request.at, request.on)) {
      document.place = place_text(where.value().place);
      document.day = where.value().date.to_iso();
    }
  }
  document.program_version = std::string{program_version()};
  document.aircraft = request.aircraft;
  return document;
}

Result<std::string> disturbance_plan_sheet(const PlanDocument& document, SheetFormat format,
                                           Paper paper) {
  const SheetContext context{.aircraft = document.aircraft,
                             .place = document.place,
                             .day = document.day,
                             .log_name = document.equipment_name,
                             .log_sha256 = document.equipment_sha256,
                             .program_version = document.program_version,
                             .letter = paper == Paper::letter};
  return format == SheetFormat::pdf ? disturbance_plan_sheet_pdf(document.plan, context)
                                    : disturbance_plan_sheet_svg(document.plan, context);
}

}  // namespace qn
