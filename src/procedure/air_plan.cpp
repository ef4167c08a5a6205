// SPDX-License-Identifier: Apache-2.0
#include "procedure/air_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "procedure/air_fit_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr std::size_t kFewestLegs = 3, kMostLegs = 12;
constexpr int kPlanStep_deg = 5;
constexpr int kSweeps = 6;
constexpr double kPlanRad = std::numbers::pi / 180.0;

std::optional<Error> out_of_plan(const char* option, double value, const char* expected) {
  return Error{ErrorKind::OutOfRange, fmt::format("{:g} cannot be used for {}", value, option),
               fmt::format("option {}", option), expected, "correct the number"};
}

std::optional<Error> check_plan(const AirPlanOptions& o) {
  if (!(o.tas_kt >= 20.0 && o.tas_kt <= 1000.0)) {
    return out_of_plan("--tas-kt", o.tas_kt, "knots, 20 to 1000");
  }
  if (!(o.wind_kt >= 0.0 && o.wind_kt < 0.9 * o.tas_kt)) {
    return out_of_plan("--wind-kt", o.wind_kt, "knots, 0 to nine tenths of the airspeed");
  }
  if (!(o.wind_from_deg >= 0.0 && o.wind_from_deg <= 360.0)) {
    return out_of_plan("--wind-from-deg", o.wind_from_deg, "degrees, 0 to 360");
  }
  if (!(o.leg_minutes >= 1.0 && o.leg_minutes <= 30.0)) {
    return out_of_plan("--leg-minutes", o.leg_minutes, "minutes, 1 to 30");
  }
  if (!(o.minutes >= static_cast<double>(kFewestLegs) * o.leg_minutes && o.minutes <= 600.0)) {
    return Error{ErrorKind::OutOfRange, fmt::format("{:g} minutes are not enough", o.minutes),
                 "option --minutes",
                 fmt::format("{:g} to 600: three legs of {:g} minutes with their turns",
                             static_cast<double>(kFewestLegs) * o.leg_minutes, o.leg_minutes),
                 "take more time, or shorter legs (--leg-minutes)"};
  }
  return std::nullopt;
}

/// The design problem: how well legs on these headings, in this order, would tell the curve.
class Design {
 public:
  Design(const AirPlanOptions& o, std::size_t legs) {
    fit_.prior.track_minus_heading_deg = o.assumed.variation_deg.value_or(0.0);
    take_assumed(o.assumed);
    const double to = (o.wind_from_deg + 180.0) * kPlanRad;
    node_.theta[0] = o.wind_kt * std::sin(to);
    node_.theta[1] = o.wind_kt * std::cos(to);
    node_.theta[kAirSpeed] = o.tas_kt;
    for (std::size_t i = 0; i < legs; ++i) {
      const double middle = 0.5 * static_cast<double>(legs - 1);
      hours_.push_back((static_cast<double>(i) - middle) * o.leg_minutes / 60.0);
    }
  }
  SquareMatrix covariance(const std::vector<double>& headings) const {
    SquareMatrix information = prior();
    for (std::size_t i = 0; i < headings.size(); ++i) {
      add_air_information(information, headings[i], hours_[i], fit_, node_);
    }
    return inverse(information);
  }
  /// One leg at a time to the heading that is best for it; returns the sigma reached.
  double improve(std::vector<double>& headings) const {
    double best = worst_curve_sigma(covariance(headings));
    for (int sweep = 0; sweep < kSweeps; ++sweep) {
      const double before = best;
      for (std::size_t i = 0; i < headings.size(); ++i) {
        SquareMatrix others = prior();
        for (std::size_t k = 0; k < headings.size(); ++k) {
          if (k != i) add_air_information(others, headings[k], hours_[k], fit_, node_);
        }
        for (int z = 0; z < 360; z += kPlanStep_deg) {
          SquareMatrix all = others;
          add_air_information(all, z, hours_[i], fit_, node_);
          const double sigma = worst_curve_sigma(inverse(all));
          if (sigma >= best * (1.0 - 1e-9)) continue;
          best = sigma;
          headings[i] = z;
        }
      }
      if (best > before * 0.999) break;
    }
    return best;
  }
  PlannedLeg leg(double indicated_deg, std::size_t i, double leg_minutes) const {
    const auto g = ground_velocity(indicated_deg, node_.theta[kAirSpeed], hours_[i],
                                   DeviationForm::series, node_.theta, fit_.prior);
    PlannedLeg out;
    out.indicated_deg = indicated_deg;
    out.at_minute = (static_cast<double>(i) + 0.5) * leg_minutes;
    out.groundspeed_kt = std::hypot(g[0], g[1]);
    out.track_deg = wrap_360_deg(std::atan2(g[0], g[1]) / kPlanRad);
    return out;
  }
  double wind_sigma(const SquareMatrix& v) const {
    return std::sqrt(0.5 * (v(0, 0) + v(1, 1)) + std::hypot(0.5 * (v(0, 0) - v(1, 1)), v(0, 1)));
  }
  double heading_sigma_deg() const { return fit_.prior.heading_sigma_deg; }

