// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <numbers>

#include "procedure/air_gross_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kForetoldRad = std::numbers::pi / 180.0;

double foretold_heading(const AirRow& row, DeviationForm form, const AirParameters& t,
                        const AirPrior& prior) {
  const double track = *row.track_deg * kForetoldRad;
  const double east = row.groundspeed_kt * std::sin(track) - t[0] - t[kAirRate] * row.hours;
  const double north = row.groundspeed_kt * std::cos(track) - t[1] - t[kAirRate + 1] * row.hours;
  const double magnetic = std::atan2(east, north) / kForetoldRad - prior.track_minus_heading_deg;
  const DeviationCurve curve{form, {t[3], t[4], t[5], t[6], t[7]}};
  double indicated = magnetic;
  for (int i = 0; i < 5; ++i) indicated = magnetic - curve.deviation_deg(indicated);
  return wrap_360_deg(indicated);
}

}  // namespace

double air_foretold(const AirRow& row, AirReading kind, DeviationForm form,
                    const AirParameters& theta, const AirPrior& prior) {
  if (kind == AirReading::heading) return foretold_heading(row, form, theta, prior);
  const double tas = row.tas_kt ? *row.tas_kt - theta[kAirSpeed] : theta[kAirSpeed];
  const auto ground = ground_velocity(*row.indicated_deg, tas, row.hours, form, theta, prior);
  if (kind == AirReading::speed) return std::hypot(ground[0], ground[1]);
  return wrap_360_deg(std::atan2(ground[0], ground[1]) / kForetoldRad);
}

}  // namespace qn
