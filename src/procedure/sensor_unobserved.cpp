// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <cmath>

#include "procedure/sensor_words_internal.h"

namespace qn::sensor_model {
namespace {

constexpr double kMostlyAssumed = 0.5;  // of the assumed sigma left: the recording hardly spoke

// (M_ij + sign M_ji) / 2 as a combination of parameters.
std::vector<double> pair_of(const Layout& layout, std::size_t i, std::size_t j, double sign) {
  std::vector<double> c(layout.size, 0.0);
  c[static_cast<std::size_t>(layout.matrix[i][j])] += 0.5;
  c[static_cast<std::size_t>(layout.matrix[j][i])] += 0.5 * sign;
  return c;
}

std::vector<double> entry(const Layout& layout, std::size_t i, std::size_t j) {
  std::vector<double> c(layout.size, 0.0);
  c[static_cast<std::size_t>(layout.matrix[i][j])] = 1.0;
  return c;
}

class Namer {
 public:
  Namer(const Problem& problem, const Solution& solution, SensorFit& fit)
      : problem_{problem}, solution_{solution}, fit_{fit} {}

  void say(std::string name, std::string consequence) {
    fit_.unobserved.push_back({std::move(name), std::move(consequence)});
  }
  bool assumed(const std::vector<double>& combination) const {
    return learnt_share(problem_, solution_, combination) > kMostlyAssumed;
  }
  bool shared(std::size_t i, std::size_t j) const {
    return problem_.layout.matrix[i][j] == problem_.layout.matrix[j][i];
  }
  bool turn_open(std::size_t i, std::size_t j) const {
    return shared(i, j) || assumed(pair_of(problem_.layout, i, j, -1.0));
  }

 private:
  const Problem& problem_;
  const Solution& solution_;
  SensorFit& fit_;
};

}  // namespace

void name_unobserved(const Prepared& prepared, const SensorFitOptions& options,
                     const Problem& problem, const Solution& solution, SensorFit& fit) {
  Namer namer{problem, solution, fit};
  const Layout& layout = problem.layout;
  const double tan_dip = options.earth.down_uT / options.earth.horizontal_uT;
  const bool level_turn = prepared.motion != Motion::tumble;
  const Attitude attitude = prepared.log.attitude;

  if (namer.turn_open(0, 1)) {
    namer.say("yaw angle of the sensor",
              "a turn of the sensor about the vertical shifts every heading by that angle");
  }
  const std::string tilt_cost = fmt::format(
      "each degree of it costs up to {:.1f}° of heading, once a turn", std::abs(tan_dip));
  if (!level_turn && namer.turn_open(0, 2)) {
    namer.say("pitch angle of the sensor", tilt_cost);
  }
  if (!level_turn && namer.turn_open(1, 2)) {
    namer.say("roll angle of the sensor", tilt_cost);
  }
  if (!level_turn && attitude == Attitude::unknown) {
    namer.say("handedness of the axes",
              "mirrored axes fit as well; check that x, y and z are forward, right and down");
  }
  if (prepared.source == AttitudeSource::accelerometer) {
    namer.say("the accelerometer's angles to the airframe",
              "gravity ties the sensor to the accelerometer, not to the airframe");
  }
  if (level_turn && namer.assumed(entry(layout, 2, 2))) {
    namer.say("vertical hard iron apart from the vertical scale",
              "no effect in level flight on this ground; it matters when banked or pitched");
  }
  const bool leak = namer.assumed(entry(layout, 0, 2)) || namer.assumed(entry(layout, 1, 2));
  if (level_turn && leak) {
    namer.say("how much of the vertical field leaks into x and y",
              "no effect in level flight near this place; it matters when banked, and elsewhere");
  }
  const bool assumed_ground = attitude == Attitude::level && !prepared.ground;
  if (level_turn && assumed_ground) {
    namer.say("ground slope",
              fmt::format("each degree of it costs up to {:.1f}° of heading, the same on every "
                          "heading",
                          std::abs(tan_dip)));
    namer.say("tilt of the aircraft on the ground",
              fmt::format("each degree of it costs up to {:.1f}° of heading, once a turn",
                          std::abs(tan_dip)));
  }

  if (assumed_ground) {
    fit.assumptions.push_back(fmt::format(
        "Ground slope 0°, known to {:.2f}° (1 sigma), toward north and toward east{}.",
        options.ground_slope.sigma.in_deg(),
        options.ground_slope.given ? ", as given" : ", own assumption; --slope-deg replaces it"));
    fit.assumptions.push_back(fmt::format(
        "The aircraft stands {:.1f}° rolled and {:.1f}° pitched against level flight, each known "
        "to {:.2f}° (1 sigma){}.",
        options.deck_tilt.first.in_deg(), options.deck_tilt.second.in_deg(),
        options.deck_tilt.sigma.in_deg(),
        options.deck_tilt.given ? ", as given" : ", own assumption; --deck-deg replaces it"));
  } else if (prepared.source != AttitudeSource::none) {
    fit.assumptions.push_back(fmt::format(
        "Roll and pitch have a constant error of at most about {:.1f}° (1 sigma {:.1f}°), own "
        "assumption.",
        2.0 * assumed::kLoggedTilt_deg, assumed::kLoggedTilt_deg));
  }
  if (!problem.fixes.empty()) {
    fit.assumptions.push_back(fmt::format(
        "Each known heading is right to {:.2f}°, all of them together to {:.2f}° (1 sigma).",
        options.station_sigma.in_deg(), options.north_sigma.in_deg()));
  }
  if (level_turn) {
    fit.assumptions.push_back(fmt::format(
        "Scale of each axis within {:.0f} %, coupling between axes within {:.0f} %, vertical hard "
        "iron within {:.0f} µT (1 sigma each), own assumptions where the turn shows nothing.",
        100.0 * assumed::kGain, 100.0 * assumed::kCoupling, assumed::kVerticalIron_uT));
  }
  fit.assumptions.push_back(fmt::format(
      "Earth's field {:.2f} µT horizontal and {:.2f} µT down, known to {:.2f} and {:.2f} µT "
      "(1 sigma): {}.",
      options.earth.horizontal_uT, options.earth.down_uT, options.earth.sigma_horizontal_uT,
      options.earth.sigma_down_uT, options.earth.source));
}

}  // namespace qn::sensor_model
