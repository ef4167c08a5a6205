// SPDX-License-Identifier: Apache-2.0
#include "procedure/field_on_heading.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "estimation/length_band.h"
#include "procedure/field_on_heading_internal.h"
#include "vocab/expects.h"

namespace qn {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180.0;
constexpr double kTwoSided = 1.959963984540054;  // normal quantile of 0.975

// The field a levelled sensor sees on one heading, in units of the field: toward magnetic north
// and across it.
struct Seen {
  double north = 0.0, east = 0.0;
  double length() const { return std::hypot(north, east); }
  double error_deg() const {
    const double error = -std::atan2(east, north) / kRadPerDeg;
    return error < -180.0 + 1e-9 ? 180.0 : error;  // south is +180, whatever rounding says
  }
};

struct Direction {
  double sine = 0.0, cosine = 1.0;
  explicit Direction(double deg)
      : sine{std::sin(deg * kRadPerDeg)}, cosine{std::cos(deg * kRadPerDeg)} {}
};

Seen seen_on(const Vector3& field, double horizontal, const Direction& heading) {
  return {horizontal + field[0] * heading.cosine - field[1] * heading.sine,
          field[0] * heading.sine + field[1] * heading.cosine};
}

double wrap_180(double deg) { return std::remainder(deg, 360.0); }

// The band on one heading: the field displaced by 1.96 sigma along the direction that turns the
// heading most for its likelihood, then exact geometry.
Band95 band_on(const UncertainField& field, const LocalField& earth, const Direction& heading) {
  const Seen seen = seen_on(field.field_uT, earth.horizontal_uT, heading);
  const Matrix3& v = field.covariance_uT2;
  const Band95 anything{Angle::degrees(-180.0), Angle::degrees(180.0)};
  const double length = seen.length();
  const double along_variance = v[0][0] + v[1][1];
  if (length * length <= kTwoSided * kTwoSided * along_variance) {
    // The sensor may see no field at all on this heading.
    const double east = seen.east / std::max(length, 1e-300);
    const double north = seen.north / std::max(length, 1e-300);
    const double to_zero_x = north * heading.cosine + east * heading.sine;
    const double to_zero_y = -north * heading.sine + east * heading.cosine;
    const double towards_zero = to_zero_x * to_zero_x * v[0][0] +
                                2.0 * to_zero_x * to_zero_y * v[0][1] +
                                to_zero_y * to_zero_y * v[1][1];
    if (length * length <= kTwoSided * kTwoSided * towards_zero) return anything;
  }
  // Derivatives of -atan2(east, north), times length^2.
  const double along_x = -(seen.north * heading.sine - seen.east * heading.cosine);
  const double along_y = -(seen.north * heading.cosine + seen.east * heading.sine);
  const double along_h = seen.east;
  const double push_x = v[0][0] * along_x + v[0][1] * along_y;
  const double push_y = v[0][1] * along_x + v[1][1] * along_y;
  const double push_h = earth.sigma_horizontal_uT * earth.sigma_horizontal_uT * along_h;
  const double sigma =
      std::sqrt(std::max(0.0, along_x * push_x + along_y * push_y + along_h * push_h));
  const double middle = seen.error_deg();
  if (!(sigma > 0.0)) return {Angle::degrees(middle), Angle::degrees(middle)};
  const auto displaced = [&](double sigmas) {
    const double k = sigmas / sigma;
    const Vector3 other{field.field_uT[0] + k * push_x, field.field_uT[1] + k * push_y, 0.0};
    const double error = seen_on(other, earth.horizontal_uT + k * push_h, heading).error_deg();
    return middle + wrap_180(error - middle);
  };
  const double a = displaced(-kTwoSided);
  const double b = displaced(kTwoSided);
  return {Angle::degrees(std::min({a, b, middle})), Angle::degrees(std::max({a, b, middle}))};
}

double tilted_length(const Vector3& b) { return qn::tilted_length(b[0], b[1], b[2]); }

// The likeliest field of that tilted length: a few steps of constrained least squares, then scaled
// so that the length is right.
Vector3 likeliest_of_tilted_length(const UncertainField& found, double length) {
  const double bend = 1e-4 * tilted_length(found.field_uT);
  Vector3 b = found.field_uT;
  for (int step = 0; step < 4; ++step) {
    Vector3 slope{};
    for (std::size_t i = 0; i < 3; ++i) {
      Vector3 above = b;
      Vector3 below = b;
      above[i] += bend;
      below[i] -= bend;
      slope[i] = (tilted_length(above) - tilted_length(below)) / (2.0 * bend);
    }
    Vector3 push{};
    double strength = 0.0;
    double along = 0.0;
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) push[i] += found.covariance_uT2[i][j] * slope[j];
      strength += slope[i] * push[i];
      along += slope[i] * found.field_uT[i];
    }
    if (!(strength > 0.0)) break;
    // The length grows in proportion to the field, so that its tangent passes through zero.
    for (std::size_t i = 0; i < 3; ++i) {
      b[i] = found.field_uT[i] - push[i] * (along - length) / strength;
    }
  }
  const double reached = tilted_length(b);
  if (!(reached > bend)) {
    b = found.field_uT;
  }
  const double scale = length / tilted_length(b);
  return {scale * b[0], scale * b[1], scale * b[2]};
}

