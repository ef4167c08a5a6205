// SPDX-License-Identifier: Apache-2.0
#include "cli/place_options.h"

namespace qn {
namespace {

constexpr const char* kGroup = "Earth's field";

}  // namespace

void add_place_options(CLI::App& command, PlaceOptions& options) {
  command
      .add_option("--at", options.at,
                  "place: decimal degrees, north and east positive; height in metres above the "
                  "ellipsoid (sea level will do), 0 when left out")
      ->type_name("LAT,LON[,ALT_m]")
      ->group(kGroup);
  command.add_option("--on", options.on, "day, for example 2026-05-14")
      ->type_name("YYYY-MM-DD")
      ->group(kGroup);
}

void add_measured_field_options(CLI::App& command, MeasuredFieldOptions& options) {
  command
      .add_option("--horizontal-uT", options.horizontal_uT,
                  "horizontal field as measured, in place of --at and --on")
      ->type_name("H")
      ->group(kGroup);
  command
      .add_option("--vertical-uT", options.vertical_uT,
                  "vertical field as measured, positive downward")
      ->type_name("Z")
      ->group(kGroup);
}

}  // namespace qn
