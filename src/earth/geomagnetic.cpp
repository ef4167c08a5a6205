// SPDX-License-Identifier: Apache-2.0
#include "earth/geomagnetic.h"

#include <GeographicLib/Geocentric.hpp>
#include <GeographicLib/SphericalHarmonic.hpp>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <utility>
#include <vector>

#include "earth/wmm2025_coefficients.h"
#include "vocab/field_vector.h"
#include "vocab/frame.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kMicroPerNano = 1e-3;

// GeographicLib reads magnetic models from files only. Its harmonic sum takes plain arrays, so
// the table is compiled in and no file has to be found at run time.
class HarmonicModel {
 public:
  HarmonicModel(double HarmonicTerm::*g, double HarmonicTerm::*h)
      : cosine_(index(kWmm2025Degree, kWmm2025Degree) + 1), sine_(cosine_.size()) {
    for (const HarmonicTerm& term : kWmm2025Terms) {
      cosine_[index(term.degree, term.order)] = term.*g;
      sine_[index(term.degree, term.order)] = term.*h;
    }
    // The library wants the sines without their column of order 0, which is all zero.
    sine_.erase(sine_.begin(), sine_.begin() + kWmm2025Degree + 1);
    sum_ = GeographicLib::SphericalHarmonic(cosine_, sine_, kWmm2025Degree, kWmm2025Radius_m,
                                            GeographicLib::SphericalHarmonic::SCHMIDT);
  }
  HarmonicModel(const HarmonicModel&) = delete;  // sum_ points into the two vectors
  HarmonicModel& operator=(const HarmonicModel&) = delete;

  // B = -grad V, geocentric axes. The library's sum is V / radius.
  Vector3 at(const Vector3& geocentric_m) const {
    Vector3 slope{};
    sum_(geocentric_m[0], geocentric_m[1], geocentric_m[2], slope[0], slope[1], slope[2]);
    for (double& s : slope) s *= -kWmm2025Radius_m * kMicroPerNano;
    return slope;
  }

 private:
  static std::size_t index(int n, int m) {
    return static_cast<std::size_t>(m * kWmm2025Degree - m * (m - 1) / 2 + n);
  }
  std::vector<double> cosine_, sine_;
  GeographicLib::SphericalHarmonic sum_;
};

const HarmonicModel& main_field_model() {
  static const HarmonicModel model{&HarmonicTerm::g_nT, &HarmonicTerm::h_nT};
  return model;
}

const HarmonicModel& yearly_change_model() {
  static const HarmonicModel model{&HarmonicTerm::g_rate_nT, &HarmonicTerm::h_rate_nT};
  return model;
}

// `east_north_up` takes local east, north, up to geocentric axes, row by row.
FieldVector<Ned> to_ned(const std::vector<double>& east_north_up, const Vector3& v) {
  const auto component = [&](std::size_t column) {
    return east_north_up[column] * v[0] + east_north_up[3 + column] * v[1] +
           east_north_up[6 + column] * v[2];
  };
  return FieldVector<Ned>::microtesla(component(1), component(0), -component(2));
}

FieldElements elements_of(const FieldVector<Ned>& field_ned) {
  const auto& [x, y, z] = field_ned.in_uT();
  const double h = std::hypot(x, y);
  return {.north_uT = x,
          .east_uT = y,
          .down_uT = z,
          .horizontal_uT = h,
          .total_uT = std::hypot(h, z),
          .dip = Angle::radians(std::atan2(z, h)),
          .declination = Angle::degrees(wrap_180_deg(Angle::radians(std::atan2(y, x)).in_deg()))};
}

// Derivatives of H, F, I and D by the chain rule (WMM report, eq. 19 differentiated).
FieldElements yearly_change_of(const FieldElements& e, const FieldVector<Ned>& rate_ned) {
  const auto& [dx, dy, dz] = rate_ned.in_uT();
  FieldElements rate;
  rate.north_uT = dx;
  rate.east_uT = dy;
  rate.down_uT = dz;
  if (e.horizontal_uT > 0.0) {
    rate.horizontal_uT = (e.north_uT * dx + e.east_uT * dy) / e.horizontal_uT;
    rate.declination =
        Angle::radians((e.north_uT * dy - e.east_uT * dx) / (e.horizontal_uT * e.horizontal_uT));
  } else {  // exactly on a magnetic pole no direction is left that could turn
    rate.horizontal_uT = std::hypot(dx, dy);
  }
  rate.total_uT = (e.horizontal_uT * rate.horizontal_uT + e.down_uT * dz) / e.total_uT;
  rate.dip = Angle::radians((e.horizontal_uT * dz - e.down_uT * rate.horizontal_uT) /
                            (e.total_uT * e.total_uT));
  return rate;
}