std::pair<double, double> tilted_length_band(const UncertainField& field, double length) {
  const Matrix3& v = field.covariance_uT2;
  const double spread = std::sqrt(std::max({v[0][0], v[1][1], v[2][2]}));
  if (!(spread > 0.0) || !(length > 0.0)) return {length, length + kTwoSided * spread};
  const std::vector<Vector3> errors = gaussian_points(v);
  std::vector<double> lengths(errors.size());
  const auto quantile_at = [&](double true_length, double probability) {
    const Vector3 b = likeliest_of_tilted_length(field, true_length);
    for (std::size_t i = 0; i < errors.size(); ++i) {
      lengths[i] = qn::tilted_length(b[0] + errors[i][0], b[1] + errors[i][1], b[2] + errors[i][2]);
    }
    return quantile(lengths, probability);
  };
  return length_band_95(length, spread, quantile_at);
}

}  // namespace

Angle angle_of_length(double length_uT, double horizontal_uT) {
  QN_EXPECTS(horizontal_uT > 0.0);
  const double ratio = length_uT / horizontal_uT;
  if (ratio >= 1.0) return Angle::degrees(180.0);
  return Angle::radians(std::asin(std::max(0.0, ratio)));
}

Band95 angle_band(double length_uT, const std::pair<double, double>& length_95_uT,
                  const LocalField& earth) {
  const double h = earth.horizontal_uT;
  const double of_h = kTwoSided * earth.sigma_horizontal_uT / h;
  const double below = std::hypot(length_uT - length_95_uT.first, of_h * length_uT);
  const double above = std::hypot(length_95_uT.second - length_uT, of_h * length_uT);
  const double lo = length_95_uT.first > 0.0 ? std::max(0.0, length_uT - below) : 0.0;
  return {angle_of_length(lo, h), angle_of_length(length_uT + above, h)};
}

