// SPDX-License-Identifier: Apache-2.0
#include "app/place.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <utility>
#include <vector>

#include "earth/geomagnetic.h"
#include "vocab/text_parts.h"

namespace qn {
namespace {

constexpr std::string_view kAt = "option --at";
constexpr std::string_view kOn = "option --on";
constexpr std::string_view kHorizontal = "option --horizontal-uT";
constexpr std::string_view kVertical = "option --vertical-uT";
constexpr std::string_view kEitherPair =
    "--at LAT,LON[,ALT_m] with --on YYYY-MM-DD, or --horizontal-uT H with --vertical-uT Z";

// The Earth's field is 22 to 67 uT (WMM2025 evaluated over the globe); room for a disturbed spot.
constexpr double kWeakestField_uT = 15.0;
constexpr double kStrongestField_uT = 100.0;

Error option_error(std::string what, std::string_view where, std::string_view expected,
                   std::string_view remedy) {
  return Error{ErrorKind::OutOfRange, std::move(what), std::string{where}, std::string{expected},
               std::string{remedy}};
}

std::optional<double> number_in(std::string_view text) {
  text = trimmed(text);
  if (text.size() > 1 && text[0] == '+' && text[1] != '-') text.remove_prefix(1);
  double value = 0.0;
  const auto [end, ec] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool whole = ec == std::errc{} && end == text.data() + text.size();
  return whole && std::isfinite(value) ? std::optional{value} : std::nullopt;
}

Error not_a_place(std::string_view text) {
  return option_error(fmt::format("'{}' is not a place", text), kAt,
                      "LAT,LON[,ALT_m], for example -32.9,-68.8 or 47.05,8.3,430",
                      "write decimal degrees with a point, a comma between them, south and west "
                      "as negative numbers");
}

// What H and Z would be in the unit they most likely came in.
std::string unit_hint(double total) {
  const auto plausible = [](double uT) { return uT >= 20.0 && uT <= 70.0; };
  if (plausible(total / 1000.0)) return "; these look like nanotesla: divide both by 1000";
  if (plausible(total * 100.0)) return "; these look like gauss: multiply both by 100";
  if (plausible(total / 10.0)) return "; these look like milligauss: divide both by 10";
  return "";
}

Result<LocalField> measured_field(double horizontal_uT, double vertical_uT) {
  if (!std::isfinite(horizontal_uT) || !(horizontal_uT > 0.0)) {
    return option_error(fmt::format("horizontal field {} uT is not above zero", horizontal_uT),
                        kHorizontal, "the strength of the field along the ground, in microtesla",
                        "give H without a sign; a heading needs a horizontal field");
  }
  if (!std::isfinite(vertical_uT)) {
    return option_error(fmt::format("vertical field {} uT is not a number", vertical_uT), kVertical,
                        "the field downward in microtesla, negative in the south",
                        "give Z as a number");
  }
  const double total_uT = std::hypot(horizontal_uT, vertical_uT);
  if (total_uT < kWeakestField_uT || total_uT > kStrongestField_uT) {
    return option_error(
        fmt::format("H {} uT and Z {} uT make a total of {:.6g} uT, which the Earth does not have",
                    horizontal_uT, vertical_uT, total_uT),
        "options --horizontal-uT and --vertical-uT",
        fmt::format("a total of {:.0f} to {:.0f} uT (the Earth has 22 to 67)", kWeakestField_uT,
                    kStrongestField_uT),
        "give both in microtesla" + unit_hint(total_uT));
  }
  LocalField field;
  field.horizontal_uT = horizontal_uT;
  field.down_uT = vertical_uT;
  field.sigma_horizontal_uT = kMeasuredSigma_uT;
  field.sigma_down_uT = kMeasuredSigma_uT;
  field.source =
      fmt::format("measured, as given (1 sigma {} uT each, our own assumption)", kMeasuredSigma_uT);
  return field;
}

}  // namespace

Result<GeodeticPoint> parse_place(std::string_view text) {
  const auto cells = parts_of(text, ",");
  if (cells.size() < 2 || cells.size() > 3) return not_a_place(text);
  const auto latitude_deg = number_in(cells[0]);
  const auto longitude_deg = number_in(cells[1]);
  const auto height_m = cells.size() == 3 ? number_in(cells[2]) : std::optional{0.0};
  if (!latitude_deg || !longitude_deg || !height_m) return not_a_place(text);
  const GeodeticPoint place{Angle::degrees(*latitude_deg), Angle::degrees(*longitude_deg),
                            Length::metres(*height_m)};
  if (const auto ok = check_place(place, kAt); !ok) return ok.error();
  return place;
}

Result<PlaceAndDay> place_and_day_from(const std::optional<std::string>& at,
                                       const std::optional<std::string>& on) {
  if (!at) {
    return option_error("the place is missing", kAt, "--at LAT,LON[,ALT_m]",
                        on ? "add --at with the place of the recording"
                           : "add --at with the place and --on with the day");
  }
  auto place = parse_place(*at);
  if (!place) return place.error();
  if (!on) {
    return option_error("the day is missing", kOn, "--on YYYY-MM-DD",
                        "add --on with the day of the recording: the field changes from year to "
                        "year, and no day is assumed");
  }
  const auto date = CalendarDate::parse(trimmed(*on), kOn);
  if (!date) return date.error();
  const auto ok = check_time(DecimalYear::start_of(date.value()), date.value().to_iso(), kOn);
  if (!ok) return ok.error();
  return PlaceAndDay{place.value(), date.value()};
}

Result<LocalField> local_field_from(const std::optional<std::string>& at,
                                    const std::optional<std::string>& on,
                                    std::optional<double> horizontal_uT,
                                    std::optional<double> vertical_uT) {
  const bool model = at || on;
  const bool measured = horizontal_uT || vertical_uT;
  if (model && measured) {
    return option_error("both a place and a measured field are given",
                        fmt::format("options {} and {}", at ? "--at" : "--on",
                                    horizontal_uT ? "--horizontal-uT" : "--vertical-uT"),
                        kEitherPair, "keep the pair you trust more and leave the other out");
  }
  if (!model && !measured) {
    return option_error("the Earth's field is not known", "options --at and --on", kEitherPair,
                        "add the place and day of the recording");
  }
  if (model) {
    const auto where = place_and_day_from(at, on);
    if (!where) return where.error();
    const CalendarDate& date = where.value().date;
    const auto field = earth_field(where.value().place, DecimalYear::start_of(date));
    if (!field) return field.error();
    return local_field_of(field.value(), date);
  }
  if (!horizontal_uT || !vertical_uT) {
    return option_error(
        fmt::format("the {} field is missing", horizontal_uT ? "vertical" : "horizontal"),
        horizontal_uT ? kVertical : kHorizontal, "--horizontal-uT H with --vertical-uT Z",
        "give both, in microtesla, the vertical one positive downward");
  }
  return measured_field(*horizontal_uT, *vertical_uT);
}

std::string place_text(const GeodeticPoint& place) {
  const std::string at = fmt::format("{}, {}", place.latitude.in_deg(), place.longitude.in_deg());
  const double height_m = place.height.in_m();
  return height_m == 0.0 ? at : fmt::format("{}, {} m", at, height_m);
}

}  // namespace qn