// Error model of the WMM2025 technical report (DOI 10.25923/prbc-s316), global 1-sigma.
FieldElements sigma_of(const FieldElements& e) {
  constexpr double kConstantPart_deg = 0.26;
  constexpr double kPartOverH_deg_uT = 5.417;
  // A direction of which nothing is known is uniform over the circle: 360 / sqrt(12) degrees.
  const double kNothingKnown_deg = 360.0 / std::sqrt(12.0);
  const double declination_deg =
      e.horizontal_uT > 0.0 ? std::hypot(kConstantPart_deg, kPartOverH_deg_uT / e.horizontal_uT)
                            : kNothingKnown_deg;
  return {.north_uT = 0.137,
          .east_uT = 0.089,
          .down_uT = 0.141,
          .horizontal_uT = 0.133,
          .total_uT = 0.138,
          .dip = Angle::degrees(0.20),
          .declination = Angle::degrees(std::min(declination_deg, kNothingKnown_deg))};
}

CompassZone zone_of(double horizontal_uT) {
  if (horizontal_uT < 2.0) return CompassZone::blackout;
  return horizontal_uT < 6.0 ? CompassZone::caution : CompassZone::none;
}

std::string number(double value) {
  char text[40];
  std::snprintf(text, sizeof text, "%.10g", value);
  return text;
}

Error out_of_range(std::string what, std::string_view where, std::string expected,
                   std::string remedy) {
  return Error{ErrorKind::OutOfRange, std::move(what), std::string{where}, std::move(expected),
               std::move(remedy)};
}

}  // namespace

Result<Done> check_place(const GeodeticPoint& place, std::string_view where) {
  const double latitude_deg = place.latitude.in_deg();
  const double longitude_deg = place.longitude.in_deg();
  const double height_m = place.height.in_m();
  // Written as "not inside" so that a value that is not a number is refused as well.
  if (!(std::abs(latitude_deg) <= 90.0)) {
    return out_of_range("latitude " + number(latitude_deg) + " degrees is not on the Earth", where,
                        "a latitude from -90 to 90 degrees, north positive",
                        "give latitude first, then longitude, in decimal degrees");
  }
  if (!(std::abs(longitude_deg) <= 360.0)) {
    return out_of_range("longitude " + number(longitude_deg) + " degrees is more than a full turn",
                        where, "a longitude from -360 to 360 degrees, east positive",
                        "give the longitude in decimal degrees, west as a negative number");
  }
  if (!(height_m >= -1000.0 && height_m <= 850000.0)) {
    return out_of_range("height " + number(height_m) + " m is outside the model", where,
                        "a height from -1000 to 850000 m above the ellipsoid",
                        "give the height of the place in metres, or leave it out for 0 m");
  }
  return Done{};
}

Result<Done> check_time(DecimalYear when, std::string_view shown, std::string_view where) {
  const double year = when.in_years();
  if (year >= kWmm2025Epoch_years && year <= kWmm2025End_years) return Done{};
  const std::string side = year < kWmm2025Epoch_years ? "before the first" : "after the last";
  return out_of_range(std::string{shown} + " is " + side + " day of the " +
                          std::string{kEarthModelName} + " field model",
                      where, "a date from 2025-01-01 to 2030-01-01",
                      "correct the date of the recording; for another year measure H and Z on the "
                      "spot and give those (docs/earth-model.md)");
}

Result<EarthField> earth_field(const GeodeticPoint& place, DecimalYear when) {
  if (const auto ok = check_place(place, "place"); !ok) return ok.error();
  const auto ok = check_time(when, "decimal year " + number(when.in_years()), "time");
  if (!ok) return ok.error();

  Vector3 geocentric_m{};
  std::vector<double> east_north_up(9);
  GeographicLib::Geocentric::WGS84().Forward(place.latitude.in_deg(), place.longitude.in_deg(),
                                             place.height.in_m(), geocentric_m[0], geocentric_m[1],
                                             geocentric_m[2], east_north_up);

  const FieldVector<Ned> rate = to_ned(east_north_up, yearly_change_model().at(geocentric_m));
  const FieldVector<Ned> epoch = to_ned(east_north_up, main_field_model().at(geocentric_m));
  const double years = when.in_years() - kWmm2025Epoch_years;
  const auto& r = rate.in_uT();
  const auto now = epoch + FieldVector<Ned>::microtesla(years * r[0], years * r[1], years * r[2]);

  EarthField field;
  field.value = elements_of(now);
  field.per_year = yearly_change_of(field.value, rate);
  field.sigma = sigma_of(field.value);
  field.zone = zone_of(field.value.horizontal_uT);
  return field;
}

LocalField local_field_of(const EarthField& field, const CalendarDate& date) {
  LocalField local;
  local.horizontal_uT = field.value.horizontal_uT;
  local.down_uT = field.value.down_uT;
  local.sigma_horizontal_uT = field.sigma.horizontal_uT;
  local.sigma_down_uT = field.sigma.down_uT;
  if (field.zone != CompassZone::blackout) {
    local.variation = Variation{field.value.declination};
    local.sigma_variation = field.sigma.declination;
  }
  local.source = std::string{kEarthModelName} + " for " + date.to_iso();
  return local;
}

std::string_view to_word(CompassZone zone) {
  switch (zone) {
    case CompassZone::caution: return "caution";
    case CompassZone::blackout: return "blackout";
    case CompassZone::none: break;
  }
  return "none";
}

}  // namespace qn
