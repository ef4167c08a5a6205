// SPDX-License-Identifier: Apache-2.0
#include "procedure/sensor_fit.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "procedure/sensor_checks_internal.h"
#include "procedure/sensor_curves_internal.h"
#include "procedure/sensor_headings_internal.h"
#include "procedure/sensor_words_internal.h"

namespace qn {
namespace {

using namespace sensor_model;

std::array<std::vector<double>, 3> mounted(const SensorRecording& recording,
                                           const Rotation<Body, Sensor>& mounting) {
  std::array<std::vector<double>, 3> out;
  for (std::size_t i = 0; i < 3; ++i) {
    const Vector3& row = mounting.rows()[i];
    out[i].resize(recording.size());
    for (std::size_t k = 0; k < recording.size(); ++k) {
      out[i][k] = row[0] * recording.field[0][k] + row[1] * recording.field[1][k] +
                  row[2] * recording.field[2][k];
    }
  }
  return out;
}

Motion decide_motion(const SensorFitOptions& options, const Spread& spread,
                     std::vector<std::string>& notes) {
  const bool planar = spread.kind == Spread::Kind::level_turn;
  if (!options.stations.empty() && planar) return Motion::stations;
  const Motion seen = planar ? Motion::swing : Motion::tumble;
  const bool wanted_level = options.motion == Motion::swing || options.motion == Motion::stations;
  if (planar && options.motion == Motion::tumble) {
    notes.emplace_back(
        "A tumble was asked for, but the readings lie in one plane, as on a level "
        "turn: treated as a swing.");
  }
  if (!planar && (wanted_level || !options.stations.empty())) {
    notes.emplace_back(
        "A level turn was asked for, but the readings do not lie in one plane: "
        "treated as a tumble.");
  }
  return seen;
}

// A tumble with headings known at some moments: there, and only there, it stood on the ground.
void mark_level_moments(Prepared& prepared, const SensorFitOptions& options) {
  Log& log = prepared.log;
  log.attitude = Attitude::logged;
  log.roll_rad.assign(log.size(), std::numeric_limits<double>::quiet_NaN());
  log.pitch_rad = log.roll_rad;
  for (std::size_t k = 0; k < log.size(); ++k) {
    const bool stands = std::any_of(
        options.known_headings.begin(), options.known_headings.end(),
        [&](const KnownHeading& known) { return std::abs(known.time_s - log.time_s[k]) <= 0.5; });
    if (stands) log.roll_rad[k] = log.pitch_rad[k] = 0.0;
  }
}

// Roll and pitch written down at the stations hold while the aircraft stood there.
void use_station_attitudes(Prepared& prepared, const SensorFitOptions& options,
                           const std::vector<StationMatch>& matches) {
  const auto given = [](const Station& s) {
    return std::isfinite(s.roll_deg) && std::isfinite(s.pitch_deg);
  };
  if (prepared.source != AttitudeSource::none ||
      std::none_of(options.stations.begin(), options.stations.end(), given)) {
    return;
  }
  const Log& log = prepared.log;
  prepared.source = AttitudeSource::stations;
  prepared.ground_roll_rad.assign(log.size(), std::numeric_limits<double>::quiet_NaN());
  prepared.ground_pitch_rad = prepared.ground_roll_rad;
  for (std::size_t r = 0; r < matches.size(); ++r) {
    if (!matches[r].from_s || !given(options.stations[r])) continue;
    for (std::size_t k = 0; k < log.size(); ++k) {
      if (log.time_s[k] < *matches[r].from_s || log.time_s[k] > *matches[r].to_s) continue;
      prepared.ground_roll_rad[k] = Angle::degrees(options.stations[r].roll_deg).in_rad();
      prepared.ground_pitch_rad[k] = Angle::degrees(options.stations[r].pitch_deg).in_rad();
    }
  }
}

// What roll and pitch say of the ground and of how the aircraft sits, once headings are known.
void learn_ground_from(Prepared& prepared, const Layout& layout, const Parameters& theta,
                       bool north_known, SensorFit& fit) {
  if (prepared.ground_roll_rad.empty()) return;
  std::vector<double> heading = headings_deg(prepared.log, layout, theta);
  for (double& h : heading) h = Angle::degrees(h).in_rad();
  prepared.ground =
      learn_ground(prepared.log.time_s, heading, prepared.ground_roll_rad,
                   prepared.ground_pitch_rad, Angle::degrees(assumed::kLoggedTilt_deg).in_rad());
  if (!prepared.ground) {
    prepared.source = AttitudeSource::none;
    fit.notes.emplace_back(
        "Roll and pitch cover too few headings to tell the ground's slope from "
        "the aircraft's tilt; both are assumed instead.");
    return;
  }
  LoggedGround& ground = *prepared.ground;
  if (!north_known) {
    // The direction of the slope is only as good as the sensor lies along the airframe.
    ground.sigma_slope_rad = std::hypot(
        ground.sigma_slope_rad, 0.3 * std::hypot(ground.slope_north_rad, ground.slope_east_rad));
  }
  fit.notes.push_back(fmt::format(
      "Roll and pitch say that the ground rises {:.1f}° toward {:03.0f} and that the aircraft sits "
      "{:.1f}° rolled and {:.1f}° pitched on it.",
      Angle::radians(std::hypot(ground.slope_north_rad, ground.slope_east_rad)).in_deg(),
      std::round(wrap_360_deg(
          Angle::radians(std::atan2(ground.slope_east_rad, ground.slope_north_rad)).in_deg())),
      Angle::radians(ground.deck_roll_rad).in_deg(),
      Angle::radians(ground.deck_pitch_rad).in_deg()));
}

FitFrame frame_of(const Prepared& prepared, const Problem& problem, const Solution& solution) {
  if (!problem.fixes.empty()) return FitFrame::body;
  const Layout& layout = problem.layout;
  const auto xy = static_cast<std::size_t>(layout.matrix[0][1]);
  const auto yx = static_cast<std::size_t>(layout.matrix[1][0]);
  if (prepared.source != AttitudeSource::columns || xy == yx) return FitFrame::sensor;
  const SquareMatrix& V = solution.covariance;
  const double yaw_sigma_rad = std::sqrt(0.25 * (V(xy, xy) + V(yx, yx) - 2.0 * V(xy, yx)));
  return yaw_sigma_rad < 0.05 ? FitFrame::body : FitFrame::sensor;
}

void record_station_residuals(const Prepared& prepared, const Problem& problem,
                              const Solution& solution, SensorFit& fit) {
  std::size_t next = 0;
  for (StationMatch& row : fit.stations) {
    if (!row.from_s) continue;
    row.residual_deg = Angle::radians(heading_residual_rad(problem.fixes[next++], problem.layout,
                                                           solution.theta, prepared.log.attitude))
                           .in_deg();
  }
}

// Stations whose heading does not fit the others: said by name, kept in the fit.
void note_doubtful_stations(const SensorFitOptions& options, SensorFit& fit) {
  for (const StationMatch& row : fit.stations) {
    const double doubtful = 4.0 * options.station_sigma.in_deg();
    if (row.residual_deg && std::abs(*row.residual_deg) > doubtful) {
      fit.notes.push_back(fmt::format(
          "Station {:03.0f} is {:.1f}° away from what the others say: check where the aircraft "
          "stood, and repeat that station.",
          row.station_deg, std::abs(*row.residual_deg)));
    }
  }
}

std::optional<std::string> undecided_because(const Spread& spread) {
  if (spread.kind == Spread::Kind::still) return "the sensor was hardly turned.";
  if (spread.kind == Spread::Kind::short_arc) {
    return "the turn is too short to tell the aircraft's own field from the Earth's.";
  }
  return std::nullopt;
}

}  // namespace

Result<SensorFit> fit_sensor(const SensorRecording& recording, const SensorFitOptions& options,
                             const ParallelFor& parallel) {
  if (auto error = check_alive(recording)) return *error;
  if (auto error = check_rails(recording)) return *error;

  SensorFit fit;
  fit.raw_unit = recording.unit;
  fit.earth = options.earth;
  fit.duration_s = recording.time_s.back() - recording.time_s.front();
  fit.samples.repaired = recording.tally.missing_cells + recording.tally.duplicate_times +
                         recording.tally.backward_times;
  const bool counts = recording.unit == FieldUnit::counts;
  const Spread spread = describe_spread(mounted(recording, options.mounting),
                                        counts ? 0.0 : options.earth.total_uT(), options.motion);
  if (auto error =
          check_unit(recording, spread, options.earth.horizontal_uT, options.earth.total_uT())) {
    return *error;
  }
  if (const auto because = undecided_because(spread)) {
    fit.samples.used = recording.size();
    leave_undecided(options, *because,
                    "Record again while the aircraft, or the sensor alone, is turned through all "
                    "headings.",
                    fit);
    return fit;
  }
  fit.motion = decide_motion(options, spread, fit.notes);
  auto ready = prepare(recording, options, spread, fit.motion);
  if (!ready) return ready.error();
  Prepared prepared = std::move(ready).value();
  fit.notes.insert(fit.notes.end(), prepared.notes.begin(), prepared.notes.end());

  Problem problem = make_problem(prepared, options, {});
  Solution solution = solve(prepared.log, problem, make_start(prepared, problem, spread), parallel);

  std::vector<HeadingFix> fixes;
  if (!options.known_headings.empty() || fit.motion == Motion::stations) {
    auto found = find_headings(prepared, options, problem, solution, fit.notes);
    if (!found) return found.error();
    KnownHeadings known = std::move(found).value();
    fit.stations = known.stations;
    use_station_attitudes(prepared, options, fit.stations);
    turn_axes(prepared, known.turn_rad);
    turn_fixes(known.fixes, known.turn_rad);
    if (prepared.log.attitude == Attitude::unknown) mark_level_moments(prepared, options);
    fixes = std::move(known.fixes);
    problem = make_problem(prepared, options, fixes);
    solution = solve(prepared.log, problem, make_start(prepared, problem, spread), parallel);
  }
  if (!prepared.ground_roll_rad.empty()) {
    learn_ground_from(prepared, problem.layout, solution.theta, !fixes.empty(), fit);
    problem = make_problem(prepared, options, std::move(fixes));
    solution = solve(prepared.log, problem, make_start(prepared, problem, spread), parallel);
  }

  fit.samples.rejected = solution.rejected;
  fit.samples.used = recording.size() - solution.rejected;
  fit.noise = {solution.size_noise.sigma(), solution.size_noise.correlation_time_s(),
               std::sqrt(solution.band_inflation)};
  fit.condition = solution.condition;
  fit.frame = frame_of(prepared, problem, solution);
  fit.correction = to_correction(prepared, problem.layout, solution, recording.unit);
  fit.coverage = count_directions(prepared, problem.layout, solution);
  fit.residuals = thin_residuals(prepared.log, solution.residual, options.residual_points);
  draw_curves(problem.layout, solution, prepared.turn_rad, fit);
  record_station_residuals(prepared, problem, solution, fit);
  note_doubtful_stations(options, fit);
  if (solution.rejected > 0) {
    fit.notes.push_back(fmt::format(
        "{} samples ({:.1f} %) did not fit and were left out: spikes, or steel that passed by.",
        solution.rejected,
        100.0 * static_cast<double>(solution.rejected) / static_cast<double>(recording.size())));
  }
  name_unobserved(prepared, options, problem, solution, fit);
  judge_fit(prepared, problem, solution, options.limit, fit);
  return fit;
}

Vector3 apply_correction(const SensorCorrection& correction, const Vector3& raw) {
  Vector3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      out[i] += correction.matrix[i][j] * (raw[j] - correction.offset_raw[j]);
    }
  }
  return out;
}

}  // namespace qn
