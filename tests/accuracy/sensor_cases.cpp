// SPDX-License-Identifier: Apache-2.0
#include "accuracy/sensor_cases.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "vocab/expects.h"

namespace qn::accuracy {
namespace {

using namespace simulate;

constexpr std::uint64_t kCaseStream = 200;

LocalField draw_model(Random& random) {
  const double dip = random.uniform(0.0, 80.0) * std::numbers::pi / 180.0;
  const double total = random.uniform(30.0, 60.0);
  // 1 sigma of H and Z: of the size of the field model's own, docs/earth-model.md.
  LocalField out{total * std::cos(dip), total * std::sin(dip), 0.13, 0.15, {}, {}, "simulated"};
  return out;
}

/// 0.02 to 0.5 uT in all, evenly in the logarithm; a third of the cases without memory.
NoiseTruth draw_noise(Random& random) {
  const double sigma = 0.02 * std::pow(25.0, random.uniform());
  if (random.uniform() < 1.0 / 3.0) return {sigma, 0.0, 0.0};
  const double slow_share = random.uniform() < 0.5 ? 1.0 : random.uniform();
  return {sigma * std::sqrt(1.0 - slow_share), sigma * std::sqrt(slow_share),
          random.uniform(0.05, 1.0)};
}

SensorTruth draw_truth(const LocalField& model, Random& random) {
  SensorTruth truth;
  draw_iron({}, random, truth);
  truth.true_field = draw_true_field(model, random);
  truth.noise = draw_noise(random);
  if (random.uniform() < 2.0 / 3.0) truth.quantum_uT = random.uniform(0.01, 0.15);
  return truth;
}

void draw_ground(const BoundPriors& priors, Random& random, SensorTruth& truth) {
  truth.slope = {priors.slope_deg * random.normal(), priors.slope_deg * random.normal()};
  truth.deck = {priors.deck_deg * random.normal(), priors.deck_deg * random.normal()};
}

AttitudeColumns draw_attitude(const BoundPriors& priors, Random& random) {
  return {random.uniform(0.05, 0.4), 0.0, 0.0, priors.logged_tilt_deg * random.normal(),
          priors.logged_tilt_deg * random.normal()};
}

Tumble draw_tumble(Random& random) {
  Tumble tumble;
  tumble.rest_s = random.uniform(3.0, 10.0);
  tumble.turning_s = random.uniform(30.0, 120.0);
  tumble.speed_rad_s = random.uniform(0.6, 1.5);
  if (random.uniform() < 0.25) tumble.reach_deg = random.uniform(35.0, 70.0);
  return tumble;
}

Swing draw_swing(Random& random) {
  Swing swing;
  swing.arc_deg = random.uniform() < 0.3 ? 720.0 : 360.0;
  swing.rate_deg_s = random.uniform(3.0, 12.0);
  swing.start_heading_deg = random.uniform(0.0, 360.0);
  swing.anticlockwise = random.uniform() < 0.5;
  return swing;
}

Stations draw_stations(const BoundPriors& priors, Random& random) {
  Stations stations;
  stations.count = random.uniform() < 0.5 ? 8 : 12;
  stations.dwell_s = random.uniform(8.0, 20.0);
  stations.turn_s = random.uniform(6.0, 10.0);
  stations.placement_sigma_deg = priors.placement_deg;
  stations.north_sigma_deg = priors.north_deg;
  return stations;
}

SensorFitOptions options_for(const LocalField& model, const BoundPriors& priors) {
  SensorFitOptions options;
  options.earth = model;
  options.ground_slope.sigma = Angle::degrees(priors.slope_deg);
  options.deck_tilt.sigma = Angle::degrees(priors.deck_deg);
  options.station_sigma = Angle::degrees(priors.placement_deg);
  options.north_sigma = Angle::degrees(priors.north_deg);
  options.limit = {Angle::degrees(1.0), std::string{kStartingLimitBasis}};
  return options;
}

void make_counts(Random& random, SensorTruth& truth) {
  truth.counts_per_uT = random.uniform(7.0, 40.0);
  truth.quantum_uT = 1.0 / *truth.counts_per_uT;
}

}  // namespace

std::vector<std::string> sensor_table_names() {
  return {"sensor-tumble", "sensor-swing", "sensor-stations", "sensor-tumble-attitude",
          "sensor-outliers"};
}

std::string how_drawn(std::string_view table) {
  const std::string common =
      "20 Hz; dip 0 to 80 degrees, F 30 to 60 µT; H and Z off by 0.13 and 0.15 µT (1 sigma); "
      "matrix "
      "diagonal 1 ± 0.1, other elements ± 0.05, hard iron ± 20 µT an axis (1 sigma); noise 0.02 to "
      "0.5 µT, two thirds of the cases with a memory of 0.05 to 1 s; two thirds rounded to 0.01 to "
      "0.15 µT. ";
  const std::string ground =
      "Ground slope ± 0.5 degrees north and east, deck ± 0.5 degrees roll and pitch. ";
  const std::string rose = "Placement ± 0.5 degrees a mark, north ± 0.3 degrees. ";
  if (table == "sensor-swing")
    return common + ground + "One or two turns at 3 to 12 degrees a second.";
  if (table == "sensor-stations") {
    return common + ground + rose +
           "8 or 12 marks, 8 to 20 s each; half of the cases with roll and pitch logged (noise "
           "0.05 "
           "to 0.4 degrees, bias ± 0.1 degrees).";
  }
  const std::string hand =
      "Turned by hand for 30 to 120 s, a quarter of the cases only through 35 to 70 degrees of "
      "roll "
      "and pitch. ";
  if (table == "sensor-tumble-attitude") {
    return common + hand + "Roll and pitch logged (noise 0.05 to 0.4 degrees, bias ± 0.1 degrees).";
  }
  if (table == "sensor-outliers") {
    return common +
           "10 % of the samples under passing steel (2 to 20 µT, 2 to 6 s) and 0.5 % spikes of 5 "
           "to "
           "50 µT, half of the cases by hand, half on marks.";
  }
  return common + hand + "A third of the cases in counts.";
}

SensorCase draw_case(std::string_view table, std::uint64_t seed) {
  const auto names = sensor_table_names();
  QN_EXPECTS(std::find(names.begin(), names.end(), table) != names.end());
  Random random{seed, kCaseStream};
  const BoundPriors priors;
  const LocalField model = draw_model(random);
  SensorCase out;
  out.plan.seed = seed;
  out.plan.truth = draw_truth(model, random);
  out.options = options_for(model, priors);
  const bool outliers = table == "sensor-outliers";
  const bool by_hand = table == "sensor-tumble" || table == "sensor-tumble-attitude" ||
                       (outliers && random.uniform() < 0.5);
  if (by_hand) {
    out.plan.motion = draw_tumble(random);
    out.options.motion = Motion::tumble;
    if (table == "sensor-tumble" && random.uniform() < 1.0 / 3.0)
      make_counts(random, out.plan.truth);
    if (table == "sensor-tumble-attitude") {
      out.plan.truth.attitude = draw_attitude(priors, random);
      out.gauge = Gauge::none;
    }
  } else {
    out.level = true;
    draw_ground(priors, random, out.plan.truth);
    if (table == "sensor-swing") {
      out.plan.motion = draw_swing(random);
      out.options.motion = Motion::swing;
      out.gauge = Gauge::symmetric_horizontal;
    } else {
      out.plan.motion = draw_stations(priors, random);
      out.options.motion = Motion::stations;
      out.headings = true;
      out.gauge = Gauge::none;
      if (random.uniform() < 0.5) out.plan.truth.attitude = draw_attitude(priors, random);
    }
  }
  if (outliers) {
    out.plan.truth.steel = {0.1, random.uniform(2.0, 20.0), random.uniform(2.0, 6.0)};
    out.plan.truth.spikes = {0.005, random.uniform(5.0, 50.0)};
  }
  return out;
}

}  // namespace qn::accuracy
