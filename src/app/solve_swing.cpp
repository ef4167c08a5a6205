// SPDX-License-Identifier: Apache-2.0
#include "app/solve_swing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "app/place.h"

namespace qn {
namespace {

std::optional<Error> check_unturned(const SwingInput& input) {
  for (const SwingReading& r : input.readings) {
    if (!std::isfinite(r.set_deg)) continue;
    return Error{ErrorKind::BadInput,
                 "an adjuster was turned on the way (column set_deg), so these readings are of two "
                 "deviation curves",
                 fmt::format("{}, row {}", input.source.stations_name, r.row + 1),
                 "readings between which no adjuster was turned",
                 "use `swing adjust` with this file, and put the readings after the last turn into "
                 "a file of their own for `swing solve` and `card`"};
  }
  return std::nullopt;
}

/// Nothing when the Earth's field is not known.
Result<std::optional<SwingField>> field_of(const SwingSolveRequest& request,
                                           const SwingSolution& swing) {
  const bool measured = request.horizontal_uT || request.vertical_uT;
  if (!request.swing.at && !measured) {
    if (!request.forecast_at) return std::optional<SwingField>{};
    return Error{ErrorKind::OutOfRange, "a forecast needs the field of the place of the swing",
                 "option --forecast-at", "--at with --on, or --horizontal-uT with --vertical-uT",
                 "say where and when the swing was made"};
  }
  auto here = local_field_from(request.swing.at, measured ? std::nullopt : request.swing.on,
                               request.horizontal_uT, request.vertical_uT);
  if (!here) return here.error();
  SwingField out;
  out.here = std::move(here).value();
  for (const SwingCompass& c : swing.compasses) out.iron.push_back(iron_of(c, out.here));
  if (!request.forecast_at) return std::optional{std::move(out)};
  auto there = local_field_from(request.forecast_at, request.swing.on, std::nullopt, std::nullopt);
  if (!there) {
    Error wrong = there.error();
    if (wrong.where.find("--at") != std::string::npos) wrong.where = "option --forecast-at";
    return wrong;
  }
  if (const auto place = parse_place(*request.forecast_at)) {
    out.there_place = place_text(place.value());
  }
  out.there = std::move(there).value();
  for (const SwingCompass& c : swing.compasses) {
    out.forecasts.push_back(forecast_swing(c, out.here, *out.there));
  }
  return std::optional{std::move(out)};
}

}  // namespace

Result<SwingDocument> solve_swing_file(const SwingRequest& request) {
  auto input = read_swing_input(request);
  if (!input) return input.error();
  if (auto wrong = check_unturned(input.value())) return *wrong;
  auto swing = solve_swing(input.value().readings, input.value().options);
  if (!swing) return swing.error();
  return SwingDocument{std::move(swing).value(), std::move(input.value().source), std::nullopt,
                       std::nullopt};
}

Result<SwingDocument> solve_swing_file(const SwingSolveRequest& request) {
  auto document = solve_swing_file(request.swing);
  if (!document) return document;
  if (request.before_path) {
    SwingRequest earlier = request.swing;
    earlier.stations_path = *request.before_path;
    earlier.stations_name.clear();
    earlier.compass.reset();
    earlier.limits.clear();  // they may name a compass that came later
    earlier.box_corrected.clear();
    earlier.day = request.before_day;
    if (!earlier.day.empty()) {
      const auto day = CalendarDate::parse(earlier.day, "option --before-day");
      if (!day) return day.error();
    }
    auto before = solve_swing_file(earlier);
    if (!before) return before.error();
    // The day of --on is that of the later swing.
    before.value().source.day = earlier.day;
    SwingComparison comparison = compare_swings(before.value().swing, document.value().swing);
    document.value().before = SwingBefore{std::move(before.value().source), std::move(comparison)};
  }
  auto field = field_of(request, document.value().swing);
  if (!field) return field.error();
  document.value().field = std::move(field).value();
  return document;
}

VerdictState worst_state(const SwingSolution& swing) {
  VerdictState out = VerdictState::within;
  for (const SwingCompass& c : swing.compasses) {
    if (c.verdict.state == VerdictState::over) return VerdictState::over;
    if (c.verdict.state == VerdictState::unproven) out = VerdictState::unproven;
  }
  return out;
}

bool every_verdict_within(const SwingSolution& swing) {
  return std::all_of(swing.compasses.begin(), swing.compasses.end(),
                     [](const SwingCompass& c) { return c.verdict.state == VerdictState::within; });
}

}  // namespace qn
