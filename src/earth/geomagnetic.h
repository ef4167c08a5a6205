// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "earth/local_field.h"
#include "vocab/angle.h"
#include "vocab/position.h"
#include "vocab/result.h"
#include "vocab/time.h"

namespace qn {

/// The seven numbers in which the Earth's field is usually given; also used for their yearly
/// change and their 1-sigma.
struct FieldElements {
  double north_uT = 0.0;       ///< X, toward true north
  double east_uT = 0.0;        ///< Y
  double down_uT = 0.0;        ///< Z
  double horizontal_uT = 0.0;  ///< H
  double total_uT = 0.0;       ///< F
  Angle dip;                   ///< I, down positive
  Angle declination;           ///< D, east positive, (-180, 180] degrees
};

/// How far a compass can be trusted there at all, by H alone (WMM report, section 1.8).
enum class CompassZone {
  none,
  caution,   ///< 2000 nT <= H < 6000 nT: compasses may become inaccurate
  blackout,  ///< H < 2000 nT: declination is not to be used
};

struct EarthField {
  FieldElements value;
  FieldElements per_year;
  FieldElements sigma;  ///< the model's own 1-sigma: one figure for the whole Earth, except for D
  CompassZone zone = CompassZone::none;
};

inline constexpr std::string_view kEarthModelName = "WMM2025";

/// Is this a place the model covers? -90..90, -360..360 degrees, -1..850 km above the ellipsoid.
/// where    names the option or field for the error
Result<Done> check_place(const GeodeticPoint& place, std::string_view where);

/// Is this a time the model covers? 2025.0 to 2030.0, both included.
/// shown    the time as the user wrote it
Result<Done> check_time(DecimalYear when, std::string_view shown, std::string_view where);

/// The Earth's main field by the World Magnetic Model 2025, its yearly change and its 1-sigma.
///
/// place    geodetic, WGS 84; height is above the ellipsoid, not sea level
/// when     decimal year, UTC; the model is linear in time
/// returns  microtesla and degrees; at a pole north is along the meridian given
/// errors   OutOfRange outside what check_place and check_time allow: never extrapolated
/// excludes crust, daily variation, storms, anything man-made; sigma allows for the first three
/// cost     two harmonic sums, about 2 microseconds
/// source   docs/earth-model.md, data/SOURCES.md
Result<EarthField> earth_field(const GeodeticPoint& place, DecimalYear when);

/// What the other commands need of it. In the blackout zone there is no variation to use, so
/// none is given.
LocalField local_field_of(const EarthField& field, const CalendarDate& date);

std::string_view to_word(CompassZone zone);

}  // namespace qn