// The part along the ground is largest where the part downward, d'b, is smallest. On the box
// d'b = q(bank) cos pitch - x sin pitch with q = y sin bank + z cos bank. Wherever d'b keeps its
// sign its size has no minimum inside the box (the only stationary points are +-b itself, where it
// is largest) and none along pitch (a cosine is concave where positive), so it lies at pitch +-15
// and there at the smallest q: at bank +-30 or, when z points up, where q turns.
double tilted_length(double x, double y, double z) {
  constexpr double kSinBank = 0.5;
  constexpr double kCosBank = 0.86602540378443865;
  constexpr double kTanBank = 0.57735026918962576;
  constexpr double kSinPitch = 0.25881904510252076;
  constexpr double kCosPitch = 0.96592582628906829;
  const double straight = kCosBank * z;
  const double side = kSinBank * std::abs(y);
  double q_least = straight - side;
  double q_most = straight + side;
  if (std::abs(y) <= kTanBank * std::abs(z)) {
    const double turning = std::sqrt(y * y + z * z);
    if (z > 0.0) {
      q_most = turning;
    } else {
      q_least = -turning;
    }
  }
  const double pitching = kSinPitch * std::abs(x);
  const double least = kCosPitch * q_least - pitching;
  const double most = kCosPitch * q_most + pitching;
  const double square = x * x + y * y + z * z;
  if (least <= 0.0 && most >= 0.0) return std::sqrt(square);
  const double down = std::min(std::abs(least), std::abs(most));
  return std::sqrt(std::max(0.0, square - down * down));
}

double heading_error_deg(const Vector3& field_body_uT, double horizontal_uT, double heading_deg) {
  return seen_on(field_body_uT, horizontal_uT, Direction{heading_deg}).error_deg();
}

Angle worst_heading_error(const Vector3& field_body_uT, double horizontal_uT) {
  return angle_of_length(std::hypot(field_body_uT[0], field_body_uT[1]), horizontal_uT);
}

double worst_at_heading_deg(const Vector3& field_body_uT, double horizontal_uT) {
  const double ratio =
      std::min(1.0, std::hypot(field_body_uT[0], field_body_uT[1]) / horizontal_uT);
  const double deg = -90.0 - std::asin(ratio) / kRadPerDeg -
                     std::atan2(field_body_uT[1], field_body_uT[0]) / kRadPerDeg;
  const double wrapped = std::fmod(deg, 360.0);
  const double positive = wrapped < 0.0 ? wrapped + 360.0 : wrapped;
  return positive < 360.0 ? positive : 0.0;
}

Angle worst_tilted_heading_error(const Vector3& field_body_uT, double horizontal_uT) {
  return angle_of_length(tilted_length(field_body_uT[0], field_body_uT[1], field_body_uT[2]),
                         horizontal_uT);
}

FieldHeadingError heading_error_of(const UncertainField& field, const LocalField& earth) {
  const Vector3& b = field.field_uT;
  const Matrix3& v = field.covariance_uT2;
  const double level = std::hypot(b[0], b[1]);
  const double tilted = tilted_length(b[0], b[1], b[2]);
  const auto level_95 = plane_length_band_95(
      {.x = b[0], .y = b[1], .var_x = v[0][0], .cov_xy = v[0][1], .var_y = v[1][1]});
  auto tilted_95 = tilted_length_band(field, tilted);
  // Level flight is one of the attitudes.
  tilted_95.first = std::min(tilted, std::max(tilted_95.first, level_95.first));
  tilted_95.second = std::max(tilted_95.second, level_95.second);
  FieldHeadingError out;
  out.worst = angle_of_length(level, earth.horizontal_uT);
  out.worst_95 = angle_band(level, level_95, earth);
  out.worst_at_heading_deg = worst_at_heading_deg(b, earth.horizontal_uT);
  out.worst_tilted = angle_of_length(tilted, earth.horizontal_uT);
  out.worst_tilted_95 = angle_band(tilted, tilted_95, earth);
  out.curve_deg.reserve(FieldHeadingError::kHeadings);
  out.curve_95.reserve(FieldHeadingError::kHeadings);
  for (std::size_t i = 0; i < FieldHeadingError::kHeadings; ++i) {
    const Direction heading{360.0 * static_cast<double>(i) /
                            static_cast<double>(FieldHeadingError::kHeadings)};
    out.curve_deg.push_back(seen_on(b, earth.horizontal_uT, heading).error_deg());
    out.curve_95.push_back(band_on(field, earth, heading));
  }
  return out;
}

}  // namespace qn
