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
  const auto [east, north] = air_velocity(row, t);
  const double magnetic = std::atan2(east, north) / kForetoldRad - prior.track_minus_heading_deg;
  const DeviationCurve curve = air_curve(form, t);
  double indicated = magnetic;
  for (int i = 0; i < 5; ++i) indicated = magnetic - curve.deviation_deg(indicated);
  return wrap_360_deg(indicated);
}

}  // namespace

double air_foretold(const AirRow& row, AirReading kind, DeviationForm form,
                    const AirParameters& theta, const AirPrior& prior) {
  if (kind == AirReading::heading) return foretold_heading(row, form, theta, prior);
  const auto ground =
      ground_velocity(*row.indicated_deg, airspeed_of(row, theta), row.hours, form, theta, prior);
  if (kind == AirReading::speed) return std::hypot(ground[0], ground[1]);
  return wrap_360_deg(std::atan2(ground[0], ground[1]) / kForetoldRad);
}

}  // namespace qn