 private:
  void take_assumed(const AirOptions& o) {
    AirOptions known = o;
    known.variation_deg = o.variation_deg.value_or(0.0);
    const double kept = fit_.prior.track_minus_heading_deg;
    fit_.prior = air_prior_of(known, false, true);
    fit_.prior.track_minus_heading_deg = kept;
  }
  SquareMatrix prior() const {
    SquareMatrix out{kAirParameters};
    for (std::size_t j = 0; j < kAirParameters; ++j) {
      out(j, j) = 1.0 / (fit_.prior.sd[j] * fit_.prior.sd[j]);
    }
    return out;
  }

  AirFit fit_;
  AirNode node_;
  std::vector<double> hours_;
};

// Evenly around, in one round or with every second or third heading first.
std::vector<double> evenly(std::size_t legs, std::size_t stride, double first_deg) {
  std::vector<double> out;
  for (std::size_t i = 0; i < legs; ++i) {
    const double z =
        first_deg + 360.0 * static_cast<double>(i * stride % legs) / static_cast<double>(legs);
    out.push_back(wrap_360_deg(kPlanStep_deg * std::round(z / kPlanStep_deg)));
  }
  return out;
}

void caution(AirPlan& plan) {
  plan.cautions = {
      "Fly with a second person: one flies and looks out, the other reads and writes. Look out "
      "first, always: other aircraft come before every reading.",
      "At a safe height, clear of cloud, terrain and controlled airspace, at one altitude and one "
      "power setting; never below the height that lets you land after a failure.",
      "In smooth air, ball in the middle: a constant sideslip looks exactly like A.",
      "Loads on as in cruise, and the same on every leg; nothing magnetic near the sensor.",
      "After each turn wait until heading and airspeed rest, then hold for the leg; write down "
      "what the display shows, not what you meant to fly.",
      "Break off when the weather, the engine or the traffic wants you.",
      "Not for navigation by this display until it agrees.",
  };
}

}  // namespace

Result<AirPlan> plan_air(const AirPlanOptions& options) {
  if (auto wrong = check_plan(options)) return *wrong;
  if (auto wrong = check_air_options(options.assumed)) return *wrong;
  const std::size_t legs =
      std::min(kMostLegs,
               static_cast<std::size_t>(std::floor(options.minutes / options.leg_minutes + 1e-9)));
  const Design design{options, legs};
  AirPlan plan;
  const std::vector<double> round = evenly(legs, 1, 0.0);
  const SquareMatrix even = design.covariance(round);
  std::vector<double> best = round;
  double sigma = 1e9;
  for (const std::size_t stride : {std::size_t{1}, std::size_t{2}, std::size_t{3}}) {
    std::vector<double> headings = evenly(legs, stride, 10.0);
    const double reached = design.improve(headings);
    if (reached < sigma * (1.0 - 1e-6)) {
      sigma = reached;
      best = headings;
    }
  }
  const SquareMatrix v = design.covariance(best);
  const double outside = std::hypot(options.assumed.sideslip_sigma_deg.value_or(1.0),
                                    options.assumed.variation_sigma_deg.value_or(0.5));
  for (std::size_t j = 0; j < 5; ++j) {
    plan.sigma_deg[j] = std::sqrt(v(kAirA + j, kAirA + j));
  }
  plan.sigma_deg[0] = std::hypot(plan.sigma_deg[0], outside);
  plan.curve_sigma_deg = std::hypot(sigma, outside);
  plan.even_sigma_deg = std::hypot(worst_curve_sigma(even), outside);
  plan.wind_sigma_kt = design.wind_sigma(v);
  for (std::size_t i = 0; i < legs; ++i) {
    plan.legs.push_back(design.leg(best[i], i, options.leg_minutes));
  }
  caution(plan);
  plan.remarks.push_back(fmt::format(
      "Sideslip and variation make {:.1f} deg (1 sigma) of it, which no number of legs removes.",
      outside));
  if (legs < 5) {
    plan.remarks.push_back(
        "Fewer than five legs cannot tell D and E apart; what displays usually have stands in for "
        "them.");
  }
  if (!options.assumed.variation_deg) {
    plan.remarks.push_back(
        "Without the variation tracks are worked out as magnetic (--variation-deg, or --at with "
        "--on, for true ones).");
  }
  plan.assumptions.push_back(fmt::format(
      "Heading of a leg, 1 sigma with rounding: {:.2g} deg. Legs of {:g} minutes with their turns.",
      design.heading_sigma_deg(), options.leg_minutes));
  return plan;
}

}  // namespace qn
