// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "procedure/air_gross_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kLegApart_hours = 0.05;
constexpr double kFarOff_deg = 20.0;
// The wind counts as told when its worst axis is known to this share of the airspeed: B and C are
// then known to 6 degrees, which the bands say.
constexpr double kWindTold = 0.1;

bool usable(const AirLeg& leg) { return leg.indicated_deg || leg.track_deg; }

AirFit prepare_air(const std::vector<AirLeg>& legs, const AirOptions& options) {
  AirFit fit;
  fit.by_hand = !options.from_log;
  fit.headings = std::any_of(legs.begin(), legs.end(),
                             [](const AirLeg& l) { return l.indicated_deg.has_value(); });
  fit.own_airspeeds = std::all_of(
      legs.begin(), legs.end(), [](const AirLeg& l) { return l.tas_kt.has_value() || !usable(l); });
  fit.variation_known = options.norths_apart() == 0.0 || options.variation_deg.has_value();
  // Magnetic tracks hold the variation that the receiver took; true ones beside true headings none.
  const bool all_true = options.tracks_are == TrackNorth::true_north &&
                        options.headings_are == ShownNorth::true_north;
  fit.prior = air_prior_of(options, fit.own_airspeeds, fit.variation_known);
  fit.a_outside_sigma_deg = std::hypot(options.sideslip_sigma_deg.value_or(1.0),
                                       all_true ? 0.0 : options.variation_sigma_deg.value_or(0.5));
  const bool timed = std::all_of(legs.begin(), legs.end(), [](const AirLeg& l) {
    return std::isfinite(l.from_s) && std::isfinite(l.to_s);
  });
  double sum = 0.0;
  for (std::size_t i = 0; i < legs.size(); ++i) {
    if (!usable(legs[i])) continue;
    AirRow row{legs[i].indicated_deg, legs[i].track_deg, std::nullopt, legs[i].groundspeed_kt, 0.0};
    if (fit.own_airspeeds) row.tas_kt = legs[i].tas_kt;
    row.hours = timed ? 0.5 * (legs[i].from_s + legs[i].to_s) / 3600.0
                      : kLegApart_hours * static_cast<double>(i);
    sum += row.hours;
    fit.rows.push_back(row);
    fit.leg_of_row.push_back(i);
  }
  for (AirRow& row : fit.rows) row.hours -= sum / static_cast<double>(fit.rows.size());
  return fit;
}

double spread_of_air(const AirParameters& theta, DeviationForm form) {
  const DeviationCurve curve = air_curve(form, theta);
  double most = 0.0;
  for (int z = 0; z < 360; z += 5) {
    most = std::max(most, std::fabs(curve.deviation_deg(z) - theta[kAirA]));
  }
  return most;
}

std::optional<Error> check_legs(const std::vector<AirLeg>& legs) {
  const bool any = std::any_of(legs.begin(), legs.end(), usable);
  if (!any) {
    return Error{ErrorKind::BadInput, "there is no leg to work with", "the legs",
                 "ground speed with a track or a heading on each of three legs or more",
                 "fly the legs that 'quietnorth air plan' prints and write them down"};
  }
  for (std::size_t i = 0; i < legs.size(); ++i) {
    if (legs[i].groundspeed_kt > 0.0 && legs[i].groundspeed_kt < 2000.0) continue;
    return Error{ErrorKind::BadInput, fmt::format("ground speed {:g} kt", legs[i].groundspeed_kt),
                 fmt::format("leg {}", i + 1), "knots, more than 0 and less than 2000",
                 "correct the leg, or leave it out"};
  }
  return std::nullopt;
}

/// Along the worst axis of the wind, 1 sigma, kt.
double worst_wind_sigma(const AirNode& node) {
  const SquareMatrix& v = node.covariance;
  if (v.size == 0) return 1e6;
  const double mean = 0.5 * (v(0, 0) + v(1, 1));
  const double half = 0.5 * (v(0, 0) - v(1, 1));
  return std::sqrt(mean + std::hypot(half, v(0, 1)));
}

// The answer in true east and north, whatever north the tracks have.
void turn_wind_to_true(AirSolution& out, const AirOptions& options) {
  if (options.tracks_are == TrackNorth::true_north) return;
  if (!options.variation_deg) {
    out.wind_is_magnetic = true;
    return;
  }
  const double turn = *options.variation_deg * std::numbers::pi / 180.0;
  const double c = std::cos(turn);
  const double s = std::sin(turn);
  const auto to = out.wind_to_kt;
  const auto sd = out.wind_sigma_kt;
  out.wind_to_kt = {c * to[0] + s * to[1], c * to[1] - s * to[0]};
  out.wind_sigma_kt = {std::hypot(c * sd[0], s * sd[1]), std::hypot(s * sd[0], c * sd[1])};
  for (std::size_t i = 0; i < 2; ++i) {
    out.wind_95_kt[i] = {out.wind_to_kt[i] - 1.96 * out.wind_sigma_kt[i],
                         out.wind_to_kt[i] + 1.96 * out.wind_sigma_kt[i]};
  }
  out.wind_from_deg = wrap_360_deg(out.wind_from_deg + *options.variation_deg);
  for (AirLegResult& leg : out.legs) {
    if (leg.true_heading_deg) {
      leg.true_heading_deg = wrap_360_deg(*leg.true_heading_deg + *options.variation_deg);
    }
  }
  if (auto& change = out.wind_change_kt_per_hour) {
    *change = {c * (*change)[0] + s * (*change)[1], c * (*change)[1] - s * (*change)[0]};
  }
}

}  // namespace

double mean_airspeed(const AirFit& fit, double parameter) {
  if (!fit.own_airspeeds) return parameter;
  double sum = 0.0;
  for (const AirRow& r : fit.rows) sum += *r.tas_kt;
  return sum / static_cast<double>(fit.rows.size()) - parameter;
}

bool tells_wind(const AirFit& fit, const AirNode& node) {
  const double speed = mean_airspeed(fit, node.theta[kAirSpeed]);
  return speed > 0.0 && worst_wind_sigma(node) < kWindTold * speed;
}

Result<AirSolution> solve_air(const std::vector<AirLeg>& legs, const AirOptions& options) {
  if (auto wrong = check_air_options(options)) return *wrong;
  if (auto wrong = check_legs(legs)) return *wrong;
  AirFit fit = prepare_air(legs, options);
  AirSolution out;
  out.legs.resize(legs.size());
  for (std::size_t i = 0; i < legs.size(); ++i) {
    if (usable(legs[i])) continue;
    out.legs[i] = {false, "neither a track nor a heading", {}, {}, {}};
  }
  const AirParameters start = start_air(fit.rows, fit.prior);
  fit.posterior = fit_air_rows(fit.rows, DeviationForm::series, fit.prior, start);
  if (spread_of_air(fit.posterior.likeliest().theta, DeviationForm::series) > kFarOff_deg) {
    fit.posterior =
        fit_air_rows(fit.rows, DeviationForm::exact, fit.prior, fit.posterior.likeliest().theta);
  }
  out.wind_known = tells_wind(fit, fit.posterior.likeliest());
  if (out.wind_known) {
    weigh_air_opinions(fit);
    fit.posterior = fit.opinions.front().posterior;
    fill_air_bands(out, fit);
    fill_air_doubt(out, fit);
    turn_wind_to_true(out, options);
  }
  if (options.look_ahead && fit.headings) fill_air_next(out, fit);
  fill_air_words(out, fit, options);
  return out;
}

}  // namespace qn
