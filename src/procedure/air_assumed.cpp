// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "procedure/air_fit_internal.h"

namespace qn {
namespace {

std::string given_or(const std::optional<double>& given) { return given ? "as given" : "assumed"; }

}  // namespace

void say_air_assumptions(AirSolution& out, const AirFit& fit, const AirOptions& o) {
  const AirPrior& p = fit.prior;
  auto& say = out.assumptions;
  if (fit.headings) {
    say.push_back(fmt::format("Heading of a leg, 1 sigma with rounding: {:.2g} deg, {}.",
                              p.heading_sigma_deg, given_or(o.heading_sigma_deg)));
    say.push_back(fmt::format("Constant sideslip (ball off centre), 1 sigma, in A: {:g} deg, {}.",
                              o.sideslip_sigma_deg.value_or(1.0), given_or(o.sideslip_sigma_deg)));
    if (o.tracks_are == TrackNorth::magnetic || o.headings_are == ShownNorth::magnetic) {
      say.push_back(fmt::format("Variation, 1 sigma, in A: {:.2g} deg, {}.",
                                o.variation_sigma_deg.value_or(0.5),
                                given_or(o.variation_sigma_deg)));
    }
  }
  say.push_back(fmt::format("Track of a leg, 1 sigma: {:g} deg, {}; ground speed: {:g} kt, {}.",
                            p.track_sigma_deg, given_or(o.track_sigma_deg), p.speed_sigma_kt,
                            given_or(o.speed_sigma_kt)));
  say.push_back(fmt::format("Airspeed from leg to leg, 1 sigma: {:g} kt, {}.", p.airspeed_sigma_kt,
                            given_or(o.airspeed_sigma_kt)));
  if (fit.own_airspeeds) {
    say.push_back(fmt::format("Common error of the airspeeds shown, 1 sigma: {:g} kt, {}.",
                              p.sd[kAirSpeed], given_or(o.tas_sigma_kt)));
  }
  say.push_back(
      fmt::format("Wind from leg to leg, 1 sigma each axis: {:g} kt, {}; its steady change: {:g} "
                  "kt an hour, {}.",
                  p.wind_sigma_kt, given_or(o.wind_sigma_kt), p.sd[kAirRate],
                  given_or(o.wind_change_kt_per_hour)));
  say.push_back(
      fmt::format("The sizes count like {:g} readings; what the residuals show counts beside them.",
                  p.noise_dof));
}

}  // namespace qn
