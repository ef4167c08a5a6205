// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "procedure/levelling.h"
#include "procedure/sensor_prepare_internal.h"

namespace qn::sensor_model {
namespace {

constexpr double kRad = std::numbers::pi / 180.0;
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kSteady_g = 0.03;  // an accelerometer this close to 1 g shows gravity alone

bool mostly_finite(const std::vector<double>& values) {
  const auto finite =
      std::count_if(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
  return !values.empty() && 2 * static_cast<std::size_t>(finite) > values.size();
}

void use_columns(const SensorRecording& recording, Log& log) {
  for (std::size_t k = 0; k < recording.size(); ++k) {
    log.roll_rad.push_back(recording.roll_deg[k] * kRad);
    log.pitch_rad.push_back(recording.pitch_deg[k] * kRad);
  }
}

// Gravity from specific force, (0, 0, -1) level and at rest: down is its opposite. Samples in
// motion say nothing.
void use_accelerometer(const SensorRecording& recording, const Matrix3& axes, bool reads_down,
                       Log& log) {
  const auto to_body = Rotation<Body, Sensor>::from_rows(axes);
  for (std::size_t k = 0; k < recording.size(); ++k) {
    const Vector3 a =
        to_body.apply({recording.accel_g[0][k], recording.accel_g[1][k], recording.accel_g[2][k]});
    const double sign = reads_down ? 1.0 : -1.0;
    const Vector3 down{sign * a[0], sign * a[1], sign * a[2]};
    const auto lean = lean_from_gravity(down, kSteady_g);
    log.pitch_rad.push_back(lean ? lean->pitch_rad : kNan);
    log.roll_rad.push_back(lean ? lean->roll_rad : kNan);
  }
}

double typical(std::vector<double> values) { return quantile(values, 0.5); }

std::optional<Error> check_level_axes(const Spread& spread) {
  if (std::abs(spread.normal[2]) < std::cos(35.0 * kRad)) {
    return Error{
        ErrorKind::BadInput,
        fmt::format("the turn lies in a plane whose normal is {:.2f}, {:.2f}, {:.2f} in the "
                    "sensor's axes: z is not the vertical axis",
                    spread.normal[0], spread.normal[1], spread.normal[2]),
        "the sensor log, columns field x, y, z",
        "a level turn seen in axes x forward, y right, z down",
        "say how the sensor's axes lie in the airframe, for example --mount \"x=z,y=y,z=-x\""};
  }
  return std::nullopt;
}

// Strong vertical iron looks the same, so this is a question and not a refusal.
void ask_about_z(Prepared& prepared, double down_uT) {
  const double vertical = typical(prepared.log.m[2]);
  if (std::abs(down_uT) < 8.0 ||
      std::abs(vertical + down_uT) > 0.25 * std::abs(vertical - down_uT)) {
    return;
  }
  prepared.notes.push_back(fmt::format(
      "z reads {:.1f} µT where the Earth's field is {:.1f} µT downward: if z points up and y left, "
      "give --mount \"x=x,y=-y,z=-z\".",
      vertical, down_uT));
}

std::optional<Error> check_gravity_sign(const Log& log, const Spread& spread, double scale,
                                        const Matrix3& axes, double down_uT) {
  const Vector3 centre = Rotation<Body, Sensor>::from_rows(axes).apply(spread.centre);
  std::vector<double> vertical;
  for (std::size_t k = 0; k < log.size(); ++k) {
    if (!std::isfinite(log.roll_rad[k])) continue;
    const double sp = std::sin(log.pitch_rad[k]), cp = std::cos(log.pitch_rad[k]);
    const double sr = std::sin(log.roll_rad[k]), cr = std::cos(log.roll_rad[k]);
    vertical.push_back(-sp * (log.m[0][k] - scale * centre[0]) +
                       sr * cp * (log.m[1][k] - scale * centre[1]) +
                       cr * cp * (log.m[2][k] - scale * centre[2]));
  }
  if (vertical.empty() || std::abs(down_uT) < 8.0) return std::nullopt;
  const double seen = typical(vertical);
  if (std::abs(seen - down_uT) < 1.5 * std::abs(seen + down_uT)) return std::nullopt;
  return Error{
      ErrorKind::BadInput,
      fmt::format("along the logged vertical the field reads {:.1f} µT where the Earth's is "
                  "{:.1f} µT downward: the vertical is upside down",
                  seen, down_uT),
      "the sensor log, attitude or accel columns",
      "roll, pitch, or specific force that is (0, 0, -1) g level and at rest",
      "if the accelerometer shows +1 g along z at rest, give --accel-reads down; check that "
      "field and attitude use the same axes"};
}

double mean_of_finite(const std::vector<double>& values) {
  double sum = 0.0;
  double count = 0.0;
  for (const double v : values) {
    if (!std::isfinite(v)) continue;
    sum += v;
    count += 1.0;
  }
  return sum / std::max(count, 1.0);
}

LoggedGround mean_attitude(const Prepared& prepared) {
  LoggedGround out;
  out.sigma_slope_rad = 1.0 * kRad;
  out.deck_roll_rad = mean_of_finite(prepared.ground_roll_rad);
  out.deck_pitch_rad = mean_of_finite(prepared.ground_pitch_rad);
  out.sigma_deck_rad = 1.0 * kRad;
  return out;
}

}  // namespace

Result<Prepared> prepare(const SensorRecording& recording, const SensorFitOptions& options,
                         const Spread& spread, Motion motion) {
  Prepared out;
  out.motion = motion;
  out.axes = options.mounting.rows();
  const bool level = motion != Motion::tumble;
  if (recording.unit == FieldUnit::counts) {
    out.scale = (level ? options.earth.horizontal_uT : options.earth.total_uT()) / spread.radius;
  }
  Log& log = out.log;
  log.time_s = recording.time_s;
  for (std::size_t i = 0; i < 3; ++i) {
    log.m[i].resize(recording.size());
    for (std::size_t k = 0; k < recording.size(); ++k) {
      log.m[i][k] = out.scale * (out.axes[i][0] * recording.field[0][k] +
                                 out.axes[i][1] * recording.field[1][k] +
                                 out.axes[i][2] * recording.field[2][k]);
    }
  }
  log.use.assign(recording.size(), 1);
  if (level) {
    if (auto error = check_level_axes(spread)) return *error;
    ask_about_z(out, options.earth.down_uT);
  }
  if (mostly_finite(recording.roll_deg) && mostly_finite(recording.pitch_deg)) {
    out.source = AttitudeSource::columns;
    use_columns(recording, log);
  } else if (mostly_finite(recording.accel_g[0]) && mostly_finite(recording.accel_g[1]) &&
             mostly_finite(recording.accel_g[2])) {
    out.source = AttitudeSource::accelerometer;
    use_accelerometer(recording, out.axes, options.accelerometer_reads_down, log);
  }
  if (level) {
    log.attitude = Attitude::level;
    out.ground_roll_rad = std::move(log.roll_rad);
    out.ground_pitch_rad = std::move(log.pitch_rad);
    log.roll_rad.clear();
    log.pitch_rad.clear();
    // A first idea of how it sits, so that a tail-wheel aircraft does not start ten degrees off.
    if (out.source != AttitudeSource::none) out.ground = mean_attitude(out);
    return out;
  }
  if (out.source != AttitudeSource::none) {
    log.attitude = Attitude::logged;
    const auto error = check_gravity_sign(log, spread, out.scale, out.axes, options.earth.down_uT);
    if (error) return *error;
  }
  return out;
}

void turn_axes(Prepared& prepared, double turn) {
  prepared.turn_rad += turn;
  const double c = std::cos(turn);
  const double s = std::sin(turn);
  Log& log = prepared.log;
  for (std::size_t k = 0; k < log.size(); ++k) {
    const double x = log.m[0][k];
    const double y = log.m[1][k];
    log.m[0][k] = c * x - s * y;
    log.m[1][k] = s * x + c * y;
  }
  const Matrix3 a = prepared.axes;
  for (std::size_t j = 0; j < 3; ++j) {
    prepared.axes[0][j] = c * a[0][j] - s * a[1][j];
    prepared.axes[1][j] = s * a[0][j] + c * a[1][j];
  }
}

Problem make_problem(const Prepared& prepared, const SensorFitOptions& options,
                     std::vector<HeadingFix> fixes) {
  const bool level_turn = prepared.motion != Motion::tumble;
  const Attitude attitude = prepared.log.attitude;
  auto symmetry = Layout::Symmetry::full;
  if (fixes.empty()) {
    // Nothing points to the airframe's nose: the turn about the vertical is a convention, and
    // without gravity so are the other two.
    if (level_turn) symmetry = Layout::Symmetry::horizontal;
    if (!level_turn && attitude == Attitude::unknown) symmetry = Layout::Symmetry::all;
  }
  Problem problem;
  problem.layout = Layout::make(symmetry, attitude == Attitude::level,
                                attitude != Attitude::unknown, !fixes.empty());
  PriorInput input;
  input.horizontal = options.earth.horizontal_uT;
  input.down = options.earth.down_uT;
  input.sigma_horizontal = options.earth.sigma_horizontal_uT;
  input.sigma_down = options.earth.sigma_down_uT;
  input.sigma_slope_rad = options.ground_slope.sigma.in_rad();
  input.sigma_north_rad = options.north_sigma.in_rad();
  input.level_turn = level_turn;
  if (attitude == Attitude::level && prepared.ground) {
    input.slope_north_rad = prepared.ground->slope_north_rad;
    input.slope_east_rad = prepared.ground->slope_east_rad;
    input.sigma_slope_rad = prepared.ground->sigma_slope_rad;
    input.deck_roll_rad = prepared.ground->deck_roll_rad;
    input.deck_pitch_rad = prepared.ground->deck_pitch_rad;
    input.sigma_deck_rad = prepared.ground->sigma_deck_rad;
  } else if (attitude == Attitude::level) {
    input.deck_roll_rad = options.deck_tilt.first.in_rad();
    input.deck_pitch_rad = options.deck_tilt.second.in_rad();
    input.sigma_deck_rad = options.deck_tilt.sigma.in_rad();
  } else if (prepared.source == AttitudeSource::none) {
    // A tumble that is tied to the airframe where headings are known: there it stood on the ground.
    input.sigma_deck_rad =
        std::hypot(options.deck_tilt.sigma.in_rad(), options.ground_slope.sigma.in_rad());
  } else {
    input.sigma_deck_rad = assumed::kLoggedTilt_deg * kRad;
  }
  problem.prior = make_prior(problem.layout, input);
  problem.fixes = std::move(fixes);
  problem.sigma_fix_rad = options.station_sigma.in_rad();
  return problem;
}

Parameters make_start(const Prepared& prepared, const Problem& problem, const Spread& spread) {
  const Layout& layout = problem.layout;
  Parameters theta = problem.prior.mean;
  const Vector3 centre = Rotation<Body, Sensor>::from_rows(prepared.axes).apply(spread.centre);
  const double H = theta[static_cast<std::size_t>(layout.horizontal)];
  const double Z = theta[static_cast<std::size_t>(layout.down)];
  const bool level = prepared.motion != Motion::tumble;
  const double gain = (level ? H : std::hypot(H, Z)) / (spread.radius * prepared.scale);
  const auto offset = static_cast<std::size_t>(layout.offset);
  for (std::size_t i = 0; i < 3; ++i) {
    const double own_gain = level && i == 2 ? 1.0 : gain;
    theta[static_cast<std::size_t>(layout.matrix[i][i])] = own_gain;
    theta[offset + i] = own_gain * prepared.scale * centre[i];
  }
  if (level) theta[offset + 2] = typical(prepared.log.m[2]) - Z;
  return theta;
}

}  // namespace qn::sensor_model
